"""The least moves of one axis' lines that clear everything: exact, to the tick, nearest first. Knows no layout.

Each search gives places for all lines, best first where it gives several; the caller tries them for real.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce

from layout.engine.ways.lines import Lines, Stretches, common, nearest_first, steps, turned, within

Places = tuple[int, ...]


def shifts(lines: Lines, most: int) -> Iterator[Places]:
    """All lines one way by the same number of ticks, up to `most`, nearest first."""
    if lines.held or any(not lines.least[n] <= gap <= lines.most for n, gap in enumerate(lines.gaps)):
        return
    every = [steps(at, free, lines.tick) for at, free in zip(lines.at, lines.may_stand, strict=True)]
    slack = lines.tick  # a speaker's own rounding
    for each in lines.between:
        at = lines.midway(lines.at[each.gap], lines.at[each.gap + 1])
        wider = tuple((low - slack, high + slack) for low, high in each.may_stand)
        every.append(steps(at, wider, lines.tick))
    for move in nearest_first(reduce(_common_overlapping, every), most):
        places = tuple(at + move * lines.tick for at in lines.at)
        if move and lines.clear(places):
            yield places


def _common_overlapping(first: Stretches, second: Stretches) -> Stretches:
    """Stretches widened by a tick may overlap: joined before they are compared."""
    return common(_joined(first), _joined(second))


def _joined(stretches: Stretches) -> Stretches:
    joined: list[tuple[int, int]] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1] + 1:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return tuple(joined)


def respaced(lines: Lines) -> Iterator[Places]:
    """Both ends the same off their walls, gaps alike to a tick, the nearest end first; of two the one farther in."""
    count, start = len(lines.at), lines.at[0] if lines.at else 0
    if count < 2 or lines.held:
        return
    ends = sorted(
        (end for end in range(start % lines.tick, (lines.size + 1) // 2, lines.tick) if end != start),
        key=lambda end: (abs(end - start), -end),
    )
    mirror = tuple((lines.size - high, lines.size - low) for low, high in reversed(lines.may_stand[-1]))
    outer = common(lines.may_stand[0], mirror)
    for end in ends:
        if within(end, outer):
            places = spread(end, count, lines.size, lines.tick)
            if not lines.clear(places):
                other = _alike(lines, end)
                if other is None:
                    continue
                places = other
            yield places


def spread(end: int, count: int, size: int, tick: int) -> Places:
    """Lines from one end to the other end alike, mirrored, on ticks; the middle may stand on half of one."""
    span, gaps = size - 2 * end, count - 1
    half = []
    for number in range(count // 2):
        past = number * span  # over gaps
        half.append(end + (2 * past + gaps * tick) // (2 * gaps * tick) * tick)
    middle = (size // 2,) if count % 2 else ()
    return (*half, *middle, *(size - at for at in reversed(half)))


def _alike(lines: Lines, end: int) -> Places | None:
    """Another way to round an even spread, gaps alike to a tick, that clears; None when there is none."""
    count, tick = len(lines.at), lines.tick
    least = (lines.size - 2 * end) // (count - 1) // tick * tick
    last = count - 1
    found: dict[int, Places] = {end: (end,)}
    for number in range(1, count // 2):
        found = {
            at: (*before, at)
            for place, before in found.items()
            for at in (place + least, place + least + tick)
            if within(at, lines.may_stand[number]) and within(lines.size - at, lines.may_stand[last - number])
        }
    for at, half in found.items():
        middle = (lines.size // 2,) if count % 2 else ()
        inner = (middle[0] if middle else lines.size - at) - at
        places = (*half, *middle, *(lines.size - each for each in reversed(half)))
        if least <= inner <= least + tick and lines.clear(places):
            return places
    return None


def alone(lines: Lines, number: int, most: int) -> Places | None:
    """One line by itself, the others where they stand: the least move that clears it."""
    if number in lines.held:
        return None
    for move in nearest_first(steps(lines.at[number], lines.may_stand[number], lines.tick), most):
        places = (*lines.at[:number], lines.at[number] + move * lines.tick, *lines.at[number + 1 :])
        beside = [gap for gap in (number - 1, number) if 0 <= gap < len(places) - 1]
        if move and all(lines.gap_holds(gap, places[gap], places[gap + 1]) for gap in beside):
            return places
    return None


# Mirrored pairs


def paired(lines: Lines, most: int) -> Places | None:
    """Mirrored pairs by equal opposite amounts: the least that any pair moves, then the least moved in all.

    most: ticks. Pairs are taken from the walls inward; a pair's move counts toward the middle when positive. A middle
    line stays where it is, on the center line or off it.
    """
    if not lines.pairs_mirror or len(lines.at) < 2:
        return None
    pairs = _Pairs(lines, _free_pairs(lines))
    if not pairs.free or not all(pairs.free) or not pairs.middle_stands():
        return None
    for reach in (most // 16, most // 4, most):  # most moves are small, and few places are soon tried
        places = pairs.within(reach)
        if places is not None:
            return places
    return None


def _free_pairs(lines: Lines) -> tuple[Stretches, ...]:
    last = len(lines.at) - 1
    free = []
    for number in range(len(lines.at) // 2):
        near = steps(lines.at[number], lines.may_stand[number], lines.tick)
        far = turned(steps(lines.at[last - number], lines.may_stand[last - number], lines.tick))
        both = common(near, far)
        if {number, last - number} & lines.held:
            both = common(both, ((0, 0),))
        free.append(both)
    return tuple(free)


@dataclass(frozen=True, slots=True)
class _Pairs:
    lines: Lines
    free: tuple[Stretches, ...]  # moves in ticks

    def middle_stands(self) -> bool:
        middle = len(self.lines.at) // 2
        return len(self.lines.at) % 2 == 0 or within(self.lines.at[middle], self.lines.may_stand[middle])

    def moves(self, pair: int, most: int) -> list[int]:
        return [
            move for low, high in self.free[pair] for move in range(max(low, -most), min(high, most) + 1)
        ]

    def within(self, most: int) -> Places | None:
        """The least largest move up to `most`, by halving, then the least in all."""
        if self.cheapest(most) is None:
            return None
        low, high = -1, most  # too small, enough
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self.cheapest(middle) is not None else (middle, high)
        chosen = self.cheapest(high)
        return None if chosen is None else self.places(chosen)

    def places(self, moves: tuple[int, ...]) -> Places:
        near = tuple(at + move * self.lines.tick for at, move in zip(self.lines.at, moves, strict=False))
        count = len(self.lines.at)
        middle = (self.lines.at[count // 2],) if count % 2 else ()
        return (*near, *middle, *(self.lines.size - at for at in reversed(near)))

    def cheapest(self, most: int) -> tuple[int, ...] | None:
        """The moves, none over `most`, whose total is least."""
        layers = [self.moves(pair, most) for pair in range(len(self.free))]
        costs: list[dict[int, int]] = [{move: abs(move) for move in layers[0]}]
        came: list[dict[int, int]] = [{}]
        for pair in range(1, len(layers)):
            cost, by = self.step(pair, costs[-1], layers[pair])
            costs.append(cost)
            came.append(by)
        ends = [move for move in costs[-1] if self.meets(move)]
        if not ends:
            return None
        chosen = [min(ends, key=lambda move: (costs[-1][move], -move))]
        for by in reversed(came[1:]):
            chosen.append(by[chosen[-1]])
        return tuple(reversed(chosen))

    def meets(self, move: int) -> bool:
        """Whether the innermost pair leaves the middle as it must be."""
        lines, pair = self.lines, len(self.free) - 1
        near = lines.at[pair] + move * lines.tick
        if len(lines.at) % 2:
            middle = lines.at[pair + 1]
            return lines.gap_holds(pair, near, middle) and lines.gap_holds(pair + 1, middle, lines.size - near)
        return lines.gap_holds(pair, near, lines.size - near)

    def far_gap_holds(self, gap: int, low: int, high: int) -> bool:
        """The gap's mirror image: the same width, but other speakers and other framing."""
        lines = self.lines
        return lines.gap_holds(len(lines.at) - 2 - gap, lines.size - high, lines.size - low)

    def step(self, pair: int, before: dict[int, int], moves: list[int]) -> tuple[dict[int, int], dict[int, int]]:
        """The least total up to each move of this pair, and the move of the pair before that it came from."""
        gap, lines = pair - 1, self.lines
        mirror = len(lines.at) - 2 - gap
        least, most = max(lines.least[gap], lines.least[mirror]), lines.most
        now = lines.at[pair] - lines.at[gap]
        closer, wider = (now - least) // lines.tick, (most - now) // lines.tick
        if any(each.gap in (gap, mirror) for each in lines.between):
            return self.step_with_speakers(pair, before, moves, closer, wider)
        return _in_windows(before, moves, closer, wider)

    def step_with_speakers(
        self, pair: int, before: dict[int, int], moves: list[int], closer: int, wider: int
    ) -> tuple[dict[int, int], dict[int, int]]:
        lines, gap = self.lines, pair - 1
        best, by = {}, {}
        known = sorted(before.items(), key=lambda one: (one[1], -one[0]))
        fits: dict[int, bool] = {}  # by the sum of both moves: that alone says where the middle of a gap is
        for move in moves:
            high = lines.at[pair] + move * lines.tick
            for previous, cost in known:
                if not move - wider <= previous <= move + closer:
                    continue
                both = move + previous
                if both not in fits:
                    low = lines.at[gap] + previous * lines.tick
                    fits[both] = lines.gap_holds(gap, low, high) and self.far_gap_holds(gap, low, high)
                if fits[both]:
                    best[move], by[move] = cost + abs(move), previous
                    break
        return best, by


def _in_windows(
    before: dict[int, int], moves: list[int], closer: int, wider: int
) -> tuple[dict[int, int], dict[int, int]]:
    """For each move the cheapest earlier one from move - wider to move + closer. Both ends only go up."""
    known = sorted(before)
    best, by = {}, {}
    window: deque[int] = deque()
    taken = 0
    for move in moves:
        reach = bisect_right(known, move + closer)
        for previous in known[taken:reach]:
            while window and before[window[-1]] >= before[previous]:
                window.pop()
            window.append(previous)
        taken = max(taken, reach)
        while window and window[0] < move - wider:
            window.popleft()
        if window:
            best[move], by[move] = before[window[0]] + abs(move), window[0]
    return best, by
