"""The best lines and speakers on one axis, exactly. Knows how to search windows of gaps, nothing of rooms.

Order of merit: (rules broken, excess), unevenness of the gaps beyond what is tolerated, speakers off mid-gap, first
line off its preferred setback, marks hard to read. What is equal in all of these is settled by the fixed order of the
search: the same room always gets the same answer.

How: a *window* is a range of gaps, from some smallest gap to `width` more; window.py answers one window exactly.
Unevenness is settled by taking the narrowest width that reaches the least cost of the widest (the cap). For one width,
windows are searched best bound first, in blocks of neighbors: one wider window that holds a whole block bounds it, and
where its best layout happens to be narrow enough, settles it.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from itertools import pairwise

from layout.engine.placement.costs import NEVER, AxisProblem, Costs, shortfall, up
from layout.engine.placement.problem import QUARTERS
from layout.engine.placement.window import SETBACK, AxisLayout, Window, Windows

_RELAX_FROM = 8  # steps: in narrower windows the plain bound is as good as a block's


def solve_axis(axis: AxisProblem) -> AxisLayout | None:
    """The best layout of one axis, or None when the caps leave nothing."""
    return _Search(axis).best() if axis.free else AxisLayout(0, 0, (), ())


class _Search:
    def __init__(self, axis: AxisProblem) -> None:
        self.axis = axis
        self.costs = Costs(axis)
        self.windows = Windows(axis, self.costs)
        self.gaps = axis.count - 1
        # every gap is whole ticks, except beside the middle line of an odd length
        self.step = 2 if axis.count % 2 and axis.length % 2 else QUARTERS

    def best(self) -> AxisLayout | None:
        axis, settle = self.axis, self.windows.best
        if axis.free == 1:  # one gap, or two that mirror: never uneven
            window = self.windows.open(1, QUARTERS * axis.length)
            return settle(window) if window else None
        even = self._of_width(axis.even_tol, settle)
        if axis.even_tol >= axis.uneven_cap or (even is not None and even.cost == 0):
            return even
        cap = min(axis.uneven_cap, QUARTERS * axis.length)
        widest = self._of_width(cap, self.windows.any, at_most=even.cost if even else NEVER - 1)
        if widest is None or (even is not None and even.cost == widest.cost):
            return even
        least = widest.cost
        self.windows.keep(*self._gaps_within(cap, least), least)
        too_narrow, enough = axis.even_tol, self._unevenness(widest)
        while enough - too_narrow > self.step:
            width = too_narrow + (enough - too_narrow) // (2 * self.step) * self.step
            found = self._of_width(width, self.windows.any, at_most=least, floor=least)
            if found is None:
                too_narrow = width
            else:
                enough = self._unevenness(found)
        return self._of_width(enough, settle, at_most=least, floor=least)

    def _gaps_within(self, width: int, at_most: int) -> tuple[int, int]:
        """A range that holds the gaps of every layout no more uneven than width and no dearer than at_most."""

        def extreme(first: int, last: int, side: int) -> int | None:
            bound = self._bound(first * self.step, last * self.step + width)
            if bound is None or bound[0] > at_most:
                return None
            if first == last:
                return first
            halves = [(first, (first + last) // 2), ((first + last) // 2 + 1, last)]
            found = (extreme(*half, side) for half in halves[::side])
            return next((each for each in found if each is not None), None)

        blocks = (1, QUARTERS * self.axis.length // (self.gaps * self.step))
        least, most = extreme(*blocks, 1), extreme(*blocks, -1)
        assert least is not None and most is not None  # at_most was reached by some layout
        return least * self.step, most * self.step + width

    def _unevenness(self, layout: AxisLayout) -> int:
        """The widest gap less the narrowest, in quarter ticks."""
        lines = layout.lines
        gaps = [QUARTERS * (b - a) for a, b in pairwise(lines)] + [self.axis.middle_gap(lines[-1])]
        return max(gaps) - min(gaps)

    def _of_width(
        self, width: int, settle: Callable[[Window], AxisLayout], at_most: int = NEVER - 1, floor: int = 0
    ) -> AxisLayout | None:
        """The best layout whose gaps differ by no more than width, as far as `settle` tells layouts apart.

        at_most: nothing dearer is looked for. floor: known to be no more than any cost.
        """
        heap: list[tuple[int, int, int, int, int, Window | AxisLayout | None]] = []

        def add(first: int, last: int, cost: int, rest: int, found: Window | AxisLayout | None) -> None:
            if cost <= at_most:
                heapq.heappush(heap, (cost, rest, last - first, first, len(heap), found))

        def add_block(first: int, last: int, cost: int, rest: int) -> None:
            bound = self._bound(first * self.step, last * self.step + width)
            if bound is not None:
                # a bound of the rest that came with a cost holds for that cost alone
                add(first, last, max(bound[0], cost), bound[1] if bound[0] > cost else max(bound[1], rest), None)

        add_block(1, QUARTERS * self.axis.length // (self.gaps * self.step), floor, 0)
        while heap:
            cost, rest, size, first, _, found = heapq.heappop(heap)
            last = first + size
            if isinstance(found, AxisLayout):
                return found
            if found is None and (size == 0 or size * self.step <= width >= _RELAX_FROM * self.step):
                low, high = first * self.step, last * self.step + width
                window = self.windows.open(low, high)
                if window is not None and window.least > cost:
                    add(first, last, window.least, self._off_setback(low, high), window)
                elif window is not None:
                    add(first, last, cost, rest, window)
                continue
            if found is not None:
                layout = settle(found)
                if size == 0 or self._unevenness(layout) <= width:
                    add(first, last, layout.cost, layout.rest, layout)
                    continue
                rest = max(rest, layout.rest) if layout.cost == cost else rest
            if size:
                add_block(first, first + size // 2, cost, rest)
                add_block(first + size // 2 + 1, last, cost, rest)
        return None

    def _first_line(self, low: int, high: int) -> tuple[int, int]:
        """The nearest and the farthest the first line can stand, all gaps within low..high; empty when none fits."""
        ends = QUARTERS * self.axis.length
        return max(0, up(ends - self.gaps * high, 2 * QUARTERS)), (ends - self.gaps * low) // (2 * QUARTERS)

    def _off_setback(self, low: int, high: int) -> int:
        near, far = self._first_line(low, high)
        return SETBACK * max(near - self.axis.setback.pref, self.axis.setback.pref - far, 0)

    def _bound(self, low: int, high: int) -> tuple[int, int] | None:
        """(cost, rest) that no layout with all gaps within low..high can beat, or None when none fits the length."""
        axis, costs = self.axis, self.costs
        near, far = self._first_line(low, high)
        if near > far:
            return None
        cost = 2 * costs.start(min(max(near, axis.setback.min), far))
        cost += 2 * sum(need.subjects * shortfall(need.distance, QUARTERS * far) for need in axis.edges)
        cost += 2 * (axis.free - 1) * self._least_gap(low, high, 0)
        if speakers := sum(axis.has_speaker(gap) for gap in range(1, axis.free)):
            cost += 2 * speakers * costs.speaker_beside(high // QUARTERS * QUARTERS)
        if axis.count % 2:
            cost += 2 * self._least_gap(low, high, axis.middle % QUARTERS)
        else:
            cost += self._least_gap(low, high, 0)
            if axis.has_speaker(axis.free):
                cost += costs.middle_speaker(high)
        return cost, self._off_setback(low, high)

    def _least_gap(self, low: int, high: int, over: int) -> int:
        """The least cost of a gap within low..high that is whole ticks and `over` quarter ticks; NEVER if none is."""
        low, high = up(low - over, QUARTERS), (high - over) // QUARTERS
        begins = [up(need.distance - over, QUARTERS) for need in self.axis.pairs]
        if self.axis.spacing is not None:
            begins.append((QUARTERS * self.axis.spacing - over) // QUARTERS + 1)
        # linear between the gaps where a rule begins to hold or to break, so least beside one of them or at an end
        beside = {low, high}.union(*((begin - 1, begin) for begin in begins))
        return min((self.costs.gap(QUARTERS * gap + over) for gap in beside if low <= gap <= high), default=NEVER)
