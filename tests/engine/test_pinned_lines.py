"""A person holds a column or a row, or moves one light; the rest follows as a crew would have it."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import Tape, Unit, inches, nanometers
from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.engine.rows.arrange import Code, Hole, Mode, Wish, arrange, say

DEN = Wish(
    along=inches(192),
    across=inches(120),
    unit=Unit.INCH,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    rows=2,
    columns=4,
    end_setback=inches(24),
    row_setback=inches(24),
    spacing_limit=inches(96),
    light=Hole(inches(6)),
    speaker=Hole(inches(8)),
    speaker_gaps=(),
    speaker_columns=(),
    subwoofer=None,
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    speaker_to_light_min=inches(12),
)
TICK = Unit.INCH.tick


def inch(*lengths):
    return tuple(inches(length) for length in lengths)


def column(number, at):
    return Pin(Line.COLUMN, number, inches(at))


def pinned(*pins, **change):
    return arrange(replace(DEN, pins=pins, **change))


def heard(laid):
    return [say(finding, Tape()) for finding in laid.findings]


# Pins


def test_the_lines_between_a_pin_and_the_outer_lights_spread_evenly():
    """Column 2 of five at 54: from there to 168 are 114, three gaps of 38."""
    laid = pinned(column(2, 54), columns=5)
    assert laid.columns == inch(24, 54, 92, 130, 168)
    assert laid.fits


def test_between_two_pins_the_same():
    """60 to 132 are 72 in two gaps."""
    assert pinned(column(2, 60), column(4, 132), columns=5).columns == inch(24, 60, 96, 132, 168)


def test_a_pinned_outer_light_overrides_off_the_wall():
    """From 30 to 168: three gaps of 46."""
    laid = pinned(column(1, 30))
    assert laid.columns == inch(30, 76, 122, 168)
    assert laid.fits


def test_a_pinned_row_moves_no_column():
    laid = pinned(Pin(Line.ROW, 1, inches(40)))
    assert (laid.columns, laid.rows) == (inch(24, 72, 120, 168), inch(40, 96))


def test_half_gap_and_even_keep_their_walls():
    """Column 1 pinned at 20. Half a gap at the far wall: 172 in 3 1/2 gaps, 49 1/7. A whole one: 172 in 4, 43."""
    assert pinned(column(1, 20), mode_along=Mode.HALF_GAP).columns == inch(20, "69 1/8", "118 5/16", "167 7/16")
    assert pinned(column(1, 20), mode_along=Mode.EVEN).columns == inch(20, 63, 106, 149)


def test_one_light_may_be_pinned_off_the_middle():
    assert pinned(column(1, 50), columns=1).columns == inch(50)


def test_among_typed_numbers_only_the_pinned_one_changes():
    laid = pinned(column(2, 80), mode_along=Mode.LOCKED, typed_along=inch(20, 70, 130))
    assert laid.columns == inch(20, 80, 130)


def test_speakers_stay_halfway():
    laid = pinned(column(2, 60), speaker_gaps=(1, 3))
    assert laid.columns == inch(24, 60, 114, 168)
    assert laid.speaker_positions == inch(42, 141)


def test_marks_of_a_pinned_line_say_so():
    laid = pinned(column(2, 60))
    assert [mark.id for mark in laid.marks if mark.pinned] == ["A2", "A6"]


@pytest.mark.parametrize(
    ("pins", "said"),
    [
        (
            (column(2, 10),),
            'Column 2 is pinned at 10", 14 1/16" too near column 1 to keep its place in the order. '
            'Pin it 14 1/16" farther from there, or move column 1.',
        ),
        (
            (column(3, 40), column(2, 50)),
            'Column 3 is pinned at 40", 10 1/16" too near column 2 to keep its place in the order. '
            'Pin it 10 1/16" farther from there, or move column 2.',
        ),
        (
            (column(2, 200),),
            'Column 2 is pinned at 200", 8" past the ceiling\'s edge. Pin it inside, or take the pin off.',
        ),
        ((column(7, 100),), "Column 7 is held, but there are 4 columns. Let it go, or bring it back."),
    ],
)
def test_a_pin_that_can_not_be_kept_names_the_remedy(pins, said):
    laid = pinned(*pins)
    assert heard(laid)[0] == said
    assert len(laid.columns) == 4 and list(laid.columns) == sorted(laid.columns)


ticks_in_den = st.integers(0, 192 * 16)


@settings(max_examples=120)
@given(
    st.dictionaries(st.integers(1, 6), ticks_in_den, max_size=3),
    st.integers(1, 6),
    st.sampled_from([Mode.WALL_HELD, Mode.EVEN, Mode.HALF_GAP]),
)
def test_where_pins_mirror_the_layout_mirrors(held, count, mode):
    pins = {number: TICK * at for number, at in held.items() if number <= count}
    mirrored = {count + 1 - number: DEN.along - at for number, at in pins.items()}
    laid, other = (
        pinned(
            *(Pin(Line.COLUMN, number, at.exact()) for number, at in one.items()),
            columns=count, mode_along=mode, speaker_gaps=tuple(range(1, count)),
        )
        for one in (pins, mirrored)
    )  # fmt: skip
    if any(finding.code is Code.PINNED_OUT_OF_ORDER for finding in (*laid.findings, *other.findings)):
        return  # which of two crossed pins is let go has no mirror image
    assert [DEN.along - at for at in reversed(laid.columns)] == list(other.columns)
    assert [DEN.along - at for at in reversed(laid.speaker_positions)] == list(other.speaker_positions)


def test_two_pins_that_mirror_give_a_layout_that_mirrors():
    """Columns 2 and 5 of six at 41 3/8 and 192 less that; between them 109 1/4 in three gaps of 36 5/12."""
    laid = pinned(column(2, "41 3/8"), column(5, "150 5/8"), columns=6)
    assert [DEN.along - at for at in reversed(laid.columns)] == list(laid.columns)


@settings(max_examples=120)
@given(st.dictionaries(st.integers(1, 7), ticks_in_den, min_size=1, max_size=3), st.integers(2, 7))
def test_between_two_held_lines_gaps_are_alike_to_a_mark(held, count):
    pins = {number: TICK * at for number, at in held.items() if number <= count}
    laid = pinned(*(Pin(Line.COLUMN, number, at.exact()) for number, at in pins.items()), columns=count)
    if any(finding.code is Code.PINNED_OUT_OF_ORDER for finding in laid.findings):
        return
    for number, at in pins.items():
        assert laid.columns[number - 1] == at
    anchors = sorted({1, count, *pins})
    for low, high in pairwise(anchors):
        gaps = [b - a for a, b in pairwise(laid.columns[low - 1 : high])]
        assert min(gaps) > nanometers(0)
        assert max(gaps) - min(gaps) <= TICK


# One mark alone


def test_a_moved_light_stands_alone_and_says_where_it_came_from():
    laid = arrange(replace(DEN, moved=(Moved(Kind.LIGHT, 2, 3, inches(118), inches(90)),)))
    (mark,) = (mark for mark in laid.marks if mark.moved_from)
    assert (mark.id, mark.along, mark.across, mark.moved_from) == ("A7", inches(118), inches(90), inch(120, 96))
    assert laid.columns == inch(24, 72, 120, 168)


@settings(max_examples=60)
@given(row=st.integers(1, 2), number=st.integers(1, 4), along=ticks_in_den, across=st.integers(0, 120 * 16))
def test_it_moves_nothing_else(row, number, along, across):
    wish = replace(DEN, speaker_gaps=(1, 3), subwoofer=Hole(inches(10)))
    move = Moved(Kind.LIGHT, row, number, (TICK * along).exact(), (TICK * across).exact())
    before, after = arrange(wish).marks, arrange(replace(wish, moved=(move,))).marks
    assert [mark.id for mark in before] == [mark.id for mark in after]
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert [a.id for a, _ in changed] == [f"A{4 * (row - 1) + number}"]


def test_it_is_held_clear_of_holes_in_other_columns():
    """Moved to 3 in short of A6's row and column: 72, 93 against 72, 96."""
    laid = arrange(replace(DEN, moved=(Moved(Kind.LIGHT, 1, 4, inches(72), inches(93)),)))
    assert 'A4 and A6 are 4 1/2" too close: nothing is left between, not 1 1/2".' in heard(laid)


def test_square_holes_come_nearest_at_their_corners():
    """6 in squares 9 apart both ways leave 3 by 3 between corners: 4.243, a 64th under the 4 1/4 wanted. Round ones
    leave 12.73 - 6 = 6.73."""
    move = (Moved(Kind.LIGHT, 1, 4, inches(81), inches(87)),)  # A6 stands at 72, 96
    wish = replace(DEN, moved=move, web_min=inches("4 1/4"))
    assert arrange(wish).fits
    (found,) = arrange(replace(wish, light=Hole(inches(6), square=True))).findings
    assert (found.code, found.subject) == (Code.HOLES_TOO_CLOSE, "A6, A4")
    assert inches("1/200") < found.short_by < inches("1/100")
    assert arrange(replace(wish, light=Hole(inches(6), square=True), web_min=inches("4 15/64"))).fits


def test_a_moved_light_that_is_gone_is_said():
    laid = arrange(replace(DEN, columns=3, moved=(Moved(Kind.LIGHT, 1, 4, inches(72), inches(93)),)))
    assert heard(laid) == ["Light 4 of row 1 is held, but there are 3 lights in that row. Let it go, or bring it back."]


def test_a_moved_subwoofer():
    wish = replace(DEN, subwoofer=Hole(inches(10)), moved=(Moved(Kind.SUBWOOFER, 1, 1, inches(100), inches(60)),))
    assert arrange(wish).marks[-1].along == inches(100)
