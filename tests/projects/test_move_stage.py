"""A room's stage on its pages: what the next one asks, in words; who may move it, pass, answer, and hold it up."""

import pytest
from django.urls import reverse

from projects.jobs.models import Room
from projects.jobs.services import move_stage
from projects.platform.permissions import Role
from projects.stages.models import Pass, SideEvent
from tests.factories import PassFactory, RoomFactory, SideEventFactory
from tests.shops import forms_of, on_page
from tests.stages.held import Held


@pytest.fixture
def held():
    made = Held(safety={"enter_rough_in"})
    with made.instead():
        yield made


def move(client, room, stage, **more):
    return client.post(reverse("move_stage", args=[room.pk]), {"stage": stage} | more)


def page(client, room, **asked):
    return client.get(reverse("move_stage", args=[room.pk]), asked)


def stored(room):
    return Room.objects.of(room.shop).get(pk=room.pk)


@pytest.mark.parametrize("role", [Role.OWNER, Role.ESTIMATOR, Role.CREW_LEAD])
def test_whoever_leads_moves_it_and_is_written_down(as_role, people, room, role, held):
    answer = move(as_role(role), room, 5, note="wires pulled", waits_for="inspector:  rough-in")
    assert answer.url == reverse("room", args=[room.pk])
    now = stored(room)
    assert (now.stage, now.waits_for) == (5, "inspector: rough-in")
    event = room.stage_events.get()
    assert (event.came_from, event.went_to, event.note, event.by) == (0, 5, "wires pulled", people[role])


def test_back_is_a_move_too_and_history_only_grows(owner, room, held):
    for stage in (5, 3, 5):
        move(owner, room, stage, note="again")
    assert [(e.came_from, e.went_to) for e in room.stage_events.all()] == [(0, 5), (5, 3), (3, 5)]
    told = owner.get(reverse("stage_history", args=[room.pk])).content.decode()
    assert "5 Rough-in → 3 Approved" in told and "things asked" in told


def test_the_page_opens_at_the_next_stage_and_says_whom_the_room_waits_for(owner, room, held):
    move(owner, room, 7, waits_for="GC")
    boxes = on_page(page(owner, room), "stage")
    assert (boxes["stage"], boxes["waits_for"]) == ("8", "GC")
    assert on_page(page(owner, room, stage=3), "stage")["stage"] == "3"


def test_what_is_missing_is_said_with_where_to_answer_it_and_nothing_typed_is_lost(as_role, room):
    """As the product's own guards say it: this room was counted by nobody and nobody accepted its bid."""
    answer = move(as_role(Role.CREW_LEAD), room, 1, note="ladder is up")
    told = answer.content.decode()
    assert answer.status_code == 422 and stored(room).stage == 0
    assert "No bid of this job is accepted." in told and "Not moved." in told
    boxes = on_page(answer, "stage")
    assert (boxes["stage"], boxes["note"]) == ("1", "ladder is up")
    assert not [name for name in boxes if name.startswith("pass_")], "only the owner may pass"
    assert "As the owner you may pass" not in told


def test_a_missing_answer_leads_to_the_page_where_it_is_given(owner, room):
    move_stage(room, 3)
    told = page(owner, stored(room), stage=4).content.decode()
    assert "Nobody has approved" in told or "No revision is issued" in told
    assert f'href="{reverse("room", args=[room.pk])}">Answer it there' in told


def test_the_owner_passes_with_a_reason_and_it_stands_in_red_until_it_is_answered(owner, people, room, held):
    move_stage(room, 5)
    held.lacking = {(room.pk, "leave_rough_in")}
    boxes = on_page(page(owner, room), "stage")
    assert boxes["pass_leave_rough_in"] == ""
    assert owner.post(reverse("move_stage", args=[room.pk]), boxes).status_code == 422
    assert owner.post(
        reverse("move_stage", args=[room.pk]), boxes | {"pass_leave_rough_in": "photos come tonight"}
    ).url == reverse("room", args=[room.pk])  # fmt: skip
    for address in ("room", "move_stage"):
        told = owner.get(reverse(address, args=[room.pk])).content.decode()
        assert "Passed over, and still open" in told and "photos come tonight" in told
    for address in (reverse("open_passes"), reverse("job_passes", args=[room.job_id])):
        assert "photos come tonight" in owner.get(address).content.decode()
    passed = Pass.objects.of(room.shop).get()
    address = reverse("answer_pass", args=[room.pk, passed.pk])
    form = on_page(owner.get(address), "words")
    assert owner.post(address, form).status_code == 422
    owner.post(address, form | {"words": "Taken on Tuesday."})
    assert Pass.objects.of(room.shop).get().answer == "Taken on Tuesday."
    assert "still open:" not in owner.get(reverse("room", args=[room.pk])).content.decode()


def test_a_safety_item_is_closed_by_looking_again_never_by_words(owner, room, held):
    move_stage(room, 4)
    held.lacking = {(room.pk, "enter_rough_in")}
    move(owner, stored(room), 5, pass_enter_rough_in="ducts tomorrow")
    passed = Pass.objects.of(room.shop).get()
    address = reverse("answer_pass", args=[room.pk, passed.pk])
    assert "words" not in forms_of(owner.get(address))[-1][1]
    assert owner.post(address, {"words": "fine", "version": passed.version}).status_code == 422
    owner.post(reverse("look_again", args=[room.pk]))
    assert Pass.objects.of(room.shop).get().is_open
    held.lacking = set()
    owner.post(reverse("look_again", args=[room.pk]))
    assert not Pass.objects.of(room.shop).get().is_open


def test_a_lead_who_sends_a_pass_by_hand_passes_nothing(as_role, room, held):
    held.lacking = {(room.pk, "leave_bid")}
    assert move(as_role(Role.CREW_LEAD), room, 1, pass_leave_bid="because").status_code == 422
    assert (stored(room).stage, Pass.objects.of(room.shop).count()) == (0, 0)


def test_a_person_says_what_no_record_shows(as_role, room):
    """Paint and a clean room are seen by somebody, who says so by name."""
    move_stage(room, 8)
    client = as_role(Role.ESTIMATOR)
    boxes = on_page(page(client, stored(room)), "stage")
    assert "say_walls_finished" not in boxes  # an empty tick is not sent
    told = page(client, stored(room)).content.decode()
    assert "The paint is dry" in told and 'name="say_walls_finished"' in told


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_who_may_not_move_it_reads_what_is_missing_and_whom_to_tell(as_role, room, role):
    """No box to tick where no button sends it."""
    move_stage(room, 8)
    told = page(as_role(role), stored(room)).content.decode()
    assert "The paint is dry" in told and 'name="say_' not in told
    assert "Tell one of them when it is ready" in told
    assert "Tell one of them" not in page(as_role(Role.CREW_LEAD), stored(room)).content.decode()


def test_a_room_that_somebody_moved_meanwhile_is_looked_at_again(owner, room, held):
    boxes = on_page(page(owner, room), "stage")
    move_stage(room, 2)
    answer = owner.post(reverse("move_stage", args=[room.pk]), boxes | {"note": "mine"})
    assert (answer.status_code, stored(room).stage) == (409, 2)
    assert on_page(answer, "stage")["note"] == "mine"


@pytest.mark.parametrize(
    "typed",
    [{"stage": "13"}, {"stage": "-1"}, {"stage": ""}, {"stage": "rough-in"}, {"note": "x" * 401}, {"note": "a\x07b"},
     {"waits_for": "x" * 121}, {"waits_for": "a\u202eb"}],
)  # fmt: skip
def test_what_can_not_be_read_moves_nothing_and_says_so(owner, room, typed):
    answer = move(owner, room, **({"stage": 5} | typed))
    assert "was not moved" in owner.get(answer.url).content.decode()
    assert (stored(room).stage, room.stage_events.count()) == (0, 0)


def test_a_moved_room_is_a_newer_version(owner, room, held):
    """An edit opened before the move is shown beside it, not saved over it."""
    move(owner, room, 5)
    assert stored(room).version == room.version + 1


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_read_what_is_asked_and_move_nothing(as_role, room, role):
    client = as_role(role)
    assert move(client, room, 5).status_code == 403
    told = page(client, room)
    assert "The bid is accepted" in told.content.decode()
    assert [boxes for _action, boxes in forms_of(told) if "stage" in boxes] == []
    assert stored(room).stage == 0


def test_a_strangers_room_is_not_here(stranger, room):
    assert move(stranger, room, 5).status_code == 404
    assert stored(room).stage == 0


# Held up, cancelled


def test_a_room_is_held_up_and_goes_on(owner, room):
    owner.post(reverse("hold_room", args=[room.pk]), {"hold-kind": "on_hold", "hold-who": "Client", "hold-why": ""})
    assert stored(room).held_up == ""
    typed = {"hold-kind": "on_hold", "hold-who": "Client", "hold-why": "chooses the trim"}
    owner.post(reverse("hold_room", args=[room.pk]), typed)
    assert (stored(room).held_up, stored(room).waits_for) == ("on_hold", "Client")
    assert "chooses the trim" in page(owner, room).content.decode()
    owner.post(reverse("lift_hold", args=[room.pk]))
    assert (stored(room).held_up, stored(room).waits_for) == ("", "")
    told = owner.get(reverse("stage_history", args=[room.pk])).content.decode()
    assert "Put on hold" in told and "Goes on" in told


def test_a_cancelled_room_is_brought_back(owner, room):
    owner.post(reverse("cancel_room", args=[room.pk]), {"cancel-why": "a closet now"})
    assert stored(room).cancelled
    assert "Bring it back" in page(owner, room).content.decode()
    owner.post(reverse("bring_back_room", args=[room.pk]))
    assert not stored(room).cancelled
    assert SideEvent.objects.of(room.shop).filter(room=room).count() == 2


def test_a_long_history_comes_in_pages_in_as_many_queries(owner, room, django_assert_max_num_queries):
    for n in range(60):
        move_stage(room, n % 2, note=f"turn {n}")
    SideEventFactory(room=room)
    with django_assert_max_num_queries(20):
        told = owner.get(reverse("stage_history", args=[room.pk]))
    assert "turn 59" in told.content.decode() and "turn 3:" not in told.content.decode()
    assert "turn 1" in owner.get(reverse("stage_history", args=[room.pk]), {"page": 2}).content.decode()


def test_open_passes_cost_the_same_however_many(owner, room, django_assert_max_num_queries):
    for _n in range(12):
        PassFactory(room=room, event__room=room, shop=room.shop)
    with django_assert_max_num_queries(12):
        assert owner.get(reverse("open_passes")).status_code == 200


# Many at once


def chosen(client, rooms, **typed):
    return client.post(reverse("move_rooms"), {"room": [room.pk for room in rooms], **typed})


def test_rooms_chosen_on_the_jobs_page_move_together(owner, job, held):
    rooms = RoomFactory.create_batch(3, job=job, stage=5)
    listed = owner.get(reverse("job", args=[job.pk])).content.decode()
    assert all(f'name="room" value="{room.pk}" form="chosen-rooms"' in listed for room in rooms)
    offered = owner.get(reverse("move_rooms"), {"room": [room.pk for room in rooms]})
    assert "3 rooms chosen" in offered.content.decode()
    assert chosen(owner, rooms, stage=6, do="move").url == reverse("job", args=[job.pk])
    assert {stored(room).stage for room in rooms} == {6}


def test_one_that_lacks_something_keeps_all_of_them_and_says_why(owner, job, held):
    rooms = RoomFactory.create_batch(2, job=job, stage=5)
    held.lacking = {(rooms[1].pk, "leave_rough_in")}
    answer = chosen(owner, rooms, stage=6, do="move")
    told = answer.content.decode()
    assert answer.status_code == 422 and "leave_rough_in is missing." in told
    assert {stored(room).stage for room in rooms} == {5}
    assert chosen(owner, rooms, stage=6, do="move", pass_leave_rough_in="photos come").status_code == 302
    assert {stored(room).stage for room in rooms} == {6}
    assert Pass.objects.of(job.shop).get().room == rooms[1]


def test_rooms_are_held_up_and_let_go_on_together(as_role, job):
    rooms, client = RoomFactory.create_batch(2, job=job), as_role(Role.CREW_LEAD)
    assert chosen(client, rooms, do="hold", kind="blocked", who="Drywall crew", why="no scaffold").status_code == 302
    assert {stored(room).held_up for room in rooms} == {"blocked"}
    assert chosen(client, rooms, do="lift").status_code == 302
    assert chosen(client, rooms, do="lift").status_code == 422
    assert {stored(room).held_up for room in rooms} == {""}


def test_too_many_or_a_strangers_rooms_are_not_moved(owner, job, held):
    theirs, mine = RoomFactory(), RoomFactory(job=job)
    assert chosen(owner, [mine, theirs], stage=1, do="move").status_code == 404
    answer = owner.post(reverse("move_rooms"), {"room": range(1, 202), "stage": 1, "do": "move"})
    assert "At most 200 rooms" in answer.content.decode()
    assert owner.get(reverse("move_rooms"), {"room": ["x", "\x00", "9" * 40]}).status_code == 200
