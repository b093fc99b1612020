"""One visit's readings are entered. Nothing read before is changed or lost."""

import datetime as dt
import html

import pytest
from django.urls import reverse
from django.utils import timezone

from layout.engine.lengths import inches
from projects.platform.permissions import Role
from tests.shops import on_page


def address(room):
    return reverse("measurements", args=[room.pk])


def enter(client, room, **changes):
    return client.post(address(room), on_page(client.get(address(room)), "door_1") | changes)


def newest(room):
    return room.measurement_sets.order_by("pk").last()


def read(visit):
    return {(r.subject, r.ordinal): (r.value, r.taken_at_height) for r in visit.readings.all()}


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.VIEWER])
def test_whoever_is_in_the_field_enters_what_the_tape_says(as_role, people, room, role):
    answer = enter(as_role(role), room, door_1="166 1/8", left_1="93")
    assert answer.url == address(room)
    visit = newest(room)
    assert read(visit) == {("door", 1): (inches("166 1/8"), None), ("left", 1): (inches(93), None)}
    assert (visit.kind, visit.instrument, visit.taken_by) == ("framing", "tape", people[role].user.name)
    assert visit.entered_by == people[role]
    assert visit.taken_on == timezone.localdate()


def test_one_number_is_enough(owner, room):
    assert enter(owner, room, height_1="97 1/8").status_code == 302
    assert read(newest(room)) == {("height", 1): (inches("97 1/8"), None)}


def test_a_wall_is_read_at_three_heights(owner, room):
    enter(owner, room, door_1="166", door_1_at="0", door_2="166 1/4", door_2_at="48", door_3="165 7/8", door_3_at="96")
    assert read(newest(room)) == {
        ("door", 1): (inches(166), inches(0)),
        ("door", 2): (inches("166 1/4"), inches(48)),
        ("door", 3): (inches("165 7/8"), inches(96)),
    }


def test_earlier_readings_stay(owner, room):
    before = room.measurement_sets.count()
    enter(owner, room, door_1="165")
    assert room.measurement_sets.count() == before + 1
    page = html.unescape(owner.get(address(room)).content.decode())
    assert '166"' in page and '165"' in page


def test_a_laser_says_which_edge_it_measures_from(owner, room):
    answer = enter(owner, room, door_1="166", instrument="laser")
    assert set(answer.context["form"].errors) == {"laser_edge"}
    assert enter(owner, room, door_1="166", instrument="laser", laser_edge="rear").status_code == 302
    assert newest(room).laser_edge == "rear"


def test_diagonals_that_agree_are_praised(owner, room):
    """A 3-4-5 room: 12 ft x 9 ft has diagonals of 15 ft."""
    walls = {"door_1": "12'", "far_1": "12'", "left_1": "9'", "right_1": "9'"}
    enter(owner, room, **walls, d1_1="15'", d2_1="15'")
    assert "agree" in html.unescape(owner.get(address(room)).content.decode())


def test_a_diagonal_a_foot_off_is_named(owner, room):
    walls = {"door_1": "12'", "far_1": "12'", "left_1": "9'", "right_1": "9'"}
    enter(owner, room, **walls, d1_1="15'", d2_1="16'")
    page = html.unescape(owner.get(address(room)).content.decode())
    assert "One of these readings is off" in page and "one foot" in page


@pytest.mark.parametrize(
    ("changes", "box", "says"),
    [
        ({"door_1": "12-6"}, "door_1", "can be read as"),
        ({"door_1": "12' 1/2"}, "door_1", "can be read as"),
        ({"door_1": "0"}, "door_1", "Zero"),
        ({"door_1": "11 15/16"}, "door_1", "least allowed"),
        ({"door_1": "301'"}, "door_1", "most allowed"),
        ({"door_1": "-166"}, "door_1", "without the minus"),
        ({"door_1": "1" * 65}, "door_1", "64 characters"),
        ({"door_1": "१६६"}, "door_1", "0 to 9"),
        ({"d1_1": "431'"}, "d1_1", "most allowed"),
        ({"leg_a_1": "2"}, "leg_a_1", "least allowed"),
        ({"height_1": "4'"}, "height_1", "least allowed"),
        ({"door_1": "166", "door_1_at": "61'"}, "door_1_at", "most allowed"),
        ({"door_1": "166", "taken_by": ""}, "taken_by", "needed"),
        ({"door_1": "166", "taken_by": "a\u202eb"}, "taken_by", "hidden"),
        ({"door_1": "166", "note": "a\u202eb"}, "note", "hidden"),
        ({"door_1": "166", "note": "x" * 401}, "note", "400"),
        ({"door_1": "166", "taken_on": "soon"}, "taken_on", "date"),
        ({"door_1": "166", "taken_on": "2099-01-01"}, "taken_on", "not come yet"),
        ({"door_1": "166", "kind": "guessed"}, "kind", "guessed"),
        ({"door_1": "166", "instrument": "eye"}, "instrument", "eye"),
        ({}, "__all__", "Nothing was read yet"),
    ],
)
def test_a_wrong_box_says_so_and_what_was_typed_stays(owner, room, changes, box, says):
    before = room.measurement_sets.count()
    answer = enter(owner, room, **{"laser_edge": "front"} | changes)
    form = answer.context["form"]
    assert answer.status_code == 422
    assert set(form.errors) == {box}
    assert says in " ".join(form.errors[box])
    assert form["laser_edge"].value() == "front"
    assert all(form[name].value() == typed for name, typed in changes.items())
    assert room.measurement_sets.count() == before


def test_a_height_with_no_reading_beside_it_is_not_silently_dropped(owner, room):
    """Someone who wrote where but not how long forgot the number."""
    answer = enter(owner, room, door_1="166", left_1_at="48")
    assert answer.status_code == 422
    assert "left_1" in answer.context["form"].errors


def test_readings_make_the_room_a_newer_version(owner, room):
    """A build-up opened before is shown beside what came in, not saved over it."""
    before = room.version
    enter(owner, room, door_1="165")
    room.refresh_from_db()
    assert room.version == before + 1


def test_a_viewer_reads_and_enters_nothing(as_role, room):
    client = as_role(Role.VIEWER)
    page = client.get(address(room))
    assert page.status_code == 200 and "Keep readings" not in page.content.decode()
    assert client.post(address(room), {"door_1": "165"}).status_code == 403


def test_a_strangers_room_is_not_here(stranger, room):
    assert [stranger.get(address(room)).status_code, stranger.post(address(room), {}).status_code] == [404, 404]


def test_another_verb_is_refused(owner, room):
    assert owner.delete(address(room)).status_code == 405


def test_a_visit_of_last_week_may_be_entered_today(owner, room):
    day = timezone.localdate() - dt.timedelta(days=7)
    enter(owner, room, door_1="165", taken_on=day.isoformat(), taken_by="R.")
    assert (newest(room).taken_on, newest(room).taken_by) == (day, "R.")
