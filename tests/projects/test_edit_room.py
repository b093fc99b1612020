"""A room's names, its zero corner and the way its rows run are changed."""

import html

import pytest
from django.urls import reverse

from projects.jobs.models import Room
from projects.platform.permissions import Role
from tests.factories import RoomFactory
from tests.shops import on_page


def address(room):
    return reverse("edit_room", args=[room.pk])


def change(client, room, **changes):
    return client.post(address(room), on_page(client.get(address(room)), "door_name") | changes)


def stored(room):
    return Room.objects.of(room.shop).get(pk=room.pk)


def test_names_are_kept_and_used(owner, room):
    answer = change(owner, room, name="Study", left_wall="window wall", door_name="hall door", level="2")
    assert answer.url == reverse("room", args=[room.pk])
    now = stored(room)
    assert (now.name, now.left_wall, now.door_name, now.level) == ("Study", "window wall", "hall door", "2")
    assert "window wall" in owner.get(answer.url).content.decode()


def test_a_zero_corner_at_the_far_right_is_kept(owner, room):
    change(owner, room, zero_x="right", zero_y="far", rows_run="door_far", north="left")
    now = stored(room)
    assert (now.zero_x, now.zero_y, now.rows_run, now.north) == ("right", "far", "door_far", "left")


@pytest.mark.parametrize(
    ("box", "typed"),
    [
        ("name", ""),
        ("name", "x" * 81),
        ("left_wall", "x" * 61),
        ("left_wall", "a\u202eb"),
        ("level", "x" * 41),
        ("zero_x", "far"),
        ("zero_y", "left"),
        ("north", "up"),
        ("note", "x" * 4001),
        ("version", ""),
        ("version", "two"),
    ],
)
def test_a_wrong_box_says_so_and_what_was_typed_stays(owner, room, box, typed):
    answer = change(owner, room, **{box: typed, "door_name": "porch door"})
    form = answer.context["form"]
    assert answer.status_code == 422
    assert set(form.errors) == {box}
    assert (form[box].value(), form["door_name"].value()) == (typed, "porch door")
    assert stored(room).door_name == ""


def test_a_name_another_room_of_the_job_has_is_refused_by_its_box(owner, room):
    RoomFactory(job=room.job, name="Job number 3")
    answer = change(owner, room, name="Job number 3")
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"name"}


def test_a_stale_save_shows_both_and_saving_again_goes_through(owner, room):
    opened = on_page(owner.get(address(room)), "door_name")
    change(owner, room, name="Study", note="their note")
    answer = owner.post(address(room), opened | {"name": "Library", "note": "my note", "zero_x": "right"})
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert all(said in page for said in ("Study", "Library", "their note", "my note"))
    assert stored(room).name == "Study"
    assert owner.post(address(room), on_page(answer, "name")).status_code == 302
    now = stored(room)
    assert (now.name, now.note, now.zero_x) == ("Library", "my note", "right")


def test_a_version_from_nowhere_loses_nothing(owner, room):
    answer = change(owner, room, version=10**30, name="Study")
    assert answer.status_code == 409
    assert stored(room).name == room.name


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_may_not(as_role, room, role):
    client = as_role(role)
    assert [client.get(address(room)).status_code, client.post(address(room), {}).status_code] == [403, 403]


def test_a_strangers_room_is_not_here(stranger, room):
    assert [stranger.get(address(room)).status_code, stranger.post(address(room), {}).status_code] == [404, 404]


def test_another_verb_is_refused(owner, room):
    assert owner.put(address(room)).status_code == 405
