"""The best lines and speakers on one axis, exactly. Knows how to search windows of gaps, nothing of rooms.

Order of merit: (rules broken, excess), unevenness of the gaps beyond what is tolerated, speakers off mid-gap, first
line off its preferred setback, marks hard to read. What is equal in all of these is settled by the fixed order of the
search: the same axis always gets the same answer.

How: first what meets nothing at all is looked for (masks.py), which most rooms have. Else a bound on what must be given
up is raised until a layout costs no more; what costs more than that above the least of its kind is left out, which
loses nothing, and short rows are looked at whole (pairs.py). For the rest, a *window* is a range of gaps, from some
smallest gap to `width` more; windows.py answers one exactly. A wider window that holds a block of neighbors bounds them
all, so windows are searched best bound first, in blocks that are halved until one is left. The least cost is that of
the cap's width; unevenness is the narrowest width that reaches it, found by doubling and halving the width.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from itertools import count

import numpy as np

from layout.engine.placement import pairs
from layout.engine.placement.axis import Axis
from layout.engine.placement.between import SETBACK
from layout.engine.placement.costs import BROKEN, NEVER, up
from layout.engine.placement.masks import Masks
from layout.engine.placement.problem import QUARTERS
from layout.engine.placement.windows import AxisLayout, Tables, Window

Opener = Callable[[int, int], Window | None]
Least = Callable[[int, int], int | None]

_WIDE = 16 * QUARTERS
_GUESSES = 3  # at how much must be given up, before some layout is looked for that tells


def solve_axis(axis: Axis, at_most: int = NEVER, easier: AxisLayout | None = None) -> AxisLayout | None:
    """The best layout of one axis, or None when the caps leave nothing that costs no more than at_most.

    easier: the best layout when less stands in the way; where it costs the same, it is no more uneven.
    """
    if not axis.free:
        return AxisLayout(axis.fixed, 0, 0) if axis.fixed <= at_most else None
    return _Search(axis, easier).best(at_most)


class _Search:
    def __init__(self, axis: Axis, easier: AxisLayout | None) -> None:
        self.axis = axis
        self.easier = easier
        self.tables = Tables(axis)
        self.gaps = axis.count - 1
        # every gap is whole ticks, except beside the middle line of an odd length
        self.step = 2 if axis.count % 2 and axis.length % 2 else QUARTERS
        self.longest = QUARTERS * axis.length
        one_gap = axis.free == 1  # or two that mirror: never uneven
        self.cap = self.longest if one_gap else min(axis.uneven_cap, self.longest)
        self.tolerated = self.longest if one_gap else min(axis.even_tol, self.cap)

    def best(self, at_most: int) -> AxisLayout | None:
        masks = Masks(self.axis, self.tables)
        if masks.target > at_most:
            return None
        found = None if masks.hopeless() else self._meeting_nothing(masks)
        if found is not None or at_most == masks.target:
            return found  # nothing costs less than the target
        # what breaks one more rule breaks it in every row: allow one such, two, four ...
        faults = self.axis.setback_subjects
        for tried in count():
            allowed = min(at_most, masks.target + (faults + 1) * BROKEN - 1)
            if tried == _GUESSES:
                self.tables.limit(masks.line_least, NEVER)
                at_most = min(at_most, self.tables.about_even())
                allowed = min(at_most, allowed) if at_most < NEVER else NEVER
            self.tables.limit(masks.line_least, allowed - masks.target)
            found = self._within(masks, allowed)
            if found is not None or allowed == at_most:
                return found
            faults *= 2 if tried < _GUESSES else 8
        raise AssertionError("counting ends before the rules that can be broken")

    def _meeting_nothing(self, masks: Masks) -> AxisLayout | None:
        if self.axis.free <= 2:
            self.tables.limit(masks.line_least, 0)
            if pairs.few(self.tables, masks.target):
                return pairs.best_of_all(self.tables, masks.target, evenest_first=True)
        return self._least_uneven(masks.least, masks.open, masks.target, masks.first_lines)

    def _within(self, masks: Masks, at_most: int) -> AxisLayout | None:
        """The best layout among tables limited to what may cost no more than at_most."""
        if pairs.few(self.tables, at_most):
            return pairs.best_of_all(self.tables, at_most)
        cheapest = self._cheapest(self._least, self.cap, at_most, self.tables.boxes[0])
        if cheapest is None:
            return None
        self.tables.limit(masks.line_least, cheapest - masks.target)
        return self._least_uneven(self._least, self.tables.open, cheapest, self.tables.boxes[0])

    def _least(self, low: int, high: int) -> int | None:
        window = self.tables.open(low, high)
        return window.least if window else None

    def _least_uneven(self, leasts: Least, opens: Opener, cost: int, first_lines: range) -> AxisLayout | None:
        """The best layout of a cost known to be the least, or None when no layout within the cap has it."""
        tolerated = self.tolerated
        wide = tolerated + self.easier.uneven if self.easier and self.easier.cost == cost else tolerated
        narrow = wide - self.step  # too narrow, where `wide` is perhaps wide enough
        while self._cheapest(leasts, wide, cost, first_lines) is None:
            if wide >= self.cap:
                return None
            narrow, wide = wide, min(self.cap, wide + max(self.step, wide - narrow) * 2)
        while wide > tolerated and wide - narrow > self.step:
            width = narrow + (wide - narrow) // (2 * self.step) * self.step
            if self._cheapest(leasts, width, cost, first_lines) is None:
                narrow = width
            else:
                wide = width
        return self._best_of_width(opens, wide, cost, first_lines, wide - tolerated)

    def _blocks(self, width: int, first_lines: range) -> tuple[int, int]:
        """The smallest gap of any layout, in steps: the least and the most it can be.

        It is no more than the mean gap, and the mean no more than it and the width.
        """
        if self.axis.free == 1:
            return 1, 1
        if not first_lines:
            return 1, 0
        parts = self.gaps * self.step
        least = up(self.longest - 2 * QUARTERS * first_lines[-1], parts) - width // self.step
        return max(1, least - 1), (self.longest - 2 * QUARTERS * first_lines[0]) // parts

    def _cheapest(self, leasts: Least, width: int, at_most: int, first_lines: range) -> int | None:
        """The least cost of a layout whose gaps differ by no more than width; None when there is none up to at_most."""
        order = count()
        first, last = self._blocks(width, first_lines)
        blocks: list[tuple[int, int, int, int]] = []

        def add(begin: int, end: int) -> None:
            least = leasts(begin * self.step, end * self.step + width) if begin <= end else None
            if least is not None and least <= at_most:
                heapq.heappush(blocks, (least, end - begin, next(order), begin))

        add(first, last)
        while blocks:
            cost, size, _, first = heapq.heappop(blocks)
            if size == 0:
                return cost
            add(first, first + size // 2)
            add(first + size // 2 + 1, first + size)
        return None

    def _best_of_width(
        self, opens: Opener, width: int, cost: int, first_lines: range, uneven: int
    ) -> AxisLayout:
        """The best of the layouts that cost `cost` and whose gaps differ by no more than width."""
        order = count()
        first, last = self._blocks(width, first_lines)
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
