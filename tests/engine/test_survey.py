"""Six readings of a room prove each other; when they don't, none is blamed and every likely slip is shown."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import Distance, Length, LengthError, Style, feet, inches, mm, nanometers
from layout.engine.survey import (
    Candidate,
    DoesNotClose,
    Instrument,
    RoomReadings,
    Slip,
    Subject,
    TapeCheck,
    TapeCheckStatus,
    WallReading,
    WallReadings,
    predicted_diagonal,
    tape_check,
)

SIXTEENTH = inches("1/16")


def wall(*values: str, heights: tuple[int | None, ...] = (None, None, None)) -> WallReadings:
    return WallReadings(
        tuple(
            WallReading(inches(value), None if height is None else inches(height))
            for value, height in zip(values, heights, strict=False)
        )
    )


def twenty_by_fourteen_and_a_bit(**changed: Distance | None) -> RoomReadings:
    """240 x 168 x 239 1/2 x 168 1/2 in going round from the door wall, read true to 1/16 in."""
    read: dict[str, Distance | None] = {
        "door": inches(240),
        "right": inches(168),
        "far": inches("239 1/2"),
        "left": inches("168 1/2"),
        "d1": inches("293 1/2"),
        "d2": inches("292 5/16"),
    }
    return RoomReadings(**(read | changed))


def test_the_shortest_reading_is_for_clearance_and_the_middle_one_for_centering() -> None:
    """Common practice, no source: walls bow, so read a long one at both ends and in the middle."""
    bowed = wall("150 1/2", "150", "150 3/4")
    assert bowed.clearance == inches(150)
    assert bowed.center == inches("150 1/2")


def test_of_three_heights_the_middle_height_is_centered_on() -> None:
    leaning = wall("150 1/2", "150", "150 3/4", heights=(96, 48, 0))
    assert leaning.center == inches(150)
    assert wall("150 1/2", "150", "150 3/4", heights=(96, 96, 0)).center == inches("150 1/2")
    assert wall("150 1/2", "150", "150 3/4", heights=(96, 48, None)).center == inches("150 1/2")


def test_two_readings_are_centered_on_their_mean_even_between_nanometers() -> None:
    pair = WallReadings((WallReading(nanometers(1)), WallReading(nanometers(2))))
    assert pair.center == Distance(Fraction(3, 2))
    assert pair.clearance == nanometers(1)
    assert wall("150").center == inches(150)


def test_a_wall_is_read_one_to_three_times() -> None:
    for count in (0, 4):
        with pytest.raises(LengthError, match="one to three"):
            WallReadings((WallReading(inches(1)),) * count)


def test_four_walls_and_one_diagonal_fix_the_other() -> None:
    """240, 168, 239 1/2, 168 1/2 going round and 293 1/2 across: 89.60 degrees at DL, so 292.29 (cosine law)."""
    predicted = predicted_diagonal(inches(240), inches("239 1/2"), inches("168 1/2"), inches(168), inches("293 1/2"))
    assert abs(predicted - inches("292.29")) <= inches("0.01")


def test_three_four_five_rooms_have_equal_diagonals() -> None:
    """Two 3-4-5 triangles back to back are a rectangle."""
    assert predicted_diagonal(feet(16), feet(16), feet(12), feet(12), feet(20)) == feet(20)


def test_a_lozenge_of_two_equal_triangles() -> None:
    """Sides 5, diagonal 6: two 3-4-5 triangles on each side of it, so the other is 8."""
    assert predicted_diagonal(feet(5), feet(5), feet(5), feet(5), feet(6)) == feet(8)


def test_a_diagonal_longer_than_its_two_walls_can_not_be() -> None:
    with pytest.raises(DoesNotClose, match="measure all three again"):
        predicted_diagonal(feet(16), feet(16), feet(12), feet(12), feet(29))


def test_readings_that_agree_are_ok() -> None:
    checked = tape_check(twenty_by_fourteen_and_a_bit(), SIXTEENTH)
    assert checked.status is TapeCheckStatus.OK
    assert checked.miss is not None
    assert abs(checked.miss) < inches("1/16")
    assert checked.candidates == ()


def test_the_miss_allowed_is_near_a_quarter_inch_in_a_twenty_foot_room() -> None:
    """Common practice, no source: past 1/4 in somebody misread the tape."""
    allowed = tape_check(twenty_by_fourteen_and_a_bit(), SIXTEENTH).allowed
    assert allowed is not None
    assert inches("3/16") < allowed < inches("5/16")


def square_room(side: Length, fineness: Length, instrument: Instrument) -> Length:
    diagonal = nanometers(round(int(side) * math.sqrt(2)))
    allowed = tape_check(RoomReadings(side, side, side, side, diagonal, diagonal), fineness, instrument).allowed
    assert allowed is not None
    return allowed


def test_a_large_room_and_a_coarse_tape_are_allowed_more() -> None:
    small, large = (square_room(side, SIXTEENTH, Instrument.TAPE) for side in (feet(10), feet(50)))
    coarse = square_room(feet(10), inches("1/4"), Instrument.TAPE)
    assert small < large
    assert small < coarse


def test_a_laser_is_as_good_across_a_hall_as_across_a_closet() -> None:
    closet, hall = (square_room(side, SIXTEENTH, Instrument.LASER) for side in (feet(6), feet(60)))
    assert abs(closet - hall) < inches("0.001")


def test_what_is_missing_is_named() -> None:
    checked = tape_check(twenty_by_fourteen_and_a_bit(far=None, d2=None), SIXTEENTH)
    assert checked == TapeCheck(TapeCheckStatus.NOT_ENOUGH, missing=(Subject.FAR, Subject.D2))


def test_a_burned_inch_on_one_wall_is_among_the_slips_that_would_explain_it() -> None:
    checked = tape_check(twenty_by_fourteen_and_a_bit(door=inches(241)), SIXTEENTH)
    assert checked.status is TapeCheckStatus.ONE_OF_THESE
    assert Candidate(Subject.DOOR, Slip.ONE_INCH, inches(240)) in checked.candidates
    assert len({candidate.subject for candidate in checked.candidates}) > 1  # no single reading can be blamed


@pytest.mark.parametrize(
    ("changed", "instrument", "style", "candidate"),
    [
        ({"left": "156 1/2"}, Instrument.TAPE, Style.INCHES, Candidate(Subject.LEFT, Slip.ONE_FOOT, inches("168 1/2"))),
        ({"far": "236"}, Instrument.TAPE, Style.INCHES, Candidate(Subject.FAR, Slip.TAPE_CASE, inches("239 1/2"))),
        ({"far": "236 1/2"}, Instrument.TAPE, Style.INCHES, Candidate(Subject.FAR, Slip.TAPE_CASE, inches("239 1/2"))),
        ({"right": "163 1/2"}, Instrument.LASER, Style.INCHES, Candidate(Subject.RIGHT, Slip.LASER_BODY, inches(168))),
        ({"right": "172 1/2"}, Instrument.LASER, Style.INCHES, Candidate(Subject.RIGHT, Slip.LASER_BODY, inches(168))),
        ({"d1": "287 1/2"}, Instrument.TAPE, Style.INCHES, None),
        ({"right": "186"}, Instrument.TAPE, Style.INCHES, Candidate(Subject.RIGHT, Slip.SWAPPED_DIGITS, inches(168))),
    ],
)
def test_each_way_a_reading_goes_wrong(
    changed: dict[str, str], instrument: Instrument, style: Style, candidate: Candidate | None
) -> None:
    wrong = twenty_by_fourteen_and_a_bit(**{subject: inches(value) for subject, value in changed.items()})
    checked = tape_check(wrong, SIXTEENTH, instrument, style)
    assert checked.status is TapeCheckStatus.ONE_OF_THESE
    if candidate is None:  # 6 in off: no known slip explains it, and none is made up
        assert checked.candidates == ()
    else:
        assert candidate in checked.candidates


def test_walls_that_can_not_meet_still_show_what_would_explain_them() -> None:
    """A diagonal of 24 x 7 x 25 ft written down as 52 ft."""
    wrong = RoomReadings(feet(24), feet(24), feet(7), feet(7), feet(52), feet(25))
    checked = tape_check(wrong, SIXTEENTH, Instrument.TAPE, Style.FEET_INCHES)
    assert checked == TapeCheck(
        TapeCheckStatus.ONE_OF_THESE, candidates=(Candidate(Subject.D1, Slip.SWAPPED_DIGITS, feet(25)),)
    )


def test_metric_slips_are_centimeters() -> None:
    """4000 x 3000 with 5000 across, one wall read 10 mm short."""
    wrong = RoomReadings(mm(3990), mm(4000), mm(3000), mm(3000), mm(5000), mm(5000))
    slips = {one.slip for one in tape_check(wrong, mm(1), Instrument.TAPE, Style.MM).candidates}
    assert Slip.ONE_CENTIMETER in slips
    assert not slips & {Slip.ONE_INCH, Slip.ONE_FOOT}


def test_a_reading_is_more_than_zero() -> None:
    with pytest.raises(LengthError, match="d1"):
        RoomReadings(d1=inches(0))


CORNER = st.tuples(st.integers(-12, 12), st.integers(-12, 12))


@given(
    wide=st.integers(96, 600),
    deep=st.integers(96, 600),
    off=st.tuples(CORNER, CORNER),
    slipped=st.sampled_from(Subject),
)
def test_true_readings_always_agree_and_a_foot_lost_on_any_of_them_is_always_offered(
    wide: int, deep: int, off: tuple[tuple[int, int], tuple[int, int]], slipped: Subject
) -> None:
    """Any four-cornered room, its six sizes from the corners."""
    corners = {
        "DL": (0, 0),
        "DR": (wide, 0),
        "FR": (wide + off[0][0], deep + off[0][1]),
        "FL": (off[1][0], deep + off[1][1]),
    }

    def between(one: str, other: str) -> Length:
        return nanometers(round(math.dist(corners[one], corners[other]) * 25_400_000))

    ends = {"door": "DL DR", "far": "FL FR", "left": "DL FL", "right": "DR FR", "d1": "DL FR", "d2": "DR FL"}
    true = {subject: between(*pair.split()) for subject, pair in ends.items()}
    checked = tape_check(RoomReadings(**true), SIXTEENTH)
    assert checked.status is TapeCheckStatus.OK
    assert checked.miss is not None and abs(checked.miss) <= nanometers(1000)

    wrong = tape_check(RoomReadings(**{**true, slipped.value: true[slipped.value] - feet(1)}), SIXTEENTH)
    if slipped in (Subject.D1, Subject.D2):  # a short wall of a long room hardly moves the diagonals
        assert wrong.status is TapeCheckStatus.ONE_OF_THESE
    if wrong.status is TapeCheckStatus.ONE_OF_THESE:
        assert Candidate(slipped, Slip.ONE_FOOT, true[slipped.value]) in wrong.candidates
