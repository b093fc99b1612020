"""Axes with one or two lines before the middle, every layout at once: a row of two to five lights, and most rows.

With so few lines a layout is a first line and a gap, so all of them are one array. Exact because nothing is left out
but what can't beat a layout already known.
"""

from __future__ import annotations

import numpy as np

from layout.engine.placement.between import SETBACK
from layout.engine.placement.costs import NEVER, Array, up
from layout.engine.placement.problem import QUARTERS
from layout.engine.placement.windows import AxisLayout, Tables

_AT_ONCE = 1 << 21  # layouts in one array
_MOST = 1 << 26  # layouts in all


def few(tables: Tables) -> bool:
    """Whether there are few enough layouts to look at all of them."""
    return tables.axis.free == 1 or (tables.axis.free == 2 and sum(len(a) * len(b) for a, b in _parts(tables)) <= _MOST)


def best_of_all(tables: Tables, at_most: int) -> AxisLayout | None:
    """The best layout that costs no more than at_most; None when the caps leave none."""
    best: AxisLayout | None = None
    for outer, gaps in _parts(tables):
        found = _best_of_part(tables, outer, gaps, at_most)
        if found is not None and (best is None or found.worth < best.worth):
            best, at_most = found, found.cost
    return best


def _parts(tables: Tables) -> list[tuple[range, range]]:
    """The first lines in parts, each with the gaps that may follow: those near the mean gap, as the cap has it."""
    axis, outer, inner = tables.axis, tables.boxes[0], tables.boxes[-1]
    if not outer or not inner:
        return []
    if axis.free == 1:
        return [(outer, range(1))]
    size = max(16, _AT_ONCE // max(1, len(tables.gap_range)))
    if len(outer) > size:
        size = max(16, min(size, 2 * axis.uneven_cap // QUARTERS))
    parts = []
    for begin in range(0, len(outer), size):
        some = outer[begin : begin + size]
        spread = QUARTERS * (axis.count - 1)
        least = up(QUARTERS * (axis.length - 2 * some[-1]) - (axis.count - 1) * axis.uneven_cap, spread)
        most = (QUARTERS * (axis.length - 2 * some[0]) + (axis.count - 1) * axis.uneven_cap) // spread
        first = max(tables.gap_range.start, least, inner.start - some[-1])
        gaps = range(first, min(tables.gap_range.stop, most + 1, inner.stop - some[0]))
        if gaps:
            parts.append((some, gaps))
    return parts


def _best_of_part(tables: Tables, outer: range, gaps: range, at_most: int) -> AxisLayout | None:
    axis, inner = tables.axis, tables.boxes[-1]
    ends = axis.lines[inner.start : inner.stop] + tables.middle(inner)
    if axis.free == 1:
        costs = ends + tables.start_costs[inner.start : inner.stop] + axis.fixed
        costs = np.where(costs < NEVER // 2, costs, NEVER)
        return _choose(tables, costs[None, :], np.zeros_like(costs)[None, :], gaps, inner, at_most)
    after = np.arange(gaps.start, gaps.stop, dtype=np.int64)[:, None] + np.arange(outer.start, outer.stop)
    known = (after >= inner.start) & (after < inner.stop)
    costs = np.where(known, ends[np.clip(after - inner.start, 0, len(inner) - 1)], NEVER)
    costs += 2 * axis.gap_costs[gaps.start : gaps.stop, None]
    costs += (axis.lines + tables.start_costs)[outer.start : outer.stop] + axis.fixed
    if axis.has_speaker(1) and tables.between:
        costs = np.minimum(costs, NEVER) + tables.between.grid(gaps, outer)
    middle = axis.middle - QUARTERS * after
    middle = middle if axis.count % 2 else 2 * middle
    uneven = np.abs(QUARTERS * np.arange(gaps.start, gaps.stop)[:, None] - middle)
    costs = np.where((costs < NEVER // 2) & (uneven <= axis.uneven_cap), costs, NEVER)
    return _choose(tables, costs, np.maximum(uneven - axis.even_tol, 0), gaps, outer, at_most)


def _choose(
    tables: Tables, costs: Array, uneven: Array, gaps: range, outer: range, at_most: int
) -> AxisLayout | None:
    """The best of layouts by gap and first line."""
    axis, between = tables.axis, tables.between
    least = int(costs.min())
    if least > at_most or least >= NEVER:
        return None
    gap_at, x_at = np.nonzero(costs == least)
    evenest = int(uneven[gap_at, x_at].min())
    kept = uneven[gap_at, x_at] == evenest
    gap, x = gap_at[kept] + gaps.start, x_at[kept] + outer.start
    rest = SETBACK * np.abs(x - axis.setback.pref) + tables.marks[x]
    rest = rest + tables.marks[x + gap] if axis.free == 2 else rest
    if between is not None and axis.free == 2 and axis.has_speaker(1):
        for each in np.unique(gap).tolist():
            here = np.flatnonzero(gap == each)
            rest[here] += between.best(each, x[here])
    inner_lines = x + gap if axis.free == 2 else x
    best: tuple[int, int] | None = None
    for at in np.argsort(rest, kind="stable").tolist():
        total = int(rest[at])
        if best is not None and total >= best[0]:
            break
        if between is not None and axis.count % 2 and axis.has_speaker(axis.free):
            total += between.place(int(inner_lines[at]), axis.middle)[0]
        if best is None or total < best[0]:
            best = (total, at)
    assert best is not None
    lines = [int(x[best[1]]), int(inner_lines[best[1]])][: axis.free]
    return AxisLayout(least, evenest, best[0], tuple(lines), tables.speakers(lines))
