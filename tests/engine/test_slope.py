"""On a sloped ceiling the tape reads more than the plan shows, by the slope's own triangle."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.ceiling import Slope
from layout.engine.lengths import Distance, Style, Tape, inches, mm
from layout.engine.marks import Axis
from layout.engine.slope import SlopeError, along_slope, angle_deg, in_twelve, stretch_squared

TAPE = Tape(Style.INCHES, 16)


def pitch(rise, run=12):
    return Slope(Axis.LEFT_RIGHT, inches(rise), inches(run))


@pytest.mark.parametrize(("rise", "degrees"), [(2, 9.5), (4, 18.4), (6, 26.6), (8, 33.7), (12, 45.0)])
def test_roof_pitches_in_degrees(rise, degrees):
    """Pitch tables of carpentry handbooks; 4/12, 6/12 and 12/12 from memory, the others by a protractor's tangent."""
    assert round(angle_deg(pitch(rise)), 1) == degrees
    assert in_twelve(pitch(rise)) == rise


@pytest.mark.parametrize(
    ("rise", "per_foot"),
    [
        (3, "12 3/8"),  # 12.37
        (4, "12 5/8"),  # 12.65
        (5, "13"),
        (6, "13 7/16"),  # 13.42
        (8, "14 7/16"),  # 14.42
        (9, "15"),
        (12, "17"),  # 16.97
    ],
)
def test_common_rafter_length_for_a_foot_of_run(rise, per_foot):
    """A framing square's rafter table, length of common rafters per foot of run: 12.37, 12.65, 13.00, 13.42, 14.42,
    15.00, 16.97. From memory."""
    assert along_slope(inches(12), pitch(rise)).show(TAPE, mark=False) == per_foot


def test_a_three_four_five_slope_is_exact():
    """9 in 12 is 3 to 4: a plan distance of 48 is 60 on the slope, to the nanometer."""
    assert along_slope(inches(48), pitch(9)).squared == inches(60).nm ** 2
    assert along_slope(inches(48), pitch(9)).within(inches(60))
    assert not along_slope(inches(48), pitch(9)).within(inches(60) - Distance(Fraction(1)))


def test_a_level_ceiling_adds_nothing():
    assert stretch_squared(pitch(0)) == 1
    assert along_slope(mm(1234), pitch(0)).rounded(Tape(Style.MM, 1)) == mm(1234)


@pytest.mark.parametrize(("rise", "run"), [(4, 0), (-1, 12)])
def test_what_is_no_slope_is_refused(rise, run):
    with pytest.raises(SlopeError, match="give the run"):
        along_slope(inches(12), pitch(rise, run))


@given(plan=st.integers(0, 10**10), rise=st.integers(0, 48), run=st.integers(1, 48))
def test_it_is_printed_to_the_nearest_mark(plan, rise, run):
    """Never more than half a mark from the exact length, told by squares alone."""
    exact = along_slope(Distance(Fraction(plan)), pitch(rise, run))
    printed, half = exact.rounded(TAPE).nm, TAPE.step.nm / 2
    assert (printed + half) ** 2 >= exact.squared
    assert printed == 0 or (printed - half) ** 2 <= exact.squared
