"""What a hole or a frame is too near to, by how much, and where its center may stand. Sums done by hand."""

from dataclasses import dataclass
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import ZERO, Distance, Length, inches, nanometers
from layout.engine.marks import Axis, Datum, Kind, Mark, Orientation, Side
from layout.engine.overhead.check import best_turns, in_the_way
from layout.engine.overhead.footprint import turned
from layout.engine.overhead.legal import clear_at
from layout.engine.overhead.stand import Direction, stand
from layout.engine.overhead.values import ClearTo, Frame, Joists, Overhead, Thing
from layout.engine.stacks import as_measured

ROWS_LEFT_RIGHT = Orientation(Axis.LEFT_RIGHT)


@dataclass(frozen=True)
class Fixture:
    cutout: Length
    square: bool = False
    frame: Frame | None = None
    depth: Length | None = None


SIX_INCH = Fixture(inches("6 3/8"))


def joists(spacing="16", first="8", runs=Axis.DOOR_FAR, clear="1/2"):
    side = Side.LEFT if runs is Axis.DOOR_FAR else Side.DOOR
    return Joists(runs, inches(spacing), inches("1 1/2"), inches(first), side, Datum.EDGE, inches(clear))


def thing(x, y, wide, deep=None, clear="0", name="register", **more):
    return Thing(
        name, "register", inches(x), inches(y), inches(wide), inches(deep or wide), deep is None, Datum.EDGE,
        inches(clear), **more,
    )  # fmt: skip


def room(*joists, things=(), orientation=ROWS_LEFT_RIGHT, along="240", across="120"):
    return stand(
        Overhead(joists, things=tuple(things)), orientation, as_measured(inches(along)), as_measured(inches(across))
    )


def mark(along, across="60", name="A1", row=1, kind=Kind.LIGHT):
    return Mark(name, kind, inches(along), inches(across), row)


def shorts(standing, fitting, *marks):
    found = in_the_way(marks, {Kind.LIGHT: fitting}, standing)
    return [(each.mark, each.what, each.short_by) for each in found]


# --- framing


def test_a_6_3_8_hole_wants_its_mark_4_7_16_off_a_joists_center():
    """3 3/16 of hole, 1/2 of free material, 3/4 of joist."""
    standing = room(joists())
    assert shorts(standing, SIX_INCH, mark("12 7/16")) == []  # joist 1 at 8; touching is allowed
    assert shorts(standing, SIX_INCH, mark("12 3/8")) == [("A1", "joist 1", inches("1/16"))]


def test_a_hole_wider_than_its_bay_is_too_near_both_joists():
    found = shorts(room(joists("12", "6")), Fixture(inches("10 1/4")), mark("12"))
    assert found == [("A1", "joist 1", inches("3/8")), ("A1", "joist 2", inches("3/8"))]


def test_joists_that_run_with_the_rows_are_dodged_across_them():
    standing = room(joists(runs=Axis.LEFT_RIGHT))
    (found,) = in_the_way([mark("7", "8")], {Kind.LIGHT: SIX_INCH}, standing)
    assert found.on is Direction.ACROSS
    assert found.short_by == inches("4 7/16")
    assert found.fixed


def test_a_joist_at_a_third_of_an_inch_is_judged_exactly():
    third = Distance(Fraction(25_400_000, 3))
    pattern = Joists(Axis.DOOR_FAR, third * 60, inches("1 1/2"), third, Side.LEFT, Datum.EDGE, ZERO)
    standing = room(pattern)
    (found,) = in_the_way([mark("20", "60")], {Kind.LIGHT: Fixture(inches(6))}, standing)
    assert found.short_by == inches("3 3/4") - third  # joist 2 at 20 1/3


# --- things


def test_a_round_hole_keeps_from_a_rectangles_corner_by_the_slanted_distance():
    """3 in over and 4 in up from the corner is 5 in off: a 6 in hole leaves 2."""
    register = thing(20, 20, 10, 10, clear="2")  # its corner is at 25, 25
    assert shorts(room(things=[register]), Fixture(inches(6)), mark(28, 29)) == []
    register = thing(20, 20, 10, 10, clear="3")
    assert shorts(room(things=[register]), Fixture(inches(6)), mark(28, 29)) == [("A1", "register", inches(1))]


def test_a_slanted_distance_is_given_to_the_nanometer_that_asks_for_more():
    alarm = thing(10, 10, 6, clear="12")  # needs 3 + 12 + 3 = 18; (1, 1) is sqrt 2 away
    ((_, _, by),) = shorts(room(things=[alarm]), Fixture(inches(6)), mark(11, 11))
    exact = 18 * 25_400_000 - Fraction(2 * 25_400_000**2) ** Fraction(1, 2)
    assert 0 <= float(by.nm) - exact < 1.001
    assert by.nm.denominator == 1


def test_a_square_hole_keeps_from_a_round_thing_by_its_own_corner():
    alarm = thing(20, 20, 4, clear="1")  # the hole's corner is 3, 4 from the alarm's center: 5 less 2 is 3 to the rim
    square = Fixture(inches(6), square=True)
    assert shorts(room(things=[alarm]), square, mark(26, 27)) == []
    alarm = thing(20, 20, 4, clear="4")
    assert shorts(room(things=[alarm]), square, mark(26, 27)) == [("A1", "register", inches(1))]


def test_a_clearance_to_the_center_lets_the_rim_nearer():
    fan = thing(60, 60, 52, clear="24", clear_to=ClearTo.CENTER)  # 26 + 24 = 50
    assert shorts(room(things=[fan]), SIX_INCH, mark(110)) == []
    assert shorts(room(things=[fan]), SIX_INCH, mark(109)) == [("A1", "register", inches(1))]


def test_inside_a_thing_the_shortest_way_out_is_what_is_missing():
    duct = thing(60, 60, 40, 10)  # 1 in left of its center line: up or down is the short way, 5 in and the hole's 3
    assert shorts(room(things=[duct]), Fixture(inches(6)), mark(59, 61)) == [("A1", "register", inches(7))]


def test_an_override_and_its_note_go_with_the_conflict():
    alarm = thing(60, 60, 6, clear="36", fixed=True, source="as entered", note="moved by the alarm trade on Tuesday")
    (found,) = in_the_way([mark(61)], {Kind.LIGHT: SIX_INCH}, room(things=[alarm]))
    assert (found.fixed, found.source, found.note) == (True, "as entered", "moved by the alarm trade on Tuesday")


def test_a_duct_above_the_drywall_is_no_matter_to_a_light_that_stands_under_it():
    duct = thing(60, 60, 20, 20, above=True, leaves=inches("6 1/4"))
    assert shorts(room(things=[duct]), Fixture(inches(6), depth=inches(6)), mark(60)) == []
    assert shorts(room(things=[duct]), Fixture(inches(6), depth=inches("7 1/2")), mark(60)) != []
    assert shorts(room(things=[duct]), Fixture(inches(6)), mark(60)) != []  # nobody knows its depth


def test_a_light_as_deep_as_what_is_left_under_a_duct_stands_there():
    duct = thing(60, 60, 20, 20, above=True, leaves=inches("6 1/4"))
    assert shorts(room(things=[duct]), Fixture(inches(6), depth=inches("6 1/4")), mark(60)) == []


def test_depth_under_something_in_the_drywall_means_nothing():
    register = thing(60, 60, 20, 20, leaves=inches(9))
    assert shorts(room(things=[register]), Fixture(inches(6), depth=inches(4)), mark(60)) != []


def test_nothing_keeps_off_a_zone_that_only_asks_for_a_listed_light():
    assert shorts(room(things=[thing(60, 60, 36, 60, clear="36", keeps_off=False)]), SIX_INCH, mark(60)) == []


# --- frames

# 14 x 8, its opening 4 1/2 from one end and midway between the long sides: the box end reaches 9 1/2
HOUSING = Fixture(inches("6 3/8"), frame=Frame(inches(14), inches(8), inches("4 1/2"), inches(4)))


def test_a_new_work_frame_meets_the_joist_long_before_its_hole_does():
    standing = room(joists(first="10"))  # bays 10 3/4 to 25 1/4 and on: 14 1/2
    fixed_frame = Fixture(inches("6 3/8"), frame=Frame(inches(14), inches(8), inches("4 1/2"), inches(4), False))
    assert shorts(standing, SIX_INCH, mark(18)) == []
    # from 18 it reaches to 13 1/2 and 27 1/2: 2 1/4 into the joist, and 1/2 is kept
    assert shorts(standing, fixed_frame, mark(18)) == [("A1", "joist 2", inches("2 3/4"))]


def test_a_frame_that_may_turn_is_laid_with_its_long_side_along_the_joists():
    standing = room(joists(first="10"))
    assert shorts(standing, HOUSING, mark(18)) == []
    turn = best_turns([mark(18)], {Kind.LIGHT: HOUSING}, standing)["A1"]
    assert turned(HOUSING.frame, turn).long_side is Axis.DOOR_FAR


def test_a_frames_box_end_is_turned_away_from_a_duct():
    duct = thing(120, 72, 240, 8, above=True, clear="0")  # along the room, its near face at 68
    standing = room(joists(first="10"), things=[duct])
    turn = best_turns([mark(18)], {Kind.LIGHT: HOUSING}, standing)["A1"]
    assert turned(HOUSING.frame, turn).box_toward is Side.DOOR
    assert shorts(standing, HOUSING, mark(18)) == []


def test_where_two_turns_clear_the_frame_takes_the_one_with_more_room():
    """24 in bays take the frame either way; its 8 in side across them leaves the most."""
    standing = room(joists("24", "0"))
    turn = best_turns([mark("10 1/2")], {Kind.LIGHT: HOUSING}, standing)["A1"]
    assert turned(HOUSING.frame, turn).long_side is Axis.DOOR_FAR


def test_a_hole_that_reaches_past_its_frame_is_what_meets_the_joist():
    """A bracket no longer than 4 in under an 8 in hole: 4 + 1/2 + 3/4 off the joist at 8, whatever the bracket does."""
    bracket = Fixture(inches(8), frame=Frame(inches(4), inches(4), inches(2), inches(2)))
    assert shorts(room(joists()), bracket, mark("13")) == [("A1", "joist 1", inches("1/4"))]


def test_of_hole_and_frame_the_one_that_is_nearer_counts():
    """A 7 in bracket, its opening near the right end, under an 8 in hole: 6 1/2 to the left, 4 to the right."""
    bracket = Fixture(inches(8), frame=Frame(inches(7), inches(4), inches("6 1/2"), inches(2), False))
    assert shorts(room(joists()), bracket, mark("15")) == [("A1", "joist 1", inches("3/4"))]  # 7 3/4 wanted, 7 is there
    assert shorts(room(joists()), bracket, mark("12 1/2")) == [("A1", "joist 1", inches("3 1/4"))]  # the hole: 3/4
    assert in_the_way([mark("15")], {Kind.LIGHT: bracket}, room(joists()))[0].part == "frame"
    assert in_the_way([mark("19")], {Kind.LIGHT: bracket}, room(joists()))[0].part == "hole"


def test_drywall_level_things_are_kept_from_the_hole_not_the_frame():
    alarm = thing(34, 60, 4, clear="10")  # 14 from the rim of a hole at 18; the frame's box end is nearer
    assert shorts(room(things=[alarm]), HOUSING, mark("18 13/16")) == []


def test_a_row_turns_together_where_one_turn_clears_it():
    """One mark clears either way, its neighbor only one way: both are turned that way."""
    duct = thing(50, 72, 12, 8, above=True)
    standing = room(joists(first="10"), things=[duct])
    row = [mark(18, name="A1"), mark(50, name="A2")]
    turns = best_turns(row, {Kind.LIGHT: HOUSING}, standing)
    assert len(set(turns.values())) == 1
    assert in_the_way(row, {Kind.LIGHT: HOUSING}, standing, turns) == ()


def test_each_row_has_its_own_turn_where_no_turn_clears_both():
    """A duct past row 1 turns its boxes to the door, one before row 2 turns its boxes to the far wall. The marks the
    ducts stop short of would clear either way, and go with their row."""
    past_row_1 = thing(18, 42, 12, 8, above=True)  # row 1 at 30
    before_row_2 = thing(18, 78, 12, 8, above=True)  # row 2 at 90
    standing = room(joists(first="10"), things=[past_row_1, before_row_2])
    rows = [mark(at, across, f"A{row}{at}", row) for row, across in ((1, 30), (2, 90)) for at in (18, 50, 82)]
    turns = best_turns(rows, {Kind.LIGHT: HOUSING}, standing)
    toward = {row: {turned(HOUSING.frame, turns[m.id]).box_toward for m in rows if m.row == row} for row in (1, 2)}
    assert toward == {1: {Side.DOOR}, 2: {Side.FAR}}


def test_a_row_no_one_turn_clears_is_turned_mark_by_mark():
    things = [thing(18, 72, 6, 8, above=True), thing(50, 48, 6, 8, above=True)]
    standing = room(joists(first="10"), things=things)
    row = [mark(18, name="A1"), mark(50, name="A2")]
    turns = best_turns(row, {Kind.LIGHT: HOUSING}, standing)
    assert turned(HOUSING.frame, turns["A1"]).box_toward is Side.DOOR
    assert turned(HOUSING.frame, turns["A2"]).box_toward is Side.FAR
    assert shorts(standing, HOUSING, *row) == []


@pytest.mark.parametrize(
    ("turn", "side"), [(0, Side.RIGHT), (90, Side.FAR), (180, Side.LEFT), (270, Side.DOOR)]
)
def test_the_box_end_goes_round_with_the_frame(turn, side):
    """The side it points to on the plan is the side the frame reaches farther, from whichever corner it is measured."""
    duct_at = {Side.RIGHT: (68, 60), Side.FAR: (60, 68), Side.LEFT: (52, 60), Side.DOOR: (60, 52)}
    assert turned(HOUSING.frame, turn).box_toward is side
    for zero_x in (Side.LEFT, Side.RIGHT):
        for rows in Axis:
            orientation = Orientation(rows, zero_x)
            for at, (x, y) in duct_at.items():
                standing = room(
                    things=[thing(x, y, 1, above=True)], orientation=orientation, along="120", across="120"
                )
                legal = clear_at(HOUSING, standing, turn)
                assert bool(legal.shortfall(inches(60), inches(60))) == (at is side)


def test_the_box_is_at_the_end_that_reaches_farther_from_the_opening():
    from_the_other_end = Frame(inches(14), inches(8), inches("9 1/2"), inches(4))
    assert turned(from_the_other_end, 0).box_toward is Side.LEFT
    assert turned(from_the_other_end, 90).box_toward is Side.DOOR
    assert turned(Frame(inches(14), inches(8), inches(7), inches(4)), 0).box_toward is None


# --- where it may stand


def test_beside_a_corner_the_stretch_ends_where_a_3_4_5_triangle_says():
    """A corner at 25, 25 and a 6 in hole with 2 in free is 5 in: 4 in up, it is 3 in across."""
    legal = clear_at(Fixture(inches(6)), room(things=[thing(20, 20, 10, 10, clear="2")]))
    (_, (after, _)) = legal.legal_intervals(Direction.ALONG, inches(29))
    assert after == inches(28)


def test_the_legal_stretch_of_a_bay_is_what_a_tape_says():
    """8 + 4 7/16 to 24 - 4 7/16."""
    legal = clear_at(SIX_INCH, room(joists()))
    stretches = legal.legal_intervals(Direction.ALONG)
    assert (inches("12 7/16"), inches("19 9/16")) in stretches
    assert legal.legal_intervals(Direction.ACROSS, inches(16)) == ((ZERO, inches(120)),)
    assert legal.legal_intervals(Direction.ACROSS, inches(8)) == ()


def test_a_bay_exactly_as_wide_as_hole_and_clearance_leaves_one_point():
    legal = clear_at(Fixture(inches("9 1/2")), room(joists("12", "6")))
    assert (inches(12), inches(12)) in legal.legal_intervals(Direction.ALONG)


def test_a_line_may_stand_only_where_every_row_may():
    fan = thing(120, 30, 52, clear="24")
    legal = clear_at(SIX_INCH, room(things=[fan]))
    assert legal.legal_line(Direction.ALONG, [inches(110)]) == ((ZERO, inches(240)),)
    both = legal.legal_line(Direction.ALONG, [inches(30), inches(110)])
    assert both == ((ZERO, inches("66 13/16")), (inches("173 3/16"), inches(240)))


EIGHTHS = st.integers(-40, 2000).map(lambda n: nanometers(n * 3_175_000))
SIZES = st.integers(1, 300).map(lambda n: nanometers(n * 3_175_000))


@st.composite
def some_things(draw):
    is_round = draw(st.booleans())
    wide = draw(SIZES)
    return Thing(
        name=draw(st.sampled_from(["duct", "fan", "alarm"])),
        what="duct",
        x=draw(EIGHTHS),
        y=draw(EIGHTHS),
        wide=wide,
        deep=wide if is_round else draw(SIZES),
        round=is_round,
        datum=Datum.EDGE,
        clear=draw(st.integers(0, 60)) * inches("1/2") + ZERO,
        clear_to=draw(st.sampled_from(ClearTo)),
        above=draw(st.booleans()),
    )


def plans(things, orientation=ROWS_LEFT_RIGHT, pattern=None):
    pattern = pattern or joists("19.2", "11 3/8")
    return room(pattern, things=things, orientation=orientation, along="250", across="250")


FITTINGS = st.sampled_from([SIX_INCH, Fixture(inches("4 1/4"), square=True), HOUSING])


@given(st.lists(some_things(), max_size=6), FITTINGS, EIGHTHS, EIGHTHS)
def test_legal_stretches_and_what_is_missing_agree_at_every_nanometer(things, fitting, along, across):
    legal = clear_at(fitting, plans(things))
    inside = [each for each in (along, across) if ZERO <= each <= inches(250)]
    if len(inside) < 2:
        return
    for direction, at, other in ((Direction.ALONG, along, across), (Direction.ACROSS, across, along)):
        stretches = legal.legal_intervals(direction, other)
        assert any(low <= at <= high for low, high in stretches) == (not legal.shortfall(along, across))
        for low, high in stretches:  # the ends are legal, and one nanometer past them is not
            for end, past in ((low, low - nanometers(1)), (high, high + nanometers(1))):
                here, there = (end, other), (past, other)
                if direction is Direction.ACROSS:
                    here, there = here[::-1], there[::-1]
                assert not legal.shortfall(*here)
                assert legal.shortfall(*there) or not ZERO <= past <= inches(250)


@given(st.lists(some_things(), max_size=5), some_things(), FITTINGS, EIGHTHS, EIGHTHS)
def test_one_more_thing_never_takes_a_conflict_away(things, one_more, fitting, along, across):
    before = clear_at(fitting, plans(things)).shortfall(along, across)
    assert clear_at(fitting, plans([*things, one_more])).shortfall(along, across) >= before


@given(st.lists(some_things(), max_size=5), st.sampled_from([SIX_INCH, HOUSING]), EIGHTHS, EIGHTHS)
def test_a_mirrored_room_has_mirrored_conflicts(things, fitting, along, across):
    """The zero corner taken at the right: the same marks, the same things, the same amounts."""
    here = plans(things)
    mirrored = plans(things, Orientation(Axis.LEFT_RIGHT, Side.RIGHT))
    from_right = (inches(250) - along).exact()
    left = in_the_way([Mark("A1", Kind.LIGHT, along, across, 1)], {Kind.LIGHT: fitting}, here)
    right = in_the_way([Mark("A1", Kind.LIGHT, from_right, across, 1)], {Kind.LIGHT: fitting}, mirrored)
    assert {each.short_by for each in left[:1]} == {each.short_by for each in right[:1]}
    if fitting is SIX_INCH:
        assert sorted(each.short_by.nm for each in left) == sorted(each.short_by.nm for each in right)


@given(st.lists(some_things(), max_size=5), FITTINGS, EIGHTHS, EIGHTHS)
def test_turning_the_rows_moves_nothing(things, fitting, x, y):
    """The same point of the room is as near to everything, whichever way the rows run and wherever they start."""
    standing = plans(things)
    turned_room = plans(things, Orientation(Axis.DOOR_FAR, Side.RIGHT, Side.FAR))
    here = clear_at(fitting, standing).shortfall(x, y)
    there = clear_at(fitting, turned_room).shortfall(inches(250) - y, inches(250) - x)
    assert here == there
