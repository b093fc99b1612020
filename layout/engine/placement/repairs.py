"""Ways to clear the ideal lights by moving few of them, and how far: not the best layout, the least disturbance.

The ideal lights stand at their preferred setbacks, evenly between, whatever is in the way. A light is bad when it meets
a joist, an obstruction, an edge or is off its tile. Three ways are tried, each by itself: every bad light alone along
its row; every bad row across, its mirror row with it; every bad light along the rows, with its mirror partner and in
every row. Each moves to the nearest clear place within 12 in, lights kept apart; spacing, setbacks and speakers are not
looked at again. A way that can't clear every bad light is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from itertools import pairwise

from layout.engine.lengths import Unit
from layout.engine.placement.axis import Alone
from layout.engine.placement.costs import away, obstruction_at
from layout.engine.placement.problem import QUARTERS, Problem, Setback

FARTHEST = {Unit.INCH: 12 * 16, Unit.MM: 304}  # ticks in 12 in
LOST_TWIN = 16  # ticks that a light without a mirror twin, or a pair of rows moved, counts for beside its travel


class Way(StrEnum):
    LIGHTS = "each light alone, along its row"
    ROWS = "rows across, with their mirror rows"
    COLUMNS = "lights along the rows, with their mirrors, in every row"


@dataclass(frozen=True, slots=True)
class Move:
    """One light moved. Places in quarter ticks."""

    row: int
    light: int
    start: tuple[int, int]
    end: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Repair:
    """cost: ticks moved over all lights, and LOST_TWIN for each light or pair of rows that looks moved."""

    way: Way
    cost: int
    moves: tuple[Move, ...]


Lights = list[list[tuple[int, int]]]  # by row and column


def repairs(problem: Problem) -> tuple[Repair, ...]:
    """The ways that clear every bad light, least cost first, whether or not some layout fits.

    None when no ideal light is bad, or when the setbacks leave no ideal.
    """
    columns = _ideal(problem.length, problem.cols, problem.end_setback)
    rows = _ideal(problem.width, problem.rows, problem.row_setback)
    if columns is None or rows is None:
        return ()
    site = _Site(problem, columns, rows)
    start: Lights = [[(x, y) for x in columns] for y in rows]
    if not any(site.bad(x, y) for row in start for x, y in row):
        return ()
    found = (way(site, start) for way in (_lights, _rows, _columns))
    return tuple(sorted((repair for repair in found if repair), key=lambda repair: repair.cost))


def _ideal(length: int, number: int, setback: Setback) -> list[int] | None:
    """Preferred setback and equal gaps, on the nearest whole ticks, mirrored; None when the setbacks meet."""
    if number == 1:
        return [2 * length]
    if 2 * setback.pref >= length:
        return None
    between = length - 2 * setback.pref
    # halves go up
    near = [setback.pref + (2 * k * between + number - 1) // (2 * (number - 1)) for k in range(number // 2)]
    middle = [2 * length] if number % 2 else []
    return [QUARTERS * x for x in near] + middle + [QUARTERS * (length - x) for x in reversed(near)]


class _Site:
    """What stands in a light's way."""

    def __init__(self, problem: Problem, columns: list[int], rows: list[int]) -> None:
        self.problem = problem
        self.apart = 2 * problem.light.radius + problem.web_min
        self.steps = [sign * tick for tick in range(1, FARTHEST[problem.unit] + 1) for sign in (-1, 1)]
        self._alone = [Alone(problem, along=True), Alone(problem, along=False)]
        self._meeting = [(alone.costs(problem.light) > 0).tolist() for alone in self._alone]
        light = problem.light
        shapes = [(each.x0, each.x1, each.y0, each.y1, each.needs(light)) for each in problem.obstructions]
        # each light moves on one axis only: what is near on the other one is all it can meet
        self._by_row = {y: [each for each in shapes if away(*each[2:4], y) < each[4]] for y in rows}
        self._by_column = {x: [each for each in shapes if away(*each[:2], x) < each[4]] for x in columns}

    def bad(self, x: int, y: int) -> bool:
        return self.meets(0, x) or self.meets(1, y) or self.obstructed(x, y)

    def meets(self, axis: int, at: int) -> bool:
        """Whether a light there meets a joist or an edge, or is off its tile, whatever its place on the other axis."""
        tick, past = divmod(at, QUARTERS)
        if past:
            return self._alone[axis].at(self.problem.light, at) > 0
        meeting = self._meeting[axis]
        return not 0 <= tick < len(meeting) or bool(meeting[tick])

    def obstructed(self, x: int, y: int) -> bool:
        near = self._by_row[y] if y in self._by_row else self._by_column[x]
        return any(obstruction_at(needed, away(x0, x1, x), away(y0, y1, y)) for x0, x1, y0, y1, needed in near)

    def nearest(self, clear: Callable[[int], bool]) -> int | None:
        """The least move, in ticks, that is clear; of two as far the one toward the zero edge."""
        return next((step for step in self.steps if clear(step)), None)


def _apart(places: list[int], least: int) -> bool:
    return all(after - before >= max(least, 1) for before, after in pairwise(places))


def _moves(before: Lights, after: Lights) -> Iterator[Move]:
    for row, (olds, news) in enumerate(zip(before, after, strict=True), 1):
        for light, (old, new) in enumerate(zip(olds, news, strict=True), 1):
            if old != new:
                yield Move(row, light, old, new)


def _repair(way: Way, before: Lights, after: Lights, more: int) -> Repair:
    moves = tuple(_moves(before, after))
    travel = sum(abs(a - b) for move in moves for a, b in zip(move.start, move.end, strict=True)) // QUARTERS
    return Repair(way, travel + LOST_TWIN * more, moves)


def _lights(site: _Site, start: Lights) -> Repair | None:
    lights, ends = [list(row) for row in start], QUARTERS * site.problem.length
    for row in lights:
        if site.meets(1, row[0][1]):
            return None
        for light, (x, y) in enumerate(row):
            if site.bad(x, y):
                step = site.nearest(partial(_light_clear, site, row, light))
                if step is None:
                    return None
                row[light] = (x + QUARTERS * step, y)
    alone = sum(ends - x not in {each for each, _ in row} for row in lights for x, _ in row)
    return _repair(Way.LIGHTS, start, lights, alone)


def _light_clear(site: _Site, row: list[tuple[int, int]], light: int, step: int) -> bool:
    x, y = row[light]
    if site.bad(x + QUARTERS * step, y):
        return False
    places = [x for x, _ in row]
    places[light] += QUARTERS * step
    return _apart(places, site.apart)


def _rows(site: _Site, start: Lights) -> Repair | None:
    columns, rows = [x for x, _ in start[0]], [row[0][1] for row in start]
    if any(site.meets(0, x) for x in columns):
        return None
    bad = [any(site.bad(x, y) for x in columns) for y in rows]
    found = _pairs_moved(site, 1, rows, bad, lambda y: any(site.obstructed(x, y) for x in columns))
    if found is None:
        return None
    after, moved = found
    return _repair(Way.ROWS, start, [[(x, y) for x in columns] for y in after], moved)


def _columns(site: _Site, start: Lights) -> Repair | None:
    columns, rows = [x for x, _ in start[0]], [row[0][1] for row in start]
    if any(site.meets(1, y) for y in rows):
        return None
    bad = [any(site.bad(x, y) for y in rows) for x in columns]
    found = _pairs_moved(site, 0, columns, bad, lambda x: any(site.obstructed(x, y) for y in rows))
    return None if found is None else _repair(Way.COLUMNS, start, [[(x, y) for x in found[0]] for y in rows], 0)


def _pairs_moved(
    site: _Site, axis: int, places: list[int], bad: list[bool], obstructed: Callable[[int], bool]
) -> tuple[list[int], int] | None:
    """Where rows or columns stand once each bad one has moved with its mirror, and how many pairs have; None when one
    finds no clear place."""

    def clear(one: int, twin: int, step: int) -> bool:
        ends = (after[one] + QUARTERS * step, after[twin] - QUARTERS * step)
        if any(site.meets(axis, at) for at in ends):
            return False
        moved = list(after)
        moved[one], moved[twin] = ends
        return _apart(moved, site.apart) and not any(obstructed(at) for at in ends)

    after, last, pairs = list(places), len(places) - 1, 0
    for one in range(last // 2 + 1):
        if bad[one] or bad[last - one]:
            # the middle one can't move
            step = site.nearest(partial(clear, one, last - one)) if 2 * one != last else None
            if step is None:
                return None
            after[one], after[last - one] = after[one] + QUARTERS * step, after[last - one] - QUARTERS * step
            pairs += 1
    return after, pairs
