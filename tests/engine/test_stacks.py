"""What the finish takes off, and where the finished ceiling then stands."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import ZERO, Distance, Length, LengthError, Unit, feet, inches, mm, nanometers
from layout.engine.stacks import (
    Holds,
    LargerThanFraming,
    Layer,
    NothingLeft,
    SideBuildUp,
    Span,
    as_computed,
    as_measured,
    net_span,
    on_whole_ticks,
    reconcile,
)


def side(*thicknesses: str, gap: str = "0") -> SideBuildUp:
    return SideBuildUp(tuple(Layer(f"layer {thick}", inches(thick)) for thick in thicknesses), gap=inches(gap))


def furred_and_floating() -> Span:
    """166 in of framing, 2 in of furring and a 6 in gap on both sides: 150 in of ceiling."""
    return net_span(inches(166), side("2", gap="6"), side("2", gap="6"))


def test_isolated_walls_on_three_sides_and_board_on_the_fourth() -> None:
    """240 x 168 less 2 7/8 + 5/8 and 2 7/8 + 2 7/8, by hand; the center moves (2 7/8 - 5/8) / 2."""
    wide = net_span(inches(240), side("2 7/8"), side("5/8"))
    deep = net_span(inches(168), side("2 7/8"), side("2 7/8"))
    assert (wide.net, wide.center_shift) == (inches("236 1/2"), inches("1 1/8"))
    assert (deep.net, deep.center_shift) == (inches("162 1/4"), ZERO)


def test_a_gap_shortens_the_ceiling_and_not_the_room() -> None:
    span = net_span(inches(166), side("1 1/2", "1/2", gap="6"), side("2", gap="6"))
    assert span.finished == inches(162)
    assert span.net == inches(150)
    assert span.start.thickness == inches(2)
    assert span.start.total == inches(8)


def test_a_height_loses_its_floor_and_its_ceiling_the_same_way() -> None:
    """9 ft of framing, 3/4 in floor, 7/8 in channel and two layers of 5/8 in board: 105 1/8 in, by hand."""
    height = net_span(feet(9), side("3/4"), side("7/8", "5/8", "5/8"))
    assert height.net == inches("105 1/8")


def test_a_closet_with_nothing_left_says_what_eats_it() -> None:
    clips = SideBuildUp((Layer("clip and channel", inches("2 7/8")),), gap=inches(9))
    with pytest.raises(NothingLeft) as refused:
        net_span(inches(20), clips, side(gap="9"))
    assert 'clip and channel 2 7/8" (73 mm), gap 9" (229 mm)' in str(refused.value)
    assert '20" (508 mm) of framing' in str(refused.value)


def test_exactly_nothing_is_nothing_left() -> None:
    with pytest.raises(NothingLeft, match="the other nothing"):
        net_span(inches(6), side("6"), SideBuildUp())


def test_layers_and_gaps_are_not_below_zero() -> None:
    with pytest.raises(LengthError, match="board"):
        Layer("board", nanometers(-1))
    with pytest.raises(LengthError, match="Gap"):
        SideBuildUp(gap=nanometers(-1))


@pytest.mark.parametrize(
    ("holds", "start", "end"),
    [
        (Holds.START, "8", "7 1/2"),
        (Holds.END, "7 1/2", "8"),
        (Holds.SPLIT, "7 3/4", "7 3/4"),
        (Holds.UNKNOWN, "7 3/4", "7 3/4"),
    ],
)
def test_half_an_inch_more_than_computed_is_taken_up_where_nothing_holds(holds: Holds, start: str, end: str) -> None:
    datums = reconcile(furred_and_floating(), inches("150 1/2"), holds)
    assert datums.difference == inches("1/2")
    assert (datums.start_offset, datums.end_offset) == (inches(start), inches(end))
    assert datums.assumed is (holds is Holds.UNKNOWN)


def test_a_floating_ceiling_stands_off_the_wall_by_its_gap_and_off_the_framing_by_the_furring_too() -> None:
    """A 6 in gap, and 2 in of furring behind it."""
    datums = as_computed(furred_and_floating())
    assert (datums.start_gap, datums.start_offset) == (inches(6), inches(8))


def test_without_framing_nothing_is_said_of_it() -> None:
    datums = as_measured(inches("150 1/2"), inches(6), inches(6))
    assert (datums.start_gap, datums.start_offset) == (inches(6), None)
    assert not datums.difference


def test_a_ceiling_larger_than_its_framing_is_a_misread_tape() -> None:
    with pytest.raises(LargerThanFraming, match="Measure both again"):
        reconcile(furred_and_floating(), inches(170), Holds.SPLIT)
    with pytest.raises(LargerThanFraming):
        reconcile(furred_and_floating(), inches(159), Holds.START)


def test_a_ceiling_of_nothing_was_not_measured() -> None:
    with pytest.raises(LengthError, match="more than zero"):
        reconcile(furred_and_floating(), ZERO, Holds.SPLIT)
    with pytest.raises(LengthError, match="more than zero"):
        as_measured(ZERO)


def test_a_layout_stands_on_whole_ticks_and_the_rest_stays_at_the_far_wall() -> None:
    assert on_whole_ticks(inches("150 17/32"), Unit.INCH) == (inches("150 1/2"), inches("1/32"))
    assert on_whole_ticks(inches("150 1/2"), Unit.MM) == (mm(3822), mm("0.7"))
    assert on_whole_ticks(inches(150), Unit.INCH) == (inches(150), ZERO)


THIN = st.integers(0, 24 * 64).map(lambda sixty_fourths: inches(Fraction(sixty_fourths, 64)))


@given(
    framing=st.fractions(100, 3600, max_denominator=64).map(lambda value: Distance(value * 25_400_000)),
    start=THIN,
    end=THIN,
    gap=THIN,
    off=st.fractions(-2, 2, max_denominator=64),
    holds=st.sampled_from(Holds),
)
def test_offsets_and_ceiling_always_add_up_to_the_framing(
    framing: Distance, start: Length, end: Length, gap: Length, off: Fraction, holds: Holds
) -> None:
    span = net_span(
        framing, SideBuildUp((Layer("a", start),), gap=gap), SideBuildUp((Layer("b", end),), gap=inches(2))
    )
    assert span.start.total + span.net / 2 == framing / 2 + span.center_shift
    try:
        datums = reconcile(span, span.net + Distance(off * 25_400_000), holds)
    except LargerThanFraming:
        assert off > 0
        return
    assert datums.start_offset is not None and datums.end_offset is not None
    assert datums.start_offset + datums.ceiling + datums.end_offset == framing
    if holds is Holds.START:
        assert datums.start_offset == span.start.total
    if holds is Holds.END:
        assert datums.end_offset == span.end.total


@given(net=st.fractions(1, 10_000, max_denominator=999), unit=st.sampled_from(Unit))
def test_ticks_and_remainder_are_the_whole_span(net: Fraction, unit: Unit) -> None:
    span = Distance(net * 1_000_000)
    whole, rest = on_whole_ticks(span, unit)
    assert whole + rest == span
    assert ZERO <= rest < unit.tick
    assert (whole.nm / unit.tick.nm).denominator == 1
