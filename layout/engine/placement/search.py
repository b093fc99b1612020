"""The best lines and speakers on one axis, exactly. Knows the costs of an axis, nothing of rooms.

Order of merit: (rules broken, excess), unevenness of the gaps beyond what is tolerated, speakers off mid-gap, first
line off its preferred setback, marks hard to read. Equal in all of these, the layout whose first line is nearest the
wall wins, then the second line, and so on, then the speakers: the same room always gets the same answer.

How: a *window* is a range of gaps, from some smallest gap to `width` more. Within one window a table built from the
middle outward holds, for each line at each tick, the least cost from there to the middle (`_tables`). Unevenness is
settled by taking the narrowest width that reaches the least cost of the widest (the cap). For one width, windows are
searched best bound first, in blocks of neighboring windows: a block's bound is taken from one wider window that holds
all of them, so whole blocks drop out at once, and nothing is lost.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from layout.engine.placement.costs import NEVER, AxisProblem, Costs, mark_cost, shortfall, up
from layout.engine.placement.problem import QUARTERS

OFF = 1 << 64  # a quarter tick off mid-gap, against
SETBACK = 1 << 16  # a tick off the preferred setback, against marks (at most 3 marks x 30 lines x 4)


@dataclass(frozen=True, slots=True, order=True)
class AxisLayout:
    """Half an axis, the rest mirrors. Ordered by merit among layouts of one width."""

    cost: int
    rest: int
    lines: tuple[int, ...]  # ticks
    speakers: tuple[int, ...]  # ticks, one for each speaker gap before the middle, ascending


@dataclass(slots=True)
class _Level:
    """For one line: the least cost from it to the middle, by tick from `first` on."""

    first: int
    costs: list[int]

    def at(self, x: int) -> int:
        return self.costs[x - self.first] if 0 <= x - self.first < len(self.costs) else NEVER


_Tables = list[_Level]  # by line, the first line first
_RELAX_FROM = 8  # steps: in narrower windows the plain bound is as good as a block's table


def solve_axis(axis: AxisProblem) -> AxisLayout | None:
    """The best layout of one axis, or None when the caps leave nothing."""
    return _Search(axis).best() if axis.free else AxisLayout(0, 0, (), ())


class _Search:
    def __init__(self, axis: AxisProblem) -> None:
        self.axis = axis
        self.costs = Costs(axis)
        self.gaps = axis.count - 1
        # every gap is whole ticks, except beside the middle line of an odd length
        self.step = 2 if axis.count % 2 and axis.length % 2 else QUARTERS
        self._alone: dict[tuple[bool, int], int] = {}

    def best(self) -> AxisLayout | None:
        axis = self.axis
        if axis.free == 1:  # one gap, or two that mirror: never uneven
            whole = (1, QUARTERS * axis.length)
            tables = self._tables(*whole)
            return self._best_in(*whole, tables) if tables and self._least_in(tables) < NEVER else None
        even = self._best_of_width(axis.even_tol)
        if axis.even_tol >= axis.uneven_cap or (even is not None and even.cost == 0):
            return even
        least = self._least(axis.uneven_cap, at_most=even.cost if even else NEVER - 1)
        if least is None or (even is not None and even.cost == least):
            return even
        too_narrow, enough = axis.even_tol // self.step, up(axis.uneven_cap, self.step)
        while enough - too_narrow > 1:
            width = (too_narrow + enough) // 2
            if self._least(width * self.step, at_most=least, floor=least) is None:
                too_narrow = width
            else:
                enough = width
        return self._best_of_width(enough * self.step, floor=least)

    # -- windows of one width, best bound first

    def _best_of_width(self, width: int, floor: int = 0) -> AxisLayout | None:
        best: AxisLayout | None = None
        for cost, rest, low, tables in self._windows(width, NEVER - 1, floor):
            if best is not None and (cost, rest) > (best.cost, best.rest):
                break
            found = self._best_in(low, low + width, tables)
            best = found if best is None else min(best, found)
        return best

    def _least(self, width: int, at_most: int, floor: int = 0) -> int | None:
        """The least cost in any window of this width, if no more than `at_most`; it is known to be `floor` or more."""
        return next((cost for cost, _, _, _ in self._windows(width, at_most, floor)), None)

    def _windows(self, width: int, at_most: int, floor: int) -> Iterator[tuple[int, int, int, _Tables]]:
        """(cost, bound of the rest, smallest gap, tables) of each window, in that order. The cost is exact."""
        heap: list[tuple[int, int, int, int, _Tables | None]] = []

        def add(first: int, last: int, cost: int, rest: int, tables: _Tables | None) -> None:
            cost = max(cost, floor)
            if cost <= at_most:
                heapq.heappush(heap, (cost, rest, last - first, first, tables))

        def add_bound(first: int, last: int, at_least: int) -> None:
            bound = self._bound(first * self.step, last * self.step + width)
            if bound is not None:
                add(first, last, max(bound[0], at_least), bound[1], None)

        add_bound(1, QUARTERS * self.axis.length // (self.gaps * self.step), 0)
        while heap:
            cost, rest, size, first, tables = heapq.heappop(heap)
            last, low = first + size, first * self.step
            if tables is not None and size == 0:
                yield cost, rest, low, tables
            elif tables is None and (size == 0 or size * self.step <= width >= _RELAX_FROM * self.step):
                tables = self._tables(low, last * self.step + width)
                if tables is not None:
                    add(first, last, max(cost, self._least_in(tables)), rest, tables)
            else:
                add_bound(first, first + size // 2, cost)
                add_bound(first + size // 2 + 1, last, cost)

    def _bound(self, low: int, high: int) -> tuple[int, int] | None:
        """(cost, rest) that no layout with all gaps within low..high can beat, or None when none fits the length."""
        axis, costs = self.axis, self.costs
        near = max(0, up(QUARTERS * axis.length - self.gaps * high, 2 * QUARTERS))
        far = (QUARTERS * axis.length - self.gaps * low) // (2 * QUARTERS)
        if near > far:
            return None
        cost = 2 * costs.start(min(max(near, axis.setback.min), far))
        cost += 2 * sum(need.subjects * shortfall(need.distance, QUARTERS * far) for need in axis.edges)
        sides = axis.free - 1
        if sides:
            cost += 2 * sides * self._least_gap(low, high, 0)
        if speakers := sum(axis.has_speaker(gap) for gap in range(1, axis.free)):
            cost += 2 * speakers * costs.speaker_beside(high // QUARTERS * QUARTERS)
        if axis.count % 2:
            cost += 2 * self._least_gap(low, high, axis.middle % QUARTERS)
        else:
            cost += self._least_gap(low, high, 0)
            if axis.has_speaker(axis.free):
                cost += costs.middle_speaker(high)
        return cost, SETBACK * max(near - axis.setback.pref, axis.setback.pref - far, 0)

    def _least_gap(self, low: int, high: int, over: int) -> int:
        """The least cost of a gap within low..high that is whole ticks and `over` quarter ticks; NEVER if none is."""
        low, high = up(low - over, QUARTERS), (high - over) // QUARTERS
        begins = [up(need.distance - over, QUARTERS) for need in self.axis.pairs]
        if self.axis.spacing is not None:
            begins.append((QUARTERS * self.axis.spacing - over) // QUARTERS + 1)
        # linear between the gaps where a rule begins to hold or to break, so least beside one of them or at an end
        beside = {low, high}.union(*((begin - 1, begin) for begin in begins))
        return min((self.costs.gap(QUARTERS * gap + over) for gap in beside if low <= gap <= high), default=NEVER)

    # -- one window

    def _tables(self, low: int, high: int) -> _Tables | None:
        """The least cost from each line at each tick to the middle, all gaps within low..high; None when none fits."""
        axis = self.axis
        least, most = up(low, QUARTERS), high // QUARTERS
        if axis.count % 2:
            first, last = up(axis.middle - high, QUARTERS), (axis.middle - low) // QUARTERS
        else:
            first, last = up(2 * axis.middle - high, 2 * QUARTERS), (2 * axis.middle - low) // (2 * QUARTERS)
        first = max(first, 0, (axis.free - 1) * least)
        if first > last:
            return None
        levels = [_Level(first, [2 * self.costs.line(x) + self._middle(x) for x in range(first, last + 1)])]
        for line in range(axis.free - 1, 0, -1):
            first, last = max(first - most, (line - 1) * least), last - least
            if first > last or least > most:
                return None
            outward = self._outward(levels[-1], line, range(first, last + 1), range(least, most + 1))
            levels.append(_Level(first, outward))
        return levels[::-1]

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
        speakers = self.axis.speakers if self.axis.has_speaker(line) else None
        every, by_edge = xs, xs[:0]
        if speakers is not None:  # near an edge a speaker's cost depends on more than its gap
            lead = max(1, up(QUARTERS * gaps[0] - 2 * speakers.off_max, 2 * QUARTERS))
            clear_from = up(speakers.edge, QUARTERS) - lead if speakers.edge <= self.axis.middle else xs.stop
            by_edge = xs[: max(0, min(clear_from, xs.stop) - xs.start)]
        costs = [min(self._gap(line, x, gap) + inner.at(x + gap) for gap in gaps) for x in by_edge]
        if xs := xs[len(by_edge) :]:
            costs += _cheapest_sums(inner, xs, gaps, [self._gap_alone(line, gap) for gap in gaps])
        return [
            2 * self.costs.line(x) + cost if cost < NEVER // 2 else NEVER for x, cost in zip(every, costs, strict=True)
        ]

    def _gap(self, line: int, x: int, gap: int) -> int:
        """The cost of a gap of whole ticks after a line at x, and of its mirror, with the speaker that stands in it."""
        speaker = self.costs.speaker(x, QUARTERS * (x + gap)) if self.axis.has_speaker(line) else 0
        return 2 * (self.costs.gap(QUARTERS * gap) + speaker)

    def _gap_alone(self, line: int, gap: int) -> int:
        """As `_gap`, far from the edges."""
        speaker = self.axis.has_speaker(line)
        if (speaker, gap) not in self._alone:
            beside = self.costs.speaker_beside(QUARTERS * gap) if speaker else 0
            self._alone[speaker, gap] = 2 * (self.costs.gap(QUARTERS * gap) + beside)
        return self._alone[speaker, gap]

    def _least_in(self, tables: _Tables) -> int:
        outer = tables[0]
        return min(cost + 2 * self.costs.start(outer.first + i) for i, cost in enumerate(outer.costs))

    def _best_in(self, low: int, high: int, tables: _Tables) -> AxisLayout:
        """The best layout of the window the tables were built for."""
        least = self._least_in(tables)
        gaps = range(up(low, QUARTERS), high // QUARTERS + 1)
        onward: dict[tuple[int, int], tuple[int, int, int | None]] = {}  # (line, x) -> rest, next x, speaker

        def rest_from(line: int, x: int) -> int:
            if (line, x) not in onward:
                onward[line, x] = self._onward(tables, line, x, gaps, rest_from)
            return onward[line, x][0]

        outer = tables[0]
        rest, x = min(
            (SETBACK * abs(x - self.axis.setback.pref) + rest_from(1, x), x)
            for x in range(outer.first, outer.first + len(outer.costs))
            if outer.at(x) + 2 * self.costs.start(x) == least
        )
        lines, speakers = [], []
        for line in range(1, self.axis.free + 1):
            lines.append(x)
            _, x, speaker = onward[line, x]
            if speaker is not None:
                speakers.append(speaker)
        return AxisLayout(least, rest, tuple(lines), tuple(speakers))

    def _onward(
        self, tables: _Tables, line: int, x: int, gaps: range, rest_from: Callable[[int, int], int]
    ) -> tuple[int, int, int | None]:
        """The best way on from a line at x among those of least cost: what is still to come, next line, speaker."""
        axis = self.axis
        own = mark_cost(axis.unit, x)
        if line == axis.free:
            if not (axis.count % 2 and axis.has_speaker(line)):
                return own, 0, None
            off, mark, z = self.costs.place_speaker(x, axis.middle)
            return own + OFF * off + mark, 0, z
        to_come = tables[line - 1].at(x) - 2 * self.costs.line(x)
        ways: list[tuple[int, int, int | None]] = []
        for gap in gaps:
            after = x + gap
            if self._gap(line, x, gap) + tables[line].at(after) != to_come:
                continue
            if axis.has_speaker(line):
                off, mark, z = self.costs.place_speaker(x, QUARTERS * after)
                ways.append((own + OFF * off + mark + rest_from(line + 1, after), after, z))
            else:
                ways.append((own + rest_from(line + 1, after), after, None))
        return min(ways, key=lambda way: way[:2])


def _cheapest_sums(inner: _Level, xs: range, gaps: range, gap_costs: list[int]) -> list[int]:
    """For each x, the least of gap_costs[gap] + inner.at(x + gap).

    Gap costs are cut into runs that rise or fall evenly. In a run the sum is the least of a sliding window over
    costs tilted by the run's slope.
    """
    sums = [NEVER] * len(xs)
    for begin, end, slope in _even_runs(gap_costs):
        ys = range(xs[0] + gaps[begin], xs[-1] + gaps[end] + 1)
        before = max(0, min(len(ys), inner.first - ys.start))
        inside = inner.costs[max(0, ys.start - inner.first) : max(0, ys.stop - inner.first)]
        padded = [NEVER] * before + inside + [NEVER] * (len(ys) - before - len(inside))
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
