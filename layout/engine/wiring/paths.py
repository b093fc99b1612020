"""The way of one cable on framing: along bays, through members, around things. Knows a plan; not cables or prices.

          B
     +----|  up the bay beside the duct
     |  [duct]
  A--+        through members to the duct's edge

A shortest way along x and y around rectangles keeps to the lines their edges and its two ends stand on.
Source: R. C. Larson and V. O. K. Li, Finding Minimum Rectilinear Distance Paths in the Presence of Barriers, Networks
11 (1981), from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import pairwise
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from layout.engine.lengths import ZERO, Distance, Length, nanometers
from layout.engine.marks import Axis
from layout.engine.wiring.chain import Point
from layout.engine.wiring.values import Area, Framing, InTheWay

Pair = tuple[int, int]
Box = tuple[int, int, int, int]  # left, door, right, far
Cost = tuple[int, int, int]  # length, members bored, bends
State = tuple[int, int, int]  # line along x, line along y, which way it came
TURNS: dict[int, Pair] = {0: (1, 0), 1: (-1, 0), 2: (0, 1), 3: (0, -1)}


@dataclass(frozen=True, slots=True)
class Way:
    """points: from end to end, with every bend. length: along them. detour: how much of it going around things adds.

    bored: members crossed. around: what it goes around, whether that adds to it or not.
    """

    points: tuple[Point, ...]
    length: Length
    detour: Length
    bored: int
    around: tuple[str, ...]


class Ground:
    """One ceiling to run cable on. Of equally long ways the one with fewest members bored, then fewest bends.

    Args: extent: no way leaves it, except towards points that lie outside. points: what cable goes to.
    """

    def __init__(
        self,
        framing: Iterable[Framing] = (),
        in_the_way: Iterable[InTheWay] = (),
        extent: Area | None = None,
        points: Iterable[Point] = (),
    ) -> None:
        known = tuple(framing)
        self._across_first = bool(known) and known[0].runs is Axis.DOOR_FAR
        self._regular = [[_whole(each) for each in known if _stands_across(each) == axis] for axis in (0, 1)]
        self._others = [
            [c.nm for each in known if _stands_across(each) == axis for c in each.others] for axis in (0, 1)
        ]
        self._things = tuple((thing.name, _outward(thing.area)) for thing in in_the_way)
        self._members = _outward(extent) if extent else None
        self._region = self._members and _around(self._members, [_xy(point) for point in points])
        self._found: dict[tuple[Pair, Pair], Way | None] = {}

    @property
    def is_clear(self) -> bool:
        """Nothing is in the way: every way is |dx| + |dy|."""
        return not self._things

    def way(self, a: Point, b: Point) -> Way | None:
        """The shortest way from a to b. None: things stand around a or b and leave no way."""
        start, end = _xy(a), _xy(b)
        if (start, end) not in self._found:
            if (found := self._found.get((end, start), ...)) is not ...:
                return found and Way(found.points[::-1], found.length, found.detour, found.bored, found.around)
            self._found[start, end] = self._way(start, end, {start: a, end: b})
        return self._found[start, end]

    def along(self, points: Sequence[Point]) -> Way:
        """A way as a person set it, point by point: what it takes and bores, without judging it."""
        return self._told([_xy(point) for point in points], {})

    def bored(self, points: Sequence[Pair]) -> int:
        """How many members these legs cross. One that ends on a member's center from below has crossed it."""
        return sum(
            abs(self._up_to(axis, b[axis]) - self._up_to(axis, a[axis])) for a, b in pairwise(points) for axis in (0, 1)
        )

    def _way(self, start: Pair, end: Pair, ends: dict[Pair, Point]) -> Way | None:
        region = self._region and _around(self._region, [start, end])
        boxes = [box for _, box in self._things]
        if start != end and any(_holds(box, point) for box in boxes for point in (start, end)):
            return None
        for bend in self._bends(start, end):
            legs = [(start, bend), (bend, end)]
            if not any(_meets(a, b, box) for a, b in legs for box in boxes):
                return self._told(_straightened([start, bend, end]), ends)
        points = self._searched(start, end, boxes, region)
        return self._told(_straightened(points), ends) if points else None

    def _bends(self, start: Pair, end: Pair) -> list[Pair]:
        """The corner of each way with one bend, first along the members."""
        corners = [(end[0], start[1]), (start[0], end[1])]
        return corners[::-1] if self._across_first else corners

    def _told(self, points: Sequence[Pair], ends: dict[Pair, Point]) -> Way:
        length = sum(_steps(a, b) for a, b in pairwise(points))
        detour = length - (_steps(points[0], points[-1]) if points else 0)
        names = [name for name, box in self._things if any(_grazes(a, b, box) for a, b in pairwise(points))]
        told = tuple(ends.get(each) or Point(nanometers(each[0]), nanometers(each[1])) for each in points)
        around = tuple(dict.fromkeys(names)) if len(points) > 2 else ()
        return Way(told, nanometers(length), nanometers(detour) if detour else ZERO, self.bored(points), around)

    def _up_to(self, axis: int, place: int) -> int:
        """How many members stand across this axis up to a place, from some first one; none past the walls."""
        if self._members:
            place = min(max(place, self._members[axis]), self._members[axis + 2])
        regular = sum((place * below - above) // step for above, below, step in self._regular[axis])
        return regular + sum(center <= place for center in self._others[axis])

    def _searched(self, start: Pair, end: Pair, boxes: Sequence[Box], region: Box | None) -> list[Pair] | None:
        tracks = _Tracks(start, end, boxes, region)
        bored = [[self._up_to(axis, line) for line in tracks.lines[axis]] for axis in (0, 1)]
        goal, first = tracks.place(end), tracks.place(start)
        best: dict[State, Cost] = {(*first, turn): (0, 0, 0) for turn in TURNS}
        came: dict[State, State] = {}
        heap: list[tuple[Cost, Cost, State]] = [((_steps(start, end), 0, 0), (0, 0, 0), state) for state in best]
        while heap:
            _, cost, state = heappop(heap)
            if best[state] != cost:
                continue
            i, j, turn = state
            if (i, j) == goal:
                return _walked(came, state, tracks)
            here = tracks.at(i, j)
            for onward, (di, dj) in TURNS.items():
                if not tracks.open(i, j, di, dj):
                    continue
                there = tracks.at(i + di, j + dj)
                members = abs(bored[0][i + di] - bored[0][i]) + abs(bored[1][j + dj] - bored[1][j])
                after = (cost[0] + _steps(here, there), cost[1] + members, cost[2] + (onward != turn))
                reached = (i + di, j + dj, onward)
                if reached not in best or after < best[reached]:
                    best[reached], came[reached] = after, state
                    heappush(heap, ((after[0] + _steps(there, end), *after[1:]), after, reached))
        return None


class _Tracks:
    """The lines a way can keep to, and between which of their crossings it is open."""

    def __init__(self, start: Pair, end: Pair, boxes: Sequence[Box], region: Box | None) -> None:
        self.lines = tuple(_lines(axis, start, end, boxes, region) for axis in (0, 1))
        self.index = tuple({line: at for at, line in enumerate(lines)} for lines in self.lines)
        cells = np.full((len(self.lines[0]) + 1, len(self.lines[1]) + 1), region is None, dtype=np.bool_)
        cells[1:-1, 1:-1] = True  # cell (i, j) is before line i and before line j; the outer ones are past the region
        for box in boxes:
            cells[self._within(0, box), self._within(1, box)] = False
        # a leg is open when there is room on either side of it: not in the seam of two things that touch
        self.rightward: NDArray[np.bool_] = cells[1:, :-1] | cells[1:, 1:]
        self.upward: NDArray[np.bool_] = cells[:-1, 1:] | cells[1:, 1:]

    def place(self, point: Pair) -> Pair:
        return self.index[0][point[0]], self.index[1][point[1]]

    def at(self, i: int, j: int) -> Pair:
        return self.lines[0][i], self.lines[1][j]

    def open(self, i: int, j: int, di: int, dj: int) -> bool:
        if not (0 <= i + di < len(self.lines[0]) and 0 <= j + dj < len(self.lines[1])):
            return False
        return bool(self.rightward[min(i, i + di), j] if di else self.upward[i, min(j, j + dj)])

    def _within(self, axis: int, box: Box) -> slice:
        lines = self.lines[axis]
        inside = [at for at, (low, high) in enumerate(pairwise(lines)) if box[axis] <= low and high <= box[axis + 2]]
        return slice(inside[0] + 1, inside[-1] + 2) if inside else slice(0, 0)


def _lines(axis: int, start: Pair, end: Pair, boxes: Sequence[Box], region: Box | None) -> list[int]:
    lines = {start[axis], end[axis]}
    edges = {box[side] for box in boxes for side in (axis, axis + 2)}
    if region is None:
        return sorted(lines | edges)
    low, high = region[axis], region[axis + 2]
    return sorted(lines | {low, high} | {edge for edge in edges if low < edge < high})


def _walked(came: dict[State, State], state: State, tracks: _Tracks) -> list[Pair]:
    points = [tracks.at(*state[:2])]
    while state in came:
        state = came[state]
        points.append(tracks.at(*state[:2]))
    return points[::-1]


def _straightened(points: Sequence[Pair]) -> list[Pair]:
    """Ends and bends alone."""
    bare = [point for at, point in enumerate(points) if not at or point != points[at - 1]]
    return [
        point
        for at, point in enumerate(bare)
        if at in (0, len(bare) - 1) or not _in_line(bare[at - 1], point, bare[at + 1])
    ]


def _in_line(a: Pair, b: Pair, c: Pair) -> bool:
    return a[0] == b[0] == c[0] or a[1] == b[1] == c[1]


def _meets(a: Pair, b: Pair, box: Box) -> bool:
    """Whether the leg touches the box, its edge too."""
    return all(min(a[axis], b[axis]) <= box[axis + 2] and max(a[axis], b[axis]) >= box[axis] for axis in (0, 1))


def _holds(box: Box, point: Pair) -> bool:
    """Whether the point stands inside the box, not on its edge."""
    return box[0] < point[0] < box[2] and box[1] < point[1] < box[3]


def _grazes(a: Pair, b: Pair, box: Box) -> bool:
    """Whether the leg runs along an edge of the box."""
    for axis in (0, 1):
        other = 1 - axis
        if (
            a[axis] == b[axis]
            and a[axis] in (box[axis], box[axis + 2])
            and min(a[other], b[other]) < box[other + 2]
            and max(a[other], b[other]) > box[other]
        ):
            return True
    return False


def _stands_across(framing: Framing) -> int:
    """The axis its members are spaced along: 0 for x, 1 for y."""
    return 1 if framing.runs is Axis.LEFT_RIGHT else 0


def _whole(framing: Framing) -> tuple[int, int, int]:
    """Members up to a place are (place x the second - the first) // the third: whole numbers, exact and quick."""
    first, spacing = framing.first.nm, framing.spacing.nm
    below = first.denominator * spacing.denominator
    return first.numerator * spacing.denominator, below, spacing.numerator * first.denominator


def _outward(area: Area) -> Box:
    """To whole nanometers, never smaller."""
    return floor(area.left.nm), floor(area.door.nm), ceil(area.right.nm), ceil(area.far.nm)


def _around(box: Box, points: Sequence[Pair]) -> Box:
    xs, ys = [box[0], box[2], *(x for x, _ in points)], [box[1], box[3], *(y for _, y in points)]
    return min(xs), min(ys), max(xs), max(ys)


def clear_of(area: Area, by: Distance) -> Area:
    """An area grown on all sides: what cable keeps away from."""
    return Area(area.left - by, area.door - by, area.right + by, area.far + by)


def _steps(a: Pair, b: Pair) -> int:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


def _xy(point: Point) -> Pair:
    return int(point.x), int(point.y)
