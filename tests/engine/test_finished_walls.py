"""The room that light and sound fill: from finished wall to finished wall, past the edge of a ceiling that floats.

shapely is the independent judge of what is inside an outline in meters, how far off its edge, and how large it is.
"""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from layout.engine.finished_walls import walls_of
from layout.engine.lengths import inches, meters
from layout.engine.marks import Side
from layout.engine.room import AxisSurvey, lay_out
from layout.engine.shape import on_plan
from layout.engine.stacks import SideBuildUp
from tests.engine.test_zones_in_a_room import BOARD, ROOM, corners

INCH = 0.0254
BAY = [(0, 0), (9, 0), (9, 6), (6, 6), (6, 3), (3.5, 2.5), (3, 7), (0, 6)]  # an arm either side of a slanting gap


def floating(framing, start, end):
    sides = (SideBuildUp(BOARD.layers, inches(gap)) for gap in (start, end))
    return AxisSurvey(inches(framing), None, None, *sides)


def test_each_edge_of_a_floating_ceiling_moves_out_by_the_gap_on_the_side_it_faces():
    """By hand, inches: 241 of framing less two boards of 1/2 is 240, less 2 at either side 236 of ceiling; 229 less 1
    is 228, less 3 at the door and 1 at the far wall 224. The inner wall that faces far is at 3 + 168 + 1, the one that
    faces right at 2 + 144 + 2."""
    outline = corners((0, 0), (236, 0), (236, 168), (144, 168), (144, 224), (0, 224))
    room = replace(ROOM, left_right=floating(241, 2, 2), door_far=floating(229, 3, 1), outline=outline)
    walls = walls_of(lay_out(room))
    expected = [(0, 0), (240, 0), (240, 172), (148, 172), (148, 228), (0, 228)]
    assert np.array(walls.corners) / INCH == pytest.approx(np.array(expected))
    assert walls.sides == (Side.DOOR, Side.RIGHT, Side.FAR, Side.RIGHT, Side.FAR, Side.LEFT)
    assert walls.on(Side.RIGHT) == 1  # the longer of the two


def test_a_rectangle_has_its_four_walls_in_the_order_door_right_far_left():
    walls = walls_of(lay_out(replace(ROOM, outline=())))
    assert walls.sides == (Side.DOOR, Side.RIGHT, Side.FAR, Side.LEFT)
    assert np.array(walls.corners) / INCH == pytest.approx(np.array([(0, 0), (240, 0), (240, 228), (0, 228)]))


def test_what_is_inside_an_outline_and_how_far_off_its_edge_is_as_a_geometry_library_has_it():
    shape, rng = shapely.Polygon(BAY), np.random.default_rng(6)
    points = rng.uniform(-1, 10, (400, 2))
    placed = shapely.points(points)
    assert on_plan.inside(BAY, points).tolist() == shapely.contains(shape, placed).tolist()
    assert on_plan.off_edge(BAY, points) == pytest.approx(shapely.distance(shape.exterior, placed))
    assert on_plan.holds(BAY, 1, 1) and not on_plan.holds(BAY, 5, 5)


def test_an_outlines_area_is_above_zero_counterclockwise_and_below_clockwise():
    assert on_plan.area(BAY) == pytest.approx(shapely.Polygon(BAY).area)
    assert on_plan.area(BAY[::-1]) == pytest.approx(-shapely.Polygon(BAY).area)


def test_a_corner_given_twice_is_no_edge():
    twice = [BAY[0], *BAY]
    points = np.array([[1.0, 1.0], [-2.0, -1.0]])
    assert on_plan.off_edge(twice, points) == pytest.approx(on_plan.off_edge(BAY, points))
    assert on_plan.inside(twice, points).tolist() == [True, False]


def test_an_inch_is_25_4_mm():
    """NIST SP 811, from memory: exact."""
    assert meters(inches(1)) == 0.0254
