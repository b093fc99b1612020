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
    """The ways that clear every bad light, least cost first; none when no ideal light is bad or there is no ideal."""
    columns = _ideal(problem.length, problem.cols, problem.end_setback)
    rows = _ideal(problem.width, problem.rows, problem.row_setback)
    if columns is None or rows is None:
        return ()
    site = _Site(problem)
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

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.apart = 2 * problem.light.radius + problem.web_min
        self.steps = [sign * tick for tick in range(1, FARTHEST[problem.unit] + 1) for sign in (-1, 1)]
        self._alone = [Alone(problem, along=True), Alone(problem, along=False)]
        self._known: list[dict[int, bool]] = [{}, {}]

    def bad(self, x: int, y: int) -> bool:
        return self._meets(0, x) or self._meets(1, y) or self._obstructed(x, y)

    def _meets(self, axis: int, at: int) -> bool:
        known = self._known[axis]
        if at not in known:
            known[at] = self._alone[axis].at(self.problem.light, at) > 0
        return known[at]

    def _obstructed(self, x: int, y: int) -> bool:
        light = self.problem.light
        return any(
            obstruction_at(each.needs(light), away(each.x0, each.x1, x), away(each.y0, each.y1, y))
            for each in self.problem.obstructions
        )

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
        for light, (x, y) in enumerate(row):
            if site.bad(x, y):
                step = site.nearest(partial(_light_clear, site, row, light))
                if step is None:
                    return None
                row[light] = (x + QUARTERS * step, y)
    alone = sum(ends - x not in {each for each, _ in row} for row in lights for x, _ in row)
    return _repair(Way.LIGHTS, start, lights, alone)


def _light_clear(site: _Site, row: list[tuple[int, int]], light: int, step: int) -> bool:
    places = [x for x, _ in row]
    places[light] += QUARTERS * step
    return _apart(places, site.apart) and not site.bad(places[light], row[light][1])


def _rows(site: _Site, start: Lights) -> Repair | None:
    lights, number = start, len(start)
    bad = sorted({min(n, number - 1 - n) for n, row in enumerate(start) if any(site.bad(x, y) for x, y in row)})
    for row in bad:
        # the middle row can't move
        step = site.nearest(partial(_row_clear, site, lights, row)) if 2 * row + 1 != number else None
        if step is None:
            return None
        lights = _row_moved(lights, row, step)
    return _repair(Way.ROWS, start, lights, len(bad))


def _row_moved(lights: Lights, row: int, step: int) -> Lights:
    after, twin = list(lights), len(lights) - 1 - row
    after[row] = [(x, y + QUARTERS * step) for x, y in lights[row]]
    after[twin] = [(x, y - QUARTERS * step) for x, y in lights[twin]]
    return after


def _row_clear(site: _Site, lights: Lights, row: int, step: int) -> bool:
    after = _row_moved(lights, row, step)
    moved = after[row] + after[len(lights) - 1 - row]
    return _apart([each[0][1] for each in after], site.apart) and not any(site.bad(x, y) for x, y in moved)


def _columns(site: _Site, start: Lights) -> Repair | None:
    lights, number = start, len(start[0])
    bad = sorted({min(n, number - 1 - n) for row in start for n, (x, y) in enumerate(row) if site.bad(x, y)})
    for column in bad:
        # the middle light can't move
        step = site.nearest(partial(_column_clear, site, lights, column)) if 2 * column + 1 != number else None
        if step is None:
            return None
        lights = _column_moved(lights, column, step)
    return _repair(Way.COLUMNS, start, lights, 0)


def _column_moved(lights: Lights, column: int, step: int) -> Lights:
    after, twin = [list(row) for row in lights], len(lights[0]) - 1 - column
    for row in after:
        row[column] = (row[column][0] + QUARTERS * step, row[column][1])
        row[twin] = (row[twin][0] - QUARTERS * step, row[twin][1])
    return after


def _column_clear(site: _Site, lights: Lights, column: int, step: int) -> bool:
    after = _column_moved(lights, column, step)
    moved = [row[each] for row in after for each in (column, len(row) - 1 - column)]
    return _apart([x for x, _ in after[0]], site.apart) and not any(site.bad(x, y) for x, y in moved)
