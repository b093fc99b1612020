"""Speakers between two lines: where one may stand, what it costs at least, where it stands best. Knows no search."""

from __future__ import annotations

import numpy as np

from layout.engine.placement.axis import Axis
from layout.engine.placement.costs import BROKEN, NEVER, Array, mark_costs, shortfalls, up
from layout.engine.placement.problem import QUARTERS

OFF = 1 << 34  # a quarter tick off mid-gap, against
SETBACK = 1 << 9  # a tick off the preferred setback, against marks (at most 4 each for 90 of them)
_NEARBY = 100  # ticks
_AT_ONCE = 1 << 18  # numbers in one array
_REMEMBERED = 1 << 24  # numbers in all of them


class Between:
    """The speakers of one axis, a cost for each with its mirror. x, z and g are ticks, `right` quarter ticks."""

    def __init__(self, axis: Axis) -> None:
        assert axis.speakers is not None
        self.axis = axis
        self.places = axis.speakers.places
        self.off_max = axis.speakers.off_max
        self.light = axis.speakers.light
        self.near = up(self.light, QUARTERS)  # ticks from a light at which a speaker no longer crowds it
        self.times = 2 * axis.speakers.subjects
        self.marks = mark_costs(axis.unit, axis.ticks)
        self._ranges: dict[int, list[Array]] = {}  # by slope: least of 1, 2, 4 ... neighbors
        self._least: dict[int, Array] = {}
        self._last: dict[int, int] = {}

    def span(self, g: int) -> tuple[int, int]:
        """How far past its left line a speaker may stand in a gap of g, strictly inside and within its cap."""
        return max(1, up(2 * g - self.off_max, QUARTERS)), min(g - 1, (2 * g + self.off_max) // QUARTERS)

    def clear_span(self, g: int) -> tuple[int, int]:
        """As `span`, and crowding neither light."""
        low, high = self.span(g)
        return max(low, self.near), min(high, g - self.near)

    def least(self, g: int) -> Array:
        """The least cost of a speaker in a gap of g after a line at x = 0, 1, 2 ..."""
        if g not in self._least:
            if len(self._least) * self.axis.ticks > _REMEMBERED:
                self._least.clear()
            self._least[g] = self._find_least(g)
        return self._least[g]

    def _find_least(self, g: int) -> Array:
        (low, high), near, times = self.span(g), self.near, self.times
        self.axis.work.spend(8 * self.axis.ticks)
        number = max(0, self.axis.ticks - g)
        costs = np.full(number, NEVER, np.int64)
        if low > high or not number:
            return costs
        x = times * np.arange(number, dtype=np.int64)
        clear = (max(low, near), min(high, g - near))
        if clear[0] <= clear[1]:
            costs = self._range_least(0, *clear, number)
        if costs.max() > times * BROKEN:
            left = (low, min(high, near - 1, g - near))
            if left[0] <= left[1]:
                costs = np.minimum(costs, self._range_least(-times, *left, number) + x + times * (BROKEN + near))
            right = (max(low, near, g - near + 1), high)
            if right[0] <= right[1]:
                crowded = self._range_least(times, *right, number) - x + times * (BROKEN + near - g)
                costs = np.minimum(costs, crowded)
            both = (max(low, g - near + 1), min(high, near - 1))
            if both[0] <= both[1]:
                crowded = self._range_least(0, *both, number) + times * (2 * BROKEN + 2 * near - g)
                costs = np.minimum(costs, crowded)
        return costs

    def _range_least(self, slope: int, low: int, high: int, number: int) -> Array:
        """For x = 0, 1 ...: the least of places[z] + slope * z for z from x + low to x + high."""
        if slope not in self._ranges:
            self._ranges[slope] = [self.places + slope * np.arange(len(self.places), dtype=np.int64)]
        levels = self._ranges[slope]
        size = high - low + 1
        depth = size.bit_length() - 1
        while len(levels) <= depth:
            step = 1 << (len(levels) - 1)
            levels.append(np.minimum(levels[-1][:-step], levels[-1][step:]))
        level, second = levels[depth], high + 1 - (1 << depth)
        return np.minimum(level[low : low + number], level[second : second + number])

    def choices(self, x: int, right: int) -> range:
        """The ticks a speaker may stand on between a line at x and one at right."""
        twice_mid = QUARTERS * x + right
        low = max(x + 1, up(twice_mid - 2 * self.off_max, 2 * QUARTERS))
        high = min((right - 1) // QUARTERS, (twice_mid + 2 * self.off_max) // (2 * QUARTERS))
        return range(low, high + 1)

    def last(self, x: int) -> int:
        """The least cost of a speaker between a line at x and the middle line; NEVER when it has no place."""
        if x not in self._last:
            costs = self._costs(x, self.axis.middle)
            self._last[x] = int(costs.min()) if len(costs) else NEVER
        return self._last[x]

    def place(self, x: int, right: int) -> tuple[int, int]:
        """Of the speakers of least cost between x and right, the one of least rest: (rest, z)."""
        choices, costs = self.choices(x, right), self._costs(x, right)
        z = np.flatnonzero(costs == costs.min()) + choices.start
        off = np.abs(2 * QUARTERS * z - QUARTERS * x - right) // 2  # exact: the sum of the two lines is even
        rest = np.where(2 * off > QUARTERS, OFF * off, 0) + self.marks[z]
        best = int(rest.argmin())
        return int(rest[best]), int(z[best])

    def _costs(self, x: int, right: int) -> Array:
        """What a speaker costs at each of the choices between a line at x and one at right."""
        choices = self.choices(x, right)
        self.axis.work.spend(16 * len(choices))
        at = QUARTERS * np.arange(choices.start, choices.stop, dtype=np.int64)
        crowding = shortfalls(self.light, at - QUARTERS * x) + shortfalls(self.light, right - at)
        return self.places[choices.start : choices.stop] + self.times * crowding

    def best(self, g: int, xs: Array) -> Array:
        """For lines at each of xs and a gap of g: the least rest of a speaker of least cost."""
        low, high = self.span(g)
        p = np.arange(low, high + 1, dtype=np.int64)
        off = np.abs(QUARTERS * p - 2 * g)
        rest = np.where(2 * off > QUARTERS, OFF * off, 0)
        crowding = self.times * (shortfalls(self.light, QUARTERS * p) + shortfalls(self.light, QUARTERS * (g - p)))
        self.axis.work.spend(8 * len(p) * len(xs))
        found = np.empty(len(xs), np.int64)
        many = max(1, _AT_ONCE // len(p))
        for begin in range(0, len(xs), many):
            some = xs[begin : begin + many]
            z = some[:, None] + p
            fits = self.places[z] + crowding == self.least(g)[some][:, None]
            found[begin : begin + many] = np.where(fits, rest + self.marks[z], NEVER).min(axis=1)
        return found

    def some(self, x: Array, g: Array) -> Array:
        """The cost of the cheapest speaker near the middle of each gap of g after a line at x; NEVER if none is."""
        costs = np.full(len(x), NEVER, np.int64)
        farthest = min(self.off_max // QUARTERS + 1, _NEARBY)
        for off in range(-farthest, farthest + 1):
            p = g // 2 + off
            stands = (p > 0) & (p < g) & (np.abs(QUARTERS * p - 2 * g) <= self.off_max)
            near, far = shortfalls(self.light, QUARTERS * p), shortfalls(self.light, QUARTERS * (g - p))
            cost = self.places[np.clip(x + p, 0, len(self.places) - 1)] + self.times * (near + far)
            costs = np.minimum(costs, np.where(stands, cost, NEVER))
        return costs

    def grid(self, gaps: range, xs: range) -> Array:
        """The least costs of a speaker, by gap and by the line before it; NEVER where the gap passes the middle."""
        costs = np.full((len(gaps), len(xs)), NEVER, np.int64)
        for row, gap in zip(costs, gaps, strict=True):
            least = self.least(gap)[xs.start : xs.stop]
            row[: len(least)] = least
        return costs
