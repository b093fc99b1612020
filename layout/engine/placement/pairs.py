"""Axes with one or two lines before the middle, every layout at once: a row of two to five lights, and most rows.

With so few lines a layout is a first line and a gap, so all of them are one array. Exact because nothing is left out
but what can't beat a layout already known.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from layout.engine.placement.between import SETBACK, Between
from layout.engine.placement.costs import NEVER, Array
from layout.engine.placement.problem import QUARTERS
from layout.engine.placement.windows import AxisLayout, Tables

_AT_ONCE = 1 << 18  # layouts in one array
_MOST = 1 << 26  # layouts in all


@dataclass(frozen=True, slots=True, eq=False)
class _Some:
    """Layouts that may be the best: the first line, the gap after it (0 without one), what they cost and how uneven."""

    x: Array
    gap: Array
    costs: Array
    uneven: Array

    def where(self, kept: Array) -> _Some:
        return _Some(self.x[kept], self.gap[kept], self.costs[kept], self.uneven[kept])


def few(tables: Tables) -> bool:
    """Whether there are few enough layouts to look at all of them."""
    return tables.axis.free <= 2 and len(tables.boxes[0]) * _widest(tables, tables.axis.uneven_cap) <= _MOST


def best_of_all(tables: Tables, at_most: int, evenest_first: bool = False) -> AxisLayout | None:
    """The best layout that costs no more than at_most; None when the caps leave none.

    evenest_first: no layout costs less than at_most, so uneven ones matter only when there are no even ones.
    """
    axis = tables.axis
    if axis.free == 1:
        return _best(tables, _ones(tables, at_most))
    cap = min(axis.even_tol, axis.uneven_cap) if evenest_first else axis.uneven_cap
    while True:
        found = _best_of_twos(tables, at_most, cap)
        if found is not None or cap == axis.uneven_cap:
            return found
        cap = min(axis.uneven_cap, max(QUARTERS, 4 * cap))


def _ones(tables: Tables, at_most: int) -> _Some:
    axis, box = tables.axis, tables.boxes[0]
    x = np.arange(box.start, box.stop, dtype=np.int64)
    costs = (axis.lines + tables.start_costs)[box.start : box.stop] + tables.middle(box) + axis.fixed
    nothing = np.zeros_like(x)
    return _Some(x, nothing, costs, nothing).where(np.flatnonzero(costs <= min(at_most, NEVER // 2)))


def _widest(tables: Tables, cap: int) -> int:
    """The most gaps that may follow one first line."""
    halves = 2 if tables.axis.count % 2 else 1
    return min(len(tables.gap_range), len(tables.boxes[-1]), 2 * halves * cap // ((halves + 2) * QUARTERS) + 1)


def _best_of_twos(tables: Tables, at_most: int, cap: int) -> AxisLayout | None:
    """The best of the layouts whose gaps differ by no more than cap."""
    axis, inner = tables.axis, tables.boxes[-1]
    widest = _widest(tables, cap)
    if not inner or not widest:
        return None
    ends = np.minimum(axis.lines[inner.start : inner.stop] + tables.middle(inner), NEVER)
    starts = (axis.lines + tables.start_costs)[: tables.boxes[0].stop] + axis.fixed
    best: AxisLayout | None = None
    xs = np.flatnonzero(starts[tables.boxes[0].start :] <= at_most - int(ends.min())) + tables.boxes[0].start
    many = max(1, _AT_ONCE // widest)
    for begin in range(0, len(xs), many):
        x = xs[begin : begin + many]
        found = _best(tables, _twos(tables, x, starts[x], ends, min(at_most, NEVER // 2), cap))
        if found is not None and (best is None or found.worth < best.worth):
            best, at_most = found, found.cost
    return best


def _twos(tables: Tables, x: Array, starts: Array, ends: Array, at_most: int, cap: int) -> _Some:
    """The layouts with these first lines that may cost no more than at_most."""
    axis, inner, between = tables.axis, tables.boxes[-1], tables.between
    # two first lines, two of each gap and the middle gap make the axis; an odd count cuts the middle gap in halves
    halves = 2 if axis.count % 2 else 1
    left, step = 2 * axis.middle - 2 * QUARTERS * x, (halves + 2) * QUARTERS
    first = np.maximum(-((halves * cap - left) // step), np.maximum(tables.gap_range.start, inner.start - x))
    last = np.minimum((left + halves * cap) // step, np.minimum(tables.gap_range.stop, inner.stop - x) - 1)
    most = int((last - first).max(initial=-1)) + 1
    gap = first[:, None] + np.arange(most, dtype=np.int64)
    axis.work.spend(16 * gap.size)
    inside = gap <= last[:, None]
    gap = np.where(inside, gap, tables.gap_range.start)
    after = np.where(inside, gap + (x - inner.start)[:, None], 0)
    costs = np.where(inside, ends[after] + 2 * axis.gap_costs[gap] + starts[:, None], NEVER)
    speaking = between if between and axis.has_speaker(1) else None
    at, gap_at = np.nonzero(costs <= at_most - (speaking.place_least if speaking else 0))
    x, gap, costs = x[at], gap[at, gap_at], costs[at, gap_at]
    uneven = np.maximum(np.abs(step * gap - left[at]) // halves - axis.even_tol, 0)
    some = _Some(x, gap, costs, uneven)
    return _speaking(speaking, some, at_most) if speaking and len(x) else some


def _speaking(between: Between, some: _Some, at_most: int) -> _Some:
    """Those of some that may still be the best, with what a speaker after the first line adds to their costs."""

    floor = int(some.costs.min())
    spare = at_most - floor - between.place_least

    def told(some: _Some) -> _Some:
        return replace(some, costs=some.costs + between.leasts(some.x, QUARTERS * (some.x + some.gap), spare))

    cheapest = some.where(np.flatnonzero(some.costs == floor))
    evenest = told(cheapest.where(np.flatnonzero(cheapest.uneven == cheapest.uneven.min())))
    if evenest.costs.min() == floor + between.place_least:
        return evenest  # the floor is no more than at_most
    cheapest = told(cheapest)
    at_most = min(at_most, int(cheapest.costs.min()))
    others = np.flatnonzero((some.costs > floor) & (some.costs <= at_most - between.place_least))
    if not len(others):
        return cheapest.where(np.flatnonzero(cheapest.costs <= at_most))
    some = told(some.where(np.flatnonzero(some.costs <= at_most - between.place_least)))
    return some.where(np.flatnonzero(some.costs <= at_most))


def _best(tables: Tables, some: _Some) -> AxisLayout | None:
    axis, between = tables.axis, tables.between
    if not len(some.x):
        return None
    least = int(some.costs.min())
    some = some.where(np.flatnonzero(some.costs == least))
    evenest = int(some.uneven.min())
    some = some.where(np.flatnonzero(some.uneven == evenest))
    x, inner = some.x, some.x + some.gap
    rest = SETBACK * np.abs(x - axis.setback.pref) + tables.marks[x]
    if axis.free == 2:
        rest += tables.marks[inner]
        if between and axis.has_speaker(1):
            rest += between.rests(x, QUARTERS * inner, between.leasts(x, QUARTERS * inner))
    if between and axis.count % 2 and axis.has_speaker(axis.free):
        lines, where = np.unique(inner, return_inverse=True)
        rest += between.last_rests(lines)[where]
    at = int(rest.argmin())
    lines_at = [int(x[at]), int(inner[at])][: axis.free]
    return AxisLayout(least, evenest, int(rest[at]), tuple(lines_at), tables.speakers(lines_at))
