"""Equal diagonals, 3-4-5 and opposite walls: how square a room is and what the trade does about it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import ZERO, Distance, Length, LengthError, Unit, feet, inches, mm
from layout.engine.square import (
    NoTriangle,
    OppositeWalls,
    Squareness,
    largest_three_four_five,
    opposite_walls,
    square_check,
    three_four_five,
)


def test_equal_diagonals_mean_square() -> None:
    """20 x 15 ft has 25 ft diagonals."""
    checked = square_check(feet(20), feet(15), feet(25), feet(25))
    assert checked.squareness is Squareness.SQUARE
    assert checked.expected == feet(25)
    assert checked.drift == ZERO


@pytest.mark.parametrize(("more", "squareness"), [("1/4", Squareness.SQUARE), ("5/16", Squareness.OUT_OF_SQUARE)])
def test_a_quarter_inch_in_twenty_feet_is_still_square(more: str, squareness: Squareness) -> None:
    """Common practice, no source."""
    checked = square_check(feet(20), feet(15), feet(25) + inches(more), feet(25))
    assert checked.allowed == inches("1/4")
    assert checked.squareness is squareness


def test_diagonals_an_inch_and_five_eighths_apart_are_about_an_inch_of_drift() -> None:
    """20 x 14 ft: 1 5/8 x 293 / 480 = 0.99 in, by hand."""
    checked = square_check(feet(20), feet(14), inches("293 3/4"), inches("292 1/8"))
    assert checked.squareness is Squareness.OUT_OF_SQUARE
    assert abs(checked.drift - inches("0.99")) <= inches("0.01")


def test_equal_diagonals_that_do_not_belong_to_the_sizes_are_not_called_square() -> None:
    """A foot lost on one wall: 19 x 15 ft with 25 ft diagonals."""
    assert square_check(feet(19), feet(15), feet(25), feet(25)).squareness is Squareness.SIZES_DISAGREE


def test_sizes_are_more_than_zero() -> None:
    with pytest.raises(LengthError, match="more than zero"):
        square_check(feet(20), ZERO, feet(25), feet(25))


@pytest.mark.parametrize("times", [1, 2, 3, 4, 5])
def test_any_multiple_of_3_4_5_is_a_right_angle(times: int) -> None:
    verdict = three_four_five(feet(3 * times), feet(4 * times), feet(5 * times), room=feet(20))
    assert verdict.square
    assert verdict.drift == ZERO
    assert verdict.degrees == 90


def test_a_long_third_reading_is_an_open_corner() -> None:
    """8 and 6 ft with 10 ft 1 in across: (121² - 120²) / (2 x 96 x 72) = 0.0174, over 20 ft 4.18 in; 91.0 degrees."""
    verdict = three_four_five(feet(8), feet(6), feet(10) + inches(1), room=feet(20))
    assert not verdict.square
    assert abs(verdict.drift - inches("4.184")) < inches("0.001")
    assert verdict.degrees == pytest.approx(91.0, abs=0.01)
    assert three_four_five(feet(8), feet(6), feet(10) - inches(1), room=feet(20)).drift < ZERO


def test_the_corner_of_a_room_from_its_diagonal() -> None:
    """240 and 168 1/2 in with 292.29 across: 89.6 degrees, by the law of cosines."""
    verdict = three_four_five(inches(240), inches("168 1/2"), inches("292.29"), room=inches(240))
    assert verdict.degrees == pytest.approx(89.6, abs=0.05)


def test_three_readings_that_can_not_meet_are_measured_again() -> None:
    for across in (feet(7), feet(1), ZERO):
        with pytest.raises(NoTriangle, match="measure them again"):
            three_four_five(feet(3), feet(4), across, room=feet(20))


@pytest.mark.parametrize(
    ("one", "other", "triangle"),
    [
        (feet(20), feet(15), (15, 20, 25)),
        (feet(14), feet(20), (12, 16, 20)),
        (feet(4), feet(3), (3, 4, 5)),
        (inches(166), inches(93), (6, 8, 10)),
    ],
)
def test_the_largest_triangle_that_fits_is_the_one_to_use(
    one: Distance, other: Distance, triangle: tuple[int, ...]
) -> None:
    assert largest_three_four_five(one, other, Unit.INCH) == tuple(feet(side) for side in triangle)


def test_metric_crews_read_half_meters() -> None:
    assert largest_three_four_five(mm(4200), mm(2400), Unit.MM) == (mm(1500), mm(2000), mm(2500))
    assert largest_three_four_five(mm(4200), mm(3100), Unit.MM) == (mm(3000), mm(4000), mm(5000))


def test_a_closet_has_no_room_for_a_triangle() -> None:
    assert largest_three_four_five(feet(20), inches(35), Unit.INCH) is None


@pytest.mark.parametrize(
    ("difference", "advice"),
    [
        ("0", OppositeWalls.IGNORE),
        ("1/4", OppositeWalls.IGNORE),
        ("5/16", OppositeWalls.TAPER),
        ("1", OppositeWalls.TAPER),
        ("1 1/16", OppositeWalls.SHOW_OWNER),
    ],
)
def test_opposite_walls_that_differ(difference: str, advice: OppositeWalls) -> None:
    """Common practice, no source."""
    assert opposite_walls(inches(240), inches(240) - inches(difference)) is advice
    assert opposite_walls(inches(240) - inches(difference), inches(240)) is advice


@given(a=st.integers(24, 400), b=st.integers(24, 400), lean=st.integers(-20, 20))
def test_a_room_that_leans_is_out_of_square_and_its_sizes_still_agree(a: int, b: int, lean: int) -> None:
    """A parallelogram with whole-inch corners; the sizes are its sides."""

    def size(x: int, y: int) -> Length:
        return inches(f"{math.hypot(x, y):.5f}")

    checked = square_check(size(a, 0), size(lean, b), size(a + lean, b), size(a - lean, b))
    assert checked.squareness is not Squareness.SIZES_DISAGREE
    if abs(lean) < min(a, b) / 4 and a >= b + 21:
        assert abs(checked.drift - inches(abs(lean))) < inches("0.01")
