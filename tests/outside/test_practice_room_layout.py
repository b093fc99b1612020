"""One room laid out as a crew does it with a pencil. Common practice, no source; every number summed by hand.

A ceiling 150 1/2 x 77 1/4 in, two rows of three lights in the 4 in class (cut 4 1/4), 12 in from each end, no more than
6 ft apart, and four speakers between the lights so that all reads as one pattern when off.
"""

from dataclasses import replace

import pytest

from layout.engine.lengths import Length, Tape, Unit, inches
from layout.engine.marks import Kind
from layout.engine.rows.arrange import Hole, Mode, Wish, arrange, say

ROOM = Wish(
    along=inches("150 1/2"),
    across=inches("77 1/4"),
    unit=Unit.INCH,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    rows=2,
    columns=3,
    end_setback=inches(12),
    row_setback=inches(16),
    spacing_limit=inches(72),
    light=Hole(inches("4 1/4")),
    speaker=Hole(inches(9)),
    speaker_gaps=(1, 2),
    speaker_columns=(),
    subwoofer=None,
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    speaker_to_light_min=inches(24),
)


def each(*lengths: str) -> tuple[Length, ...]:
    return tuple(inches(length) for length in lengths)


def test_the_ends_first_then_the_middle() -> None:
    """150 1/2 - 2 x 12 = 126 1/2 between the outer lights; half of it, 63 1/4, either side of the middle."""
    laid = arrange(ROOM)
    assert laid.columns == each("12", "75 1/4", "138 1/2")
    assert laid.along_gaps == each("63 1/4", "63 1/4")
    assert laid.fits


def test_speakers_halfway_between_lights() -> None:
    """63 1/4 / 2 = 31 5/8 from each neighbor."""
    laid = arrange(ROOM)
    assert laid.speaker_positions == each("43 5/8", "106 7/8")
    speakers = [mark for mark in laid.marks if mark.kind is Kind.SPEAKER]
    assert [mark.id for mark in speakers] == ["SP1", "SP2", "SP3", "SP4"]
    lights = [mark.along for mark in laid.marks if mark.kind is Kind.LIGHT]
    assert {min(abs(mark.along - light) for light in lights) for mark in speakers} == {inches("31 5/8")}


@pytest.mark.parametrize(("off_wall", "apart"), [("16", "45 1/4"), ("18", "41 1/4"), ("24", "29 1/4")])
def test_rows_held_toward_the_walls(off_wall: str, apart: str) -> None:
    laid = arrange(replace(ROOM, row_setback=inches(off_wall)))
    assert laid.across_gaps == each(apart)
    assert laid.rows[0] == inches("77 1/4") - laid.rows[1] == inches(off_wall)


def test_rows_at_equal_thirds_leave_the_long_walls_darker() -> None:
    """77 1/4 / 3 = 25 3/4: 9 3/4 farther from the wall than rows held at 16."""
    laid = arrange(replace(ROOM, mode_across=Mode.EVEN))
    assert laid.rows == each("25 3/4", "51 1/2")
    held = arrange(ROOM).across_facts
    assert held is not None
    assert (held.even_split, held.nearer_wall_by) == each("25 3/4", "9 3/4")


def test_six_feet_is_the_most_so_three_lights_are_the_fewest() -> None:
    """126 1/2 / 72 is more than one gap and less than two."""
    assert len(arrange(replace(ROOM, columns=None)).columns) == 3


def test_two_lights_would_leave_ten_and_a_half_feet() -> None:
    laid = arrange(replace(ROOM, columns=2, speaker_gaps=(1,)))
    assert laid.columns == each("12", "138 1/2")
    assert [say(finding, Tape()) for finding in laid.findings] == [
        'A1 to A2 is 126 1/2": 54 1/2" over the 72" limit.'
    ]


def test_lights_are_numbered_along_each_row_from_the_zero_corner() -> None:
    lights = [mark for mark in arrange(ROOM).marks if mark.kind is Kind.LIGHT]
    assert [(mark.id, mark.row) for mark in lights] == [
        ("A1", 1), ("A2", 1), ("A3", 1), ("A4", 2), ("A5", 2), ("A6", 2),
    ]  # fmt: skip
    assert lights[0].across == inches(16)


def test_a_subwoofer_goes_in_the_middle_of_the_room() -> None:
    """75 1/4 and 38 5/8: 22 5/8 from the middle lights of both rows, clear of every hole."""
    laid = arrange(replace(ROOM, subwoofer=Hole(inches(12))))
    (sub,) = [mark for mark in laid.marks if mark.kind is Kind.SUBWOOFER]
    assert (sub.id, sub.along, sub.across) == ("SW1", inches("75 1/4"), inches("38 5/8"))
    assert laid.fits
