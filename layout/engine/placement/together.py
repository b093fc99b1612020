"""Both axes at once, exactly, for rooms with obstructions: they alone join places along the rows to places across.

Once the rows stand, each obstruction is a cost by tick along them, and the columns and speakers are an axis by
themselves. Which rows, is searched best bound first: *boxes* of ticks, one for each row before the middle, are bounded
by the best rows within the boxes, as if nothing stood in the way, and the best columns when every obstruction is as
far from each row as the boxes let it be. Neither can be beaten, and comparing entry by entry is not changed by adding,
so their sum bounds whatever stands within the boxes. Boxes are halved until the bound is what a layout has.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass, replace
from itertools import count

from layout.engine.placement.axis import Axis, across_axis, along_axis
from layout.engine.placement.costs import NEVER
from layout.engine.placement.problem import QUARTERS, Hole, Problem
from layout.engine.placement.search import solve_axis
from layout.engine.placement.standing import Band, Standing, row_bands
from layout.engine.placement.windows import AxisLayout, cost_of

Worth = tuple[int, int, int, int]  # cost, unevenness along the rows, of the rows, and the rest


@dataclass(frozen=True, slots=True)
class Both:
    worth: Worth
    along: AxisLayout
    across: AxisLayout


def speakers_of(axis: Axis, near: tuple[int, ...]) -> tuple[int, ...]:
    """All speakers of a row in quarter ticks, from those before the middle in ticks."""
    ends = QUARTERS * axis.length
    middle = (axis.middle,) if axis.count % 2 == 0 and axis.has_speaker(axis.free) else ()
    return (*(QUARTERS * z for z in near), *middle, *(ends - QUARTERS * z for z in reversed(near)))


class _Rows:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.along = along_axis(problem)
        self.across = across_axis(problem)
        self.standing = Standing(problem)
        self._solved: dict[tuple[bytes, bytes, int], tuple[int, AxisLayout | None]] = {}
        self.best: Both | None = None

    def search(self) -> Both | None:
        order = count()
        whole = tuple(range(self.across.ticks) for _ in range(self.across.free))
        start = self._bound(whole, None)
        if start is None:
            return None
        heap = [(start.worth, next(order), whole, start)]
        while heap:
            worth, _, boxes, bound = heapq.heappop(heap)
            if self.best is not None and worth >= self.best.worth:
                break
            row = self._offer(boxes, bound)
            if row is None:
                continue
            box = boxes[row]
            middle = box.start + len(box) // 2
            for half in (range(box.start, middle), range(middle, box.stop)):
                halved = (*boxes[:row], half, *boxes[row + 1 :])
                within = self._bound(halved, bound)
                if within is not None and (self.best is None or within.worth < self.best.worth):
                    heapq.heappush(heap, (within.worth, next(order), halved, within))
        return self.best

    def _bound(self, boxes: tuple[range, ...], wider: Both | None) -> Both | None:
        """The best of each axis when rows are held to boxes; None when no rows within the caps are in them, or none
        that could be better than the best known. wider: the same for boxes around these."""
        if wider is not None and all(y in box for y, box in zip(wider.across.lines, boxes, strict=True)):
            across: AxisLayout | None = wider.across
        else:
            across = solve_axis(replace(self.across, boxes=boxes), self._at_most())
        if across is None:
            return None
        bands = row_bands(self.problem.width, self.problem.rows, boxes)
        along = self._along(bands, self._at_most() - across.cost, wider.along if wider else None)
        return self._both(along, across) if along else None

    def _at_most(self) -> int:
        return self.best.worth[0] if self.best else NEVER

    def _both(self, along: AxisLayout, across: AxisLayout, more: int = 0) -> Both:
        worth = (along.cost + across.cost + more, along.uneven, across.uneven, along.rest + across.rest)
        return Both(worth, along, across)

    def _along(self, bands: list[Band], at_most: int, easier: AxisLayout | None) -> AxisLayout | None:
        """The best columns and speakers when rows stand in these bands. easier: the same for bands around these."""
        lines, places, fixed = self.standing.along(bands)
        axis = self.along.with_more(lines, places, fixed)
        if easier is not None and easier.lines and cost_of(axis, easier) == easier.cost:
            return easier if easier.cost <= at_most else None  # nothing can beat it where more stands in the way
        key = (lines.tobytes(), b"" if places is None else places.tobytes(), fixed)
        tried, found = self._solved.get(key, (-1, None))
        if found is None and tried < at_most:
            found = solve_axis(axis, at_most, easier)
            self._solved[key] = (at_most, found)
        return found

    def _holes(self, along: AxisLayout) -> list[tuple[Hole, int]]:
        light, speakers = self.problem.light, self.problem.speakers
        holes = [(light, x) for x in self.along.mirror(along.lines)]
        return holes + ([(speakers.hole, z) for z in speakers_of(self.along, along.speakers)] if speakers else [])

    def _offer(self, boxes: tuple[range, ...], bound: Both) -> int | None:
        """Try the layouts a bound is made of. Returns the row to halve, or None when the bound is reached."""
        holes, lines = self._holes(bound.along), bound.across.lines
        more = []
        for box, y in zip(boxes, lines, strict=True):
            held = row_bands(self.problem.width, 0, (box,))
            stands = row_bands(self.problem.width, 0, (range(y, y + 1),))
            at_least = sum(self.standing.meets(holes, band) for band in held)
            more.append(sum(self.standing.meets(holes, band) for band in stands) - at_least)
        self._keep(self._both(bound.along, bound.across, sum(more)))
        if not any(more):
            return None
        bands = row_bands(self.problem.width, self.problem.rows, [range(y, y + 1) for y in lines])
        along = self._along(bands, min(self._at_most(), bound.worth[0]) - bound.across.cost, bound.along)
        if along is not None:
            self._keep(self._both(along, bound.across))
        return max(range(len(more)), key=more.__getitem__)

    def _keep(self, both: Both) -> None:
        if self.best is None or both.worth < self.best.worth:
            self.best = both


def solve_both(problem: Problem) -> Both | None:
    """The best columns, speakers and rows of a room; None when the caps leave nothing."""
    return _Rows(problem).search()
