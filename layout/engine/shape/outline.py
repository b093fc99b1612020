"""A ceiling's outline as entered, corner by corner: checked, turned one way round, asked how near its edge a hole is.

Exact: corners are whole fractions of nanometers held as integers, distances are compared as squares. Knows no walls as
they were taped (walls.py), no zones (zones.py) and no records.

    4 +-------+ 3        edge 1 runs from corner 1 to corner 2, edge 2 from corner 2 to corner 3 and so on;
      |       |          an error names corners and edges by the numbers they were entered under
    1 +-------+ 2
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import lcm

from layout.engine.ceiling import Corner
from layout.engine.lengths import ZERO, Distance, Length, LengthError, Style, Tape, feet
from layout.engine.shape.nearness import Point, from_square, root, squared, widest

MOST_CORNERS = 500
FARTHEST = feet(1000)  # from the zero corner, either way; a longer ceiling is a slip of the keyboard


def told(distance: Distance, tape: Tape | None) -> str:
    """A distance on the room's tape; in inches and millimeters where the tape isn't known."""
    if tape is not None:
        return tape.show(distance)
    return f"{Tape(Style.INCHES, 64).show(distance)} ({Tape(Style.MM, 1).show(distance)})"


class OutlineError(LengthError):
    """An outline that is no ceiling. The message names corners or edges by number, and the remedy."""

    def __init__(self) -> None:
        super().__init__(self.said())

    @abstractmethod
    def said(self, tape: Tape | None = None) -> str:
        """In words; with a tape, in its fractions."""


class WrongCount(OutlineError):
    def __init__(self, count: int) -> None:
        self.count = count
        super().__init__()


class TooManyCorners(WrongCount):
    def said(self, tape: Tape | None = None) -> str:
        return f"Outline: {self.count} corners. Give at most {MOST_CORNERS}."


class TooFewCorners(WrongCount):
    def said(self, tape: Tape | None = None) -> str:
        return f"Outline: {self.count or 'no'} corners. A ceiling has at least 3: enter the missing ones."


class OutOfRange(OutlineError):
    """corner: its number. at: the coordinate that is out of range."""

    def __init__(self, corner: int, at: Distance) -> None:
        self.corner, self.at = corner, at
        super().__init__()

    def said(self, tape: Tape | None = None) -> str:
        there, most = told(self.at, tape), told(FARTHEST, tape)
        return f"Corner {self.corner} is entered {there} off; the farthest is {most}. Check the number."


class RepeatedCorner(OutlineError):
    """first, again: the two numbers under which one corner was entered."""

    def __init__(self, first: int, again: int, at: Corner) -> None:
        self.first, self.again, self.at = first, again, at
        super().__init__()

    def said(self, tape: Tape | None = None) -> str:
        return f"Corners {self.first} and {self.again} are one point, {_place(self.at, tape)}. Take one out or move it."


class Spike(OutlineError):
    """corner: where the outline turns straight back along the edge it came by."""

    def __init__(self, corner: int, at: Corner) -> None:
        self.corner, self.at = corner, at
        super().__init__()

    def said(self, tape: Tape | None = None) -> str:
        return (
            f"At corner {self.corner}, {_place(self.at, tape)}, the outline turns straight back: nothing is between "
            "the two edges. Take that corner out or move it."
        )


class ZeroArea(OutlineError):
    def said(self, tape: Tape | None = None) -> str:
        return "All corners are on one line: there is no ceiling inside. Check the readings across the room."


class CrossesItself(OutlineError):
    """first, second: the numbers of two edges that meet away from a common corner. at: a point where they do."""

    def __init__(self, first: int, second: int, at: Corner) -> None:
        self.first, self.second, self.at = first, second, at
        super().__init__()

    def said(self, tape: Tape | None = None) -> str:
        return (
            f"Edges {self.first} and {self.second} meet {_place(self.at, tape)}. "
            "Check the corners at their ends, and that they were entered in order around the room."
        )


def _place(at: Corner, tape: Tape | None) -> str:
    return f"{told(at.x, tape)} from the left and {told(at.y, tape)} from the door side"


@dataclass(frozen=True, slots=True)
class Cutout:
    """A hole to be cut. size: a diameter, or a square's side, which stands square to the room."""

    size: Length
    square: bool = False


@dataclass(frozen=True, slots=True)
class Outline:
    """A sound outline: no edge meets another but at their common corner. Made by `outline_of`.

    corners: counterclockwise as a plan is read, starting with the one nearest the door side (of these the leftmost).
    """

    corners: tuple[Corner, ...]
    _scale: int = field(init=False, repr=False, compare=False)
    _points: tuple[Point, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        scale, points = _whole(self.corners)
        object.__setattr__(self, "_scale", scale)
        object.__setattr__(self, "_points", points)

    @property
    def wide(self) -> Distance:
        """Left to right, corner to corner at its widest."""
        return max(corner.x for corner in self.corners) - min(corner.x for corner in self.corners)

    @property
    def deep(self) -> Distance:
        return max(corner.y for corner in self.corners) - min(corner.y for corner in self.corners)

    @property
    def area_nm2(self) -> Fraction:
        """The ceiling's area in square nanometers."""
        return Fraction(_twice_area(self._points), 2 * self._scale**2)

    @property
    def square_cornered(self) -> bool:
        """Every edge runs left to right or door to far."""
        return all(a[0] == b[0] or a[1] == b[1] for a, b in _edges(self._points))

    def holds(self, x: Distance, y: Distance) -> bool:
        """Whether a point is on the ceiling; its very edge counts."""
        (px, py), edges = self._as_whole(x, y)
        inside = False
        for (ax, ay), (bx, by) in edges:
            turn = (bx - ax) * (py - ay) - (by - ay) * (px - ax)
            if turn == 0 and min(ax, bx) <= px <= max(ax, bx) and min(ay, by) <= py <= max(ay, by):
                return True
            if (ay > py) != (by > py) and (turn > 0) == (by > ay):
                inside = not inside
        return inside

    def square_of_distance(self, x: Distance, y: Distance) -> Fraction:
        """The square of the distance from a point to the nearest edge, in square nanometers, exact."""
        (px, py), edges = self._as_whole(x, y)
        whole = lcm(x.nm.denominator, y.nm.denominator) * self._scale
        top, bottom = squared(px, py, *next(edges))
        for a, b in edges:
            over, under = squared(px, py, a, b)
            if over * bottom < top * under:
                top, bottom = over, under
        return Fraction(top, bottom * whole**2)

    def distance(self, x: Distance, y: Distance) -> Distance:
        """From a point to the nearest edge: exact where its square's root is, else to the nanometer below."""
        return root(self.square_of_distance(x, y))

    def hole_inside(self, x: Distance, y: Distance, hole: Cutout, clear: Length) -> Distance:
        """How much a hole centered here is short of `clear` ceiling between its rim and the outline; 0 where it fits.

        A hole whose center is off the ceiling is short of all it needs and of the way back as well. Where a square
        overlaps the edge, the overlap is measured square to the room. Never less than what is truly missing, and at
        most a nanometer more.
        """
        return self._short(x, y, hole, clear, self.holds(x, y))

    def _short(self, x: Distance, y: Distance, hole: Cutout, clear: Length, holds: bool) -> Distance:
        square = self.square_of_distance(x, y)
        if hole.square:
            reach = hole.size * Fraction(3, 4) + clear  # half of a square's diagonal is less than 3/4 of its side
            if holds and square >= reach.nm**2:
                return ZERO
            return self._square_short(x, y, hole.size / 2, clear, holds)
        needed = hole.size / 2 + clear
        if holds and square >= needed.nm**2:
            return ZERO
        return needed - root(square) if holds else needed + root(square, up=True)

    def hole_beside(self, x: Distance, y: Distance, hole: Cutout, clear: Length) -> Distance:
        """How much a hole's rim is nearer than `clear` to the edge, whichever side of it the hole is on."""
        return self._short(x, y, hole, clear, True)

    def _square_short(self, x: Distance, y: Distance, half: Distance, clear: Length, holds: bool) -> Distance:
        scale = self._scale
        near = [((a[0] - x.nm * scale, a[1] - y.nm * scale), (b[0] - x.nm * scale, b[1] - y.nm * scale))
                for a, b in _edges(self._points)]  # fmt: skip
        off = Distance(min(widest(a, b) for a, b in near) / scale)
        if not holds:
            return half + clear + off
        if off <= half:
            return clear + half - off
        rim = half.nm * scale
        square = min(from_square(a, b, rim) for a, b in near) / scale**2
        return ZERO if square >= clear.nm**2 else clear - root(square)

    def _as_whole(self, x: Distance, y: Distance) -> tuple[Point, Iterator[tuple[Point, Point]]]:
        """A point and the edges as integers on one common scale."""
        finer = lcm(x.nm.denominator, y.nm.denominator)
        points = self._points if finer == 1 else tuple((px * finer, py * finer) for px, py in self._points)
        whole = self._scale * finer
        return (int(x.nm * whole), int(y.nm * whole)), _edges(points)


def outline_of(corners: Sequence[Corner]) -> Outline:
    """The outline these corners make, entered in order either way round.

    Raises TooFewCorners, TooManyCorners, OutOfRange, RepeatedCorner, ZeroArea, Spike, CrossesItself: the first that
    holds, in this order.
    """
    if len(corners) > MOST_CORNERS:
        raise TooManyCorners(len(corners))
    if len(corners) < 3:
        raise TooFewCorners(len(corners))
    for number, corner in enumerate(corners, 1):
        for at in (corner.x, corner.y):
            if abs(at) > FARTHEST:
                raise OutOfRange(number, at)
    scale, points = _whole(corners)
    _check_repeated(points, corners)
    _check_turns(points, corners)
    _check_crossings(points, scale)
    clockwise = _twice_area(points) < 0
    ordered = list(reversed(corners)) if clockwise else list(corners)
    start = min(range(len(ordered)), key=lambda n: (ordered[n].y.nm, ordered[n].x.nm))
    return Outline((*ordered[start:], *ordered[:start]))


def rectangle(wide: Distance, deep: Distance) -> Outline:
    """The outline of a plain room."""
    return outline_of((Corner(ZERO, ZERO), Corner(wide, ZERO), Corner(wide, deep), Corner(ZERO, deep)))


# Sound or not


def _whole(corners: Sequence[Corner]) -> tuple[int, tuple[Point, ...]]:
    """The corners as integers, and what they were multiplied by."""
    scale = lcm(*(at.nm.denominator for corner in corners for at in (corner.x, corner.y)))
    return scale, tuple((int(corner.x.nm * scale), int(corner.y.nm * scale)) for corner in corners)


def _edges(points: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    yield from pairwise(points)
    yield points[-1], points[0]


def _twice_area(points: Sequence[Point]) -> int:
    """Above 0 when they run counterclockwise."""
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in _edges(points))


def _check_repeated(points: Sequence[Point], corners: Sequence[Corner]) -> None:
    seen: dict[Point, int] = {}
    for number, point in enumerate(points, 1):
        if point in seen:
            raise RepeatedCorner(seen[point], number, corners[number - 1])
        seen[point] = number


def _check_turns(points: Sequence[Point], corners: Sequence[Corner]) -> None:
    spikes, flat = [], True
    for n, (bx, by) in enumerate(points):
        (ax, ay), (cx, cy) = points[n - 1], points[(n + 1) % len(points)]
        turn = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
        flat = flat and turn == 0
        if turn == 0 and (bx - ax) * (cx - bx) + (by - ay) * (cy - by) < 0:
            spikes.append(n)
    if flat:
        raise ZeroArea
    if spikes:
        raise Spike(spikes[0] + 1, corners[spikes[0]])


def _check_crossings(points: Sequence[Point], scale: int) -> None:
    """Every pair of edges that could meet, swept square to the longest edge.

    A room's long edges mostly run side by side, so that in the sweep each has few others beside it.
    """
    edges = list(_edges(points))
    (ax, ay), (bx, by) = max(edges, key=lambda edge: _length_squared(*edge))
    nx, ny = ay - by, bx - ax
    swept = []
    for number, ((px, py), (qx, qy)) in enumerate(edges, 1):
        p, q = nx * px + ny * py, nx * qx + ny * qy
        left, right = (px, qx) if px < qx else (qx, px)
        low, high = (py, qy) if py < qy else (qy, py)
        swept.append((min(p, q), max(p, q), number, left, right, low, high))
    swept.sort()
    beside: list[tuple[int, int, int, int, int, int, int]] = []
    for one in swept:
        start, _, number, left, right, low, high = one
        beside = [other for other in beside if other[1] >= start]
        for other in beside:
            if other[3] > right or other[4] < left or other[5] > high or other[6] < low:
                continue
            first, second = sorted((number, other[2]))
            if second - first not in (1, len(edges) - 1):
                at = _meet(edges[first - 1], edges[second - 1])
                if at is not None:
                    raise CrossesItself(first, second, Corner(Distance(at[0] / scale), Distance(at[1] / scale)))
        beside.append(one)


def _length_squared(a: Point, b: Point) -> int:
    return (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2


def _meet(one: tuple[Point, Point], other: tuple[Point, Point]) -> tuple[Fraction, Fraction] | None:
    """A point two edges share, or None. Edges that lie on each other share the first corner found on both."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    cross = ux * vy - uy * vx
    to_c = (cx - ax, cy - ay)
    if cross == 0:
        if ux * to_c[1] - uy * to_c[0]:
            return None
        spread = sorted([(ax, ay), (bx, by)]), sorted([(cx, cy), (dx, dy)])
        start, end = max(spread[0][0], spread[1][0]), min(spread[0][1], spread[1][1])
        return (Fraction(start[0]), Fraction(start[1])) if start <= end else None
    s, t = to_c[0] * vy - to_c[1] * vx, to_c[0] * uy - to_c[1] * ux
    if cross < 0:
        cross, s, t = -cross, -s, -t
    if not (0 <= s <= cross and 0 <= t <= cross):
        return None
    return ax + Fraction(ux * s, cross), ay + Fraction(uy * s, cross)
