"""Rooms for the tests of ways out. Invented, but for the joist case of common practice."""

from dataclasses import replace

from layout.engine.lengths import Style, Tape, Unit, inches, mm
from layout.engine.marks import Axis, Datum, Orientation, Side
from layout.engine.overhead.values import Joists, Overhead, Thing
from layout.engine.room import AxisSurvey, Fitting, RoomInputs
from layout.engine.rows.wish import Mode
from layout.engine.stacks import SideBuildUp

TAPE = Tape(Style.FEET_INCHES, 16)
LIGHT = Fitting("six", "6 in light", inches("6 3/8"))
SMALL = Fitting("four", "4 in light", inches("4 1/4"))
TINY = Fitting("two", "2 in light", inches("2 1/4"))
SPEAKER = Fitting("speaker", "Speaker", inches("9 1/4"))


def survey(size):
    return AxisSurvey(None, size, None, SideBuildUp(), SideBuildUp())


def joists(first, *, runs=Axis.DOOR_FAR, spacing="16", width="1 1/2", clear="1/2"):
    """Members every 16 in; those that run from the door to the far wall are counted from the left wall."""
    side = Side.LEFT if runs is Axis.DOOR_FAR else Side.DOOR
    return Joists(runs, inches(spacing), inches(width), inches(first), side, Datum.EDGE, inches(clear))


def under(*framing, things=()):
    return Overhead(joists=framing, things=things, looked=True)


def duct(x, y, wide="20", deep="14", clear="2", name="supply duct"):
    sizes = inches(wide), inches(deep)
    return Thing(name, "duct", inches(x), inches(y), *sizes, False, Datum.EDGE, inches(clear), above=True)


# Common practice, no source: 19'-0" of ceiling, four lights half a gap off the walls, joists at 10, 26, 42 in and on.
WORKED = RoomInputs(
    unit=Unit.INCH,
    orientation=Orientation(Axis.LEFT_RIGHT),
    left_right=survey(inches(228)),
    door_far=survey(inches(120)),
    rows=2,
    lights_per_row=4,
    mode_along=Mode.HALF_GAP,
    mode_across=Mode.WALL_HELD,
    end_setback=inches(24),
    row_setback=inches(30),
    spacing_limit=inches(72),
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    light_to_speaker=inches(24),
    light=LIGHT,
    overhead=under(joists("10")),
)
OPEN = replace(WORKED, overhead=Overhead(looked=True))
METRIC = replace(
    OPEN,
    unit=Unit.MM,
    left_right=survey(mm(5800)),
    door_far=survey(mm(3000)),
    end_setback=mm(600),
    row_setback=mm(750),
    spacing_limit=mm(1800),
    edge_min=mm(100),
    web_min=mm(40),
    light_to_speaker=mm(600),
    light=Fitting("six", "Light", mm(162)),
)
