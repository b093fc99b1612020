"""A shorter order out of a given one: parts reversed, parts moved, parts swapped. Knows distances alone.

The same order comes out each time: what is tried is counted, never timed, and what is drawn is drawn from a fixed seed.
Sources: 2-opt (G. A. Croes, 1958), moved parts (I. Or, 1976), repeated from a disturbed order that may be a
little longer at first (G. Dueck and T. Scheuer, 1990); from memory.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from random import Random

NEAR = 9  # neighbors looked at
PIECE = 3  # lights moved together, at most
STRETCH = 30  # how long a swapped part may be
LOOSE = 80  # at first an order is kept up to an 80th over the best; less and less so, up to none


def improved(
    between: Sequence[Sequence[int]], from_start: Sequence[int], order: Sequence[int], least: int, tries: int
) -> tuple[tuple[int, ...], int]:
    """The order made shorter, and its length. Stops early when it is as short as `least`, which nothing is below."""
    path = _Path(between, from_start, order)
    path.settle(range(len(between)))
    best, length = path.order[:], path.length
    draw = Random(1)
    for tried in range(tries if len(order) > PIECE + 1 else 0):
        if length <= least:
            break
        kept = path.order[:], path.place[:], path.length
        path.settle(path.disturb(draw))
        if path.length < length:
            best, length = path.order[:], path.length
        elif path.length > max(kept[2], length + length * (tries - tried) // (tries * LOOSE)):
            path.order, path.place, path.length = kept
    return tuple(best[1:-1]), length


class _Path:
    """Start, the points in order, and an end that is no distance from anything: the path may end anywhere."""

    def __init__(self, between: Sequence[Sequence[int]], from_start: Sequence[int], order: Sequence[int]) -> None:
        count = len(between)
        self.start, self.end = count, count + 1
        self.d = [[*row, away, 0] for row, away in zip(between, from_start, strict=True)]
        self.d += [[*from_start, 0, 0], [0] * (count + 2)]
        self.order = [self.start, *order, self.end]
        self.place = [0] * (count + 2)
        for at, point in enumerate(self.order):
            self.place[point] = at
        self.length = sum(self.d[a][b] for a, b in zip(self.order, self.order[1:], strict=False))
        self.near = [
            [self.end, *sorted((j for j in range(count) if j != i), key=lambda j: (self.d[i][j], j))[:NEAR]]
            for i in range(count)
        ]

    def settle(self, points: Iterable[int]) -> None:
        """Shorten around these points until nothing near them can be shortened."""
        waiting = deque(points)
        queued = set(waiting)
        while waiting:
            point = waiting.popleft()
            queued.discard(point)
            while touched := self.reverse_at(point) or self.move_at(point):
                for each in touched:
                    if each < self.start and each not in queued:
                        waiting.append(each)
                        queued.add(each)

    def reverse_at(self, a: int) -> tuple[int, ...]:
        """One reversal that joins a with a near point and shortens the path; what it touched, or nothing."""
        order, place, d = self.order, self.place, self.d
        i = place[a]
        before, after = order[i - 1], order[i + 1]
        for c in self.near[a]:
            j, step = place[c], d[a][c]
            c_before = order[j - 1]
            gain = d[before][a] + d[c_before][c] - step - d[before][c_before]
            if gain > 0:
                self._reverse(min(i, j), max(i, j) - 1, gain)
                return a, c, before, c_before
            if c != self.end:
                c_after = order[j + 1]
                gain = d[a][after] + d[c][c_after] - step - d[after][c_after]
                if gain > 0:
                    self._reverse(min(i, j) + 1, max(i, j), gain)
                    return a, c, after, c_after
        return ()

    def move_at(self, a: int) -> tuple[int, ...]:
        """Move up to PIECE points that begin or end with a to beside a point near a; what it touched, or nothing."""
        order, place, d = self.order, self.place, self.d
        i = place[a]
        for size in range(1, PIECE + 1):
            for low, high in ((i, i + size - 1), (i - size + 1, i)):
                if low < 1 or high >= len(order) - 1:
                    continue
                left, right = order[low - 1], order[high + 1]
                other = order[high] if i == low else order[low]
                freed = d[left][order[low]] + d[order[high]][right] - d[left][right]
                if freed <= 0:
                    continue
                for c in self.near[a]:
                    j = place[c]
                    if low <= j <= high:
                        continue
                    # a beside c, the piece's other end beside c's neighbor on that side
                    for at in (j - 1, j):  # between order[at] and order[at + 1]
                        if at + 1 >= len(order) or at == low - 1 or at == high:
                            continue
                        beyond = order[at] if at == j - 1 else order[at + 1]
                        gain = freed - d[a][c] - d[other][beyond] + d[c][beyond]
                        if gain > 0:
                            a_first = at == j  # c, a, ..., other, beyond
                            self._move(low, high, at, a_first, a, gain)
                            return a, other, c, beyond, left, right
        return ()

    def disturb(self, draw: Random) -> tuple[int, ...]:
        """Swap two parts that follow each other; what it touched."""
        order, last = self.order, len(self.order) - 1
        first = draw.randint(1, last - 2)
        second = draw.randint(first + 1, min(last - 1, first + STRETCH))
        third = draw.randint(second + 1, min(last, second + STRETCH))
        joints = (first - 1, first, second - 1, second, third - 1, third)
        touched = tuple(dict.fromkeys(order[at] for at in joints if order[at] < self.start))
        d = self.d
        a, b, c, e = order[first - 1], order[first], order[second - 1], order[second]
        f, g = order[third - 1], order[third]
        self.length += d[a][e] + d[f][b] + d[c][g] - d[a][b] - d[c][e] - d[f][g]
        order[first:third] = order[second:third] + order[first:second]
        self._number(first, third - 1)
        return touched

    def _reverse(self, low: int, high: int, gain: int) -> None:
        self.order[low : high + 1] = self.order[low : high + 1][::-1]
        self._number(low, high)
        self.length -= gain

    def _move(self, low: int, high: int, at: int, a_first: bool, a: int, gain: int) -> None:
        piece = self.order[low : high + 1]
        if (piece[0] == a) is not a_first:
            piece.reverse()
        if at > high:
            self.order[low : at + 1] = self.order[high + 1 : at + 1] + piece
            self._number(low, at)
        else:
            self.order[at + 1 : high + 1] = piece + self.order[at + 1 : low]
            self._number(at + 1, high)
        self.length -= gain

    def _number(self, low: int, high: int) -> None:
        for at in range(low, high + 1):
            self.place[self.order[at]] = at
