"""What the crew marks, sets and cuts is kept; what goes beyond the job's limit is asked, once. Numbers by hand."""

import pytest
from django.utils import translation

from layout.as_built.models import MoveState
from layout.as_built.queries import marks_of, state_of
from layout.as_built.services import (
    CutoutNotVerified,
    Differs,
    NotKept,
    StaleMove,
    WontFit,
    answer,
    record,
    record_all,
    take_back,
)
from layout.engine.lengths import inches
from layout.services import draft_of
from projects.jobs.models import Room
from projects.platform.permissions import Role
from projects.stages.guards import GUARDS
from tests.as_built.rooms import crew, marked_room
from tests.conftest import own_copy, standing
from tests.factories import RoomFactory
from tests.shops import fresh, issue

built = standing(marked_room)


@pytest.fixture
def room(db, built):
    return own_copy(built)


@pytest.fixture
def hand(room):
    return crew(room)


def place(room, ident):
    return marks_of(room).of(ident).place


def state(room):
    return state_of([room])[room.pk]


# Set where the card says


def test_a_mark_set_where_it_goes_is_counted_at_its_step(room, hand):
    kept = record(room, "A1", step="floor", by=hand)
    assert kept.record.place == (inches(42), inches(30))
    assert (state(room).marks, state(room).floor, state(room).cut) == (8, 1, 0)
    record_all(room, [f"A{n}" for n in range(1, 9)], step="framing", by=hand)
    assert state(room).framing == 8


def test_an_eighth_off_needs_no_reason_and_more_does(room, hand):
    """People see a row waver by more than 1/8 in; common practice, no source."""
    assert record(room, "A1", step="floor", across=inches("30 1/8"), by=hand).record.reason == ""
    with pytest.raises(NotKept, match="Say why"):
        record(room, "A2", step="floor", across=inches("30 3/16"), by=hand)


def test_the_same_entry_twice_is_one_entry(room, hand):
    once = record(room, "A1", step="floor", by=hand)
    again = record(room, "A1", step="floor", by=hand)
    assert once.record == again.record
    assert room.as_built.count() == 1


def test_two_people_who_differ_are_both_told(room, hand):
    """Along the joists, 2 in within the 3 in of the job; the other phone had not seen the first entry."""
    record(room, "A1", step="floor", by=hand)
    with pytest.raises(Differs) as both:
        record(room, "A1", step="floor", across=inches(32), reason="duct", by=crew(room))
    assert both.value.theirs.place == (inches(42), inches(30))
    assert both.value.mine == (inches(42), inches(32))


def test_a_later_entry_stands_and_the_one_before_is_kept(room, hand):
    first = record(room, "A1", step="floor", by=hand).record
    second = record(room, "A1", step="floor", across=inches(32), reason="duct", by=hand, base=first.version).record
    assert (second.version, second.off) == (2, (inches(0), inches(2)))
    assert [row.current for row in room.as_built.order_by("pk")] == [False, True]
    take_back(room, "A1", step="floor", by=hand, base=2)
    assert state(room).floor == 0
    assert room.as_built.count() == 2
    assert record(room, "A1", step="floor", by=hand).record.version == 3


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"ident": "Z9"}, "no mark of revision 1"),
        ({"step": "painted"}, "no step"),
        ({"along": inches(-1)}, "outside the room"),
    ],
)
def test_what_is_no_mark_no_step_or_outside_is_refused_by_name(room, hand, wrong, said):
    with pytest.raises(NotKept, match=said):
        record(room, **{"ident": "A1", "step": "floor", "by": hand} | wrong)


def test_before_a_revision_there_is_nothing_to_set(room, hand):
    bare = RoomFactory(job=room.job, name="Bare")
    with pytest.raises(NotKept, match="no issued revision"):
        record(bare, "A1", step="floor", by=hand)
    assert state(bare).marks == 0


# Moved


def test_within_the_limit_the_row_and_its_mirror_row_go_along(room, hand):
    """The job's 3 in: a row at 30 put at 32 sends the row at 90 to 88. Nobody is asked."""
    kept = record(room, "A1", step="floor", across=inches(32), reason="duct", by=hand)
    assert kept.record and kept.move.state == MoveState.WITHIN
    assert [place(room, f"A{n}") for n in (1, 4, 5)] == [
        (inches(42), inches(32)), (inches(186), inches(32)), (inches(42), inches(88)),
    ]  # fmt: skip
    assert state(room).floor == 1


def test_marks_that_were_set_before_their_row_moved_stand_astray(room, hand):
    record_all(room, ["A1", "A2", "A5"], step="floor", by=hand)
    record(room, "A1", step="floor", across=inches(32), reason="duct", by=hand, base=1)
    assert (state(room).floor, state(room).astray) == (1, 2)


def test_beyond_the_limit_it_is_asked_and_not_kept_yet(room, hand):
    kept = record(room, "A1", step="floor", across=inches("33 1/2"), reason="duct", by=hand)
    assert kept.record is None and kept.waits
    assert '1/2" farther off' in kept.move.why
    assert place(room, "A1") == (inches(42), inches(30))
    assert state(room).waits == 1
    assert Room.objects.of(room.shop).get(pk=room.pk).waits_for


def test_across_the_joists_is_asked(room, hand):
    kept = record(room, "A1", step="floor", along=inches(43), reason="joist", by=hand)
    assert kept.waits and "across the joists" in kept.move.why


def test_a_yes_keeps_it_and_is_said_once(room, hand):
    chief = crew(room, Role.CREW_LEAD, may_move_marks=True)
    asked = record(room, "A1", step="floor", across=inches(34), reason="duct", by=hand).move
    answer(room, asked.pk, yes=True, by=chief)
    assert place(room, "A8") == (inches(186), inches(86))
    kept = room.as_built.get(ident="A1", current=True)
    assert (kept.place, kept.by) == ((inches(42), inches(34)), hand)
    assert Room.objects.of(room.shop).get(pk=room.pk).waits_for == ""
    with pytest.raises(StaleMove):
        answer(room, asked.pk, yes=False, note="No.", by=chief)


@pytest.mark.parametrize("meanwhile, left", [(None, ""), ("Client: color", "Client: color")])
def test_an_answer_in_another_language_ends_the_waiting_too(room, hand, meanwhile, left):
    """The crew reads Spanish, the office English. What somebody wrote over it stays."""
    chief, rooms = crew(room, Role.CREW_LEAD, may_move_marks=True), Room.objects.of(room.shop).filter(pk=room.pk)
    with translation.override("es-mx"):
        asked = record(room, "A1", step="floor", across=inches(34), reason="duct", by=hand).move
    if meanwhile:
        rooms.update(waits_for=meanwhile)
    with translation.override("en-us"):
        answer(room, asked.pk, yes=False, note="Leave it.", by=chief)
    assert rooms.get().waits_for == left


def test_a_no_needs_a_note_and_moves_nothing(room, hand):
    chief = crew(room, Role.CREW_LEAD, may_move_marks=True)
    asked = record(room, "A1", step="floor", across=inches(34), reason="duct", by=hand).move
    with pytest.raises(NotKept, match="note"):
        answer(room, asked.pk, yes=False, note=" ", by=chief)
    answer(room, asked.pk, yes=False, note="Move the duct.", by=chief)
    assert place(room, "A1") == (inches(42), inches(30))
    assert state(room).floor == 0


def test_who_may_move_marks_is_not_asked(room):
    chief = crew(room, Role.CREW_LEAD, may_move_marks=True)
    kept = record(room, "A1", step="floor", across=inches(43), reason="client", by=chief)
    assert kept.record and kept.move.state == MoveState.YES
    assert kept.move.decided_by == chief
    assert "count the cable again" in kept.move.why  # 13 in: more than 12


def test_a_yes_to_a_mark_that_a_later_revision_moved_is_refused(room, hand):
    asked = record(room, "A1", step="floor", across=inches(34), reason="duct", by=hand).move
    draft = draft_of(room)
    draft.row_setback = inches(36)
    draft.save()
    issue(room)
    with pytest.raises(StaleMove):
        answer(room, asked.pk, yes=True, by=crew(room, Role.OWNER, may_move_marks=True))


def test_what_is_asked_anew_takes_the_place_of_what_was_asked(room, hand):
    record(room, "A1", step="floor", across=inches(34), reason="duct", by=hand)
    record(room, "A1", step="floor", across=inches(35), reason="duct", by=hand)
    assert [move.state for move in room.mark_moves.order_by("pk")] == [MoveState.ANEW, MoveState.WAITS]


# Cut


def test_no_hole_is_cut_while_its_cutout_is_not_verified(db):
    room = marked_room(verified=False)
    with pytest.raises(CutoutNotVerified, match="test hole first"):
        record(room, "A1", step="cut", by=crew(room))
    assert not room.as_built.exists()


def test_no_hole_is_cut_onto_a_joist(room, hand):
    """Joists at 34 and 50: a 6 3/8 in hole needs 4 7/16 in, so 45 1/2 is 1/16 in past the last place."""
    record(room, "A2", step="cut", by=hand)
    with pytest.raises(WontFit, match="joist"):
        record(room, "A1", step="cut", along=inches("45 5/8"), reason="error", by=hand)


def test_a_hole_that_is_cut_off_its_mark_is_kept_and_asked_about(room, hand):
    kept = record(room, "A1", step="cut", along=inches(43), reason="error", by=hand)
    assert kept.record.off == (inches(1), inches(0))
    assert kept.waits
    assert state(room).cut == 0
    answer(room, kept.move.pk, yes=True, by=crew(room, Role.OWNER, may_move_marks=True))
    assert marks_of(room).of("A1").stands("cut")


# Revisions


def test_a_new_revision_keeps_the_marks_it_does_not_move(room, hand):
    record_all(room, [f"A{n}" for n in range(1, 9)], step="floor", by=hand)
    record(room, "A1", step="floor", across=inches(32), reason="duct", by=hand, base=1)
    issue(room)
    assert (state(room).revision, state(room).floor) == (2, 1)  # the rows moved; A1 alone is at its new place
    assert place(room, "A5") == (inches(42), inches(88))


def test_marks_that_a_new_revision_moves_stand_astray(room, hand):
    record_all(room, ["A1", "A2"], step="floor", by=hand)
    draft = draft_of(room)
    draft.row_setback = inches(36)
    draft.save()
    issue(room)
    assert (state(room).floor, state(room).astray) == (0, 2)


def test_after_the_zero_corner_is_turned_the_same_letters_are_other_marks(room, hand):
    """A1 of the far right corner is not A1 of the near left one, though a mirrored room gives both the same numbers."""
    record_all(room, ["A1", "A2"], step="floor", by=hand)
    Room.objects.of(room.shop).filter(pk=room.pk).update(zero_x="right", zero_y="far")
    issue(fresh(room))
    assert place(room, "A1") == (inches(42), inches(30))
    assert state(room).floor == 0


def test_a_card_of_an_older_revision_is_not_marked_from_where_it_differs(room, hand):
    draft = draft_of(room)
    draft.row_setback = inches(36)
    draft.save()
    issue(room)
    with pytest.raises(Differs, match="new card"):
        record(room, "A1", step="floor", across=inches(30), reason="error", by=hand, number=1)


# Many rooms, and stages


def test_two_hundred_rooms_cost_as_many_queries_as_one(room, hand, django_assert_num_queries):
    record(room, "A1", step="floor", by=hand)
    many = [room, *(RoomFactory(job=room.job, name=f"Bare {n}") for n in range(9))]
    with django_assert_num_queries(5):  # revisions, marks, types, entries, moves
        assert len(state_of(many)) == 10
    with django_assert_num_queries(5):
        state_of([room])
    with django_assert_num_queries(0):
        assert state_of([]) == {}


def test_rough_in_is_left_when_every_mark_is_set_and_drywall_when_every_hole_is_seen(room, hand):
    every = [f"A{n}" for n in range(1, 9)]
    set_, holes = GUARDS["marks_set"].missing, GUARDS["holes_are_marks"].missing
    record_all(room, every[:7], step="roughed", by=hand)
    assert "A8" in set_([room])[room.pk]
    record(room, "A8", step="roughed", by=hand)
    assert set_([room]) == {}
    record_all(room, every[:6], step="cut", by=hand)
    assert holes([room])[room.pk].startswith("6 holes for 8 marks: look for A7, A8")
    record_all(room, every[6:], step="cut", by=hand)
    assert holes([room]) == {}
