"""A layout that is said to fit is drawn with a general geometry library and measured: nothing touches what it may not.

Shapely measures in floats, so a ten-millionth is let pass; the exact comparison is the judges'. Every pair of holes is
measured, the diagonal ones too, which the statement leaves to the rules for neighbors.
"""

from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from shapely.affinity import translate
from shapely.geometry import LineString, Point, box

from tests.engine.judge_medium import ROOMS
from tests.engine.judge_rooms import answered, small_rooms

slow_is_fine = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]


def measure(room, found):
    slack = 1e-7
    ceiling = box(0, 0, room["L"], room["W"])
    lights = [(Point(x, y), room["light"]) for x in found["x"] for y in found["y"]]
    speakers = [(Point(x, y), room.get("speaker")) for x in found["z"] for y in found["y"]]
    holes = [(point, hole["cutout_d"] / 2, hole.get("clear", 0)) for point, hole in (*lights, *speakers)]
    bands = [band for rule in room.get("joists", []) for band in members(rule, room["L"], room["W"])]
    shapes = [(*drawn(shape), shape.get("clear", 0)) for shape in room.get("obstructions", [])]
    for point, r, clear in holes:
        assert ceiling.buffer(slack).contains(point)
        assert ceiling.exterior.distance(point) >= r + room.get("edge_min", 0) - slack
        for band in bands:
            assert band.distance(point) >= r + clear - slack
        for shape, rim, its_clear in shapes:
            assert shape.distance(point) >= r + max(clear, its_clear) + rim - slack
    for (one, r, _), (other, other_r, _) in combinations(holes, 2):
        assert one.distance(other) >= r + other_r + room.get("web_min", 0) - slack


def members(rule, length, width):
    """The joists of a set that a hole of the room could come near, each as wide as it is."""
    oc, first, across = float(rule["oc"]), rule["first"], rule["dir"] == "across"
    far = length if across else width
    line = LineString([(first, -width), (first, 2 * width)] if across else [(-length, first), (2 * length, first)])
    band = line.buffer(rule["width"] / 2, cap_style="flat")
    steps = range(int(-(first + far) / oc) - 1, int(2 * far / oc) + 2)
    return [translate(band, *((k * oc, 0) if across else (0, k * oc))) for k in steps]


def drawn(shape):
    """A shape without its rim, and the rim: a circle is a point with its radius around it."""
    if shape["type"] == "circle":
        return Point(shape["x"], shape["y"]), shape["r"]
    return box(shape["x0"], shape["y0"], shape["x1"], shape["y1"]), 0


def hold(room):
    """What fits is measured and clear; where holes are said to come too near to something, they measure so."""
    found = answered(room)
    if found["status"] == "no_layout":
        return
    if {"joist", "obstruction", "edge", "hole_gap"} & set(found["violations_by_rule"]):
        with pytest.raises(AssertionError):
            measure(room, found)
    else:
        measure(room, found)


@pytest.mark.parametrize("name", ROOMS)
def test_a_geometry_library_finds_clear_what_is_said_to_be(name):
    hold(ROOMS[name])


@settings(max_examples=120, deadline=None, suppress_health_check=slow_is_fine)
@given(small_rooms(most=100_000, longest=40, widest=30))
def test_a_geometry_library_finds_clear_what_is_said_to_be_in_small_rooms(room):
    hold(room)
