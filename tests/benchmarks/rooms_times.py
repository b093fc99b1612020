"""How long the first screen, Rooms and the shop's numbers take for shops of so many rooms, and how many queries.

Times are printed, never asserted. Of a large shop 6,000 rooms at most are under way, twenty to a job; the others are of
jobs long closed, with a revision and a card each. What is seeded is written past the services, in bulk.
"""

import datetime as dt
from decimal import Decimal
from time import perf_counter, process_time

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from layout.models import LayoutRevision, new_token
from projects.crews.models import CrewDay
from projects.jobs.models import Job, Room, StageEvent
from projects.platform.permissions import Role
from reports.changes.models import ChangeOrder
from reports.models import CardCopy
from tests.factories import ShopFactory
from tests.shops import people_of

ROOMS_A_JOB = 20
MOST_UNDER_WAY = 6_000
AT_ONCE = 5_000  # rooms written together
COPIED = 20_000  # closed rooms that are written once and then copied
PAGES = (
    ("first screen", "/"),
    ("rows of jobs", "/rooms/"),
    ("rows, page 2", "/rooms/?page=2"),
    ("wall of tags", "/rooms/?view=wall"),
    ("table", "/rooms/?view=table"),
    ("table, one red rule", "/rooms/?view=table&red=waits"),
    ("table, every job ever", "/rooms/?view=table&jobs=every"),
    ("ever, last page", "/rooms/?view=table&jobs=every&page=99999"),
    ("shop numbers", "/shop/numbers/"),
)


def shop_of(rooms):
    """A shop with so many rooms ever is made; its owner is handed back."""
    shop = ShopFactory()
    people = people_of(shop)
    under_way = min(rooms, MOST_UNDER_WAY)
    _fill(shop, people, under_way, closed=False)
    if rooms > under_way:
        _fill(shop, people, min(rooms - under_way, COPIED), closed=True)
        for copy in range(1, -(-(rooms - under_way) // COPIED)):
            _copy_closed(shop, copy)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    return people[Role.OWNER].user


def _copy_closed(shop, copy):
    """The closed rooms once more, each with its revision and card, by the database itself."""
    postgres = connection.vendor == "postgresql"
    random = "md5(random()::text || clock_timestamp()::text)" if postgres else "hex(randomblob(16))"
    first_job = Job.objects.of(shop).filter(closed_on__isnull=False).order_by("pk").first().pk
    jobs = COPIED // ROOMS_A_JOB
    room = Room.objects.of(shop).filter(job_id__gte=first_job).order_by("pk").first().pk
    revision = LayoutRevision.objects.of(shop).filter(room_id__gte=room).order_by("pk").first().pk
    card = CardCopy.objects.of(shop).filter(revision_id__gte=revision).order_by("pk").first().pk
    steps = (
        (Job, first_job, jobs, {"id": f"id + {copy * jobs}", "number": f"number || '-{copy}'"}),
        (Room, room, COPIED, {"id": f"id + {copy * COPIED}", "job_id": f"job_id + {copy * jobs}"}),
        (LayoutRevision, revision, COPIED, {
            "id": f"id + {copy * COPIED}", "room_id": f"room_id + {copy * COPIED}", "token": random,
        }),
        (CardCopy, card, COPIED, {"id": f"id + {copy * COPIED}", "revision_id": f"revision_id + {copy * COPIED}"}),
    )  # fmt: skip
    with connection.cursor() as cursor:
        for model, start, count, other in steps:
            columns = [field.column for field in model._meta.concrete_fields]
            told = ", ".join(other.get(column, f'"{column}"') for column in columns)
            names = ", ".join(f'"{column}"' for column in columns)
            table = model._meta.db_table
            rows = f'SELECT {told} FROM "{table}" WHERE id >= {start} AND id < {start + count}'
            cursor.execute(f'INSERT INTO "{table}" ({names}) {rows}')


def _fill(shop, people, rooms, *, closed):
    now, today = timezone.now(), timezone.localdate()
    long_ago = now - dt.timedelta(days=900)
    first = Job.objects.of(shop).count()
    jobs = Job.objects.bulk_create(
        [
            Job(
                shop=shop, number=f"J-{first + n}", name=f"House {first + n}", client=f"Client {n % 40}",
                inspection_on=None if closed else today + dt.timedelta(days=n % 30),
                drywall_on=None if closed else today + dt.timedelta(days=5 + n % 40),
                closed_on=today - dt.timedelta(days=400) if closed else None,
            )
            for n in range(-(-rooms // ROOMS_A_JOB))
        ],
        batch_size=1000,
    )  # fmt: skip
    for start in range(0, rooms, AT_ONCE):
        numbers = range(start, min(start + AT_ONCE, rooms))
        made = Room.objects.bulk_create(
            [
                Room(
                    shop=shop, job=jobs[n // ROOMS_A_JOB], name=f"Room {n}", stage=12 if closed else n % 13,
                    stage_since=long_ago if closed else now - dt.timedelta(days=n % 25),
                    waits_for="" if closed or n % 9 else ("GC: framing" if n % 2 else "Client: seat"),
                )
                for n in numbers
            ],
            batch_size=500,
        )  # fmt: skip
        if closed:
            Room.objects.of(shop).filter(pk__in=[room.pk for room in made]).update(updated_at=long_ago)
        _lay_out(shop, made, long_ago if closed else now, revisions=1 if closed else 3)
    if closed:
        Job.objects.of(shop).filter(pk__in=[job.pk for job in jobs]).update(created_at=long_ago)
    else:
        _work(shop, people, jobs, today, now)


def _lay_out(shop, rooms, at, revisions):
    common = {"shop": shop, "inputs": "{}", "result": "{}", "digest": "0" * 64, "issued_at": at, "lights": 9}
    laid = LayoutRevision.objects.bulk_create(
        [
            LayoutRevision(
                room=room, number=number, token=new_token(), approved_at=at if room.pk % 10 else None, **common
            )
            for room in rooms
            for number in range(1, revisions + 1)
        ],
        batch_size=500,
    )
    CardCopy.objects.bulk_create(
        [
            CardCopy(shop=shop, revision=one, how="printed", held_by="lead", datum="framing", at=at)
            for one in laid
            if one.number == max(revisions - one.room_id % 2, 1)
        ],
        batch_size=500,
    )
    StageEvent.objects.bulk_create(
        [
            StageEvent(room=room, came_from=stage, went_to=stage + 1, at=at + dt.timedelta(days=stage - 12))
            for room in rooms
            for stage in range(min(room.stage, 3))
        ],
        batch_size=500,
    )


def _work(shop, people, jobs, today, now):
    CrewDay.objects.bulk_create(
        CrewDay(shop=shop, member=people[Role.CREW], job=job, on=today + dt.timedelta(days=n % 7))
        for n, job in enumerate(jobs)
    )
    ChangeOrder.objects.bulk_create(
        ChangeOrder(
            shop=shop, job=job, number=1, title="Two more", state="sent", price=Decimal(430),
            sent_at=now - dt.timedelta(days=n % 20),
        )
        for n, job in enumerate(jobs)
    )  # fmt: skip


def timed(client, address):
    """(seconds, of them this process worked, queries, bytes) of a page's second look: the first one reads templates."""
    client.get(address)
    with CaptureQueriesContext(connection) as seen:
        start, worked = perf_counter(), process_time()
        answer = client.get(address)
        took, worked = perf_counter() - start, process_time() - worked
    assert answer.status_code == 200, (address, answer.status_code)
    return took, worked, len(seen), len(answer.content)


def in_its_own_database(sizes):
    """The table, from a database that is made for it and dropped."""
    name = connection.settings_dict["NAME"]
    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    try:
        yield from report(sizes)
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)


def report(sizes=(600,)):
    """Lines of a small table; needs a database that may be thrown away."""
    yield f"{connection.vendor}: rooms (under way), page             seconds  of work  queries     kB"
    for rooms in sizes:
        start = perf_counter()
        owner = shop_of(rooms)
        name_of = f"{rooms:>9,} ({min(rooms, MOST_UNDER_WAY):,})"
        yield f"{name_of} seeded in {perf_counter() - start:.0f} s"
        client = Client()
        client.force_login(owner)
        for name, address in PAGES:
            took, worked, queries, size = timed(client, address)
            yield f"{name_of:<17} {name:<22} {took:>7.2f}  {worked:>7.2f}  {queries:>7}  {size / 1000:>5.0f}"
