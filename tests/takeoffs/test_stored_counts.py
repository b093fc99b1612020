"""What was counted is taken again only when nothing it was counted from has changed; a big job is counted as work."""

import re

import pytest
from django.db import DatabaseError, connection
from django.test.utils import CaptureQueriesContext

from layout.engine.lengths import feet, inches
from projects.catalogue.models import FixtureType
from projects.catalogue.tables import takeoff_table
from projects.jobs import services as jobs
from projects.jobs.models import Job, Room, WirePoint
from projects.platform.permissions import Role
from projects.work.running import do_work
from projects.work.services import start
from reports.takeoffs import keys, work
from reports.takeoffs.counting import count_job, count_room, rooms_to_count, stale_rooms
from reports.takeoffs.models import RoomLines
from reports.takeoffs.rules import rules_of
from reports.takeoffs.services import ask_for, save_rules, set_feet
from tests.factories import FixtureTypeFactory, JobFactory, MemberFactory, RoomFactory, SwitchZoneFactory
from tests.shops import issue, practice_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    """A laid out room with its switch, and one counted and not laid out."""
    job = JobFactory()
    snug = practice_room(job.shop, job=job)
    WirePoint.objects.create(room=snug, what="switch", from_left=feet(1), from_door=feet(1), height=feet(4))
    issue(snug)
    jobs.set_counts(RoomFactory(job=job, name="Den"), [(FixtureTypeFactory(shop=job.shop), "", 4)])
    return job


def room(job, name):
    return Room.objects.of(job.shop).get(job=job, name=name)


def move_the_switch(job):
    WirePoint.objects.filter(room__job=job).update(height=feet(5))


def rename_a_light(job):
    FixtureType.objects.of(job.shop).filter(kind="light").update(name="6 in light")


def read_a_label(job):
    FixtureType.objects.of(job.shop).filter(kind="light").update(through_wiring="no")


def change_a_rule(job):
    table = takeoff_table()
    table["waste"][0]["percent"] = "11"
    save_rules(job.shop, table, seen=0, why="Ours.", by=None)


def ask_for_gaskets(job):
    ask_for(job, ["light_gasket"])


def more_lights(job):
    jobs.set_counts(room(job, "Den"), [(FixtureTypeFactory(shop=job.shop), "", 5)])


def own_feet(job):
    set_feet(room(job, "Den"), {"light": feet(9)})


def rename_a_room(job):
    Room.objects.of(job.shop).filter(name="Snug").update(name="Nook")


def close_a_lid(job):
    Room.objects.of(job.shop).filter(name="Snug").update(ceiling_system="isolated")


def lay_out_again(job):
    issue(room(job, "Snug"))


def name_a_zone(job):
    SwitchZoneFactory(room=room(job, "Snug"))


CHANGES = (
    move_the_switch, rename_a_light, read_a_label, change_a_rule, ask_for_gaskets, more_lights, own_feet, close_a_lid,
    lay_out_again, name_a_zone, rename_a_room,
)  # fmt: skip


def test_whatever_a_room_is_counted_from_changes_its_key(job):
    count_job(job)
    assert stale_rooms(job)[0] == []
    for change in CHANGES:
        change(job)
        fresh = Job.objects.of(job.shop).get(pk=job.pk)
        assert stale_rooms(fresh)[0], change.__name__
        counted = {each.room_id: each for each in count_job(fresh).rooms}
        for one in rooms_to_count(fresh, list(counted)):
            assert counted[one.pk] == count_room(one, rules_of(fresh.shop)), change.__name__


def test_what_bears_on_no_count_leaves_the_key_as_it_was(job):
    count_job(job)
    Room.objects.of(job.shop).update(stage=5, waits_for="the inspector", note="Mind the dog.")
    assert stale_rooms(job)[0] == []


def test_every_table_a_count_reads_is_in_the_key(job):
    """The tables are told from the queries themselves, so that one read later and left out of the key fails here."""
    with CaptureQueriesContext(connection) as counting:
        for one in rooms_to_count(job, [each.pk for each in job.rooms.all()]):
            count_room(one)
    with CaptureQueriesContext(connection) as keying:
        keys.keys_of(job, job.rooms.all(), "")
    read, covered = (
        {table for query in seen for table in re.findall(r'(?:FROM|JOIN) "(\w+)"', query["sql"])}
        for seen in (counting, keying)
    )
    # The job and the shop: their own names and tape are in no room's count.
    assert read - covered <= {"jobs_job", "accounts_shop"}


def test_a_store_that_can_not_be_written_to_costs_nothing_but_time(job, monkeypatch):
    def refuse(*args, **kwargs):
        raise DatabaseError("disk full")

    monkeypatch.setattr(type(RoomLines.objects.all()), "bulk_create", refuse)
    assert len(count_job(job).rooms) == 2
    assert not RoomLines.objects.exists()


def test_a_job_is_counted_as_work_and_what_was_counted_is_not_counted_twice(job, monkeypatch):
    monkeypatch.setattr(work, "STEP", 1)
    by = MemberFactory(shop=job.shop, role=Role.ESTIMATOR.value)
    begun = start(job.shop, "count job", {"job_id": job.pk}, by)
    do_work(begun.pk, begun.task)
    begun.refresh_from_db()
    assert (begun.state, begun.done, begun.total) == ("done", 2, 2)
    assert stale_rooms(job)[0] == []
    monkeypatch.setattr(work, "count_again", lambda *args: pytest.fail("counted twice"))
    again = start(job.shop, "count job", {"job_id": job.pk}, by)
    do_work(again.pk, again.task)
    again.refresh_from_db()
    assert again.state == "done"


def test_sums_in_brief_are_the_whole_sums(job):
    whole, brief = count_job(job), count_job(job, brief=True)
    assert brief.job == whole.job
    assert count_job(job, brief=True) == brief
    assert [each.takeoff.missing for each in brief.rooms] == [each.takeoff.missing for each in whole.rooms]


def test_a_rule_of_the_shop_is_what_its_rooms_are_counted_by(job):
    change_a_rule(job)
    cable = next(line for line in count_job(job).job.lines if line.key == "cable:14/2")
    den = dict(cable.by_room)["Den"]
    assert den.inches == inches(4 * 12 * 12).inches * 111 / 100  # 48 ft and 11 percent


def test_a_job_too_big_for_a_page_is_kept_as_work_and_only_once(job):
    by = MemberFactory(shop=job.shop, role=Role.ESTIMATOR.value)
    for _ in range(2):
        begun = start(job.shop, "keep takeoff", {"job_id": job.pk, "label": "For the bid"}, by)
        do_work(begun.pk, begun.task)
    assert [kept.label for kept in job.takeoffs.all()] == ["For the bid"] * 2  # asked for twice: two
    begun.refresh_from_db()
    work.keep(begun, None)
    assert job.takeoffs.count() == 2  # begun again after it was kept: not a third
