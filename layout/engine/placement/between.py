"""Speakers between two lines: where one may stand, what it costs at least, where it stands best. Knows no search."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from layout.engine.placement.axis import Axis
from layout.engine.placement.costs import BROKEN, NEVER, Array, mark_costs, shortfalls, up
from layout.engine.placement.problem import QUARTERS

OFF = 1 << 34  # a quarter tick off mid-gap, against
SETBACK = 1 << 9  # a tick off the preferred setback, against marks (at most 4 each for 90 of them)
_AT_ONCE = 1 << 18  # numbers in one array
_REMEMBERED = 1 << 24  # numbers in all of them


class Between:
    """The speakers of one axis, a cost for each with its mirror. x, z and g are ticks, `right` quarter ticks."""

    def __init__(self, axis: Axis) -> None:
        assert axis.speakers is not None
        self.axis = axis
        self.places = axis.speakers.places
        self.place_least = int(self.places.min())
        self.off_max = axis.speakers.off_max
        self.light = axis.speakers.light
        self.near = up(self.light, QUARTERS)  # ticks from a light at which a speaker no longer crowds it
        self.times = 2 * axis.speakers.subjects
        self.marks = mark_costs(axis.unit, axis.ticks)
        self._tables: dict[int, Array] = {}  # by slope: least of 1, 2, 4 ... neighbors
        self._least: dict[int, Array] = {}
        self._gaps = range(0)  # the rows of the grid
        self._grid = np.empty((0, axis.ticks), np.int64)
        self._filled = np.zeros(0, np.bool_)

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
        depth = (high - low + 1).bit_length() - 1
        table, second = self._table(slope), high + 1 - (1 << depth)
        return np.minimum(table[depth, low : low + number], table[depth, second : second + number])

    def _table(self, slope: int) -> Array:
        """Row n: at each tick z, the least of places[z] + slope * z among it and the 2^n - 1 that follow."""
        table = self._tables.get(slope)
        if table is None:
            number = len(self.places)
            widest = min(number, self.off_max // 2 + 2)
            table = np.full((widest.bit_length(), number), NEVER, np.int64)
            table[0] = self.places + slope * np.arange(number, dtype=np.int64)
            for depth in range(1, len(table)):
                step = 1 << (depth - 1)
                np.minimum(table[depth - 1, :-step], table[depth - 1, step:], out=table[depth, :-step])
            self._tables[slope] = table
        return table

    # -- for many pairs of lines at once, any number of dimensions

    @cached_property
    def _depths(self) -> Array:
        """For a number of neighbors, the row of the table to look in."""
        return np.array([max(1, size).bit_length() - 1 for size in range(self.off_max // 2 + 3)], np.int64)

    def _spans(self, x: Array, right: Array) -> tuple[Array, Array]:
        """The first and the last tick a speaker may stand on between a line at x and one at right."""
        twice_mid = QUARTERS * x + right
        low = np.maximum(x + 1, -((2 * self.off_max - twice_mid) // (2 * QUARTERS)))
        return low, np.minimum((right - 1) // QUARTERS, (twice_mid + 2 * self.off_max) // (2 * QUARTERS))

    def _leasts_within(self, slope: int, low: Array, high: Array) -> Array:
        """The least of places[z] + slope * z for z from low to high; NEVER where there is none."""
        table = self._table(slope)
        some = low <= high
        low, high = np.where(some, low, 0), np.where(some, high, 0)
        depth = self._depths[high - low + 1]
        row = depth * table.shape[1]
        flat = table.ravel()
        found = np.minimum(flat[row + low], flat[row + high + 1 - (1 << depth)])
        return np.where(some, found, NEVER)

    def leasts(self, x: Array, right: Array, spare: int = NEVER) -> Array:
        """The least cost of a speaker between a line at x and one at right; NEVER where it has no place, or none that
        costs at most `spare` above the least of all."""
        self.axis.work.spend(16 * x.size)
        low, high = self._spans(x, right)
        first, last = x + self.near, (right - self.light) // QUARTERS  # that crowd neither light
        costs = self._leasts_within(0, np.maximum(low, first), np.minimum(high, last))
        if spare < self.times * BROKEN:
            return costs  # no speaker may crowd a light
        perhaps = costs > self.times * BROKEN
        if perhaps.any():
            low, high, first, last = low[perhaps], high[perhaps], first[perhaps], last[perhaps]
            costs[perhaps] = np.minimum(costs[perhaps], self._crowding(low, high, first, last))
        return costs

    def _crowding(self, low: Array, high: Array, first: Array, last: Array) -> Array:
        """The least cost of a speaker before `first`, beyond `last` or both."""
        times = self.times
        left = self._leasts_within(-times, low, np.minimum(np.minimum(high, first - 1), last))
        left = left + times * (BROKEN + first)
        right = self._leasts_within(times, np.maximum(np.maximum(low, first), last + 1), high)
        right = right + times * (BROKEN - last)
        both = self._leasts_within(0, np.maximum(low, last + 1), np.minimum(high, first - 1))
        both = both + times * (2 * BROKEN + first - last)
        return np.minimum(np.minimum(np.minimum(left, right), both), NEVER)

    @cached_property
    def _nearest(self) -> tuple[Array, Array]:
        """At each tick: the last place of least cost up to it, and the first from it on; far outside if none."""
        number = len(self.places)
        z = np.arange(number, dtype=np.int64)
        good = self.places == self.place_least
        before = np.maximum.accumulate(np.where(good, z, -number))
        after = np.minimum.accumulate(np.where(good, z, 2 * number)[::-1])[::-1]
        return before, np.append(after, 2 * number)

    def rests(self, x: Array, right: Array, leasts: Array) -> Array:
        """The least rest of the speakers that cost `leasts`, between lines at x and at right (flat arrays)."""
        twice_mid = QUARTERS * x + right
        low, high = self._spans(x, right)
        first, last = np.maximum(low, x + self.near), np.minimum(high, (right - self.light) // QUARTERS)
        before, after = self._nearest
        down = before[np.clip(np.minimum(twice_mid // (2 * QUARTERS), last), 0, len(before) - 1)]
        rise = after[np.clip(np.maximum(-(-twice_mid // (2 * QUARTERS)), first), 0, len(before))]
        rest = np.where(down >= first, self._rest(down, twice_mid), NEVER)
        rest = np.minimum(rest, np.where(rise <= last, self._rest(rise, twice_mid), NEVER))
        others = np.flatnonzero(leasts != self.place_least)
        many = max(1, _AT_ONCE // (self.off_max // 2 + 2))
        for begin in range(0, len(others), many):
            at = others[begin : begin + many]
            rest[at] = self._rests_of_all(x[at], right[at], low[at], high[at], leasts[at])
        return rest

    def _rest(self, z: Array, twice_mid: Array) -> Array:
        off = np.abs(2 * QUARTERS * z - twice_mid) // 2  # exact: the sum of the two lines is even
        return np.where(2 * off > QUARTERS, OFF * off, 0) + self.marks[np.clip(z, 0, len(self.marks) - 1)]

    def _rests_of_all(self, x: Array, right: Array, low: Array, high: Array, leasts: Array) -> Array:
        """`rests` by looking at every place."""
        widest = max(0, int((high - low).max())) + 1
        self.axis.work.spend(16 * widest * len(x))
        z = low[:, None] + np.arange(widest, dtype=np.int64)
        x, right = x[:, None], right[:, None]
        inside = z <= high[:, None]
        z = np.minimum(z, len(self.places) - 1)
        costs = self.places[z] + self.times * (
            shortfalls(self.light, QUARTERS * (z - x)) + shortfalls(self.light, right - QUARTERS * z)
        )
        fits = inside & (costs == leasts[:, None])
        found: Array = np.where(fits, self._rest(z, QUARTERS * x + right), NEVER).min(axis=1)
        return found

    @cached_property
    def lasts(self) -> Array:
        """By tick x: the least cost of a speaker between a line at x and the middle line; NEVER without a place."""
        x = np.arange(self.axis.ticks, dtype=np.int64)
        return self.leasts(x, np.full_like(x, self.axis.middle))

    def last_rests(self, x: Array) -> Array:
        """The least rest of a speaker of least cost between a line at each x and the middle line."""
        return self.rests(x, np.full_like(x, self.axis.middle), self.lasts[x])

    def place(self, x: int, right: int) -> int:
        """Of the speakers of least cost between x and right, the one of least rest."""
        (low,), (high,) = self._spans(np.array([x]), np.array([right]))
        z = np.arange(low, high + 1, dtype=np.int64)
        crowding = shortfalls(self.light, QUARTERS * (z - x)) + shortfalls(self.light, right - QUARTERS * z)
        costs = self.places[low : high + 1] + self.times * crowding
        z = z[costs == costs.min()]
        return int(z[self._rest(z, np.array(QUARTERS * x + right)).argmin()])

    def grid(self, gaps: range, xs: range) -> Array:
        """The least costs of a speaker, by gap and by the line before it; NEVER where the gap passes the middle."""
        if gaps.start < self._gaps.start or gaps.stop > self._gaps.stop:
            self.axis.work.spend(40 * self.axis.ticks * len(gaps))  # each anew: there are too many to remember
            return np.stack([self._padded(gap) for gap in gaps])[:, xs.start : xs.stop]
        first = gaps.start - self._gaps.start
        for row in (np.flatnonzero(~self._filled[first : first + len(gaps)]) + first).tolist():
            self._grid[row], self._filled[row] = self._padded(self._gaps[row]), True
        return self._grid[first : first + len(gaps), xs.start : xs.stop]

    def _padded(self, gap: int) -> Array:
        found = np.full(self.axis.ticks, NEVER, np.int64)
        least = self._find_least(gap)
        found[: len(least)] = least
        return found

    def make_room(self, gaps: range) -> None:
        """Let the grid hold these gaps, and those it has while all of them are not too many."""
        had, grid, filled = self._gaps, self._grid, self._filled
        if gaps.start >= had.start and gaps.stop <= had.stop:
            return
        wide = range(min(had.start, gaps.start), max(had.stop, gaps.stop)) if had else gaps
        if len(wide) * self.axis.ticks > _REMEMBERED:
            wide, had = gaps, range(0)
        if len(wide) * self.axis.ticks > _REMEMBERED:
            return
        self._gaps = wide
        self._grid = np.empty((len(wide), self.axis.ticks), np.int64)
        self._filled = np.zeros(len(wide), np.bool_)
        if had:
            kept = slice(had.start - wide.start, had.stop - wide.start)
            self._grid[kept], self._filled[kept] = grid, filled
