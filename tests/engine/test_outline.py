"""A ceiling's outline is checked before anything stands on it, and a hole is held against its true edge.

shapely is the independent judge of what is inside and how far off an edge is.
"""

from fractions import Fraction

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layout.engine.ceiling import Corner
from layout.engine.lengths import ZERO, Distance, Style, Tape, feet, inches, mm, nanometers
from layout.engine.shape import outline as o
from layout.engine.shape.outline import Cutout, outline_of

FEET = Tape(Style.FEET_INCHES, 8)
SMALL = st.integers(0, 40)
POINTS = st.lists(st.tuples(SMALL, SMALL), min_size=3, max_size=9)


def corners(*points):
    return [Corner(inches(x), inches(y)) for x, y in points]


def ell():
    """12 ft by 10 ft with the far right 5 ft by 4 ft left out."""
    return outline_of(corners((0, 0), (144, 0), (144, 72), (84, 72), (84, 120), (0, 120)))


def polygon(points):
    return shapely.Polygon(points)


def test_an_outline_reads_the_same_entered_either_way_round_and_from_any_corner():
    one = corners((0, 0), (144, 0), (144, 72), (84, 72), (84, 120), (0, 120))
    again = [*one[3:], *one[:3]][::-1]
    assert outline_of(one) == outline_of(again)


def test_its_sizes_and_area_are_those_of_a_pencil():
    """144 x 120 - 60 x 48 = 14,400 square inches."""
    room = ell()
    assert (room.wide, room.deep) == (inches(144), inches(120))
    assert room.area_nm2 == 14_400 * inches(1).nm ** 2


def test_the_surveyors_sum_gives_the_area():
    """The usual worked example of the shoelace sum: (1, 6), (3, 1), (7, 2), (4, 4), (8, 5) is 16.5 (from memory)."""
    assert outline_of(corners((1, 6), (3, 1), (7, 2), (4, 4), (8, 5))).area_nm2 == Fraction(33, 2) * inches(1).nm ** 2


def test_edges_that_cross_are_named_with_the_place_on_the_rooms_tape():
    """Corners 3 and 4 swapped: edges 2 (144,0 to 0,120) and 4 (144,120 to 0,0) cross in the middle."""
    with pytest.raises(o.CrossesItself) as caught:
        outline_of(corners((0, 0), (144, 0), (0, 120), (144, 120)))
    assert (caught.value.first, caught.value.second) == (2, 4)
    assert caught.value.said(FEET).startswith("Edges 2 and 4 meet 6'-0\" from the left and 5'-0\" from the door side.")


def test_an_outline_that_only_touches_itself_is_refused_too():
    with pytest.raises(o.CrossesItself) as caught:
        outline_of(corners((0, 0), (100, 0), (100, 50), (50, 0), (0, 50)))
    assert caught.value.at == Corner(inches(50), ZERO)


def test_edges_on_one_line_that_overlap_are_a_crossing():
    with pytest.raises(o.CrossesItself):
        outline_of(corners((0, 0), (100, 0), (100, 50), (70, 50), (70, 0), (30, 0), (30, 60), (0, 60)))


def test_a_spike_is_named_by_its_corner():
    with pytest.raises(o.Spike) as caught:
        outline_of(corners((0, 0), (100, 0), (100, 50), (100, 90), (100, 50 + 1), (0, 51)))
    assert caught.value.corner == 4


def test_one_point_entered_twice_is_named_by_both_numbers():
    with pytest.raises(o.RepeatedCorner) as caught:
        outline_of(corners((0, 0), (100, 0), (100, 50), (100, 0), (0, 50)))
    assert (caught.value.first, caught.value.again) == (2, 4)


def test_corners_on_one_line_are_no_ceiling():
    with pytest.raises(o.ZeroArea):
        outline_of(corners((0, 0), (50, 50), (100, 100)))


def test_too_few_and_too_many_corners_say_how_many():
    with pytest.raises(o.TooFewCorners, match="2 corners"):
        outline_of(corners((0, 0), (1, 1)))
    with pytest.raises(o.TooManyCorners, match="501 corners"):
        outline_of(corners(*((n, 0) for n in range(501))))


def test_a_coordinate_of_half_a_mile_is_a_slip_of_the_keyboard():
    with pytest.raises(o.OutOfRange) as caught:
        outline_of([Corner(ZERO, ZERO), Corner(feet(2640), ZERO), Corner(ZERO, feet(10))])
    assert caught.value.corner == 2


def test_five_hundred_corners_are_taken():
    comb = [(4 * tooth + dx, y) for tooth in range(124) for dx, y in ((0, 10), (0, 90), (2, 90), (2, 10))]
    room = outline_of(corners(*comb, (494, 0), (494, -2), (-2, -2), (-2, 0)))
    assert len(room.corners) == 500
    assert not room.holds(inches(3), inches(50))
    assert room.holds(inches(1), inches(50))


def test_the_edge_itself_is_on_the_ceiling_and_the_corner_left_out_is_not():
    room = ell()
    assert room.holds(inches(84), inches(100))
    assert room.holds(inches(84), inches(72))
    assert not room.holds(inches("84 1/16"), inches("72 1/16"))


def test_a_hole_keeps_its_distance_from_a_corner_that_sticks_in_straight_across():
    """3 in right and 4 in far of the corner at (84, 72) is 5 in from it; 6 in hole and 2 in of ceiling need 5."""
    room = ell()
    hole = Cutout(inches(6))
    assert room.hole_inside(inches(81), inches(68), hole, inches(2)) == ZERO
    short = room.hole_inside(inches(81), inches(68), hole, inches("2 1/8"))
    assert short == inches("1/8")


def test_a_hole_off_the_ceiling_is_short_of_the_way_back_as_well():
    """10 in beyond the right wall; 3 + 2 in needed inside it."""
    assert ell().hole_inside(inches(154), inches(30), Cutout(inches(6)), inches(2)) == inches(15)


def test_a_square_hole_reaches_with_its_corners():
    """A 6 in square at the reentrant corner: its own corner is 3 in and 4 in away, 5 in straight across."""
    room = ell()
    hole = Cutout(inches(6), square=True)
    assert room.hole_inside(inches(84 - 6), inches(72 - 7), hole, inches(5)) == ZERO
    assert room.hole_inside(inches(84 - 6), inches(72 - 7), hole, inches(6)) == inches(1)


def test_a_square_hole_over_the_edge_is_short_by_the_overlap_and_what_it_keeps():
    assert ell().hole_inside(inches(1), inches(60), Cutout(inches(6), square=True), inches(2)) == inches(4)


def test_a_skewed_wall_is_measured_square_to_it():
    """A 3-4-5 wall from (48, 0) to (0, 36): 3x + 4y = 144. At (36, 33) that is 240; 96 over is 96 / 5 = 19.2 in off."""
    room = outline_of(corners((0, 0), (48, 0), (0, 36)))
    assert room.square_of_distance(inches(36), inches(33)) == inches("19.2").nm ** 2
    assert room.distance(inches(36), inches(33)) == inches("19.2")


def test_half_a_nanometer_is_no_trouble():
    half = Distance(Fraction(1, 2))
    room = outline_of([Corner(ZERO, ZERO), Corner(inches(10) + half, ZERO), Corner(inches(10) + half, inches(10)),
                       Corner(ZERO, inches(10))])  # fmt: skip
    assert room.distance(inches(9), inches(5)) == inches(1) + half


@settings(max_examples=150, deadline=None)
@given(POINTS)
def test_what_is_sound_is_what_shapely_calls_simple(points):
    ring = polygon(points)
    try:
        room = outline_of(corners(*points))
    except o.OutlineError:
        assert not ring.is_valid or len(set(points)) < len(points)
        return
    assert ring.is_valid
    assert room.area_nm2 == Fraction(ring.area) * inches(1).nm ** 2


@settings(max_examples=150, deadline=None)
@given(POINTS, st.integers(-20, 60), st.integers(-20, 60), st.booleans(), st.integers(1, 8))
def test_inside_and_short_by_agree_with_shapely(points, x, y, square, size):
    assume(len(set(points)) == len(points) and polygon(points).is_valid)
    ring = polygon(points)
    try:
        room = outline_of(corners(*points))
    except o.OutlineError:
        assume(False)
    at = shapely.Point(x, y)
    assert room.holds(inches(x), inches(y)) == ring.covers(at)
    assert float(room.distance(inches(x), inches(y)).inches) == pytest.approx(ring.exterior.distance(at), abs=1e-6)
    half, clear = size / 2, 1
    short = float(room.hole_inside(inches(x), inches(y), Cutout(inches(size), square), inches(clear)).inches)
    if square:
        hole = shapely.box(x - half, y - half, x + half, y + half)
        fits = ring.covers(hole) and ring.exterior.distance(hole) >= clear - 1e-9
    else:
        fits = ring.covers(at) and ring.exterior.distance(at) >= half + clear - 1e-9
    assert (short <= 1e-6) == fits


def test_millimeters_are_as_exact_as_inches():
    room = outline_of([Corner(ZERO, ZERO), Corner(mm(3740), ZERO), Corner(mm(3740), mm(2500)), Corner(ZERO, mm(2500))])
    assert room.hole_inside(mm(100), mm(1000), Cutout(mm(152)), mm(25)) == mm(1)
    assert room.distance(nanometers(1), mm(1000)) == nanometers(1)
