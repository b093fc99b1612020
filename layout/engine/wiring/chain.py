"""The order in which the lights of one zone are wired. Knows plan points; not cables, prices or Django.

Cable follows the framing, so a hop between two lights is |dx| + |dy| on the ceiling plan, not the straight line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from layout.engine.lengths import Length, nanometers
from layout.engine.marks import Axis


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
    rows: dict[int, list[Drop]] = {}
    for drop in by_id(drops):
        rows.setdefault(drop.row, []).append(drop)
    for row in rows.values():
        row.sort(key=lambda drop: _along(drop, rows_run))
    walks = []
    for numbers in (sorted(rows), sorted(rows, reverse=True)):
        for turned in (False, True):
            walk: list[Drop] = []
            for place, number in enumerate(numbers):
                walk += reversed(rows[number]) if (place % 2 == 1) is not turned else rows[number]
            walks.append(tuple(walk))
    return _shortest(walks, start)


def by_nearest(drops: Iterable[Drop], start: Point | None = None) -> tuple[Drop, ...]:
    """From start to the nearest light, then to the nearest one left; ties go to the lower ID."""
    left = list(by_id(drops))
    if not left:
        return ()
    points = {drop.id: _xy(drop.at) for drop in left}
    here = _xy(start) if start else points[left[0].id]
    order = []
    while left:
        distances = [_steps(here, points[drop.id]) for drop in left]
        nearest = left.pop(distances.index(min(distances)))
        order.append(nearest)
        here = points[nearest.id]
    return tuple(order)


def chain(drops: Iterable[Drop], rows_run: Axis, start: Point | None = None) -> tuple[Drop, ...]:
    """The order a zone is wired in: the shortest of nearest-first, row by row, and plain ID order.

    Args: start: the zone's switch on the plan, or None when it is not placed yet.
    Returns: every drop once. The same drops and start always give the same order, whatever order they come in.
    """
    given = by_id(drops)
    return _shortest([by_nearest(given, start), by_rows(given, rows_run, start), given], start)


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """A sort key that reads digits as numbers: A2 before A10."""
    return tuple((0, int(bit), "") if bit.isdecimal() else (1, 0, bit) for bit in re.findall(r"\d+|\D+", text))


def _shortest(orders: Iterable[tuple[Drop, ...]], start: Point | None) -> tuple[Drop, ...]:
    return min(orders, key=lambda order: path_through(order, start).nm)


def _along(drop: Drop, rows_run: Axis) -> tuple[int, int]:
    x, y = _xy(drop.at)
    return (x, y) if rows_run is Axis.LEFT_RIGHT else (y, x)


def _xy(point: Point) -> tuple[int, int]:
    return int(point.x), int(point.y)


def _steps(a: tuple[int, int], b: tuple[int, int]) -> int:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])
