"""The way of one cable around what is in the way, against a plain search over every inch of a small plan."""

from collections import deque

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import ZERO, feet, inches
from layout.engine.marks import Axis
from layout.engine.wiring.chain import Point, path
from layout.engine.wiring.paths import Ground
from layout.engine.wiring.values import Area, Framing, InTheWay

SIZE = 12
JOISTS = Framing(Axis.LEFT_RIGHT, spacing=inches(16), first=inches(8), width=inches("1.5"))


def at(x, y):
    return Point(inches(x), inches(y))


def thing(left, door, right, far, name="duct"):
    return InTheWay(name, Area(inches(left), inches(door), inches(right), inches(far)))


def by_every_inch(a, b, boxes, size=SIZE):
    """The fewest inches from a to b on half-inch squares, none of them inside a box; None when there is no way.

    A thing of even half inches covers the lattice points strictly inside it, and the seam between two that touch.
    """

    def solid(x, y):  # a square of a half inch, by its lower corner
        return not (0 <= x < 2 * size and 0 <= y < 2 * size) or any(
            2 * left <= x < 2 * right and 2 * door <= y < 2 * far for left, door, right, far in boxes
        )

    def open_step(x, y, dx, dy):
        if dx:
            low = min(x, x + dx)
            return not (solid(low, y) and solid(low, y - 1))
        low = min(y, y + dy)
        return not (solid(x, low) and solid(x - 1, low))

    start, goal = (2 * a[0], 2 * a[1]), (2 * b[0], 2 * b[1])
    steps, waiting = {start: 0}, deque([start])
    while waiting:
        x, y = waiting.popleft()
        if (x, y) == goal:
            return steps[x, y] / 2
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            there = (x + dx, y + dy)
            if there not in steps and open_step(x, y, dx, dy):
                steps[there] = steps[x, y] + 1
                waiting.append(there)
    return None


spots = st.tuples(st.integers(0, SIZE), st.integers(0, SIZE))
boxes = st.lists(
    st.tuples(st.integers(-1, SIZE - 1), st.integers(-1, SIZE - 1), st.integers(1, 6), st.integers(1, 6)).map(
        lambda box: (box[0], box[1], box[0] + box[2], box[1] + box[3])
    ),
    max_size=5,
)


@settings(max_examples=150, deadline=None)
@given(spots, spots, boxes)
def test_a_way_is_as_short_as_a_search_over_every_half_inch_finds_it(a, b, things):
    room = Area(ZERO, ZERO, inches(SIZE), inches(SIZE))
    ground = Ground(in_the_way=[thing(*box) for box in things], extent=room)
    way, fewest = ground.way(at(*a), at(*b)), by_every_inch(a, b, things)
    if fewest is None:
        assert way is None
        return
    assert way is not None
    assert float(way.length.inches) == fewest
    assert way.length == path(at(*a), at(*b)) + way.detour
    assert (way.points[0], way.points[-1]) == (at(*a), at(*b))
    legs = list(zip(way.points, way.points[1:], strict=False))
    assert sum((path(p, q) for p, q in legs), start=ZERO) == way.length
    assert all((p.x == q.x) is not (p.y == q.y) for p, q in legs)  # each leg along one axis, no leg of nothing
    assert not any(
        max(p.x.inches, q.x.inches) > left
        and min(p.x.inches, q.x.inches) < right
        and max(p.y.inches, q.y.inches) > door
        and min(p.y.inches, q.y.inches) < far
        for p, q in legs
        for left, door, right, far in things
    )


@settings(max_examples=60, deadline=None)
@given(spots, spots, boxes)
def test_the_way_back_is_the_way_there(a, b, things):
    there = Ground([JOISTS], [thing(*box) for box in things]).way(at(*a), at(*b))
    back = Ground([JOISTS], [thing(*box) for box in things]).way(at(*b), at(*a))
    assert (there and there.length) == (back and back.length)


@settings(max_examples=60, deadline=None)
@given(spots, spots, boxes, spots)
def test_one_more_thing_in_the_way_never_shortens_a_way(a, b, things, corner):
    more = [*things, (*corner, corner[0] + 3, corner[1] + 2)]
    before, after = (Ground(in_the_way=[thing(*box) for box in some]).way(at(*a), at(*b)) for some in (things, more))
    assert after is None or (before is not None and before.length <= after.length)


def test_with_nothing_in_the_way_cable_runs_along_the_bay_first_and_bends_once():
    way = Ground([JOISTS]).way(at(0, 0), at(36, 40))
    assert way.points == (at(0, 0), at(36, 0), at(36, 40))
    assert (way.length, way.detour, way.around) == (inches(76), ZERO, ())


def test_members_every_16_in_from_8_in_are_bored_at_8_24_and_40():
    assert Ground([JOISTS]).way(at(0, 0), at(36, 45)).bored == 3
    assert Ground([JOISTS]).way(at(0, 9), at(400, 23)).bored == 0  # one bay
    header = Framing(Axis.LEFT_RIGHT, inches(16), inches(8), inches("1.5"), others=(inches(12),))
    assert Ground([header]).way(at(0, 9), at(0, 23)).bored == 1


def test_no_member_is_bored_past_the_walls_where_the_framing_is_not_known():
    ceiling = Area(ZERO, ZERO, feet(10), feet(4))
    inside = Ground([JOISTS], extent=ceiling).way(at(0, 0), at(0, 480))
    assert inside.bored == 3  # at 8, 24 and 40 in; the wall is at 48


def test_a_duct_across_the_way_adds_what_going_around_it_takes_and_is_named():
    ground = Ground([JOISTS], [thing(20, -10, 30, 6)])
    way = ground.way(at(0, 0), at(50, 0))
    assert way.detour == inches(12)  # 6 in up and 6 in down again
    assert way.length == inches(62)
    assert {point.y for point in way.points} == {inches(0), inches(6)}
    assert way.around == ("duct",)


def test_of_equally_short_ways_the_one_through_fewest_members_is_taken():
    # 6 in either side of the duct's middle; a member stands on the far side only
    member = Framing(Axis.LEFT_RIGHT, feet(100), inches(5), inches("1.5"))
    way = Ground([member], [thing(20, -6, 30, 6)]).way(at(0, 0), at(50, 0))
    assert way.length == inches(62)
    assert way.bored == 0
    assert min(point.y for point in way.points) == inches(-6)


@pytest.mark.parametrize("spot", [(25, 0), (25, 3)])
def test_what_stands_inside_a_thing_has_no_way(spot):
    assert Ground(in_the_way=[thing(20, -6, 30, 6)]).way(at(0, 0), at(*spot)) is None


def test_no_way_leads_through_the_seam_of_two_ducts_nor_around_them_through_the_wall():
    room = Area(ZERO, ZERO, inches(40), inches(20))
    two = [thing(18, 0, 22, 10), thing(18, 10, 22, 20)]
    assert Ground(in_the_way=two, extent=room).way(at(5, 5), at(35, 5)) is None
    gap = [thing(18, 0, 22, 10), thing(18, 11, 22, 20)]
    assert Ground(in_the_way=gap, extent=room).way(at(5, 5), at(35, 5)).detour == inches(10)


def test_a_way_set_by_hand_is_measured_as_it_was_drawn():
    way = Ground([JOISTS]).along([at(0, 0), at(0, 20), at(30, 20), at(30, 0)])
    assert (way.length, way.detour) == (inches(70), inches(40))
    assert way.bored == 2  # the member at 8 in, up and down
