"""Framing laid around the lights, and the boxes an isolated lid wants. Sums done by hand."""

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import ZERO, Length, Unit, inches, mm, nanometers
from layout.engine.marks import Axis, Kind, Mark, Orientation, Side
from layout.engine.overhead.backer_box import boxed
from layout.engine.overhead.check import in_the_way
from layout.engine.overhead.framing_as_wanted import SPACINGS, Lid, as_joists, framings, quietest
from layout.engine.overhead.stand import Direction, OverheadError, stand
from layout.engine.overhead.values import Overhead
from layout.engine.stacks import as_measured
from tests.engine.test_overhead_check import HOUSING, Fixture, joists, mark, room

HOLE = Fixture(inches("6 1/2"))  # 3 1/4 + 1/2 + 3/4: members keep 4 1/2 off its center


def ceiling(along="144", across="96", clear="1/2", unit=Unit.INCH, orientation=None):
    return Lid(
        orientation or Orientation(Axis.LEFT_RIGHT), inches(along), inches(across), unit, inches("1 1/2"), inches(clear)
    )


def best(marks, fitting=HOLE, runs=Direction.ACROSS, spacing="16", of=None):
    found = framings(marks, {Kind.LIGHT: fitting}, of or ceiling(), [inches(spacing)])
    return next(each for each in found if each.runs is runs)


def test_lights_at_one_beat_with_the_framing_all_sit_mid_bay():
    """Lights 4 ft apart are three spaces of 16 in: members 8 in off every one of them."""
    found = best([mark("24", "48"), mark("72", "48", "A2"), mark("120", "48", "A3")])
    assert (found.first, found.hits, found.blocking) == (ZERO, (), 0)
    assert found.play == inches("3 1/2")  # 8 less 4 1/2


def test_lights_out_of_beat_leave_little_play():
    """From 24, members keep out of 19 1/2 to 28 1/2; from 70, of 65 1/2 to 74 1/2, which is 1 1/2 to 10 1/2 in a
    16 in beat where the first is 3 1/2 to 12 1/2: 12 1/2 to 17 1/2 is left, its middle at 15."""
    found = best([mark("24", "48"), mark("70", "48", "A2")])
    assert (found.first, found.play, found.hits) == (inches(15), inches("2 1/2"), ())


def test_what_nothing_misses_is_counted_with_its_blocking():
    """Three lights a third of 12 in apart forbid 9 in each of a 12 in beat: no member misses all of them."""
    found = best([mark("24", "48"), mark("64", "48", "A2"), mark("104", "48", "A3")], spacing="12")
    assert len(found.hits) == 2  # one third of the beat is met by two, the rest by all three
    assert found.blocking == 4


def test_a_wider_spacing_that_misses_all_comes_before_a_narrow_one_that_does_not():
    marks = [mark("24", "48"), mark("64", "48", "A2"), mark("104", "48", "A3")]
    found = framings(marks, {Kind.LIGHT: HOLE}, ceiling())
    every = {(runs, spacing) for runs in Direction for spacing in SPACINGS[Unit.INCH]}
    assert {(each.runs, each.spacing) for each in found} == every
    assert [len(each.hits) for each in found] == sorted(len(each.hits) for each in found)
    assert found[0].hits == ()


def test_one_row_is_missed_by_members_along_it():
    found = best([mark("24", "48"), mark("64", "48", "A2")], runs=Direction.ALONG, spacing="24")
    assert found.hits == ()
    assert found.first == inches(12)  # the row at 48 sits in the middle of a 24 in bay
    assert found.members == 4  # 12, 36, 60, 84
    assert found.to_edge == inches(12)


def test_frames_are_turned_with_the_framing_laid_round_them():
    """A 14 x 8 frame with 16 in framing leaves 14 1/2 less twice the free 1/2: only its 8 in side goes across."""
    found = best([mark("40", "48"), mark("88", "48", "A2")], HOUSING)
    assert found.hits == ()
    (kind, turn), = found.turns
    assert kind is Kind.LIGHT
    assert turn in (90, 270)


def test_play_finer_than_a_tape_mark_is_halved():
    """Members keep 7 63/64 off a light in 16 in framing: 1/32 is left, from 7 63/64 to 8 1/64 past it."""
    wide = Fixture(inches("13 15/32"))  # 6 47/64 + 1/2 + 3/4
    found = best([mark("24 1/32", "48")], wide)
    assert (found.first, found.play) == (inches("1/32"), inches("1/64"))


def test_metric_framing_is_laid_on_whole_millimeters():
    of = Lid(Orientation(Axis.LEFT_RIGHT), mm(3600), mm(2400), Unit.MM, mm(38), mm(10))
    marks = [Mark("A1", Kind.LIGHT, mm(901), mm(1200), 1), Mark("A2", Kind.LIGHT, mm(2705), mm(1200), 1)]
    found = framings(marks, {Kind.LIGHT: Fixture(mm(165))}, of)
    assert {each.spacing for each in found} == {mm(300), mm(400), mm(600)}
    assert all(each.first.nm % mm(1).nm == 0 for each in found)
    assert found[0].hits == ()


def test_a_spacing_no_wider_than_its_member_is_refused():
    with pytest.raises(OverheadError, match="wider"):
        framings([mark("24")], {Kind.LIGHT: HOLE}, ceiling(), [inches("1 1/2")])


PLACES = st.integers(4 * 8, 140 * 8).map(lambda n: nanometers(n * 3_175_000))


@given(
    st.lists(st.tuples(PLACES, PLACES), min_size=1, max_size=8),
    st.sampled_from([HOLE, HOUSING, Fixture(inches("9 1/4"))]),
    st.sampled_from([Side.LEFT, Side.RIGHT]),
    st.sampled_from(Axis),
)
def test_what_it_says_it_misses_is_missed_and_what_it_hits_is_hit(places, fitting, zero_x, rows_run):
    """Laid as it says and held against the marks as any framing is."""
    marks = [Mark(f"A{n}", Kind.LIGHT, along, across, 1) for n, (along, across) in enumerate(places, 1)]
    of = ceiling("144", "144", orientation=Orientation(rows_run, zero_x))
    size = as_measured(inches(144))
    for framing in framings(marks, {Kind.LIGHT: fitting}, of):
        standing = stand(Overhead((as_joists(framing, of),)), of.orientation, size, size)
        turns = dict.fromkeys((each.id for each in marks), dict(framing.turns)[Kind.LIGHT])
        found = in_the_way(marks, {Kind.LIGHT: fitting}, standing, turns)
        assert {each.mark for each in found} == set(framing.hits)
        for off in (-framing.play, framing.play):  # laid that much to either side, it loses no more
            laid = replace(as_joists(framing, of), first=framing.first + off)
            standing = stand(Overhead((laid,)), of.orientation, size, size)
            found = in_the_way(marks, {Kind.LIGHT: fitting}, standing, turns)
            assert len({each.mark for each in found}) == len(framing.hits)


@given(st.lists(st.tuples(st.integers(-5, 60), st.integers(0, 14)), max_size=6), st.integers(1, 12))
def test_no_first_member_meets_fewer_marks(bans, pitch):
    """Every whole place and every half one, tried by hand."""
    spans = [(low, low + length) for low, length in bans]

    def met(first):
        return sum(any(low < first + k * pitch < high for k in range(-20, 90)) for low, high in spans)

    low, high = quietest(spans, pitch)
    least = min(met(Fraction(half, 2)) for half in range(2 * pitch))
    assert {met(Fraction(half, 2)) for half in range(2 * low, 2 * high + 1)} == {least}
    widest = longest = 0
    for half in range(4 * pitch):
        widest = widest + 1 if met(Fraction(half, 2)) == least else 0
        longest = max(longest, widest)
    assert high - low == (pitch if longest == 4 * pitch else Fraction(longest - 1, 2))
    assert 0 <= low + high < 2 * pitch + 1


def test_hundreds_of_lights_are_laid_round_at_once():
    rng = random.Random(1)
    marks = [mark(str(rng.randrange(4, 476)), str(rng.randrange(4, 356)), f"A{n}") for n in range(300)]
    found = framings(marks, {Kind.LIGHT: HOUSING}, ceiling("480", "360"))
    assert all(each.blocking == 2 * len(each.hits) for each in found)


# --- backer boxes


def test_a_box_is_the_housing_and_three_inches_and_its_wall_all_round():
    """14 x 8 x 7 1/2 with 5/8 in of wall: 14 + 2 x 3 5/8 = 21 1/4, 8 + 7 1/4 = 15 1/4, 7 1/2 + 3 5/8 = 11 1/8."""
    box = boxed(Fixture(HOUSING.cutout, frame=HOUSING.frame, depth=inches("7 1/2")), inches("5/8"))
    assert (box.frame.length, box.frame.width, box.depth) == (inches("21 1/4"), inches("15 1/4"), inches("11 1/8"))
    assert box.frame.from_end == inches("8 1/8")  # 4 1/2 + 3 5/8


def test_a_box_that_the_housing_fit_without_may_not_fit_its_bay():
    """16 in framing is 14 1/2 clear; the box's 15 1/4 is 3/4 more, half of it at each side."""
    standing = room(joists("16", "8", clear="0"))
    marks = [mark("32")]  # mid bay, the opening midway between the long sides
    assert in_the_way(marks, {Kind.LIGHT: HOUSING}, standing) == ()
    found = in_the_way(marks, {Kind.LIGHT: boxed(HOUSING, inches("5/8"))}, standing)
    assert {each.short_by for each in found} == {inches("3/8")}
    wide = room(joists("24", "20", clear="0"))
    assert in_the_way(marks, {Kind.LIGHT: boxed(HOUSING, inches("5/8"))}, wide) == ()


def test_a_fixture_without_a_frame_is_boxed_about_its_hole():
    box = boxed(Fixture(inches("6 3/8")), inches("1/2"))
    assert box.frame.length == box.frame.width == inches("13 3/8")
    assert box.depth is None
    assert isinstance(boxed(Fixture(nanometers(3)), ZERO).frame.from_end, Length)
