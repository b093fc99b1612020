"""Lengths are exact; rounding happens once, in print, and the printed numbers add up."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import (
    ZERO,
    Distance,
    Length,
    LengthError,
    Style,
    Tape,
    Unit,
    echo,
    feet,
    inches,
    last_to_wall,
    mm,
    nanometers,
)

SIXTEENTHS = Tape(Style.INCHES, 16)
INCH_TAPES = [Tape(style, part) for style in (Style.FEET_INCHES, Style.INCHES) for part in (8, 16, 32, 64)]
TAPES = [*INCH_TAPES, Tape(Style.MM, 1)]


def test_an_inch_is_25_4_mm_exactly() -> None:
    """NIST SP 811, from memory."""
    assert inches(1) == mm("25.4")
    assert inches("1/64") == nanometers(396_875)
    assert feet(1) == inches(12)


def test_two_foot_grids_and_600_mm_grids_part_by_96_mm_in_ten_tiles() -> None:
    """Common practice, no source: 600 mm tiles are not 24 in tiles."""
    assert 10 * inches(24) - 10 * mm(600) == mm(96)


def test_a_length_is_never_made_from_a_float_or_held_roughly() -> None:
    for make in (inches, feet, mm):
        with pytest.raises(LengthError, match="float"):
            make(0.1)  # type: ignore[arg-type]
    with pytest.raises(LengthError, match="1/64 in"):
        inches("1/3")


def test_thirds_and_halves_stay_exact_until_printed() -> None:
    third = inches(100) / 3
    assert 3 * third == inches(100)
    assert not isinstance(third, Length)
    assert isinstance(3 * third, Length)
    with pytest.raises(LengthError):
        third.exact()


@pytest.mark.parametrize(
    ("tape", "text"),
    [
        (Tape(Style.FEET_INCHES, 16), "12'-3 1/4\""),
        (Tape(Style.INCHES, 16), '147 1/4"'),
        (Tape(Style.MM, 1), "3740 mm"),
    ],
)
def test_each_style_writes_one_length_its_own_way(tape: Tape, text: str) -> None:
    """147.25 x 25.4 = 3740.15, by hand."""
    assert tape.show(inches("147 1/4")) == text


@pytest.mark.parametrize(
    ("length", "text"),
    [
        (inches("5/32"), '3/16"'),  # halves go away from zero
        (-inches("5/32"), '-3/16"'),
        (inches("11 31/32"), '12"'),
        (inches(0), '0"'),
        (-inches("1/64"), '0"'),
    ],
)
def test_print_rounds_halves_away_from_zero(length: Distance, text: str) -> None:
    assert SIXTEENTHS.show(length) == text


def test_rounding_up_carries_into_the_feet() -> None:
    assert Tape(Style.FEET_INCHES, 8).show(inches("23 31/32")) == "2'-0\""
    assert Tape(Style.FEET_INCHES, 8).show(inches("1/4")) == '1/4"'  # no feet, none written


def test_a_tape_has_only_the_divisions_that_are_made() -> None:
    for style, fraction in ((Style.INCHES, 10), (Style.FEET_INCHES, 1), (Style.MM, 16)):
        with pytest.raises(LengthError):
            Tape(style, fraction)


def test_a_layout_stands_on_sixteenths_or_millimeters() -> None:
    assert Unit.INCH.tick == inches("1/16")
    assert Unit.MM.tick == mm(1)


def test_what_was_understood_is_shown_in_both_units() -> None:
    """150.5 x 25.4 = 3822.7 mm and 3840 / 25.4 = 151.18 in, by hand."""
    assert echo(inches("150 1/2"), SIXTEENTHS) == "12'-6 1/2\" · 150 1/2\" · ≈ 3823 mm"
    assert echo(inches(150), SIXTEENTHS) == "12'-6\" · 150\" · 3810 mm"
    assert echo(inches(10), SIXTEENTHS) == '10" · 254 mm'
    assert echo(mm(3840), Tape(Style.MM, 1)) == "3840 mm · ≈ 12'-7 3/16\" · ≈ 151 3/16\""


def test_running_dimensions_where_chained_ones_would_end_short() -> None:
    """233 1/2 in nine gaps of 25.944: nine times the printed 25 15/16 is 233 7/16, 1/16 short of the wall."""
    gap = inches("233 1/2") / 9
    assert [SIXTEENTHS.show(gap * n, mark=False) for n in range(1, 9)] == [
        "25 15/16",
        "51 7/8",
        "77 13/16",
        "103 3/4",
        "129 3/4",
        "155 11/16",
        "181 5/8",
        "207 9/16",
    ]
    assert last_to_wall(inches("233 1/2"), gap * 8, SIXTEENTHS) == inches("25 15/16")


@given(
    share=st.fractions(0, 1, max_denominator=97),
    wall=st.fractions(24, 3600, max_denominator=64),
    tape=st.sampled_from(TAPES),
)
def test_printed_marks_are_within_half_a_step_and_the_last_adds_up_to_the_wall(
    share: Fraction, wall: Fraction, tape: Tape
) -> None:
    exact_wall = Distance(wall * 25_400_000)
    exact = exact_wall * share
    printed, proof = tape.rounded(exact), last_to_wall(exact_wall, exact, tape)
    assert 2 * abs(printed - exact) <= tape.step
    assert printed + proof == tape.rounded(exact_wall)
    assert abs(proof - (exact_wall - exact)) <= tape.step
    assert tape.rounded(proof) == proof >= ZERO


@given(nm=st.integers(-(10**11), 10**11), tape=st.sampled_from(TAPES))
def test_rounding_is_the_same_on_both_sides_of_zero_and_settles_at_once(nm: int, tape: Tape) -> None:
    printed = tape.rounded(nanometers(nm))
    assert tape.rounded(printed) == printed
    assert tape.rounded(-nanometers(nm)) == -printed
