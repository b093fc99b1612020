"""A room that is no rectangle is cut into rectangles, the way a crew would see them. shapely judges the cuts."""

from fractions import Fraction
from math import cos, pi, sin

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layout.engine.ceiling import Corner
from layout.engine.lengths import Unit, inches
from layout.engine.shape.outline import OutlineError, outline_of
from layout.engine.shape.rectangles import LEAST, TooManyPieces, cut


def room(*points):
    return outline_of([Corner(inches(x), inches(y)) for x, y in points])


def pieces(*points):
    return [_numbers(box) for box in cut(room(*points), Unit.INCH)]


def _numbers(box):
    return tuple(int(at.inches) for at in (box.left, box.door, box.right, box.far))


def test_a_rectangle_is_one_zone():
    assert pieces((0, 0), (240, 0), (240, 168), (0, 168)) == [(0, 0, 240, 168)]


def test_an_l_is_its_largest_rectangle_and_the_rest():
    """12 ft by 10 ft less the far right 5 ft by 4 ft: 144 x 72 is 10,368, 84 x 120 is 10,080."""
    ell = ((0, 0), (144, 0), (144, 72), (84, 72), (84, 120), (0, 120))
    assert pieces(*ell) == [(0, 0, 144, 72), (0, 72, 84, 120)]


def test_a_t_is_its_bar_and_its_stem_though_stem_and_bar_together_are_larger():
    """The stem through the bar is 120 x 240, more than the bar's 360 x 72; two zones are better than three."""
    tee = ((120, 0), (240, 0), (240, 168), (360, 168), (360, 240), (0, 240), (0, 168), (120, 168))
    assert pieces(*tee) == [(0, 168, 360, 240), (120, 0, 240, 168)]


def test_corners_in_the_middle_of_a_wall_change_nothing():
    ell = ((0, 0), (40, 0), (144, 0), (144, 30), (144, 72), (84, 72), (84, 120), (20, 120), (0, 120), (0, 50))
    assert pieces(*ell) == [(0, 0, 144, 72), (0, 72, 84, 120)]


def test_a_u_is_three_zones():
    shape = ((0, 0), (300, 0), (300, 200), (200, 200), (200, 80), (100, 80), (100, 200), (0, 200))
    assert pieces(*shape) == [(0, 0, 300, 80), (0, 80, 100, 200), (200, 80, 300, 200)]


def test_a_box_bay_is_a_zone_of_its_own():
    bay = ((0, 0), (240, 0), (240, 168), (170, 168), (170, 198), (70, 198), (70, 168), (0, 168))
    assert pieces(*bay) == [(0, 0, 240, 168), (70, 168, 170, 198)]


def test_an_angled_bay_gives_its_upright_middle():
    """A bay 30 in deep whose 45-degree sides leave 60 in of front: the wall line is 120 in wide."""
    bay = ((0, 0), (240, 0), (240, 168), (180, 168), (150, 198), (90, 198), (60, 168), (0, 168))
    main, inside = pieces(*bay)
    assert main == (0, 0, 240, 168)
    assert inside[1] == 168 and inside[3] - inside[1] >= 24
    assert (inside[0] + inside[2]) / 2 == 120


def test_a_wall_that_runs_off_leaves_the_largest_upright_rectangle():
    """Right wall from 240 at the door to 228 at the far wall: 228 x 168 is 38,304; wider ones lose more depth."""
    assert pieces((0, 0), (240, 0), (228, 168), (0, 168)) == [(0, 0, 228, 168)]


def test_the_largest_rectangle_of_a_right_triangle_is_half_of_each_leg():
    """Legs 240 and 180: 120 x 90, the textbook's answer."""
    assert pieces((0, 0), (240, 0), (0, 180))[0] == (0, 0, 120, 90)


def test_a_wall_curved_through_hundreds_of_corners_is_searched_like_any_other():
    """A half circle of 84 in about (240, 84): the largest upright rectangle in a half circle is r x sqrt(2) by
    r / sqrt(2), so 118.8 by 59.4 (the textbook's answer), on whole inches. The room itself goes from wall to wall,
    though 258 by 164 would be larger."""
    arc = [(240 + 84 * sin(pi * n / 400), 84 - 84 * cos(pi * n / 400)) for n in range(1, 400)]
    points = [(0, 0), (240, 0), *((f"{x:.3f}", f"{y:.3f}") for x, y in arc), (240, 168), (0, 168)]
    main, bay = pieces(*points)[:2]
    assert main == (0, 0, 240, 168)
    assert (bay[2] - bay[0]) * (bay[3] - bay[1]) > 0.97 * 84 * 84
    assert bay[1] + bay[3] in (167, 168, 169)


def test_a_closet_narrower_than_a_light_needs_is_one_zone_all_the_same():
    assert pieces((0, 0), (20, 0), (18, 60), (0, 60)) == [(0, 0, 18, 60)]


def test_a_saw_of_a_room_is_sent_to_be_drawn_by_hand():
    teeth = [(6 * n + dx, y) for n in range(70) for dx, y in ((0, 60), (0, 70 + n), (3, 70 + n), (3, 60))]
    with pytest.raises(TooManyPieces, match="as parts of the ceiling"):
        cut(room(*teeth, (420, 60), (420, 0), (-6, 0), (-6, 60)), Unit.INCH)


@st.composite
def square_cornered(draw):
    """A patch of random cells joined side by side, without holes: any rectilinear room there is."""
    size = draw(st.integers(2, 5))
    cells = draw(st.sets(st.tuples(st.integers(0, size - 1), st.integers(0, size - 1)), min_size=2, max_size=size**2))
    xs = [0, *_running(draw(st.lists(st.integers(10, 90), min_size=size, max_size=size)))]
    ys = [0, *_running(draw(st.lists(st.integers(10, 90), min_size=size, max_size=size)))]
    shape = shapely.union_all([shapely.box(xs[i], ys[j], xs[i + 1], ys[j + 1]) for i, j in cells])
    assume(shape.geom_type == "Polygon" and not shape.interiors)
    points = [(int(x), int(y)) for x, y in shape.simplify(0).exterior.coords[:-1]]
    try:
        room(*points)
    except OutlineError:
        assume(False)  # two cells that meet in a corner only
    return points


def _running(parts):
    total, found = 0, []
    for part in parts:
        total += part
        found.append(total)
    return found


@settings(max_examples=80, deadline=None)
@given(square_cornered())
def test_zones_cover_the_room_and_never_overlap(points):
    shape = room(*points)
    boxes = cut(shape, Unit.INCH)
    assert sum(box.area_nm2 for box in boxes) == shape.area_nm2
    drawn = [shapely.box(*_numbers(box)) for box in boxes]
    assert shapely.union_all(drawn).equals(shapely.Polygon(points))


@settings(max_examples=60, deadline=None)
@given(square_cornered())
def test_a_mirrored_room_has_mirrored_zones(points):
    """Sizes are those of the mirror image; where it is a matter of taste which of two alike is cut, either may be."""
    across = max(x for x, _ in points)
    mirrored = [(across - x, y) for x, y in points]
    sizes = [sorted((box.wide.nm, box.deep.nm) for box in cut(room(*shape), Unit.INCH)) for shape in (points, mirrored)]
    assert sizes[0] == sizes[1]


@settings(max_examples=60, deadline=None)
@given(square_cornered())
def test_no_fewer_zones_are_possible(points):
    """Without holes and with no two inward corners in line, the fewest rectangles are the inward corners plus one.

    Source: Ferrari, Sankar and Sklansky, Minimal rectangular partitions of digitized blobs (1984), from memory.
    """
    shape = room(*points)
    inward = [n for n in range(len(points)) if _turn(points, n) != _turn_of_ring(points)]
    lined = len({points[n][0] for n in inward}) < len(inward) or len({points[n][1] for n in inward}) < len(inward)
    boxes = cut(shape, Unit.INCH)
    if not lined and len(inward) <= 6:
        assert len(boxes) == len(inward) + 1
    elif len(inward) <= 6:
        assert len(boxes) <= len(inward) + 1


def _turn(points, n):
    (ax, ay), (bx, by), (cx, cy) = points[n - 1], points[n], points[(n + 1) % len(points)]
    return (bx - ax) * (cy - by) - (by - ay) * (cx - bx) > 0


def _turn_of_ring(points):
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)) > 0


ANY = st.lists(st.tuples(st.integers(0, 150), st.integers(0, 150)), min_size=3, max_size=7)


@settings(max_examples=40, deadline=None)
@given(ANY)
def test_rectangles_inside_skewed_walls_stay_inside_and_apart(points):
    try:
        shape = room(*points)
    except OutlineError:
        assume(False)
    ring = shapely.Polygon(points)
    boxes = cut(shape, Unit.INCH)
    drawn = [shapely.box(*(float(at.inches) for at in (b.left, b.door, b.right, b.far))) for b in boxes]
    assert all(ring.buffer(1e-9).covers(box) for box in drawn)
    assert sum(box.area for box in drawn) == pytest.approx(shapely.union_all(drawn).area if drawn else 0)
    assert sum(Fraction(box.area_nm2) for box in boxes) <= shape.area_nm2
    if not shape.square_cornered and len(boxes) > 1:
        assert all(min(box.wide, box.deep) >= LEAST[Unit.INCH] for box in boxes)
