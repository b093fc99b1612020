"""How long a whole job's takeoff takes: rooms of 20 lines and more, counted from their records and from what is kept.

Times are printed, never asserted. The rooms are one laid out room with switch, panel and rack, written as many times.
"""

from time import perf_counter

from django.db import connection
from django.db.models import F
from django.test.utils import CaptureQueriesContext

from layout.engine.lengths import feet
from layout.models import LayoutRevision, RevisionMark, new_token
from projects.jobs.models import Room, WirePoint
from reports.takeoffs.counting import count_job
from tests.factories import JobFactory
from tests.shops import issue, practice_room

POINTS = (("switch", 1, 1, 4), ("panel", 30, 4, 5), ("rack", 9, 20, 3))


def job_of(rooms):
    """A job of so many laid out rooms."""
    job = JobFactory()
    first = practice_room(job.shop, job=job)
    WirePoint.objects.bulk_create(_points(first))
    revision = issue(first)
    more = Room.objects.bulk_create(_copies(first, rooms - 1), batch_size=500)
    WirePoint.objects.bulk_create([point for room in more for point in _points(room)], batch_size=500)
    revisions = LayoutRevision.objects.bulk_create([_revision(revision, room) for room in more], batch_size=200)
    marks = list(revision.marks.all())
    RevisionMark.objects.bulk_create([_mark(mark, each) for each in revisions for mark in marks], batch_size=1000)
    return job


def _copies(first, count):
    fields = {field.attname: getattr(first, field.attname) for field in Room._meta.concrete_fields}
    return [Room(**fields | {"id": None, "name": f"Room {number}"}) for number in range(count)]


def _points(room):
    return [
        WirePoint(room=room, what=what, from_left=feet(left), from_door=feet(door), height=feet(height))
        for what, left, door, height in POINTS
    ]


def _revision(of, room):
    fields = {field.attname: getattr(of, field.attname) for field in LayoutRevision._meta.concrete_fields}
    return LayoutRevision(**fields | {"id": None, "room_id": room.pk, "token": new_token()})


def _mark(of, revision):
    fields = {field.attname: getattr(of, field.attname) for field in RevisionMark._meta.concrete_fields}
    return RevisionMark(**fields | {"id": None, "revision_id": revision.pk})


def timed(job, **how):
    """(what was counted, seconds, queries)."""
    with CaptureQueriesContext(connection) as seen:
        start = perf_counter()
        counted = count_job(job, **how)
        took = perf_counter() - start
    return counted, took, len(seen)


def in_its_own_database(sizes):
    """The table, from a database that is made for it and dropped."""
    name = connection.settings_dict["NAME"]
    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    try:
        yield from report(sizes)
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)


def report(sizes=(500,)):
    """Lines of a small table; needs a database that may be thrown away."""
    yield "rooms   lines     first     again  sums alone  1 changed  queries again"
    for rooms in sizes:
        job = job_of(rooms)
        counted, first, _ = timed(job)
        _, again, queries = timed(job)
        _, brief, _ = timed(job, brief=True)
        WirePoint.objects.filter(pk=WirePoint.objects.filter(room__job=job).first().pk).update(beyond=F("beyond") + 1)
        _, changed, _ = timed(job)
        lines = sum(len(room.takeoff.lines) for room in counted.rooms)
        yield f"{rooms:>5}  {lines:>6}  {first:>6.2f} s  {again:>6.2f} s  {brief:>8.2f} s  {changed:>7.2f} s  {queries}"
