"""Whether a housing is too deep for its bay, and how the bay is named. Sums done by hand."""

from layout.engine.lengths import ZERO, inches
from layout.engine.marks import Axis, Datum, Kind, Orientation, Side
from layout.engine.overhead.bays import bay_at
from layout.engine.overhead.depth import too_deep
from layout.engine.overhead.footprint import turned
from layout.engine.overhead.stand import Direction, stand
from layout.engine.overhead.values import Cavity, Member, Overhead
from layout.engine.stacks import as_measured
from tests.engine.test_overhead_check import HOUSING, Fixture, joists, mark, thing

EIGHT_FOOT = as_measured(inches(96))


def standing(*things, hollow=None, zero_x=Side.LEFT, members=()):
    overhead = Overhead((joists(first="8"),), tuple(members), tuple(things), hollow)
    return stand(overhead, Orientation(Axis.LEFT_RIGHT, zero_x), EIGHT_FOOT, EIGHT_FOOT)


def found(fixture, *things, at="48", hollow=None):
    return too_deep([mark(at, "48")], {Kind.LIGHT: fixture}, standing(*things, hollow=hollow))


def test_a_7_1_2_housing_wants_more_than_a_2x8_has_where_half_an_inch_is_kept():
    """7 1/4 + 1/2 of drywall less 1/2 kept is 7 1/4."""
    hollow = Cavity(inches("7 3/4"), inches("1/2"))
    (short,) = found(Fixture(inches("6 3/8"), depth=inches("7 1/2")), hollow=hollow)
    assert (short.free, short.short_by, short.under) == (inches("7 1/4"), inches("1/4"), "")
    assert found(Fixture(inches("6 3/8"), depth=inches("7 1/4")), hollow=hollow) == ()


def test_a_duct_leaves_less_and_is_named_with_its_bay():
    duct = thing(48, 48, 12, 12, name="duct", above=True, clear="2", leaves=inches("6 1/4"))
    (short,) = found(Fixture(inches(6), depth=inches("7 1/2")), duct, at="47")
    assert (short.bay, short.under) == ("joists 3 and 4", "duct")
    assert (short.free, short.takes, short.short_by) == (inches("6 1/4"), inches("7 1/2"), inches("1 1/4"))


def test_what_stands_beside_a_duct_has_its_bays_whole_depth():
    duct = thing(48, 48, 12, 12, name="duct", above=True, clear="2", leaves=inches("6 1/4"))
    assert found(Fixture(inches(6), depth=inches("7 1/2")), duct, at="58") == ()


def test_a_housing_under_a_duct_by_its_frame_is_under_it():
    duct = thing(48, 66, 96, 8, name="duct", above=True, leaves=inches("6 1/4"))  # its near face at 62
    deep = Fixture(HOUSING.cutout, frame=HOUSING.frame, depth=inches("7 1/2"))
    place = standing(duct)
    toward_duct = next(turn for turn in (0, 90, 180, 270) if turned(HOUSING.frame, turn).box_toward is Side.FAR)
    marks = [mark("48", "54")]
    assert too_deep(marks, {Kind.LIGHT: deep}, place, {"A1": toward_duct})[0].under == "duct"
    assert too_deep(marks, {Kind.LIGHT: deep}, place) == ()  # turned away from it


def test_depths_nobody_gave_are_not_judged():
    assert found(Fixture(inches(6)), hollow=Cavity(inches(2))) == ()
    assert found(Fixture(inches(6), depth=inches(9))) == ()


def test_the_bays_at_the_ends_are_between_a_wall_and_a_joist():
    place = standing()
    assert bay_at(place, Direction.ALONG, inches(2)).name == "the left wall and joist 1"
    assert bay_at(place, Direction.ALONG, inches(95)).name == "joist 6 and the right wall"
    assert bay_at(place, Direction.ALONG, inches(8)).name == "joists 1 and 2"  # on a joist: the bay after it
    assert bay_at(place, Direction.ACROSS, inches(2)) is None
    from_right = standing(zero_x=Side.RIGHT)
    assert bay_at(from_right, Direction.ALONG, inches(2)).name == "the right wall and joist 1"


def test_a_bay_beside_a_header_is_called_by_both_names():
    header = Member("header", Axis.DOOR_FAR, inches(30), Side.LEFT, Datum.EDGE, inches(3), ZERO)
    bay = bay_at(standing(members=[header]), Direction.ALONG, inches(35))
    assert (bay.name, bay.low, bay.high) == ("header and joist 3", inches("31 1/2"), inches("39 1/4"))
