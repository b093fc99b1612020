"""A room's layout beside what stands overhead: what won't fit says so first, and by exactly how much."""

from dataclasses import replace

from layout.engine.findings import Code, say
from layout.engine.lengths import Tape, Unit, inches
from layout.engine.marks import Axis, Datum, Kind, Orientation, Side
from layout.engine.overhead.values import Cavity, ClearTo, Frame, Joists, Overhead, Thing
from layout.engine.pins import Line, Moved, Pin
from layout.engine.room import AxisSurvey, Fitting, RoomInputs, lay_out
from layout.engine.rows.arrange import Mode
from layout.engine.stacks import SideBuildUp

TAPE = Tape()


def survey(size):
    return AxisSurvey(None, inches(size), None, SideBuildUp(), SideBuildUp())


DEN = RoomInputs(
    unit=Unit.INCH,
    orientation=Orientation(Axis.LEFT_RIGHT),
    left_right=survey(228),
    door_far=survey(150),
    rows=2,
    lights_per_row=4,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    end_setback=inches("28 1/2"),
    row_setback=inches(30),
    spacing_limit=inches(72),
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    light_to_speaker=inches(24),
    light=Fitting("light", "Light", inches("6 3/8")),
)
JOISTS = Joists(Axis.DOOR_FAR, inches(16), inches("1 1/2"), inches(10), Side.LEFT, Datum.EDGE, inches("1/2"))


def thing(name, x, y, **change):
    known = Thing(
        name, name, inches(x), inches(y), inches(6), inches(6), True, Datum.FINISHED, inches(12), ClearTo.RIM
    )
    return replace(known, **change)


def found(*things, joists=(), cavity=None, **change):
    overhead = Overhead(joists=joists, things=things, cavity=cavity, looked=True)
    return lay_out(replace(DEN, overhead=overhead, **change)).arrangement.findings


def test_the_worked_case():
    """Common practice, no source: net 19 ft 0 in, four columns, joists at 10, 26, 42 ... in, 6 3/8 in holes. The ideal
    2 ft 4 1/2 in, 7 ft 1 1/2 in, 11 ft 10 1/2 in, 16 ft 7 1/2 in leaves the outer two 2 1/2 in from a joist; 4 7/16 in
    are needed, so 1 15/16 in are missing. Four marks of eight are such."""
    (only,) = found(joists=(JOISTS,))
    assert (only.code, only.subject, only.short_by, only.more, only.fixed) == (
        Code.ON_A_JOIST, "A1", inches("1 15/16"), 3, True,
    )  # fmt: skip
    assert say(only, TAPE) == (
        "Won't fit: A1's hole is 1 15/16\" too near joist 2: nothing is left between, and 1/2\" is kept "
        "(3 more like it)."
    )


def test_the_outer_pair_two_inches_inward_clears_them():
    """2 ft 6 1/2 in, 7 ft 1 1/2 in, 11 ft 10 1/2 in and 16 ft 5 1/2 in: the move a crew would take."""
    at = {1: "30 1/2", 2: "85 1/2", 3: "142 1/2", 4: "197 1/2"}
    assert not found(joists=(JOISTS,), pins=tuple(Pin(Line.COLUMN, n, inches(x)) for n, x in at.items()))


def test_joists_along_the_rows_hold_rows_not_columns():
    """Members at 10, 26 ... from the door: rows at 30 and 120 stand 4 and 2 from the nearest (26, 122)."""
    along = replace(JOISTS, runs=Axis.LEFT_RIGHT, first_from=Side.DOOR)
    (only,) = found(joists=(along,))
    assert (only.subject, only.short_by, only.more) == ("A5", inches("2 7/16"), 7)


def test_each_thing_is_said_by_its_name_and_safety_comes_first():
    """A light's center 9 from an alarm's: 3 3/16 + 3 + 12 are needed. A cabinet a shop may come nearer to is last."""
    one, other = found(thing("smoke alarm", "94 1/2", 30), thing("cabinet", "142 1/2", 40, fixed=False))
    assert (one.near, one.short_by, one.fixed) == ("smoke alarm", inches("9 3/16"), True)
    assert (other.near, other.short_by, other.fixed) == ("cabinet", inches("8 3/16"), False)
    assert say(one, TAPE).startswith("Won't fit: A2's hole is 9 3/16\" too near smoke alarm")
    assert say(other, TAPE).startswith("A3's hole is 8 3/16\" too near cabinet")


def test_what_safety_forbids_comes_before_what_the_shop_would_rather_not():
    codes = [each.code for each in found(thing("smoke alarm", "94 1/2", 30), spacing_limit=inches(48))]
    assert codes == [Code.NEAR_A_THING, Code.GAP_OVER_LIMIT]


def test_an_own_clearance_says_why():
    (only,) = found(thing("alarm", "94 1/2", 30, note="agreed with the installer"))
    assert "(agreed with the installer)" in say(only, TAPE)


def test_a_moved_light_is_checked_where_it_stands():
    alarm = thing("smoke alarm", "94 1/2", 30)
    assert not found(alarm, moved=(Moved(Kind.LIGHT, 1, 2, inches(75), inches(30)),))


def test_too_deep_for_what_is_above():
    (only,) = found(cavity=Cavity(inches(6), inches("1/2")), light=replace(DEN.light, depth=inches("7 1/4")))
    assert (only.code, only.short_by, only.more, only.fixed) == (Code.TOO_DEEP, inches("1 3/4"), 7, True)
    assert say(only, TAPE) == 'Won\'t fit: A1 is 1 3/4" too deep for the 5 1/2" that is free there (7 more like it).'


def test_under_a_low_duct_a_light_is_too_deep_and_nothing_else():
    duct = thing(
        "duct", "85 1/2", 75, wide=inches(12), deep=inches(140), round=False, above=True, leaves=inches(6),
        clear=inches(1),
    )  # fmt: skip
    deep = replace(DEN.light, depth=inches(7))
    (only,) = found(duct, light=deep)
    assert (only.code, only.subject, only.short_by, only.more) == (Code.TOO_DEEP, "A2", inches(1), 1)
    assert "under the duct" in say(only, TAPE)
    assert not found(duct, light=replace(deep, depth=inches(6)))


def test_a_frame_is_turned_to_clear():
    """A 15 x 8 frame, its opening in the middle, in a 14 1/2 bay: only with its short side across the bay."""
    light = replace(DEN.light, frame=Frame(inches(15), inches(8), inches("7 1/2"), inches(4)))
    at = tuple(Pin(Line.COLUMN, n, inches(x)) for n, x in enumerate((34, 82, 146, 194), 1))
    layout = lay_out(replace(DEN, light=light, pins=at, overhead=Overhead((JOISTS,), looked=True)))
    assert layout.arrangement.fits
    assert {turn % 180 for turn in layout.turns.values()} == {90}


def test_nothing_overhead_changes_nothing():
    assert lay_out(DEN).arrangement.fits
    assert lay_out(replace(DEN, overhead=Overhead(looked=True))).arrangement == lay_out(DEN).arrangement
