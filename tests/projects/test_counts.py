"""What a room is to have, and where its switch, panel and rack are."""

import html

import pytest
from django.urls import reverse

from layout.engine.lengths import feet, inches
from projects.platform.permissions import Role
from tests.factories import FixtureTypeFactory
from tests.shops import on_page


@pytest.fixture
def light(room):
    return room.draft.light_type


def address(room):
    return reverse("counts", args=[room.pk])


def boxes(client, room):
    return on_page(client.get(address(room)), "type_1")


def save(client, room, **changes):
    return client.post(address(room), boxes(client, room) | changes)


def counted(room):
    return [(count.fixture_type, count.zone, count.count) for count in room.counts.all()]


def test_counts_by_zone_are_kept(owner, room, light):
    answer = save(owner, room, type_1=light.pk, zone_1="a", count_1="6", type_2=light.pk, zone_2="b", count_2="2")
    assert answer.url == reverse("room", args=[room.pk])
    assert counted(room) == [(light, "A", 6), (light, "B", 2)]


def test_no_number_means_the_limit_decides(owner, room, light):
    save(owner, room, type_1=light.pk)
    assert counted(room) == [(light, "", None)]


def test_points_of_the_wire_are_kept(owner, room):
    save(owner, room, switch_from_left="6", switch_from_door="0", switch_height="4'", panel_from_left="0",
         panel_from_door="10'", panel_height="5'", panel_beyond="32'")  # fmt: skip
    points = {point.what: point for point in room.wire_points.all()}
    assert (points["switch"].from_left, points["switch"].from_door) == (inches(6), inches(0))
    assert (points["panel"].beyond, points["switch"].beyond) == (feet(32), inches(0))


def test_a_panel_on_the_floor_below_is_kept_as_so_much_lower(owner, room):
    at = {"panel_from_left": "12", "panel_from_door": "0", "panel_height": "5'"}
    save(owner, room, **at, panel_below="9' 6")
    assert room.wire_points.get(what="panel").story.inches == -114
    assert save(owner, room).status_code == 302 and room.wire_points.get(what="panel").story.inches == -114
    both = save(owner, room, panel_above="1'")
    assert both.status_code == 422 and "lower or higher, not both" in both.content.decode()
    assert save(owner, room, rack_below="9'").status_code == 422  # of a rack nobody placed


def test_saving_what_is_there_changes_nothing(owner, room, light):
    room.counts.create(fixture_type=light, zone="A", count=6)
    assert save(owner, room).status_code == 302
    assert counted(room) == [(light, "A", 6)]


def test_a_type_retired_since_is_not_lost_by_saving(owner, room, light):
    room.counts.create(fixture_type=light, zone="A", count=6)
    light.retired = True
    light.save()
    assert save(owner, room).status_code == 302
    assert counted(room) == [(light, "A", 6)]


def test_a_number_without_a_fixture_is_not_silently_dropped(owner, room):
    answer = save(owner, room, count_1="6")
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"type_1"}


@pytest.mark.parametrize(
    ("changes", "box", "says"),
    [
        ({"zone_3": "B"}, "type_3", "Which fixture"),
        ({"count_1": "-1"}, "count_1", "0"),
        ({"count_1": "401"}, "count_1", "400"),
        ({"count_1": "six"}, "count_1", "whole number"),
        ({"zone_1": "ABC"}, "zone_1", "2"),
        ({"type_1": "987654"}, "type_1", "987654"),
        ({"switch_from_left": "12-6"}, "switch_from_left", "can be read as"),
        ({"switch_from_left": "-6"}, "switch_from_left", "without the minus"),
        ({"switch_height": "61'"}, "switch_height", "most allowed"),
        ({"switch_height": "4" * 65}, "switch_height", "64 characters"),
        ({"switch_height": "٤"}, "switch_height", "0 to 9"),
        ({"panel_beyond": "1001'"}, "panel_beyond", "most allowed"),
        ({"rack_height": "4'"}, "rack_from_left", "Give all three"),
    ],
)
def test_a_wrong_box_says_so_and_what_was_typed_stays(owner, room, light, changes, box, says):
    answer = save(owner, room, **{"type_2": str(light.pk), "count_2": "3"} | changes)
    form = answer.context["form"]
    assert answer.status_code == 422
    assert box in form.errors and says in " ".join(form.errors[box])
    assert (form["type_2"].value(), form["count_2"].value()) == (str(light.pk), "3")
    assert all(form[name].value() == typed for name, typed in changes.items())
    assert counted(room) == []


def test_the_same_kind_and_zone_twice_is_refused(owner, room, light):
    answer = save(owner, room, type_1=light.pk, zone_1="A", count_1="6", type_2=light.pk, zone_2="a", count_2="2")
    assert set(answer.context["form"].errors) == {"type_2"}


def test_a_run_beyond_a_point_that_was_not_placed_is_not_silently_dropped(owner, room):
    answer = save(owner, room, panel_beyond="32'")
    assert answer.status_code == 422
    assert "panel_from_left" in answer.context["form"].errors


def test_another_shops_type_can_not_be_counted(owner, room):
    theirs = FixtureTypeFactory(name="their light")
    assert "their light" not in owner.get(address(room)).content.decode()
    assert save(owner, room, type_1=theirs.pk, count_1="1").status_code == 422


def test_a_stale_save_shows_both_and_saving_again_goes_through(owner, room, light):
    opened = boxes(owner, room)
    save(owner, room, type_1=light.pk, count_1="6")
    answer = owner.post(address(room), opened | {"type_1": light.pk, "count_1": "8"})
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert 'value="6"' in page and 'value="8"' in page
    assert counted(room) == [(light, "", 6)]
    assert owner.post(address(room), on_page(answer, "count_1")).status_code == 302
    assert counted(room) == [(light, "", 8)]


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_read_and_change_nothing(as_role, room, role):
    client = as_role(role)
    assert client.get(address(room)).status_code == 200
    assert client.post(address(room), {"count_1": "6"}).status_code == 403


def test_a_strangers_room_is_not_here(stranger, room):
    assert [stranger.get(address(room)).status_code, stranger.post(address(room), {}).status_code] == [404, 404]


def test_another_verb_is_refused(owner, room):
    assert owner.delete(address(room)).status_code == 405
