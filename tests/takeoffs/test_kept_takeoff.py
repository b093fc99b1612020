"""A kept takeoff: what is frozen comes back exactly, counted rooms say so, and the difference between two adds up."""

from fractions import Fraction

import pytest

from layout.engine.lengths import feet, inches
from layout.models import Draft
from projects.jobs import services as jobs
from reports.estimating.difference import difference
from reports.estimating.frozen_takeoff import NotAsKept, from_text, prices_text, to_text
from reports.estimating.takeoff import Basis
from reports.takeoffs.counting import count_job
from reports.takeoffs.models import NeverChanged, RoomLines, Takeoff
from reports.takeoffs.services import freeze, takeoff_now, thaw
from tests.factories import DeviceFeetFactory, FixtureTypeFactory, JobFactory, MemberFactory, RoomFactory
from tests.shops import build_room, draft_room, issue, practice_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return JobFactory()


@pytest.fixture
def snug(job):
    room = practice_room(job.shop, job=job)
    issue(room)
    return room


def counted_room(job, lights=4, name="Den"):
    """A room nobody has measured: so many lights on one switch."""
    room = RoomFactory(job=job, name=name)
    jobs.set_counts(room, [(FixtureTypeFactory(shop=job.shop), "", lights)])
    return room


def by_key(takeoff):
    return {line.key.split(":")[0]: line.quantity for line in takeoff.lines}


def test_a_room_nobody_has_measured_is_counted_and_every_sum_says_so(job, snug):
    counted_room(job, lights=4)
    found = count_job(job)
    assert [(room.name, room.basis) for room in found.rooms] == [("Snug", Basis.LAID_OUT), ("Den", Basis.COUNTED)]
    assert found.job.counted == ("Den",)
    for line in found.job.lines:
        assert found.job.counted_in(line) == (("Den",) if "Den" in dict(line.by_room) else ())


def test_its_cable_is_the_shops_usual_feet_for_each_light_until_the_room_has_its_own(job):
    den = counted_room(job, lights=4)
    (cable,) = [line for line in count_job(job).rooms[0].takeoff.lines if line.key == "cable:14/2"]
    assert cable.net == feet(48)  # 4 lights at 12 ft
    assert cable.quantity == feet(48) * Fraction(110, 100)
    DeviceFeetFactory(room=den, each=feet(10))
    (cable,) = [line for line in count_job(job).rooms[0].takeoff.lines if line.key == "cable:14/2"]
    assert cable.net == feet(40)


def test_a_room_with_neither_layout_nor_counts_is_left_out_by_name(job, snug):
    RoomFactory(job=job, name="Attic")
    found = count_job(job)
    assert found.left_out == ("Attic",)
    assert [room.name for room in found.rooms] == ["Snug"]


def test_a_layout_takes_the_place_of_the_counts_and_the_difference_is_there(job):
    room = build_room(job)
    jobs.set_counts(room, [(FixtureTypeFactory(shop=job.shop), "", 4)])
    before = takeoff_now(job)
    draft_room(room)  # two rows of three lights
    issue(room)
    after = takeoff_now(job)
    (changed,) = difference(before, after).changed_rooms
    assert changed.measured_since
    label = next(item for item in changed.items if item.key == "light_label")
    assert (label.before, label.after, label.added, label.taken_out) == (4, 6, 2, 0)


def test_what_is_kept_comes_back_exactly(job, snug):
    counted_room(job)
    me = MemberFactory(shop=job.shop)
    kept = freeze(job, by=me, label="for the bid")
    again = thaw(Takeoff.objects.of(job.shop).get(pk=kept.pk))
    assert again == takeoff_now(job, number=1, label="for the bid", on=again.on)
    assert (kept.rooms, kept.rooms_counted) == (2, 1)
    assert to_text(again) == kept.body
    assert prices_text(again) == ""


def test_a_kept_takeoff_is_never_changed_and_a_changed_one_is_not_read(job, snug):
    kept = freeze(job, by=None)
    with pytest.raises(NeverChanged):
        kept.save()
    Takeoff.objects.of(job.shop).filter(pk=kept.pk).update(body=kept.body.replace("Snug", "Smug"))
    with pytest.raises(NotAsKept):
        thaw(Takeoff.objects.of(job.shop).get(pk=kept.pk))


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"format":99}', '{"format":1}', '{"format":1,"rooms":3}'])
def test_text_that_is_no_takeoff_is_refused(text):
    with pytest.raises(NotAsKept):
        from_text(text)


def test_a_later_layout_moves_nothing_that_was_kept(job, snug):
    kept = freeze(job, by=None)
    Draft.objects.of(snug.shop).filter(room=snug).update(end_setback=inches(14))
    issue(snug)
    assert [room.revision for room in thaw(kept).rooms] == [1]
    now = difference(thaw(kept), takeoff_now(job))
    (room,) = now.changed_rooms
    # Both end columns of two rows step 2 in inward; the speakers midway between lights move by 1 in.
    lights = [mark for mark in room.moved if mark.before.kind == "light"]
    assert sorted(abs(mark.dx).inches + abs(mark.dy).inches for mark in lights) == [2, 2, 2, 2]
    assert not room.added
    assert not room.taken_out


def test_rooms_are_counted_once_and_again_only_when_something_changed(job, snug):
    counted_room(job)
    first = count_job(job)
    kept = dict(RoomLines.objects.values_list("room_id", "key"))
    assert count_job(job) == first
    jobs.set_counts(snug, [(FixtureTypeFactory(shop=job.shop), "B", 1)])
    count_job(job)
    changed = {room_id for room_id, key in RoomLines.objects.values_list("room_id", "key") if kept[room_id] != key}
    assert changed == {snug.pk}
