"""The page of what is marked, set and cut: who enters, who answers, and what it costs to look."""

import pytest
from django.urls import reverse

from layout.as_built.models import MoveState
from layout.as_built.queries import state_of
from layout.as_built.services import record
from layout.engine.lengths import inches
from projects.platform.permissions import Role
from tests.as_built.rooms import crew, marked_room
from tests.conftest import own_copy, standing
from tests.factories import MemberFactory, RoomFactory
from tests.shops import sign_in

built = standing(marked_room)


@pytest.fixture
def room(db, built):
    return own_copy(built)


def page(room):
    return reverse("as_built", args=[room.pk])


def answered(room):
    return reverse("answer_mark_move", args=[room.pk])


def asked(room):
    return record(room, "A1", step="floor", across=inches(36), reason="duct", words="Flex duct.", by=crew(room)).move


def test_ticked_marks_are_entered_where_they_go(client, room):
    client = sign_in(client, crew(room))
    answer = client.post(page(room), {"step": "roughed", "marks": ["A1", "A2"]}, follow=True)
    assert "2 marks kept." in answer.content.decode()
    assert state_of([room])[room.pk].roughed == 2


@pytest.mark.parametrize("sent", [{}, {"step": "roughed"}, {"step": "roughed", "marks": ["Z9"]}, {"marks": ["A1"]}])
def test_nothing_is_entered_from_a_form_that_says_half(client, room, sent):
    assert sign_in(client, crew(room)).post(page(room), sent).status_code == 422
    assert not room.as_built.exists()


def test_no_hole_is_entered_while_its_cutout_is_not_verified(client, db):
    room = marked_room(verified=False)
    answer = sign_in(client, crew(room)).post(page(room), {"step": "cut", "marks": ["A1"]})
    assert answer.status_code == 422 and "test hole first" in answer.content.decode()


def test_what_waits_is_told_with_why_and_answered_by_who_may_move_marks(client, room):
    move = asked(room)
    lead = sign_in(client, crew(room, Role.CREW_LEAD, may_move_marks=True))
    told = lead.get(page(room)).content.decode()
    assert "Flex duct." in told and "farther off" in told and "Yes: move them" in told
    assert "A no needs a note" in lead.post(answered(room), {"move": move.pk, "no": "1"}, follow=True).content.decode()
    lead.post(answered(room), {"move": move.pk, "yes": "1"})
    move.refresh_from_db()
    assert move.state == MoveState.YES
    assert "answered already" in lead.post(
        answered(room), {"move": move.pk, "no": "1", "note": "No."}, follow=True
    ).content.decode()


HALF = [{"yes": "1"}, {"move": "x", "yes": "1"}, {"move": "1"}, {"move": "987654", "yes": "1"}]


@pytest.mark.parametrize("sent", HALF)
def test_an_answer_to_nothing_answers_nothing(client, room, sent):
    move = asked(room)
    assert sign_in(client, crew(room, Role.OWNER, may_move_marks=True)).post(answered(room), sent).status_code == 302
    move.refresh_from_db()
    assert move.state == MoveState.WAITS


def test_a_colleague_without_it_reads_that_it_waits_and_may_not_answer(client, room):
    move = asked(room)
    client = sign_in(client, crew(room, Role.CREW_LEAD))
    told = client.get(page(room)).content.decode()
    assert "Leave the mark." in told and "Yes: move them" not in told
    assert client.post(answered(room), {"move": move.pk, "yes": "1"}).status_code == 403


def test_a_stranger_finds_no_such_room(client, room):
    client = sign_in(client, MemberFactory(role=Role.OWNER.value))
    assert client.get(page(room)).status_code == 404
    assert client.post(page(room), {"step": "floor", "marks": ["A1"]}).status_code == 404


def test_what_was_entered_by_mistake_is_taken_back_at_its_version(client, room):
    hand = crew(room)
    record(room, "A1", step="floor", by=hand)
    client, where = sign_in(client, hand), reverse("take_back_mark", args=[room.pk])
    client.post(where, {"ident": "A1", "step": "floor", "version": "7"})
    assert state_of([room])[room.pk].floor == 1
    client.post(where, {"ident": "A1", "step": "floor", "version": "1"})
    assert state_of([room])[room.pk].floor == 0
    row = room.as_built.get()
    assert (row.current, row.taken_back_by) == (False, hand)


def test_before_a_revision_the_page_says_what_to_do_first(client, room):
    bare = RoomFactory(job=room.job, name="Bare")
    assert "Issue one and print its card" in sign_in(client, crew(room)).get(page(bare)).content.decode()


def test_looking_costs_as_many_queries_however_much_was_entered(client, room, django_assert_max_num_queries):
    hand = crew(room)
    client = sign_in(client, hand)
    client.get(page(room))
    for ident in ("A1", "A2", "A3"):
        for step in ("floor", "framing", "roughed", "cut"):
            record(room, ident, step=step, by=hand)
    with django_assert_max_num_queries(30):
        client.get(page(room))
