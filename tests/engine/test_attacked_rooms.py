"""Rooms that once went wrong: pins at a wall, marks held in a wing, square holes by a skewed wall. Invented sizes."""

from dataclasses import replace

import pytest

from layout.engine.ceiling import Corner, Grid, Region
from layout.engine.findings import Code, say
from layout.engine.lengths import LengthError, Style, Tape, Unit, inches
from layout.engine.marks import Axis, Datum, Kind, Orientation, Side
from layout.engine.overhead.values import Joists, Member, Overhead
from layout.engine.pins import Line, Moved, Pin
from layout.engine.room import AxisSurvey, Fitting, RoomInputs, lay_out
from layout.engine.rows.wish import Mode
from layout.engine.stacks import SideBuildUp

TAPE = Tape(Style.INCHES, 16)


def survey(size):
    return AxisSurvey(None, inches(size), None, SideBuildUp(), SideBuildUp())


PLAIN = RoomInputs(
    unit=Unit.INCH,
    orientation=Orientation(Axis.LEFT_RIGHT),
    left_right=survey(240),
    door_far=survey(144),
    rows=2,
    lights_per_row=3,
    mode_along=Mode.EVEN,
    mode_across=Mode.EVEN,
    end_setback=inches(30),
    row_setback=inches(30),
    spacing_limit=inches(96),
    edge_min=inches(2),
    web_min=inches(1),
    light_to_speaker=inches(20),
    light=Fitting("four", "4 in light", inches(4)),
)
# An L: 240 along the door wall 144 deep, the left 120 of it going on to 264.
L_ROOM = replace(
    PLAIN,
    door_far=survey(264),
    outline=tuple(
        Corner(inches(x), inches(y)) for x, y in ((0, 0), (240, 0), (240, 144), (120, 144), (120, 264), (0, 264))
    ),
)


def found(layout, code):
    return next(each for each in layout.arrangement.findings if each.code is code)


def test_a_last_column_pinned_on_the_wall_is_too_near_the_wall_not_a_column_that_is_not_there():
    clash = found(lay_out(replace(PLAIN, pins=(Pin(Line.COLUMN, 3, inches(240)),))), Code.PINNED_OUT_OF_ORDER)
    assert clash.near == "the wall"
    assert "column 4" not in say(clash, TAPE)


def test_a_row_of_a_wing_pinned_past_its_edge_is_named_by_the_rooms_row_and_measured_from_the_rooms_corner():
    laid = lay_out(L_ROOM)
    wing = laid.zones[1]
    row = wing.rows_before + 1
    layout = lay_out(replace(L_ROOM, pins=(Pin(Line.ROW, row, inches(270)),)))
    past = found(layout, Code.PINNED_PAST_EDGE)
    assert (past.subject, past.limit, past.short_by) == (f"row {row}", inches(270), inches(6))


def test_a_column_held_that_the_largest_part_has_not_says_that_only_there_columns_can_be_held():
    layout = lay_out(replace(L_ROOM, pins=(Pin(Line.COLUMN, 5, inches(60)),)))
    assert "only there can a column be held" in say(found(layout, Code.NO_SUCH_MARK), TAPE)


def test_one_row_in_the_room_is_said_as_one_row():
    tray = Region("tray", tuple(Corner(inches(x), inches(y)) for x, y in ((80, 50), (160, 50), (160, 90), (80, 90))),
                  inches(6), laid_out=False)  # fmt: skip
    layout = lay_out(replace(PLAIN, rows=1, regions=(tray,), pins=(Pin(Line.ROW, 4, inches(60)),)))
    assert "there is 1 row." in say(found(layout, Code.NO_SUCH_MARK), TAPE)


@pytest.fixture
def tray_over_the_middle():
    """Of five columns the middle one gives way to a tray with lights of its own."""
    corners = ((100, 20), (140, 20), (140, 124), (100, 124))
    tray = Region("tray", tuple(Corner(inches(x), inches(y)) for x, y in corners), inches(6))
    return replace(PLAIN, lights_per_row=5, regions=(tray,))


def test_the_third_light_of_a_row_is_the_third_that_is_there(tray_over_the_middle):
    before = [m for m in lay_out(tray_over_the_middle).arrangement.marks if m.row == 1]
    assert [mark.along for mark in before] == [inches(at) for at in (40, 80, 160, 200)]
    moved = replace(tray_over_the_middle, moved=(Moved(Kind.LIGHT, 1, 3, inches(165), inches(48)),))
    after = [m for m in lay_out(moved).arrangement.marks if m.row == 1]
    assert [mark.along for mark in after] == [inches(at) for at in (40, 80, 165, 200)]
    assert after[2].moved_from == (before[2].along, before[2].across)


def test_a_light_a_person_put_into_a_tray_stays_there(tray_over_the_middle):
    moved = replace(tray_over_the_middle, moved=(Moved(Kind.LIGHT, 1, 2, inches(110), inches(48)),))
    marks = lay_out(moved).arrangement.marks
    assert (inches(110), inches(48)) in {(mark.along, mark.across) for mark in marks}
    assert len(marks) == len(lay_out(tray_over_the_middle).arrangement.marks)


def test_a_light_that_is_not_in_the_row_is_said_to_be_missing(tray_over_the_middle):
    moved = replace(tray_over_the_middle, moved=(Moved(Kind.LIGHT, 1, 5, inches(110), inches(48)),))
    missing = found(lay_out(moved), Code.NO_SUCH_MARK)
    assert (missing.subject, missing.near) == ("light 5 of row 1", "4 lights in that row")


JOISTS = Joists(Axis.DOOR_FAR, inches(16), inches("1 1/2"), inches(9), Side.LEFT, Datum.EDGE, inches("1/2"))
HEADER = Member("header", Axis.DOOR_FAR, inches(9), Side.LEFT, Datum.EDGE, inches(3), inches("1/2"))


@pytest.mark.parametrize(
    "change, named",
    [
        ({"light": Fitting("none", "No hole", inches(0))}, "Light: its cutout"),
        ({"edge_min": inches(-1)}, "From a hole to the ceiling's edge"),
        ({"web_min": inches(-1)}, "Between two holes"),
        ({"light_to_speaker": inches(-1)}, "From a speaker to a light"),
        ({"overhead": Overhead(joists=(replace(JOISTS, clear=inches(-1)),))}, "Joists: what is kept clear"),
        ({"overhead": Overhead(members=(replace(HEADER, width=inches(-3)),))}, "header: give a width"),
        ({"overhead": Overhead(members=(HEADER,) * 100_000)}, "100000 members out of the pattern"),
        ({"overhead": Overhead(joists=(JOISTS,) * 1000)}, "1000 runs of joists"),
        ({"regions": (Region("tray", (), inches(3)),) * 500}, "Parts of the ceiling: 500"),
        ({"grid": Grid(inches(1), inches(24))}, "Tile: more than 150"),
        ({"grid": Grid(inches(4), inches(24), half_tiles=True)}, "Leave half tiles out"),
    ],
)
def test_what_no_ceiling_has_is_refused_by_name(change, named):
    with pytest.raises(LengthError, match=named):
        lay_out(replace(PLAIN, **change))
