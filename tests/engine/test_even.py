"""Lines spread evenly at a chosen distance off both walls, on marks a tape reads easily."""

from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import Unit
from layout.engine.rows.even import even


def ticks(found):
    return [at / 2 for at in found.lines], [at / 2 for at in found.speakers]


@pytest.mark.parametrize(
    ("length", "count", "setback", "lines"),
    [
        (192 * 16, 4, 24 * 16, [24 * 16, 72 * 16, 120 * 16, 168 * 16]),
        (101, 1, 10, [50.5]),  # one line is the middle, wherever it was wanted
        (101, 3, 10, [10, 50.5, 91]),
        (103, 4, 10, [10, 38, 65, 93]),  # 83 ticks in 3 gaps: 28, 27, 28; 38 is a half inch, 37 would not mirror
    ],
)
def test_by_hand(length, count, setback, lines):
    assert ticks(even(length, count, setback, Unit.INCH))[0] == lines


def test_past_the_middle_they_stand_as_near_to_it_as_they_can():
    assert ticks(even(40, 2, 30, Unit.MM))[0] == [19, 21]


def test_more_lines_than_marks_do_not_fit():
    assert even(16, 40, 3, Unit.INCH) is None


def test_a_speaker_needs_a_mark_of_its_own():
    assert even(4, 4, 0, Unit.INCH, frozenset({1, 3})) is None  # gaps of 1, 2 and 1: no mark inside the outer two


@given(length=st.integers(40, 4000), count=st.integers(2, 15), setback=st.integers(0, 300), unit=st.sampled_from(Unit))
def test_gaps_are_alike_to_a_mark_and_all_of_it_mirrors(length, count, setback, unit):
    found = even(length, count, setback, unit, frozenset({1, count - 1}))
    if found is None:
        return
    lines, speakers = ticks(found)
    assert [length - at for at in reversed(lines)] == lines
    assert [length - at for at in reversed(speakers)] == speakers
    gaps = [b - a for a, b in pairwise(lines)]
    assert min(gaps) > 0 and max(gaps) - min(gaps) <= 1
    if 2 * setback + 2 * count < length:
        assert lines[0] == setback
    assert abs(lines[0] + lines[1] - 2 * speakers[0]) <= 1  # half a mark off halfway at most


def hard_to_read(at):
    """Of sixteenths: whole inches 0, halves 1, quarters 2, eighths 3, sixteenths 4."""
    return 4 - min(4, (at & -at).bit_length() - 1) if at else 0


@settings(max_examples=60)
@given(length=st.integers(20, 200), count=st.integers(2, 9), setback=st.integers(0, 40))
def test_no_even_layout_is_easier_to_read(length, count, setback):
    """Against every way to place the spare ticks."""
    found = even(length, count, setback, Unit.INCH)
    if found is None or ticks(found)[0][0] != setback:
        return
    narrow = (length - 2 * setback) // (count - 1)
    best = None
    for gaps in product((narrow - 1, narrow, narrow + 1), repeat=count // 2 - 1):
        near = [setback]
        for gap in gaps:
            near.append(near[-1] + gap)
        middle = [length / 2] if count % 2 else []
        lines = [*near, *middle, *(length - at for at in reversed(near))]
        wide = [b - a for a, b in pairwise(lines)]
        if min(wide) > 0 and max(wide) - min(wide) <= 1:
            cost = sum(hard_to_read(at) for at in near)
            best = cost if best is None else min(best, cost)
    assert sum(hard_to_read(int(at)) for at in ticks(found)[0][: count // 2]) == best
