"""All layouts of one axis whose gaps lie in one range: their least cost, and the best of those that have it.

From the middle outward, each line gets a table: for every tick it may stand on, the least cost from there to the
middle. Knows nothing of evenness or rooms.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.lib.stride_tricks import as_strided
from numpy.typing import NDArray

from layout.engine.placement.axis import Axis
from layout.engine.placement.between import SETBACK, Between
from layout.engine.placement.costs import BROKEN, NEVER, Array, mark_costs, shortfall, shortfalls, up
from layout.engine.placement.problem import QUARTERS

_FEW = 12  # gaps: so few are tried one by one rather than by runs
_TRIES = 16
_AT_ONCE = 1 << 18  # numbers in one array


@dataclass(frozen=True, slots=True)
class AxisLayout:
    """Half an axis, the rest mirrors. Least first: cost, unevenness beyond what is tolerated in quarter ticks, and
    rest: speakers off mid-gap, then the first line off its preferred setback, then marks hard to read."""

    cost: int
    uneven: int
    rest: int
    lines: tuple[int, ...] = ()  # ticks
    speakers: tuple[int, ...] = ()  # ticks, one for each speaker gap before the middle, ascending

    @property
    def worth(self) -> tuple[int, int, int]:
        return (self.cost, self.uneven, self.rest)


def cost_of(axis: Axis, layout: AxisLayout) -> int:
    """What a layout costs on an axis."""
    lines, first = layout.lines, layout.lines[0]
    outside = max(axis.setback.min - first, first - axis.setback.max)
    cost = axis.fixed + sum(int(axis.lines[x]) for x in lines)
    cost += 2 * axis.setback_subjects * (BROKEN + outside) if outside > 0 else 0
    cost += sum(2 * int(axis.gap_costs[after - before]) for before, after in pairwise(lines))
    middle = axis.middle_gap(lines[-1])
    cost += (2 if axis.count % 2 else 1) * int(axis.gaps(np.array([middle]))[0])
    if axis.speakers is None:
        return cost
    rights = [*(QUARTERS * x for x in lines), axis.middle]
    gaps = [gap for gap in range(1, axis.free + axis.count % 2) if axis.has_speaker(gap)]
    for z, gap in zip(layout.speakers, gaps, strict=True):
        x, right = lines[gap - 1], rights[gap]
        crowding = shortfall(axis.speakers.light, QUARTERS * (z - x))
        crowding += shortfall(axis.speakers.light, right - QUARTERS * z)
        cost += int(axis.speakers.places[z]) + 2 * axis.speakers.subjects * crowding
    if axis.count % 2 == 0 and axis.has_speaker(axis.free):
        cost += 2 * axis.speakers.subjects * shortfall(axis.speakers.light, middle // 2)
    return cost


@dataclass(frozen=True, slots=True)
class Level:
    """For one line: the least cost from it to the middle, by tick from `first` on."""

    first: int
    costs: Array

    @property
    def stop(self) -> int:
        return self.first + len(self.costs)

    def between(self, start: int, stop: int) -> Array:
        """The costs of ticks start..stop - 1; NEVER outside the table."""
        begin, end = max(start, self.first), min(stop, self.stop)
        if begin == start and end == stop:
            return self.costs[start - self.first : stop - self.first]
        found = np.full(stop - start, NEVER, np.int64)
        if begin < end:
            found[begin - start : end - start] = self.costs[begin - self.first : end - self.first]
        return found


@dataclass(frozen=True, slots=True)
class Window:
    """The layouts whose whole-tick gaps lie in `gaps` (the middle one likewise), and their least cost."""

    gaps: range
    levels: list[Level]  # the first line first
    least: int
    starts: Array  # the cost of the whole axis, by tick of the first line
    flat: bool = False  # gaps cost nothing: every way from table to table is a way of least cost


class Tables:
    """Opens windows on one axis."""

    def __init__(self, axis: Axis) -> None:
        self.axis = axis
        self.marks = mark_costs(axis.unit, axis.ticks)
        self.between = Between(axis) if axis.speakers else None
        self.boxes = [axis.box(line) for line in range(1, axis.free + 1)]
        self.gap_range = range(1, axis.length + 1)

    @cached_property
    def start_costs(self) -> Array:
        """The setback rule of the first line, at both ends."""
        axis = self.axis
        x = np.arange(axis.ticks, dtype=np.int64)
        short = np.maximum(axis.setback.min - x, x - axis.setback.max)
        return np.where(short > 0, 2 * axis.setback_subjects * (BROKEN + short), 0)

    def open(self, low: int, high: int) -> Window | None:
        """The window of gaps within low..high (quarter ticks); None when no layout has them."""
        axis = self.axis
        gaps, first, last = self.reach(low, high)
        levels: list[Level] = []
        for line in range(axis.free, 0, -1):
            box = self.boxes[line - 1]
            xs = range(max(first, (line - 1) * gaps.start, box.start), min(last + 1, box.stop))
            if not xs:
                return None
            costs = self._outward(levels[-1], line, xs, gaps) if levels else self.middle(xs)
            costs = costs + axis.lines[xs.start : xs.stop]
            levels.append(Level(xs.start, np.where(costs < NEVER // 2, costs, NEVER)))
            if line > 1 and not gaps:
                return None
            first, last = xs[0] - gaps.stop + 1, xs[-1] - gaps.start
        levels.reverse()
        outer = levels[0]
        starts = outer.costs + self.start_costs[outer.first : outer.stop]
        least = int(starts.min())
        return Window(gaps, levels, least + axis.fixed, starts + axis.fixed) if least < NEVER // 2 else None

    def about_even(self) -> int:
        """What some layout costs whose gaps are as even as whole ticks allow; NEVER when the caps leave out all."""
        axis = self.axis
        outer = np.arange(axis.ticks, dtype=np.int64)
        lines = [outer + number * (axis.length - 2 * outer) // (axis.count - 1) for number in range(axis.free)]
        gaps = [after - before for before, after in pairwise(lines)]
        middle = axis.middle - QUARTERS * lines[-1]
        middle = middle if axis.count % 2 else 2 * middle
        all_gaps = np.array([*(QUARTERS * gap for gap in gaps), middle])
        least, most = all_gaps.min(axis=0), all_gaps.max(axis=0)
        costs = self.start_costs + np.where((least > 0) & (most - least <= axis.uneven_cap), 0, NEVER)
        for x, box in zip(lines, self.boxes, strict=True):
            inside = (x >= box.start) & (x < box.stop)
            costs = np.minimum(costs + np.where(inside, axis.lines[np.clip(x, 0, axis.ticks - 1)], NEVER), NEVER)
        for gap in gaps:
            costs += 2 * axis.gap_costs[gap]
        at = np.flatnonzero(costs < NEVER // 2)
        if not len(at):
            return NEVER
        costs, lines, gaps = costs[at], [x[at] for x in lines], [gap[at] for gap in gaps]
        if self.between:
            for line, (x, gap) in enumerate(zip(lines, gaps, strict=False), 1):
                if axis.has_speaker(line):
                    costs = np.minimum(costs + self.between.leasts(x, QUARTERS * (x + gap)), NEVER)
        # the middle's own cost is worked out line by line, so only for the cheapest so far
        for _ in range(_TRIES):
            best = int(costs.argmin())
            if costs[best] >= NEVER // 2:
                return NEVER
            inner = int(lines[-1][best])
            cost = int(costs[best]) + int(self.middle(range(inner, inner + 1))[0])
            if cost < NEVER // 2:
                return cost + axis.fixed
            costs[best] = NEVER
        return NEVER

    def limit(self, lines_least: list[int], spare: int) -> None:
        """From now on leave out what costs more than `spare` above the least of its kind, or is outside the caps."""
        axis = self.axis
        boxes = []
        for number, least in enumerate(lines_least, 1):
            over = axis.lines - least
            if number == 1:
                over = over + self.start_costs
            boxes.append(_span(over <= spare, axis.box(number)))
        self.gap_range = _span(2 * axis.gap_costs <= spare, range(1, axis.length + 1))
        if boxes[0]:
            # every gap is within the cap of the mean gap
            parts = QUARTERS * (axis.count - 1)
            least_mean = QUARTERS * (axis.length - 2 * boxes[0][-1])
            most_mean = QUARTERS * (axis.length - 2 * boxes[0][0])
            narrowest = up(least_mean - (axis.count - 1) * axis.uneven_cap, parts)
            widest = (most_mean + (axis.count - 1) * axis.uneven_cap) // parts
            self.gap_range = range(max(self.gap_range.start, narrowest), min(self.gap_range.stop, widest + 1))
        x = np.arange(axis.ticks, dtype=np.int64)
        gaps = axis.middle - QUARTERS * x
        over = 2 * axis.gaps(gaps) if axis.count % 2 else axis.gaps(2 * gaps)
        boxes[-1] = _span(over <= spare, boxes[-1])
        least_gap, most_gap = self.gap_range.start, self.gap_range.stop - 1
        for inner in range(1, axis.free):
            a, b = boxes[inner - 1], boxes[inner]
            boxes[inner] = range(max(b.start, a.start + least_gap), min(b.stop, a.stop + most_gap))
        for outer in range(axis.free - 2, -1, -1):
            a, b = boxes[outer], boxes[outer + 1]
            boxes[outer] = range(max(a.start, b.start - most_gap), min(a.stop, b.stop - least_gap))
        self.boxes = boxes

    def reach(self, low: int, high: int) -> tuple[range, int, int]:
        """The whole-tick gaps within low..high, and the first and last tick of the last free line."""
        axis = self.axis
        # one wall, the lines before the middle and their gaps: all else pressed to the wall, one gap is this at most
        widest = axis.length // 2 - (axis.free - 2) * up(low, QUARTERS)
        allowed = self.gap_range
        gaps = range(max(up(low, QUARTERS), allowed.start), min(high // QUARTERS, widest, allowed.stop - 1) + 1)
        if axis.count % 2:
            return gaps, max(0, up(axis.middle - high, QUARTERS)), (axis.middle - low) // QUARTERS
        return gaps, max(0, up(2 * axis.middle - high, 2 * QUARTERS)), (2 * axis.middle - low) // (2 * QUARTERS)

    def middle(self, xs: range) -> Array:
        """The cost of what lies between the last free line and its mirror."""
        axis = self.axis
        x = np.arange(xs.start, xs.stop, dtype=np.int64)
        speaker = axis.speakers if axis.has_speaker(axis.free) else None
        if axis.count % 2:
            costs = 2 * axis.gaps(axis.middle - QUARTERS * x)
            if speaker and self.between:
                costs = costs + self.between.lasts[xs.start : xs.stop]
            return costs
        costs = axis.gaps(2 * (axis.middle - QUARTERS * x))
        if speaker:
            costs = costs + 2 * speaker.subjects * shortfalls(speaker.light, axis.middle - QUARTERS * x)
        return costs

    def _outward(self, inner: Level, line: int, xs: range, gaps: range) -> Array:
        """The least costs of a line at each of xs, from those of the next line toward the middle."""
        gap_costs = 2 * self.axis.gap_costs[gaps.start : gaps.stop]
        self.axis.work.spend((len(gaps) if self.axis.has_speaker(line) else 64) * (500 + len(xs)))
        speaking = self.axis.has_speaker(line)
        if not speaking and len(gaps) > _FEW:
            return _cheapest_sums(inner, xs, gaps, gap_costs)
        sums = np.full(len(xs), NEVER, np.int64)
        many = max(1, _AT_ONCE // len(xs))
        if speaking and self.between:
            self.between.make_room(gaps)
        for begin in range(0, len(gaps), many):
            some = gaps[begin : begin + many]
            # row by gap, column by tick: inner[x + gap], which repeats along the diagonals
            padded = inner.between(xs.start + some.start, xs.stop + some.stop - 1)
            costs = as_strided(padded, (len(some), len(xs)), (padded.itemsize, padded.itemsize))
            costs = costs + gap_costs[begin : begin + many, None]
            if speaking and self.between:
                costs += self.between.grid(some, xs)
            sums = np.minimum(sums, costs.min(axis=0))
        return sums

    # -- the best of the layouts of least cost

    def best(self, window: Window) -> tuple[int, tuple[int, ...], tuple[int, ...]]:
        """Of the layouts of least cost the one of least rest: (rest, lines, speakers)."""
        axis, rests = self.axis, [self._last_rest(window.levels[-1])]
        for line in range(axis.free - 1, 0, -1):
            rests.append(self._rest(window, line, rests[-1]))
        rests.reverse()
        outer = window.levels[0]
        x = np.arange(outer.first, outer.stop, dtype=np.int64)
        total = np.where(
            window.starts == window.least, SETBACK * np.abs(x - axis.setback.pref) + rests[0].costs, NEVER
        )
        at = int(total.argmin())
        lines = [outer.first + at]
        for line in range(1, axis.free):
            lines.append(self._next(window, line, lines[-1], rests))
        return int(total[at]), tuple(lines), self.speakers(lines)

    def _last_rest(self, level: Level) -> Level:
        axis, marks = self.axis, self.marks[level.first : level.stop]
        rest = np.where(level.costs < NEVER, marks, NEVER)
        if axis.count % 2 and axis.has_speaker(axis.free) and self.between:
            x = np.flatnonzero(level.costs < NEVER)
            rest[x] += self.between.last_rests(x + level.first)
        return Level(level.first, rest)

    def _rest(self, window: Window, line: int, after: Level) -> Level:
        """The least rest from a line on, at each tick, along layouts of least cost."""
        level = window.levels[line - 1]
        if window.flat and not self.axis.has_speaker(line):
            nothing = np.zeros(len(window.gaps), np.int64)
            rest = _cheapest_sums(after, range(level.first, level.stop), window.gaps, nothing)
            rest = np.where(level.costs < NEVER, rest + self.marks[level.first : level.stop], NEVER)
            return Level(level.first, np.minimum(rest, NEVER))
        rest = np.full(len(level.costs), NEVER, np.int64)
        for gap in window.gaps:
            begin, end, onward = self._onward(window, line, gap, after)
            part = rest[begin - level.first : end - level.first]
            np.minimum(part, onward, out=part)
        rest = np.minimum(rest + self.marks[level.first : level.stop], NEVER)
        return Level(level.first, rest)

    def _onward(
        self, window: Window, line: int, gap: int, after: Level, only: int | None = None
    ) -> tuple[int, int, Array]:
        """For the lines at begin..end - 1 and one gap: the rest that follows when the gap belongs to a least cost."""
        level, inner = window.levels[line - 1], window.levels[line]
        begin, end = max(level.first, inner.first - gap), min(level.stop, inner.stop - gap)
        if only is not None:
            begin, end = max(begin, only), min(end, only + 1)
        if begin >= end:
            return level.first, level.first, np.zeros(0, np.int64)
        to_come = level.costs[begin - level.first : end - level.first] - self.axis.lines[begin:end]
        costs = inner.costs[begin + gap - inner.first : end + gap - inner.first] + 2 * self.axis.gap_costs[gap]
        onward = after.costs[begin + gap - after.first : end + gap - after.first]
        speaking = self.axis.has_speaker(line) and self.between
        if speaking:
            costs = costs + speaking.least(gap)[begin:end]
        fits = (costs == to_come) & (costs < NEVER // 2)
        if speaking and fits.any():
            at = np.flatnonzero(fits)
            onward = onward.copy()
            x = at + begin
            onward[at] += speaking.rests(x, QUARTERS * (x + gap), speaking.least(gap)[x])
        return begin, end, np.where(fits, onward, NEVER)

    def _next(self, window: Window, line: int, x: int, rests: list[Level]) -> int:
        """The line after one at x, on the way of least rest."""
        level, after = rests[line - 1], rests[line]
        wanted = int(level.costs[x - level.first]) - int(self.marks[x])
        onward = after.between(x + window.gaps.start, x + window.gaps.stop)
        for gap in (np.flatnonzero(onward <= wanted) + window.gaps.start).tolist():
            begin, end, onward = self._onward(window, line, gap, after, x)
            if begin < end and onward[0] == wanted:
                return int(x + gap)
        raise AssertionError("a table's least rest belongs to some gap")

    def speakers(self, lines: list[int]) -> tuple[int, ...]:
        if self.between is None:
            return ()
        rights = [QUARTERS * x for x in lines[1:]] + ([self.axis.middle] if self.axis.count % 2 else [])
        return tuple(
            self.between.place(x, right)
            for line, (x, right) in enumerate(zip(lines, rights, strict=False), 1)
            if self.axis.has_speaker(line)
        )


def _span(fits: NDArray[np.bool_], within: range) -> range:
    """The first to the last of what fits."""
    at = np.flatnonzero(fits[within.start : within.stop])
    return range(within.start + int(at[0]), within.start + int(at[-1]) + 1) if len(at) else within[:0]


def _cheapest_sums(inner: Level, xs: range, gaps: range, gap_costs: Array) -> Array:
    """For each x, the least of gap_costs[gap] + inner at x + gap.

    Gap costs are cut into runs that rise or fall evenly. In a run the sum is the least of a sliding window over
    costs tilted by the run's slope.
    """
    sums = np.full(len(xs), NEVER, np.int64)
    x = np.arange(xs.start, xs.stop, dtype=np.int64)
    for begin, end, slope in _even_runs(gap_costs):
        start, stop = xs.start + gaps[begin], xs.stop + gaps[end]
        padded = inner.between(start, stop)
        base = int(gap_costs[begin]) - slope * gaps[begin]
        if slope:
            padded = padded + slope * np.arange(start, stop, dtype=np.int64)
        least = _sliding_least(padded, end - begin + 1) + base
        sums = np.minimum(sums, least - slope * x if slope else least)
    return np.where(sums < NEVER // 2, sums, NEVER)


def _even_runs(values: Array) -> Iterator[tuple[int, int, int]]:
    """(begin, end, slope) of stretches of values that step evenly."""
    steps = np.diff(values)
    turns = np.flatnonzero(np.diff(steps)) + 1
    begin, last = 0, len(values) - 1
    for turn in (*turns.tolist(), last):
        if turn < begin:
            continue
        slope = int(steps[begin]) if turn > begin else 0
        yield begin, turn, slope
        begin = turn + 1
        if begin > last:
            return


def _sliding_least(values: Array, size: int) -> Array:
    """The least of each `size` neighbors, by doubling."""
    covered = 1
    while 2 * covered <= size:
        values = np.minimum(values[:-covered], values[covered:])
        covered *= 2
    return np.minimum(values[: len(values) - size + covered], values[size - covered :]) if covered < size else values
