"""The sum column tells what is pinned, how near the joists are, how the tiles lie and what a slope adds. By hand."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from layout.engine.ceiling import Corner, Grid, Slope
from layout.engine.lengths import ZERO, Style, Tape, Unit, inches
from layout.engine.marks import Axis, Datum, Kind, Orientation, Side
from layout.engine.overhead.values import Frame, Joists, Overhead
from layout.engine.pins import Line, Moved, Pin
from layout.engine.room import AxisSurvey, Fitting, RoomInputs, lay_out
from layout.engine.rows.arrange import Mode
from layout.engine.stacks import SideBuildUp
from layout.sums import Words, columns

TAPE = Tape(Style.INCHES, 16)


def survey(size):
    return AxisSurvey(None, inches(size), None, SideBuildUp(), SideBuildUp())


ROOM = RoomInputs(
    unit=Unit.INCH,
    orientation=Orientation(Axis.LEFT_RIGHT),
    left_right=survey(228),
    door_far=survey(186),
    rows=2,
    lights_per_row=4,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    end_setback=inches("28 1/2"),
    row_setback=inches(36),
    spacing_limit=inches(72),
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    light_to_speaker=inches(24),
    light=Fitting("light", "Light", inches("6 3/8")),
    speaker=Fitting("speaker", "Speaker", inches("9 1/4")),
)


def lines(*, system="board", **change):
    layout = lay_out(replace(ROOM, **change))
    room = SimpleNamespace(ceiling_system=system, wall_name=lambda side: f"{side.value} wall")
    sizes = {axis: (None, SimpleNamespace(said="as taped")) for axis in Axis}
    words = Words(room, TAPE, sizes)
    return {line.key: line for column in columns(layout, words) for line in column.lines}


def test_a_plain_room_has_none_of_them():
    theirs = ("pin", "moved", "tile", "border", "joist", "slope", "zone")
    assert not [key for key in lines() if any(word in key for word in theirs)]


def test_what_is_pinned():
    told = lines(pins=(Pin(Line.COLUMN, 2, inches(80)), Pin(Line.ROW, 1, inches(40)), Pin(Line.ROW, 5, inches(40))))
    assert told["along-pin-2"].number == "80" and told["across-pin-1"].number == "40"
    assert "across-pin-5" not in told


def test_a_box_for_off_the_wall_says_where_the_first_light_really_stands():
    """28 1/2 asked: kept, pinned at 40, or the tile at 30."""
    grid = Grid(inches(24), inches(24))
    assert lines()["along-setback"].note == ""
    assert lines(pins=(Pin(Line.COLUMN, 1, inches(40)),))["along-setback"].note == 'it stands at 40"'
    assert lines(grid=grid)["along-setback"].note == 'it stands at 30"'


def test_one_light_pinned_is_not_called_the_middle():
    assert lines(lights_per_row=1)["along-setback"].what.startswith("in the middle")
    told = lines(lights_per_row=1, pins=(Pin(Line.COLUMN, 1, inches(40)),))
    assert told["along-setback"].what.startswith("off the wall")


def test_what_was_moved_alone():
    """A2 stands at 85 1/2 in its row; moved to 80 it is 5 1/2 off, across it stays."""
    told = lines(moved=(Moved(Kind.LIGHT, 1, 2, inches(80), inches(36)),))
    assert told["along-moved-A2"].number == "5 1/2"
    assert "across-moved-A2" not in told


def test_the_nearest_joist():
    """Joists at 10, 26, 42 ...; lights at 28 1/2, 85 1/2, 142 1/2, 199 1/2. The first is 2 1/2 from 26, and a 6 3/8
    hole with 1/2 free beside a 1 1/2 joist needs 4 7/16."""
    joists = Joists(Axis.DOOR_FAR, inches(16), inches("1 1/2"), inches(10), Side.LEFT, Datum.EDGE, inches("1/2"))
    line = lines(overhead=Overhead((joists,), looked=True))["along-joist"]
    assert (line.number, line.tone) == ("2 1/2", "bad")
    assert line.note == 'joist 2 to A1, too near: keeps 4 7/16"'


def test_the_nearest_joist_to_a_frame():
    """The same joists, an 8 in frame's width across the bay, lights pinned mid-bay at 34: 8 from either joist's center,
    less 4 and 3/4."""
    joists = Joists(Axis.DOOR_FAR, inches(16), inches("1 1/2"), inches(10), Side.LEFT, Datum.EDGE, inches("1/2"))
    told = lines(
        overhead=Overhead((joists,), looked=True),
        light=replace(ROOM.light, frame=Frame(inches(15), inches(8), inches("7 1/2"), inches(4))),
        pins=tuple(Pin(Line.COLUMN, n, inches(x)) for n, x in enumerate((34, 82, 146, 194), 1)),
    )
    assert (told["along-joist"].number, told["along-joist"].tone) == ("8", "ok")
    assert told["along-joist-frame"].number == "3 1/4"
    assert told["along-joist-frame"].note == 'joist 2 to A1, keeps 1/2"'


def test_tiles_and_their_borders():
    """186: six whole tiles and 21 at both ends; 228: eight and 18."""
    told = lines(grid=Grid(inches(24), inches(24)))
    assert (told["across-tiles"].number, told["across-border"].number) == ("6", "21")
    assert (told["along-tiles"].number, told["along-border"].number) == ("8", "18")


def test_a_grid_as_found_shows_both_borders_and_a_sliver():
    """A tee 41 from the door: 17 at the door, seven tiles, 1 at the far wall."""
    told = lines(grid=Grid(inches(24), inches(24), line_y=inches(41)))
    assert (told["across-border-first"].number, told["across-border-last"].number) == ("17", "1")
    assert told["across-border-last"].tone == "warn"


def test_a_slope_adds_to_what_the_tape_reads():
    """9 in 12 is 3-4-5: 57 between lights is 71 1/4 on the slope, 28 1/2 is 35 5/8."""
    told = lines(slope=Slope(Axis.LEFT_RIGHT, inches(9), inches(12)))
    assert told["along-slope"].number == "9"
    assert told["along-gap-on-slope"].number == "71 1/4"
    assert told["along-1"].note == '35 5/8" on the slope'
    assert told["across-1"].note == ""


def test_a_sloped_ceiling_without_its_slope_says_so():
    assert "not entered" in lines(system="sloped")["slope"].note


def test_speakers_on_a_line_of_their_own_are_told_by_their_true_distance():
    """57 apart and 114 across: halfway is 28 1/2 and 57, the root of 4061 1/4 is 63.73."""
    assert lines(speaker_gaps=(2,), speakers_between=(1,))["along-speaker"].number == "63 3/4"


def test_rows_of_speakers_are_called_so():
    told = lines(rows_of=Kind.SPEAKER)
    assert told["lights-per-row"].what == "speakers in a row"
    assert "along-speaker" not in told


def test_a_room_of_zones_says_whose_numbers_these_are():
    """An L: 228 x 186 less its far right corner 100 x 90. The largest rectangle lies at the left wall, 128 x 186."""
    corners = ((0, 0), (228, 0), (228, 96), (128, 96), (128, 186), (0, 186))
    told = lines(outline=tuple(Corner(inches(x), inches(y)) for x, y in corners), rows=1)
    assert told["along-zone"].number == "128"
    assert told["along-setback"].number == "28 1/2"


PINNED = {"pins": (Pin(Line.COLUMN, 2, inches("80 1/16")),)}
TILED = {"grid": Grid(inches(24), inches(24))}


@pytest.mark.parametrize("change", [{}, PINNED, TILED])
def test_the_sum_closes(change):
    """First off the wall, the gaps and the last to the wall add up to the ceiling."""
    layout = lay_out(replace(ROOM, **change))
    for lines_, facts, gaps, result in (
        (layout.arrangement.columns, layout.arrangement.along_facts, layout.arrangement.along_gaps, layout.along),
        (layout.arrangement.rows, layout.arrangement.across_facts, layout.arrangement.across_gaps, layout.across),
    ):
        assert len(lines_) == len(gaps) + 1
        assert sum(gaps, start=ZERO) + facts.off_wall + facts.last_to_wall == result.datums.ceiling
