"""What no order of points can be shorter than, and a proof of the shortest where that is within reach.

Knows distances alone. A path through the points is a tree over them plus the step from the start, so the least such
tree is a bound; charging each point a price for being branched at raises it.
Source: M. Held and R. M. Karp, The Traveling-Salesman Problem and Minimum Spanning Trees, Operations Research 18
(1970), from memory; here for a path with one fixed and one free end.
"""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

FINE = 1 << 10  # prices are whole 1/1024 of a distance unit, so that every bound is exact
Whole = NDArray[np.int64]


def least_tree_bound(between: Sequence[Sequence[int]], from_start: Sequence[int]) -> int:
    """The least tree over the points and the least step from the start. No path is shorter."""
    if not between:
        return 0
    reach = list(between[0])
    joined, total = {0}, min(from_start)
    for _ in range(len(between) - 1):
        nearest = min((j for j in range(len(between)) if j not in joined), key=reach.__getitem__)
        total += reach[nearest]
        joined.add(nearest)
        reach = [min(pair) for pair in zip(reach, between[nearest], strict=True)]
    return total


class Prices:
    """Distances with a price on each point. price is in units of 1 / FINE."""

    def __init__(self, between: Sequence[Sequence[int]], from_start: Sequence[int], price: Whole) -> None:
        self.count = len(between)
        self.plain = np.array(between, dtype=np.int64) * FINE
        self.first = np.array(from_start, dtype=np.int64) * FINE
        self.price = price
        self.priced = self.plain + price[:, None] + price[None, :]

    def root(self) -> int:
        """The bound for all points from the start."""
        return self.rest(self.first, np.arange(self.count))

    def rest(self, steps: Whole, points: Whole) -> int:
        """The least that a path through these points can take, steps being the way to each point from where one is."""
        if len(points) == 1:
            return int(steps[points[0]])
        tree = int(_prim(self.priced[np.ix_(points, points)])[0])
        return tree + self.ends(steps, points) - 2 * int(self.price[points].sum())

    def ends(self, steps: Whole, points: Whole) -> int:
        """The first point costs its step and its price, the last one its price; two or more points: not the same."""
        first, last = steps[points] + self.price[points], self.price[points]
        low_first, low_last = np.argsort(first, kind="stable")[:2], np.argsort(last, kind="stable")[:2]
        return min(int(first[i]) + int(last[j]) for i in low_first for j in low_last if i != j)


def priced(between: Sequence[Sequence[int]], from_start: Sequence[int], most: int, rounds: int) -> tuple[int, Prices]:
    """A good bound and the prices that give it. most: the length of a known path, where the search can stop."""
    count = len(between)
    d, first = np.array(between, dtype=np.float64), np.array(from_start, dtype=np.float64)
    price, best_price = np.zeros(count), np.zeros(count)
    best, reach, since = -np.inf, 2.0, 0
    before = np.zeros(count)
    for _ in range(rounds):
        length, parent = _prim(d + price[:, None] + price[None, :])
        start, end = _two_ends(first + price, price)
        bound = length + first[start] + price[start] + price[end] - 2 * price.sum()
        branched = np.bincount(parent[parent >= 0], minlength=count) + (parent >= 0).astype(np.int64) - 2
        branched[start] += 1
        branched[end] += 1
        if bound > best + 1e-9 * max(1, most):
            best, best_price, since = bound, price.copy(), 0
        else:
            since += 1
        if not branched.any() or best > most - 1 + 1e-6:
            break
        if since >= 6 + count // 20:
            reach, since = reach / 2, 0
            price = best_price.copy()
        step = 0.7 * branched + 0.3 * before
        before = step
        price = price + reach * (1.02 * most - bound) / max(float(branched @ branched), 1.0) * step
    whole = Prices(between, from_start, np.rint(best_price * FINE).astype(np.int64))
    return _up(whole.root()), whole


def proven(
    prices: Prices, between: Sequence[Sequence[int]], most: int, trees: int
) -> tuple[int, tuple[int, ...] | None]:
    """Look at the shortest beginnings first until nothing shorter than `most` is left, or too many trees were made.

    Returns: a bound, and the order when one shorter than `most` is found (then it is the shortest).
    """
    count, every = prices.count, (1 << prices.count) - 1
    made: dict[int, tuple[int, Whole]] = {}
    goal = most * FINE
    heap: list[tuple[int, int, int, int, tuple[int, ...]]] = []
    seen: dict[tuple[int, int], int] = {}

    def look(so_far: int, steps: Whole, left: int, order: tuple[int, ...]) -> None:
        for j in range(count):
            if not (left >> j) & 1:
                continue
            length, after = so_far + int(steps[j]), left ^ (1 << j)
            if seen.get((after, j), length + 1) <= length:
                continue
            bound = length + rest(after, j)
            if bound <= goal - FINE:  # a path is a whole number of units: only one unit less is shorter
                seen[(after, j)] = length
                heappush(heap, (bound, after.bit_count(), j, length, (*order, j)))

    def rest(left: int, here: int) -> int:
        if not left:
            return 0
        if left not in made:
            points = np.array([j for j in range(count) if (left >> j) & 1], dtype=np.int64)
            tree = 0
            if len(points) > 1:
                tree = int(_prim(prices.priced[np.ix_(points, points)])[0]) - 2 * int(prices.price[points].sum())
            made[left] = tree, points
        tree, points = made[left]
        if len(points) == 1:
            return int(prices.plain[here, points[0]])
        return tree + prices.ends(prices.plain[here], points)

    look(0, prices.first, every, ())
    while heap:
        bound, _, here, length, order = heappop(heap)
        if len(made) > trees:
            return min(most, _up(bound)), None
        left = every
        for j in order:
            left ^= 1 << j
        if not left:
            return _up(length), order
        if seen[(left, here)] == length:
            look(length, prices.plain[here], left, order)
    return most, None


def _up(fine: int) -> int:
    return -(-fine // FINE)


def _two_ends(first: NDArray[np.float64], last: NDArray[np.float64]) -> tuple[int, int]:
    starts, ends = np.argsort(first, kind="stable")[:2], np.argsort(last, kind="stable")[:2]
    pairs = [(first[i] + last[j], int(i), int(j)) for i in starts for j in ends if i != j or len(first) == 1]
    _, start, end = min(pairs)
    return start, end


def _prim(d: NDArray[np.float64] | Whole) -> tuple[float | int, Whole]:
    """The least tree over all points: its length and each point's parent, -1 for the first."""
    count = len(d)
    parent = np.zeros(count, dtype=np.int64)
    parent[0] = -1
    if count == 1:
        return 0, parent
    far = np.iinfo(np.int64).max // 4 if d.dtype.kind == "i" else np.inf
    reach = d[0].copy()
    open_reach = reach.copy()
    open_reach[0] = far
    total: float | int = 0
    for _ in range(count - 1):
        j = int(open_reach.argmin())
        total += open_reach[j].item()
        row = d[j]
        nearer = (row < open_reach) & (open_reach < far)
        open_reach[j] = far
        nearer[j] = False
        np.copyto(open_reach, row, where=nearer)
        parent[nearer] = j
    return total, parent
