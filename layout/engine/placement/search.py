"""The best lines and speakers on one axis, exactly. Knows how to search windows of gaps, nothing of rooms.

Order of merit: (rules broken, excess), unevenness of the gaps beyond what is tolerated, speakers off mid-gap, first
line off its preferred setback, marks hard to read. What is equal in all of these is settled by the fixed order of the
search: the same axis always gets the same answer.

How: a *window* is a range of gaps, from some smallest gap to `width` more; windows.py answers one window exactly. A
wider window that holds a block of neighbors bounds them all, so windows are searched best bound first, in blocks that
are halved until one window is left. The least cost is that of the cap's width; unevenness is the narrowest width that
reaches it, found by doubling and halving the width.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from itertools import count

import numpy as np

from layout.engine.placement.axis import Axis
from layout.engine.placement.between import SETBACK
from layout.engine.placement.masks import Masks
from layout.engine.placement.problem import QUARTERS
from layout.engine.placement.windows import AxisLayout, Tables, Window

Opener = Callable[[int, int], Window | None]


def solve_axis(axis: Axis) -> AxisLayout | None:
    """The best layout of one axis, or None when the caps leave nothing."""
    return _Search(axis).best() if axis.free else AxisLayout(axis.fixed, 0, 0)


class _Search:
    def __init__(self, axis: Axis) -> None:
        self.axis = axis
        self.tables = Tables(axis)
        self.gaps = axis.count - 1
        # every gap is whole ticks, except beside the middle line of an odd length
        self.step = 2 if axis.count % 2 and axis.length % 2 else QUARTERS
        self.longest = QUARTERS * axis.length
        one_gap = axis.free == 1  # or two that mirror: never uneven
        self.cap = self.longest if one_gap else min(axis.uneven_cap, self.longest)
        self.tolerated = self.longest if one_gap else min(axis.even_tol, self.cap)

    def best(self) -> AxisLayout | None:
        masks = Masks(self.axis, self.tables)
        if masks.levels(1, self.longest) is not None:
            found = self._least_uneven(masks.open, masks.target)
            if found is not None:
                return found
        cheapest = self._cheapest(self.tables.open, self.cap, None)
        return None if cheapest is None else self._least_uneven(self.tables.open, cheapest)

    def _least_uneven(self, opens: Opener, cost: int) -> AxisLayout | None:
        """The best layout of a cost known to be the least, or None when no layout within the cap has it."""
        tolerated = self.tolerated
        narrow, wide = tolerated - self.step, tolerated  # too narrow; perhaps wide enough
        while self._cheapest(opens, wide, cost) is None:
            if wide >= self.cap:
                return None
            narrow, wide = wide, min(self.cap, wide + max(self.step, wide - narrow) * 2)
            wide = min(self.cap, wide)
        while wide > tolerated and wide - narrow > self.step:
            width = narrow + (wide - narrow) // (2 * self.step) * self.step
            if self._cheapest(opens, width, cost) is None:
                narrow = width
            else:
                wide = width
        return self._best_of_width(opens, wide, cost, wide - tolerated)

    def _blocks(self) -> tuple[int, int]:
        """The smallest gap of any layout, in steps: the least and the most it can be."""
        return 1, 1 if self.axis.free == 1 else self.longest // (self.gaps * self.step)

    def _cheapest(self, opens: Opener, width: int, at_most: int | None) -> int | None:
        """The least cost of a layout whose gaps differ by no more than width; None when there is none up to at_most."""
        order = count()
        first, last = self._blocks()
        blocks = [(0, last - first, next(order), first)]
        while blocks:
            cost, size, _, first = heapq.heappop(blocks)
            if size == 0 and cost:
                return cost - 1
            middle = first + size // 2
            for begin, end in [(first, middle), (middle + 1, first + size)] if size else [(first, first)]:
                window = opens(begin * self.step, end * self.step + width)
                if window is not None and (at_most is None or window.least <= at_most):
                    heapq.heappush(blocks, (window.least + 1, end - begin, next(order), begin))
        return None

    def _best_of_width(self, opens: Opener, width: int, cost: int, uneven: int) -> AxisLayout:
        """The best of the layouts that cost `cost` and whose gaps differ by no more than width."""
        order = count()
        first, last = self._blocks()
        heap: list[tuple[int, int, int, int, Window | AxisLayout | None]] = []
        heap.append((0, last - first, next(order), first, None))
        while heap:
            rest, size, _, first, found = heapq.heappop(heap)
            if isinstance(found, AxisLayout):
                return found
            if size == 0 and found is not None:
                least, lines, speakers = self.tables.best(found)
                layout = AxisLayout(cost, uneven, least, lines, speakers)
                heapq.heappush(heap, (least, 0, next(order), first, layout))
                continue
            middle = first + size // 2
            for begin, end in [(first, middle), (middle + 1, first + size)] if size else [(first, first)]:
                window = opens(begin * self.step, end * self.step + width)
                if window is not None and window.least <= cost:
                    bound = max(rest, self._off_setback(window, cost))
                    heapq.heappush(heap, (bound, end - begin, next(order), begin, window))
        raise AssertionError("some layout has the least cost")

    def _off_setback(self, window: Window, cost: int) -> int:
        """The least rest of a window's layouts that cost no more than `cost`."""
        starts = np.flatnonzero(window.starts <= cost) + window.levels[0].first
        return SETBACK * int(np.abs(starts - self.axis.setback.pref).min())
