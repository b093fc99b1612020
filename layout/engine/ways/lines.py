"""The lines of one axis as whole nanometers: where each stands, where each may stand, what lies between. Values only.

A line is a column or a row: it moves as one, in whole ticks, or the rows look crooked from below.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

Stretch = tuple[int, int]  # closed at both ends; may be one point
Stretches = tuple[Stretch, ...]

FAR = 10**18  # nanometers past any ceiling


@dataclass(frozen=True, slots=True)
class Between:
    """What stands midway in one gap: speakers. gap 0 lies between the first two lines."""

    gap: int
    may_stand: Stretches


@dataclass(frozen=True, slots=True)
class Lines:
    """One axis. All in nanometers from the zero corner.

    size: the axis, whole ticks. may_stand: for each line, where all that it carries is clear. least: for each gap, what
    its two lines need between their centers. most: the widest a gap may be. held: the numbers, from 0, of the lines a
    person pinned.
    """

    size: int
    tick: int
    at: tuple[int, ...]
    may_stand: tuple[Stretches, ...]
    between: tuple[Between, ...]
    least: tuple[int, ...]
    most: int
    held: frozenset[int] = frozenset()

    @property
    def mirrored(self) -> bool:
        return all(a + b == self.size for a, b in zip(self.at, reversed(self.at), strict=True))

    @property
    def pairs_mirror(self) -> bool:
        """Mirrored, a middle line apart."""
        half = len(self.at) // 2
        return all(a + b == self.size for a, b in zip(self.at[:half], reversed(self.at), strict=False))

    @property
    def gaps(self) -> tuple[int, ...]:
        return tuple(b - a for a, b in pairwise(self.at))

    def midway(self, low: int, high: int) -> int:
        """Where a speaker between two lines stands: on a tick, so that what mirrors still mirrors afterward."""
        twice = low + high
        if twice == self.size:
            return twice // 2 if not twice % 2 else _on_tick(twice, self.tick)
        if twice < self.size:
            return _on_tick(twice, self.tick)
        return self.size - _on_tick(2 * self.size - twice, self.tick)

    def clear(self, at: tuple[int, ...]) -> bool:
        """Whether lines at these places clear everything and keep their order and their gaps."""
        return (
            all(within(place, free) for place, free in zip(at, self.may_stand, strict=True))
            and all(self.gap_holds(gap, *ends) for gap, ends in enumerate(pairwise(at)))
        )

    def gap_holds(self, gap: int, low: int, high: int) -> bool:
        if not self.least[gap] <= high - low <= self.most:
            return False
        return all(within(self.midway(low, high), each.may_stand) for each in self.between if each.gap == gap)

    def moves(self, at: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(new - old for new, old in zip(at, self.at, strict=True))


def _on_tick(twice: int, tick: int) -> int:
    """The tick nearest to half of a distance; halves go up."""
    return (twice + tick) // (2 * tick) * tick


def within(place: int, stretches: Stretches) -> bool:
    """stretches: in order."""
    after = bisect_right(stretches, (place, FAR))
    return after > 0 and place <= stretches[after - 1][1]


def common(first: Stretches, second: Stretches) -> Stretches:
    """What lies in both, each in order."""
    found, i, j = [], 0, 0
    while i < len(first) and j < len(second):
        low, high = max(first[i][0], second[j][0]), min(first[i][1], second[j][1])
        if low <= high:
            found.append((low, high))
        if first[i][1] < second[j][1]:
            i += 1
        else:
            j += 1
    return tuple(found)


def steps(place: int, stretches: Stretches, tick: int) -> Stretches:
    """The whole-tick moves from a place that end inside the stretches, as stretches of counts of ticks."""
    moves = ((-((place - low) // tick), (high - place) // tick) for low, high in stretches)
    return tuple((low, high) for low, high in moves if low <= high)


def turned(stretches: Stretches) -> Stretches:
    """The same moves the other way."""
    return tuple((-high, -low) for low, high in reversed(stretches))


def nearest_first(stretches: Stretches, most: int) -> Iterable[int]:
    """Every count of ticks in the stretches, the smallest moves first, up to `most`; of two alike the positive one."""
    for count in range(most + 1):
        for move in (count, -count) if count else (0,):
            if within(move, stretches):
                yield move
