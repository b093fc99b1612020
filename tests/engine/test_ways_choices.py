"""Layouts that differ in kind, each with its numbers. Kinds: common practice, no source; sums by hand."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import ZERO, inches
from layout.engine.pins import Line, Pin
from layout.engine.room import lay_out
from layout.engine.rows.wish import Mode
from layout.engine.ways.choices import ChoiceKind, Focus, choices, say_choice
from layout.engine.ways.tasks import counter
from tests.engine.ways_rooms import METRIC, OPEN, SPEAKER, TAPE, WORKED

HELD = replace(OPEN, mode_along=Mode.WALL_HELD)
ALIKE = inches(2)


def by_kind(found):
    return {choice.kind: choice for choice in found}


def test_a_room_is_offered_three_to_five_kinds():
    found = choices(HELD)
    assert 3 <= len(found) <= 5
    assert len({choice.kind for choice in found}) == len(found)


def test_held_to_the_walls_stands_as_far_off_as_the_shop_keeps():
    """228 - 48 = 180; 180 / 72 is 2 1/2, so three gaps of 60. Two rows 30 off the walls of 120: one gap of 60."""
    choice = by_kind(choices(HELD, watts=Decimal("9.5")))[ChoiceKind.WALL_HELD]
    assert (choice.off_wall, choice.gaps) == (inches(24), (inches(60), inches(60)))
    assert (choice.off_wall_across, choice.gaps_across) == (inches(30), (inches(60), inches(60)))
    assert choice.lights == 8
    assert choice.end_ratio == Fraction(2, 5)
    assert choice.watts == Decimal("76.0")
    assert say_choice(choice, TAPE) == (
        "Held to the walls",
        "8 lights: 4 in a row, 2 rows",
        "ends 2'-0\" off the wall, gaps 5'-0\"",
        "rows 2'-6\" off the wall, gaps 5'-0\"",
        "off the wall by 40% of a gap",
        "76 W",
    )


def test_half_a_gap_and_a_whole_gap_off_the_walls():
    """228 / 4 = 57, half of it 28 1/2. Even: 228 / 4 = 57 with three lights between."""
    found = by_kind(choices(HELD))
    assert found[ChoiceKind.HALF_GAP].off_wall == inches("28 1/2")
    assert found[ChoiceKind.HALF_GAP].end_ratio == Fraction(1, 2)
    assert (found[ChoiceKind.EVEN].columns, found[ChoiceKind.EVEN].off_wall) == (3, inches(57))
    assert found[ChoiceKind.EVEN].end_ratio == 1


def test_one_fewer_stands_farther_off_the_walls():
    """Three lights at 72: 228 - 144 = 84, 42 off each wall."""
    choice = by_kind(choices(HELD))[ChoiceKind.FEWER]
    assert (choice.columns, choice.off_wall, choice.gaps) == (3, inches(42), (inches(72), inches(72)))


def test_no_fewer_where_the_walls_would_go_dark():
    """A 5 ft limit: three lights leave (228 - 120) / 2 = 54 off the wall, past 42."""
    assert ChoiceKind.FEWER not in by_kind(choices(replace(HELD, spacing_limit=inches(60))))


def test_a_light_or_a_gap_stands_on_what_the_room_looks_at():
    for at in ("80", "100", "114", "130 1/2"):
        choice = by_kind(choices(HELD, focus=Focus("fireplace", inches(at))))[ChoiceKind.FOCUS]
        columns = choice.layout.arrangement.columns
        middles = [(a + b) / 2 for a, b in pairwise(columns)]
        assert inches(at) in (*columns, *middles)
        assert say_choice(choice, TAPE)[0] == "Centered on the fireplace"


def test_a_row_stands_over_the_counter():
    line = counter(inches(20), inches(140), inches(25))
    choice = by_kind(choices(HELD, task=line))[ChoiceKind.TASK]
    assert inches(25) in choice.layout.arrangement.rows


def test_layouts_alike_within_two_inches_are_one():
    """24 off the wall and half a gap of 48 off it are the same four lights in 192; 30 and half of 60 the same rows."""
    room = replace(HELD, left_right=replace(HELD.left_right, finished=inches(192)), spacing_limit=inches(60))
    found = by_kind(choices(room))
    assert found[ChoiceKind.WALL_HELD].layout.arrangement.columns == tuple(inches(at) for at in (24, 72, 120, 168))
    assert ChoiceKind.HALF_GAP not in found
    assert ChoiceKind.EVEN in found


def test_what_is_in_the_way_is_told_with_each():
    for choice in choices(WORKED):
        assert choice.left == choice.layout.arrangement.findings


def test_pins_are_left_out():
    for choice in choices(replace(HELD, pins=(Pin(Line.COLUMN, 1, inches(20)),))):
        assert choice.change["pins"] == ()
        assert not any(mark.pinned for mark in choice.layout.arrangement.marks)


def test_speakers_keep_their_place_from_the_ends():
    for choice in choices(replace(HELD, speaker=SPEAKER, speaker_gaps=(1, 3))):
        speakers = choice.layout.arrangement.speaker_positions
        assert len(speakers) <= 2


def test_a_metric_room_has_choices_too():
    assert len(choices(METRIC)) >= 3


@settings(max_examples=40, deadline=None)
@given(st.integers(72, 360), st.integers(72, 200), st.integers(48, 84), st.integers(18, 36))
def test_every_choice_is_another_one_and_can_be_laid_out_again(long, wide, limit, off):
    room = replace(
        HELD,
        left_right=replace(HELD.left_right, finished=inches(long)),
        door_far=replace(HELD.door_far, finished=inches(wide)),
        spacing_limit=inches(limit),
        end_setback=inches(off),
        row_setback=inches(off),
    )
    found = choices(room)
    for number, choice in enumerate(found):
        again = lay_out(replace(room, **choice.change)).arrangement
        assert again.marks == choice.layout.arrangement.marks
        assert choice.over_limit == ZERO
        for other in found[:number]:
            same = (choice.columns, choice.rows) == (other.columns, other.rows)
            apart = [
                abs(a - b)
                for these, those in (
                    (again.columns, other.layout.arrangement.columns),
                    (again.rows, other.layout.arrangement.rows),
                )
                for a, b in zip(these, those, strict=False)
            ]
            assert not same or max(apart) > ALIKE


def test_rows_that_fall_away_take_their_speakers_with_them():
    """Speakers were wanted in row 3; a layout of two rows has none, and is offered all the same."""
    three = replace(HELD, rows=3, speaker=SPEAKER, speaker_gaps=(1, 3), speaker_rows=(1, 3))
    for choice in choices(three):
        assert all(row <= choice.rows for row in choice.change.get("speaker_rows", (1, 3)))
    fewest = min(choices(three), key=lambda choice: choice.rows)
    assert fewest.rows < 3
