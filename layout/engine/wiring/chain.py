"""The order in which the lights of one zone are wired. Knows plan points; not cables, prices or Django.

Cable follows the framing, so a hop between two lights is |dx| + |dy| on the ceiling plan, not the straight line.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import isfinite, lcm

from layout.engine.lengths import Length, nanometers
from layout.engine.marks import Axis
from layout.engine.wiring.order import Order, shortest

Pair = tuple[int, int]
Measure = Callable[[int, int], int]
Number = int | float | Fraction


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the ceiling plan: x from the left wall, y from the door wall. Outside the room is allowed (a hall)."""

    x: Length
    y: Length


@dataclass(frozen=True, slots=True)
class Drop:
    """Something in the ceiling that a cable reaches: a light or a speaker. row counts as on the layout, from 1."""

    id: str
    at: Point
    row: int = 1


@dataclass(frozen=True, slots=True)
class Chain:
    """A chain through points: order as indexes of them. No chain is shorter than lower_bound; exact: none than this."""

    order: tuple[int, ...]
    length: Fraction
    lower_bound: Fraction

    @property
    def exact(self) -> bool:
        return self.length == self.lower_bound


def shortest_chain(points: Sequence[tuple[Number, Number]], start: tuple[Number, Number] | None = None) -> Chain:
    """The shortest chain along x and y from start through every point, ending anywhere. Any one unit, exact numbers.

    Proven to 16 points and wherever a bound meets it. The points' sequence doesn't matter: of equally short chains one
    along rows, then one along columns, then the first one with points taken by x, then y.
    Raises ValueError for a number that isn't finite.
    """
    places, scale = whole([*points, *([start] if start is not None else [])])
    first = places.pop() if start is not None else None
    inner = sorted(range(len(places)), key=places.__getitem__)
    xy = [places[index] for index in inner]
    walks = [*_walks(xy, [y for _, y in xy], along=0), *_walks(xy, [x for x, _ in xy], along=1)]
    found = shortest(*distances(xy, first), walks)
    order = tuple(inner[index] for index in found.order)
    return Chain(order, Fraction(found.length, scale), Fraction(found.least, scale))


def whole(points: Sequence[tuple[Number, Number]]) -> tuple[list[Pair], int]:
    """Points as whole numbers of 1/scale: exact, also for floats, which are taken for what they hold."""
    for pair in points:
        for number in pair:
            if isinstance(number, bool) or not isfinite(number):
                raise ValueError(f"A point is two finite numbers: {pair} isn't.")
    exact = [(Fraction(x), Fraction(y)) for x, y in points]
    scale = lcm(*(number.denominator for pair in exact for number in pair))
    return [(int(x * scale), int(y * scale)) for x, y in exact], scale


def distances(xy: Sequence[Pair], start: Pair | None) -> tuple[list[list[int]], list[int] | None]:
    """|dx| + |dy| between all, and from start when there is one."""
    between = [[_steps(a, b) for b in xy] for a in xy]
    return between, [_steps(start, a) for a in xy] if start is not None else None


def path(a: Point, b: Point) -> Length:
    """Along the framing and across it: |dx| + |dy|."""
    return nanometers(_steps(_xy(a), _xy(b)))


def path_through(order: Sequence[Drop], start: Point | None = None) -> Length:
    """The whole path from start (when there is one) through every drop in the order given."""
    points = ([start] if start else []) + [drop.at for drop in order]
    return nanometers(sum(_steps(_xy(a), _xy(b)) for a, b in pairwise(points)))


def by_id(drops: Iterable[Drop]) -> tuple[Drop, ...]:
    """A2 before A10."""
    return tuple(sorted(drops, key=lambda drop: natural(drop.id)))


def by_rows(drops: Iterable[Drop], rows_run: Axis, start: Point | None = None) -> tuple[Drop, ...]:
    """Along the first row, back along the next, as one person walks it; from whichever end is nearest to start."""
    given = by_id(drops)
    xy = [_xy(drop.at) for drop in given]
    walks = _walks(xy, [drop.row for drop in given], along=0 if rows_run is Axis.LEFT_RIGHT else 1)
    orders = [tuple(given[index] for index in walk) for walk in walks]
    return min(orders, key=lambda order: path_through(order, start).nm)


def chain(drops: Iterable[Drop], rows_run: Axis, start: Point | None = None) -> tuple[Drop, ...]:
    """The order a zone is wired in: the shortest there is (see `ordered`).

    Args: start: the zone's switch on the plan, or None when it is not placed yet.
    Returns: every drop once. The same drops and start always give the same order, whatever order they come in.
    """
    given = by_id(drops)
    xy = [_xy(drop.at) for drop in given]
    return tuple(
        given[index] for index in ordered(given, rows_run, *distances(xy, _xy(start) if start else None)).order
    )


def ordered(
    drops: Sequence[Drop], rows_run: Axis, between: Sequence[Sequence[int]], from_start: Sequence[int] | None
) -> Order:
    """The shortest order of drops that stand by ID, over distances in nm that may go around things.

    Of equally short orders: along the rows, then along the columns, by ID, then the one with the lower IDs first.
    """
    xy = [_xy(drop.at) for drop in drops]
    along = 0 if rows_run is Axis.LEFT_RIGHT else 1
    walks = [*_walks(xy, [drop.row for drop in drops], along), *_walks(xy, [each[along] for each in xy], 1 - along)]
    return shortest(between, from_start, walks)


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """A sort key that reads digits as numbers: A2 before A10."""
    return tuple((0, int(bit), "") if bit.isdecimal() else (1, 0, bit) for bit in re.findall(r"\d+|\D+", text))


def _walks(xy: Sequence[Pair], lines: Sequence[int], along: int) -> list[tuple[int, ...]]:
    """To and fro along lines of points, from each of the four corners. lines: which line a point is on."""
    rows: dict[int, list[int]] = {}
    for index, line in enumerate(lines):
        rows.setdefault(line, []).append(index)
    for row in rows.values():
        row.sort(key=lambda index: (xy[index][along], xy[index][1 - along]))
    walks = []
    for numbers in (sorted(rows), sorted(rows, reverse=True)):
        for turned in (False, True):
            walk: list[int] = []
            for place, number in enumerate(numbers):
                walk += reversed(rows[number]) if (place % 2 == 1) is not turned else rows[number]
            walks.append(tuple(walk))
    return walks


def _xy(point: Point) -> Pair:
    return int(point.x), int(point.y)


def _steps(a: Pair, b: Pair) -> int:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])
