"""What the finish takes off each side: layer by layer, wall by wall, with the gap and who holds the difference."""

import html

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from projects.jobs.models import Room
from projects.platform.permissions import Role
from tests.shops import on_page


def address(room):
    return reverse("build_up", args=[room.pk])


def boxes(client, room):
    return on_page(client.get(address(room)), "gap_left")


def save(client, room, **changes):
    return client.post(address(room), boxes(client, room) | changes)


def stored(room):
    return Room.objects.of(room.shop).get(pk=room.pk)


def left(room):
    return [(layer.position, layer.name, layer.thickness) for layer in room.layers.filter(surface="left")]


def test_saving_what_is_there_changes_nothing(owner, room):
    assert save(owner, room).status_code == 302
    assert left(room) == [(1, "furring", inches(2))]
    assert stored(room).gap_left == inches(6)


def test_layers_go_from_the_framing_inward(owner, room):
    save(owner, room, left_1_name="channel", left_1_thickness="7/8", left_3_name="board", left_3_thickness="5/8")
    assert left(room) == [(1, "channel", inches("7/8")), (2, "board", inches("5/8"))]


def test_each_wall_has_its_own(owner, room):
    save(owner, room, left_1_name="", left_1_thickness="")
    assert left(room) == []
    assert room.layers.filter(surface="right").count() == 1


def test_gaps_and_who_holds_the_difference_are_kept(owner, room):
    save(owner, room, gap_left="0", gap_far="5 1/2", held_left_right="left", held_door_far="split")
    now = stored(room)
    assert (now.gap_left, now.gap_far) == (inches(0), inches("5 1/2"))
    assert (now.held_left_right, now.held_door_far) == ("left", "split")


def test_the_sum_follows_at_once(owner, room):
    """166 - 2 x 6 - 2 = 152 by the sum, when the left wall has no furring."""
    answer = save(owner, room, left_1_name="", left_1_thickness="")
    line = owner.get(answer.url).content.decode().split('data-line="along-sum"')[1].split("</li>")[0]
    assert ">152<" in line


@pytest.mark.parametrize(
    ("changes", "box", "says"),
    [
        ({"left_1_thickness": ""}, "left_1_thickness", "How thick"),
        ({"left_1_name": ""}, "left_1_name", "What is this layer"),
        ({"left_1_thickness": "1/32"}, "left_1_thickness", "least allowed"),
        ({"left_1_thickness": "49"}, "left_1_thickness", "most allowed"),
        ({"left_1_thickness": "2-6"}, "left_1_thickness", "can be read as"),
        ({"left_1_thickness": "0"}, "left_1_thickness", "Zero"),
        ({"left_1_thickness": "2" * 65}, "left_1_thickness", "64 characters"),
        ({"left_1_thickness": "٢"}, "left_1_thickness", "0 to 9"),
        ({"left_1_name": "x" * 81}, "left_1_name", "80"),
        ({"left_1_name": "fur\u202ering"}, "left_1_name", "hidden"),
        ({"gap_left": ""}, "gap_left", "needed"),
        ({"gap_left": "-6"}, "gap_left", "without the minus"),
        ({"gap_left": "21'"}, "gap_left", "most allowed"),
        ({"held_left_right": "far"}, "held_left_right", "far"),
        ({"held_door_far": "left"}, "held_door_far", "left"),
        ({"ceiling_system": "sky"}, "ceiling_system", "sky"),
    ],
)
def test_a_wrong_box_says_so_and_what_was_typed_stays(owner, room, changes, box, says):
    answer = save(owner, room, **{"right_1_name": "batten"} | changes)
    form = answer.context["form"]
    assert answer.status_code == 422
    assert box in form.errors and says in " ".join(form.errors[box])
    assert form["right_1_name"].value() == "batten"
    assert all(form[name].value() == typed for name, typed in changes.items())
    assert left(room) == [(1, "furring", inches(2))]


def test_a_stale_save_shows_their_layers_beside_mine(owner, room):
    opened = boxes(owner, room)
    save(owner, room, left_1_name="steel stud", left_1_thickness="3 5/8", gap_far="4")
    answer = owner.post(address(room), opened | {"left_1_thickness": "2 1/2", "gap_left": "5"})
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert all(said in page for said in ("steel stud", "3 5/8", "2 1/2"))
    assert left(room) == [(1, "steel stud", inches("3 5/8"))]
    assert owner.post(address(room), on_page(answer, "gap_left")).status_code == 302
    assert left(room) == [(1, "furring", inches("2 1/2"))]
    assert stored(room).gap_left == inches(5)


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_read_it_and_change_nothing(as_role, room, role):
    client = as_role(role)
    page = client.get(address(room))
    assert page.status_code == 200 and "Save build-up" not in page.content.decode()
    assert client.post(address(room), {}).status_code == 403


def test_a_strangers_room_is_not_here(stranger, room):
    assert [stranger.get(address(room)).status_code, stranger.post(address(room), {}).status_code] == [404, 404]


def test_another_verb_is_refused(owner, room):
    assert owner.put(address(room)).status_code == 405
