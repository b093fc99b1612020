"""How the Rooms screen stands up to a medium and a very large shop: 600 and 6,000 rooms. Prints times, asserts queries.

Sizes are what such shops are thought to have (common practice, no source): 15 rooms to a job, 9 lights to a room.
Run with: python3 manage.py test -m long -s tests/benchmarks/test_rooms_screen_size.py
"""

import time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layout.engine.lengths import inches
from layout.models import LayoutRevision, RevisionMark
from projects.jobs.models import FixtureCount, Job, MeasurementSet, Reading, Room
from reports.models import CardCopy
from tests.factories import DAY, NOON, FixtureTypeFactory, MemberFactory, ShopFactory

ROOMS_PER_JOB, LIGHTS, REVISIONS = 15, 9, 2
ADDRESSES = {
    "wall": {},
    "wall, last page": {"page": "999"},
    "wall, one mark": {"flag": "old_card"},
    "table": {"view": "table"},
    "table, sorted, searched": {"view": "table", "sort": "-lights", "q": "room 1"},
}


def shop_of(count):
    """A shop with `count` rooms, each measured, laid out twice, its first card printed."""
    shop = ShopFactory()
    light = FixtureTypeFactory(shop=shop)
    jobs = Job.objects.bulk_create(
        Job(shop=shop, number=f"J{n}", name=f"House {n}") for n in range(count // ROOMS_PER_JOB)
    )
    rooms = Room.objects.bulk_create(
        Room(shop=shop, job=job, name=f"Room {n}", stage=n % 13, waits_for="GC" if n % 7 == 0 else "")
        for job in jobs
        for n in range(ROOMS_PER_JOB)
    )
    FixtureCount.objects.bulk_create(FixtureCount(room=room, fixture_type=light, count=LIGHTS) for room in rooms)
    sets = MeasurementSet.objects.bulk_create(
        MeasurementSet(room=room, kind="framing", taken_on=DAY, taken_by="R.", entered_at=NOON) for room in rooms
    )
    Reading.objects.bulk_create(
        Reading(measurement_set=read, subject=subject, value=inches(180))
        for read in sets
        for subject in ("door", "far", "left", "right")
    )
    revisions = LayoutRevision.objects.bulk_create(
        LayoutRevision(
            shop=shop, room=room, number=n, inputs="{}", result="{}", digest="0" * 64, issued_at=NOON, lights=LIGHTS
        )
        for room in rooms
        for n in range(1, REVISIONS + 1)
    )
    RevisionMark.objects.bulk_create(
        RevisionMark(
            revision=revision,
            ident=f"A{n}",
            kind="light",
            fixture_type=light,
            along=inches(24 + n),
            across=inches(24),
            row=1,
        )
        for revision in revisions
        for n in range(LIGHTS)
    )
    CardCopy.objects.bulk_create(
        CardCopy(shop=shop, revision=revision, how="printed", held_by="M.", datum="framing", at=NOON)
        for revision in revisions[::3]
    )
    return shop


@pytest.mark.long
@pytest.mark.django_db
def test_six_thousand_rooms_take_as_many_queries_as_six_hundred(client):
    taken = {}
    for count in (600, 6000):
        shop = shop_of(count)
        if connection.vendor == "postgresql":
            # A running server counts its rows within a minute; inside a test's one transaction it has to be told to.
            connection.cursor().execute("ANALYZE")
        client.force_login(MemberFactory(shop=shop).user)
        client.get(reverse("rooms"))  # templates and tables are read once
        for said, query in ADDRESSES.items():
            with CaptureQueriesContext(connection) as queries:
                began = time.perf_counter()
                response = client.get(reverse("rooms"), query)
                seconds = time.perf_counter() - began
            assert response.status_code == 200
            taken[said, count] = len(queries)
            size = len(response.content) / 1000
            asked = sum(float(query["time"]) for query in queries)
            print(f"{connection.vendor}: {count} rooms, {said}: {seconds:.2f} s, {asked:.2f} s of it in the database,")
            print(f"    {len(queries)} queries, {size:.0f} kB")
    for said in ADDRESSES:
        assert taken[said, 600] == taken[said, 6000] <= 12
