"""A room moves from stage to stage, and who must act next is written down."""

import pytest
from django.urls import reverse

from projects.jobs.models import Room
from projects.platform.permissions import Role
from tests.shops import on_page


def move(client, room, stage, **more):
    return client.post(reverse("move_stage", args=[room.pk]), {"stage": stage} | more)


def stored(room):
    return Room.objects.of(room.shop).get(pk=room.pk)


@pytest.mark.parametrize("role", [Role.OWNER, Role.ESTIMATOR, Role.CREW_LEAD])
def test_whoever_leads_moves_it_and_is_written_down(as_role, people, room, role):
    answer = move(as_role(role), room, 5, note="wires pulled", waits_for="inspector:  rough-in")
    assert answer.url == reverse("room", args=[room.pk])
    now = stored(room)
    assert (now.stage, now.waits_for) == (5, "inspector: rough-in")
    event = room.stage_events.get()
    assert (event.came_from, event.went_to, event.note, event.by) == (0, 5, "wires pulled", people[role])


def test_back_is_a_move_too_and_history_only_grows(owner, room):
    for stage in (5, 3, 5):
        move(owner, room, stage)
    assert [(e.came_from, e.went_to) for e in room.stage_events.all()] == [(0, 5), (5, 3), (3, 5)]


def test_the_page_offers_the_stage_the_room_is_at(owner, room):
    move(owner, room, 7, waits_for="GC")
    boxes = on_page(owner.get(reverse("room", args=[room.pk])), "stage")
    assert (boxes["stage"], boxes["waits_for"]) == ("7", "GC")


@pytest.mark.parametrize(
    "typed",
    [{"stage": "13"}, {"stage": "-1"}, {"stage": ""}, {"stage": "rough-in"}, {"note": "x" * 401}, {"note": "a\x07b"},
     {"waits_for": "x" * 121}, {"waits_for": "a\u202eb"}],
)  # fmt: skip
def test_what_can_not_be_read_moves_nothing_and_says_so(owner, room, typed):
    answer = move(owner, room, **({"stage": 5} | typed))
    assert "was not moved" in owner.get(answer.url).content.decode()
    assert (stored(room).stage, room.stage_events.count()) == (0, 0)


def test_a_moved_room_is_a_newer_version(owner, room):
    """An edit opened before the move is shown beside it, not saved over it."""
    move(owner, room, 5)
    assert stored(room).version == room.version + 1


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_may_not(as_role, room, role):
    assert move(as_role(role), room, 5).status_code == 403
    assert stored(room).stage == 0


def test_a_strangers_room_is_not_here(stranger, room):
    assert move(stranger, room, 5).status_code == 404
    assert stored(room).stage == 0


def test_moving_is_posted(owner, room):
    assert owner.get(reverse("move_stage", args=[room.pk])).status_code == 405
