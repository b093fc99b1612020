"""Distances around holes, frames and things, judged by a general geometry library.

shapely 2 (https://shapely.readthedocs.io) works in floating point and draws a circle as a polygon, so what it says is
taken to 1/1000 in.
"""

import math
from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, box
from shapely.affinity import rotate

from layout.engine.lengths import Length, inches
from layout.engine.marks import Axis, Datum, Kind, Mark, Orientation, Side
from layout.engine.overhead.check import in_the_way
from layout.engine.overhead.legal import clear_at
from layout.engine.overhead.stand import stand
from layout.engine.overhead.values import ClearTo, Frame, Joists, Overhead, Thing
from layout.engine.stacks import as_measured

ROOM = 240
SLACK = 1e-3
FINE = 512  # segments to a quarter circle

inch_eighths = st.integers(0, ROOM * 8).map(lambda n: n / 8)
sizes = st.integers(1, 400).map(lambda n: n / 8)
ORIENTATIONS = st.builds(
    Orientation,
    st.sampled_from(Axis),
    st.sampled_from([Side.LEFT, Side.RIGHT]),
    st.sampled_from([Side.DOOR, Side.FAR]),
)


@dataclass(frozen=True)
class Fixture:
    cutout: Length
    square: bool = False
    frame: Frame | None = None
    depth: Length | None = None


def exactly(number):
    return inches(str(number))


@st.composite
def fixtures(draw):
    cut = draw(st.integers(8, 96)) / 8
    if draw(st.booleans()):
        return Fixture(exactly(cut), draw(st.booleans()))
    length, width = cut + draw(sizes), cut + draw(sizes)
    from_end = cut / 2 + draw(st.integers(0, 8)) / 8 * (length - cut)
    from_side = cut / 2 + draw(st.integers(0, 8)) / 8 * (width - cut)
    return Fixture(exactly(cut), False, Frame(*(exactly(each) for each in (length, width, from_end, from_side))))


@st.composite
def things(draw):
    is_round = draw(st.booleans())
    wide = draw(sizes)
    return Thing(
        "thing", "duct", exactly(draw(inch_eighths)), exactly(draw(inch_eighths)), exactly(wide),
        exactly(wide if is_round else draw(sizes)), is_round, Datum.EDGE, exactly(draw(sizes)),
        draw(st.sampled_from(ClearTo)), draw(st.booleans()),
    )  # fmt: skip


def shape_of(thing):
    x, y, wide, deep = (float(each.inches) for each in (thing.x, thing.y, thing.wide, thing.deep))
    if thing.round:
        return Point(x, y).buffer(wide / 2, quad_segs=FINE)
    return box(x - wide / 2, y - deep / 2, x + wide / 2, y + deep / 2)


def cut_of(fixture, x, y):
    half = float(fixture.cutout.inches) / 2
    if fixture.square:
        return box(x - half, y - half, x + half, y + half)
    return Point(x, y).buffer(half, quad_segs=FINE)


def frame_of(fixture, x, y, turn):
    """The frame about its opening at x, y, turned about the opening by the library."""
    plate = fixture.frame
    length, width, end, side = (
        float(each.inches) for each in (plate.length, plate.width, plate.from_end, plate.from_side)
    )
    return rotate(box(x - end, y - side, x - end + length, y - side + width), turn, origin=(x, y))


def plan_point(orientation, x, y):
    """A point of the plan, from the left and the door wall, along and across the rows from the zero corner."""
    x = x if orientation.zero_x is Side.LEFT else ROOM - x
    y = y if orientation.zero_y is Side.DOOR else ROOM - y
    return (x, y) if orientation.rows_run is Axis.LEFT_RIGHT else (y, x)


def missing(shape, thing, clear):
    apart = shape.distance(thing)
    return clear - apart if apart > 0 else None


@given(fixtures(), things(), inch_eighths, inch_eighths, ORIENTATIONS)
def test_what_is_missing_is_what_the_library_measures(fixture, thing, x, y, orientation):
    size = as_measured(inches(ROOM))
    standing = stand(Overhead(things=(thing,)), orientation, size, size)
    legal = clear_at(fixture, standing)
    along, across = (exactly(each) for each in plan_point(orientation, x, y))
    clear, obstacle = float(thing.clear.inches), shape_of(thing)
    for turn in legal.turns:
        if thing.clear_to is ClearTo.CENTER:
            shape = Point(x, y)
        elif thing.above and fixture.frame:
            shape = frame_of(fixture, x, y, turn)
        else:
            shape = cut_of(fixture, x, y)
        found = float(legal.shortfall(along, across, turn).inches)
        expected = missing(shape, obstacle, clear)
        if expected is None:  # they overlap: all of the clearance is missing, and more
            assert found >= clear - SLACK
        else:
            assert math.isclose(found, max(expected, 0), abs_tol=SLACK)


@given(fixtures(), st.integers(8, 24), st.integers(0, 190), inch_eighths, st.integers(0, 16), ORIENTATIONS)
def test_joists_are_met_where_the_library_says(fixture, spacing, first, x, clear_eighths, orientation):
    pattern = Joists(
        Axis.DOOR_FAR, inches(spacing), inches("1 1/2"), exactly(first / 8), Side.LEFT, Datum.EDGE,
        exactly(clear_eighths / 8),
    )  # fmt: skip
    size = as_measured(inches(ROOM))
    standing = stand(Overhead((pattern,)), orientation, size, size)
    along, across = (exactly(each) for each in plan_point(orientation, x, ROOM / 2))
    clear = clear_eighths / 8
    centers = (at / 8 for at in range(first % (spacing * 8) - spacing * 8, (ROOM + spacing) * 8, spacing * 8))
    members = [
        box(at - 0.75, -999, at + 0.75, 999) for at in centers if -0.75 - clear < at < ROOM + 0.75 + clear
    ]
    legal = clear_at(fixture, standing)
    for turn in legal.turns:
        shape = frame_of(fixture, x, ROOM / 2, turn) if fixture.frame else cut_of(fixture, x, ROOM / 2)
        found = float(legal.shortfall(along, across, turn).inches)
        by_member = [missing(shape, member, clear) for member in members]
        if None in by_member:
            assert found >= clear - SLACK
        else:
            assert math.isclose(found, max([0, *by_member]), abs_tol=SLACK)


@given(fixtures(), st.lists(things(), min_size=1, max_size=4), inch_eighths, inch_eighths)
def test_no_turn_of_a_frame_is_better_than_the_one_chosen(fixture, obstacles, x, y):
    size = as_measured(inches(ROOM))
    standing = stand(Overhead(things=tuple(obstacles)), Orientation(Axis.LEFT_RIGHT), size, size)
    found = in_the_way([Mark("A1", Kind.LIGHT, exactly(x), exactly(y), 1)], {Kind.LIGHT: fixture}, standing)
    worst = max((float(each.short_by.inches) for each in found), default=0)
    for turn in clear_at(fixture, standing).turns:
        by_turn = 0
        for thing in obstacles:
            if thing.clear_to is ClearTo.CENTER:
                shape = Point(x, y)
            elif thing.above and fixture.frame:
                shape = frame_of(fixture, x, y, turn)
            else:
                shape = cut_of(fixture, x, y)
            expected = missing(shape, shape_of(thing), float(thing.clear.inches))
            by_turn = math.inf if expected is None else max(by_turn, expected)
        assert worst <= by_turn + SLACK
