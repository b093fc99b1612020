"""All layouts of one axis whose gaps lie in one range, answered exactly. Knows nothing of evenness or rooms.

From the middle outward, each line gets a table: for every tick it may stand on, the least cost from there to the
middle. The tables hold costs alone; what layouts of least cost are told apart by is worked out only along them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from operator import add

from layout.engine.placement.costs import NEVER, AxisProblem, Costs, mark_cost, up
from layout.engine.placement.problem import QUARTERS

OFF = 1 << 64  # a quarter tick off mid-gap, against
SETBACK = 1 << 16  # a tick off the preferred setback, against marks (at most 4 each for 60 of them)

_FAR, _NO_SPEAKER = -1, -2  # in place of a tick: far from the edges; with no speaker in the gap


@dataclass(frozen=True, slots=True)
class AxisLayout:
    """Half an axis, the rest mirrors. `rest` is what layouts of the same cost and width are compared by."""

    cost: int
    rest: int
    lines: tuple[int, ...]  # ticks
    speakers: tuple[int, ...]  # ticks, one for each speaker gap before the middle, ascending


@dataclass(slots=True)
class _Level:
    """For one line: the least cost from it to the middle, by tick from `first` on."""

    first: int
    costs: list[int]

    def ticks(self) -> range:
        return range(self.first, self.first + len(self.costs))

    def at(self, x: int) -> int:
        return self.costs[x - self.first] if 0 <= x - self.first < len(self.costs) else NEVER

    def between(self, start: int, stop: int) -> list[int]:
        """The costs of ticks start..stop - 1."""
        inside = self.costs[max(0, start - self.first) : max(0, stop - self.first)]
        before = max(0, min(stop, self.first) - start)
        return [NEVER] * before + inside + [NEVER] * (stop - start - before - len(inside))


@dataclass(frozen=True, slots=True)
class Window:
    """The layouts whose whole-tick gaps lie in `gaps` (the middle one likewise), and their least cost."""

    gaps: range
    levels: list[_Level]  # the first line first
    least: int


class Windows:
    """Opens windows on one axis."""

    def __init__(self, axis: AxisProblem, costs: Costs) -> None:
        self.axis = axis
        self.costs = costs
        self._lines: list[int] = []
        self._kept: list[_Level] | None = None  # by line: 0 where it may stand, NEVER where not
        self._known: dict[int, dict[int, int]] = {}  # gap costs after a line: at x, or _FAR, or _NO_SPEAKER
        self._placed: dict[tuple[int, int], tuple[int, tuple[int, ...]]] = {}
        # from this line on no speaker is near an edge
        edge = axis.speakers.edge if axis.speakers else 0
        self._clear_from = up(edge, QUARTERS) - 1 if edge <= axis.middle else axis.length

    def open(self, low: int, high: int) -> Window | None:
        """The window of gaps within low..high (quarter ticks); None when no layout has them."""
        axis = self.axis
        # one wall, the lines before the middle and their gaps: all else pressed to the wall, one gap is this at most
        widest = axis.length // 2 - (axis.free - 2) * up(low, QUARTERS)
        gaps = range(up(low, QUARTERS), min(high // QUARTERS, widest) + 1)
        if axis.count % 2:
            first, last = up(axis.middle - high, QUARTERS), (axis.middle - low) // QUARTERS
        else:
            first, last = up(2 * axis.middle - high, 2 * QUARTERS), (2 * axis.middle - low) // (2 * QUARTERS)
        levels: list[_Level] = []
        for line in range(axis.free, 0, -1):
            xs = self._kept_of(line, range(max(first, (line - 1) * gaps.start), last + 1))
            if not xs:
                return None
            costs = self._outward(levels[-1], line, xs, gaps) if levels else [self._middle(x) for x in xs]
            levels.append(self._level(line, xs, costs))
            if line > 1 and not gaps:
                return None
            first, last = xs[0] - gaps.stop + 1, xs[-1] - gaps.start
        levels.reverse()
        least = min(self._from_wall(levels[0], x) for x in levels[0].ticks())
        return Window(gaps, levels, least) if least < NEVER else None

    def _from_wall(self, outer: _Level, x: int) -> int:
        return outer.at(x) + 2 * self.costs.start(x)

    def _middle(self, x: int) -> int:
        """The cost of what lies between the last free line at x and its mirror."""
        axis, costs = self.axis, self.costs
        gap = axis.middle_gap(x)
        speaker = axis.has_speaker(axis.free)
        if axis.count % 2:
            return 2 * (costs.gap(gap) + (costs.speaker(x, axis.middle) if speaker else 0))
        return costs.gap(gap) + (costs.middle_speaker(gap) if speaker else 0)

    def _outward(self, inner: _Level, line: int, xs: range, gaps: range) -> list[int]:
        """The costs of a line at each of xs, from the costs of the next line toward the middle."""
        near = xs[: max(0, self._clear_from - xs.start)] if self.axis.has_speaker(line) else xs[:0]
        far = xs[len(near) :]
        costs = [min(map(add, inner.between(x + gaps.start, x + gaps.stop), self._gaps(line, x, gaps))) for x in near]
        if far:
            costs += _cheapest_sums(inner, far, gaps, self._gaps(line, far[0], gaps))
        return costs

    def _inward(self, outer: _Level, line: int, ys: range, gaps: range) -> list[int]:
        """The costs of the next line at each of ys, from the costs of a line toward the wall."""
        near = max(0, self._clear_from - outer.first) if self.axis.has_speaker(line) else 0
        far = _Level(1 - outer.first - len(outer.costs), outer.costs[near:][::-1])  # seen from the other side
        costs = _cheapest_sums(far, range(1 - ys.stop, 1 - ys.start), gaps, self._gaps(line, self._clear_from, gaps))
        costs.reverse()
        for x in outer.ticks()[:near]:
            begin, end = max(x + gaps.start, ys.start), min(x + gaps.stop, ys.stop)
            if begin < end:
                added = [outer.at(x) + gap for gap in self._gaps(line, x, range(begin - x, end - x))]
                costs[begin - ys.start : end - ys.start] = map(min, costs[begin - ys.start : end - ys.start], added)
        return costs

    def keep(self, low: int, high: int, least: int) -> None:
        """From now on open only what layouts of cost `least` are made of; all of them have their gaps in low..high."""
        window = self.open(low, high)
        if window is None:
            return
        inward = [2 * self.costs.start(x) for x in window.levels[0].ticks()]  # from the wall up to each tick
        kept = []
        for line, level in enumerate(window.levels, 1):
            through = map(add, inward, level.costs)
            kept.append(_Level(level.first, [0 if cost <= least else NEVER for cost in through]))
            if line < self.axis.free:
                outer = _Level(level.first, list(map(add, inward, self._line_costs(level.ticks()))))
                inward = self._inward(outer, line, window.levels[line].ticks(), window.gaps)
        self._kept = kept

    def _kept_of(self, line: int, xs: range) -> range:
        if self._kept is None:
            return range(max(0, xs.start), xs.stop)
        kept = [x for x, cost in zip(self._kept[line - 1].ticks(), self._kept[line - 1].costs, strict=True) if not cost]
        return range(max(kept[0], xs.start), min(kept[-1] + 1, xs.stop)) if kept else xs[:0]

    def _level(self, line: int, xs: range, costs: list[int]) -> _Level:
        """The costs of a line with its own edge rules, as far as it is kept."""
        costs = list(map(add, costs, self._line_costs(xs)))
        if self._kept is not None:
            costs = list(map(add, costs, self._kept[line - 1].between(xs.start, xs.stop)))
        return _Level(xs.start, [cost if cost < NEVER // 2 else NEVER for cost in costs])

    def _line_costs(self, xs: range) -> list[int]:
        """The edge rules of a line at each of xs, and of its mirror."""
        for x in range(len(self._lines), xs.stop):
            self._lines.append(2 * self.costs.line(x))
        return self._lines[xs.start : xs.stop]

    def _gaps(self, line: int, x: int, gaps: range) -> list[int]:
        """The cost of each gap after a line at x, and of its mirror, with the speaker that stands in it."""
        if not self.axis.has_speaker(line) or self.axis.speakers is None:
            return self._gap_costs(_NO_SPEAKER, x, gaps)
        # a gap wide enough keeps its speaker clear of the edge even beside a line that is not
        wide = up(2 * QUARTERS * (self._clear_from - x) + 1 + 2 * self.axis.speakers.off_max, QUARTERS)
        wide = gaps.start if x >= self._clear_from else min(max(wide, gaps.start), gaps.stop)
        near, far = range(gaps.start, wide), range(wide, gaps.stop)
        return self._gap_costs(x, x, near) + self._gap_costs(_FAR, x, far)

    def _gap_costs(self, where: int, x: int, gaps: range) -> list[int]:
        by_gap = self._known.setdefault(where, {})
        for gap in gaps:
            if gap not in by_gap:
                speaker = 0 if where == _NO_SPEAKER else self.costs.speaker(x, QUARTERS * (x + gap))
                by_gap[gap] = 2 * (self.costs.gap(QUARTERS * gap) + speaker)
        return [by_gap[gap] for gap in gaps]

    # -- layouts of least cost

    def any(self, window: Window) -> AxisLayout:
        """Some layout of least cost, its gaps about as even as comes easily; its speakers are left out."""
        first = self._starts(window)[0]
        fair = (self.axis.length - 2 * first) // (self.axis.count - 1)
        lines = [first]
        for line in range(1, self.axis.free):
            at = lines[-1]
            lines.append(min(self._ways_on(window, line, at), key=lambda after: abs(after - at - fair)))
        return AxisLayout(window.least, 0, tuple(lines), ())

    def best(self, window: Window) -> AxisLayout:
        """Of the layouts of least cost the one of least rest; of those, first line nearest the wall, and so on."""
        starts = self._starts(window)
        reached, ways = set(starts), []
        for line in range(1, self.axis.free):
            ways.append({x: self._ways_on(window, line, x) for x in reached})
            reached = {after for afters in ways[-1].values() for after in afters}
        # from the middle outward: for each line at x, the least rest from there on, and the next line
        onward = {x: (mark_cost(self.axis.unit, x) + self._last_speaker(x)[0], 0) for x in reached}
        steps = [onward]
        for line in range(self.axis.free - 1, 0, -1):
            onward = {x: self._step(line, x, afters, onward) for x, afters in ways[line - 1].items()}
            steps.append(onward)
        rest, x = min((SETBACK * abs(x - self.axis.setback.pref) + onward[x][0], x) for x in starts)
        lines: list[int] = []
        for step in reversed(steps):
            lines.append(x)
            x = step[x][1]
        return AxisLayout(window.least, rest, tuple(lines), self._speakers(lines))

    def _starts(self, window: Window) -> list[int]:
        outer = window.levels[0]
        return [x for x in outer.ticks() if self._from_wall(outer, x) == window.least]

    def _ways_on(self, window: Window, line: int, x: int) -> list[int]:
        """Where the next line may stand when this one, at x, is part of a layout of least cost."""
        to_come = window.levels[line - 1].at(x) - 2 * self.costs.line(x)
        gaps = window.gaps
        sums = map(add, window.levels[line].between(x + gaps.start, x + gaps.stop), self._gaps(line, x, gaps))
        return [x + gap for gap, cost in zip(gaps, sums, strict=True) if cost == to_come]

    def _step(self, line: int, x: int, afters: list[int], onward: dict[int, tuple[int, int]]) -> tuple[int, int]:
        own = mark_cost(self.axis.unit, x)
        if self.axis.has_speaker(line):
            rest, after = min((self._place(x, QUARTERS * after)[0] + onward[after][0], after) for after in afters)
        else:
            rest, after = min((onward[after][0], after) for after in afters)
        return own + rest, after

    def _last_speaker(self, x: int) -> tuple[int, tuple[int, ...]]:
        """Between the last free line and a middle one."""
        between = self.axis.count % 2 and self.axis.has_speaker(self.axis.free)
        return self._place(x, self.axis.middle) if between else (0, ())

    def _speakers(self, lines: list[int]) -> tuple[int, ...]:
        beside = [
            self._place(x, QUARTERS * after)[1]
            for line, (x, after) in enumerate(pairwise(lines), 1)
            if self.axis.has_speaker(line)
        ]
        return tuple(z for zs in (*beside, self._last_speaker(lines[-1])[1]) for z in zs)

    def _place(self, x: int, right: int) -> tuple[int, tuple[int, ...]]:
        """The rest a speaker between x and right adds, and where it stands."""
        if (x, right) not in self._placed:
            off, mark, z = self.costs.place_speaker(x, right)
            self._placed[x, right] = (OFF * off + mark, (z,))
        return self._placed[x, right]


def _cheapest_sums(inner: _Level, xs: range, gaps: range, gap_costs: list[int]) -> list[int]:
    """For each x, the least of gap_costs[gap] + inner.at(x + gap).

    Gap costs are cut into runs that rise or fall evenly. In a run the sum is the least of a sliding window over
    costs tilted by the run's slope.
    """
    sums = [NEVER] * len(xs)
    for begin, end, slope in _even_runs(gap_costs):
        ys = range(xs[0] + gaps[begin], xs[-1] + gaps[end] + 1)
        padded = inner.between(ys.start, ys.stop)
        base = gap_costs[begin] - slope * gaps[begin]
        if slope:
            tilted = [cost + slope * y for cost, y in zip(padded, ys, strict=True)]
            least = _sliding_least(tilted, end - begin + 1)
            sums = [min(s, cost + base - slope * x) for s, cost, x in zip(sums, least, xs, strict=True)]
        else:
            least = _sliding_least(padded, end - begin + 1)
            sums = [min(s, cost + base) for s, cost in zip(sums, least, strict=True)]
    return sums


def _even_runs(values: list[int]) -> Iterator[tuple[int, int, int]]:
    """(begin, end, slope) of maximal stretches of values that step evenly; values of NEVER are left out."""
    begin = 0
    while begin < len(values):
        if values[begin] >= NEVER:
            begin += 1
            continue
        end, slope = begin, 0
        if end + 1 < len(values) and values[end + 1] < NEVER:
            slope = values[end + 1] - values[end]
            while end + 1 < len(values) and values[end + 1] - values[end] == slope:
                end += 1
        yield begin, end, slope
        begin = end + 1


def _sliding_least(values: list[int], size: int) -> list[int]:
    """The least of each `size` neighbors, by doubling."""
    covered = 1
    while 2 * covered <= size:
        values = list(map(min, values, values[covered:]))
        covered *= 2
    return list(map(min, values, values[size - covered :])) if covered < size else values
