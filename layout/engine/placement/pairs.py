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


@dataclass(frozen=True, slots=True, eq=False)
class _Starts:
    """First lines with the first and the last gap that may follow each, and the costs from the second line on."""

    x: Array
    costs: Array
    first: Array
    last: Array
    ends: Array

    def __len__(self) -> int:
        return int((self.last - self.first + 1).sum())

    def part(self, begin: int, end: int) -> _Starts:
        some = slice(begin, end)
        return _Starts(self.x[some], self.costs[some], self.first[some], self.last[some], self.ends)


def few(tables: Tables, at_most: int) -> bool:
    """Whether there are few enough layouts to look at all of them."""
    free = tables.axis.free
    return free == 1 or (free == 2 and len(_starts(tables, at_most, tables.axis.uneven_cap)) <= _MOST)


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


def _steps(tables: Tables, x: Array) -> tuple[Array, int, int]:
    """For a gap of g, its difference from the middle gap is |left - step * g| / halves quarter ticks.

    Two first lines, two of each gap and the middle gap make the axis; an odd count cuts the middle gap in halves.
    """
    halves = 2 if tables.axis.count % 2 else 1
    return 2 * tables.axis.middle - 2 * QUARTERS * x, (halves + 2) * QUARTERS, halves


def _starts(tables: Tables, at_most: int, cap: int) -> _Starts:
    """What may cost no more than at_most, its gaps differing by no more than cap; some that costs more among it."""
    axis, outer, inner, gaps = tables.axis, tables.boxes[0], tables.boxes[-1], tables.gap_range
    nothing = np.zeros(0, np.int64)
    if not outer or not inner or not gaps:
        return _Starts(nothing, nothing, nothing, nothing, nothing)
    ends = np.minimum(axis.lines[inner.start : inner.stop] + tables.middle(inner), NEVER)
    gap_costs = 2 * axis.gap_costs[gaps.start : gaps.stop]
    costs = (axis.lines + tables.start_costs)[outer.start : outer.stop] + axis.fixed
    spare = at_most - costs
    left, step, halves = _steps(tables, np.arange(outer.start, outer.stop, dtype=np.int64))
    x = np.arange(outer.start, outer.stop, dtype=np.int64)
    first, last = _within(gap_costs, spare - int(ends.min()))
    after, until = _within(ends, spare - int(gap_costs.min()))
    first = np.maximum(first + gaps.start, after + inner.start - x)
    first = np.maximum(first, -((halves * cap - left) // step))
    last = np.minimum(last + gaps.start, until + inner.start - x)
    last = np.minimum(last, (left + halves * cap) // step)
    some = np.flatnonzero(first <= last)
    return _Starts(x[some], costs[some], first[some], last[some], ends)


def _within(costs: Array, at_most: Array) -> tuple[Array, Array]:
    """Where the first and the last of `costs` stand that are no more than each at_most; last before first if none."""
    falling = np.minimum.accumulate(costs)
    rising = np.minimum.accumulate(costs[::-1])[::-1]
    first = np.searchsorted(-falling, -at_most, side="left").astype(np.int64)
    return first, np.searchsorted(rising, at_most, side="right").astype(np.int64) - 1


def _best_of_twos(tables: Tables, at_most: int, cap: int) -> AxisLayout | None:
    """The best of the layouts whose gaps differ by no more than cap."""
    at_most = min(at_most, NEVER // 2)
    starts = _starts(tables, at_most, cap)
    best: AxisLayout | None = None
    widest = int((starts.last - starts.first).max(initial=0)) + 1
    many = max(1, _AT_ONCE // widest)
    for begin in range(0, len(starts.x), many):
        found = _best(tables, _twos(tables, starts.part(begin, begin + many), at_most))
        if found is not None and (best is None or found.worth < best.worth):
            best, at_most = found, found.cost
    return best


def _twos(tables: Tables, starts: _Starts, at_most: int) -> _Some:
    """The layouts with these first lines that may cost no more than at_most."""
    axis, between, x = tables.axis, tables.between, starts.x
    gap = starts.first[:, None] + np.arange(int((starts.last - starts.first).max()) + 1, dtype=np.int64)
    axis.work.spend(16 * gap.size)
    inside = gap <= starts.last[:, None]
    gap = np.where(inside, gap, 0)
    after = np.where(inside, gap + (x - tables.boxes[-1].start)[:, None], 0)
    costs = np.where(inside, starts.ends[after] + 2 * axis.gap_costs[gap] + starts.costs[:, None], NEVER)
    speaking = between if between and axis.has_speaker(1) else None
    at, gap_at = np.nonzero(costs <= at_most - (speaking.place_least if speaking else 0))
    x, gap, costs = x[at], gap[at, gap_at], costs[at, gap_at]
    left, step, halves = _steps(tables, x)
    uneven = np.maximum(np.abs(step * gap - left) // halves - axis.even_tol, 0)
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
