"""The shortest order through points, whatever their distances: proven where it can be, with a bound where it can't.

Knows a table of distances alone, so that a way around a duct counts as what it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import gcd

from layout.engine.wiring.bounds import FINE, least_tree_bound, priced, proven
from layout.engine.wiring.improve import improved
from layout.engine.wiring.subsets import MOST, by_subsets

WIDE = 12  # by subsets where numbers are too long for 64 bits
PROVED_UP_TO = 45  # points; above, the search for a proof ends too rarely
TREES = 1500  # made for a proof, at most
FIRST_TRIES, TRIES, LEAST_TRIES, MOST_TRIES = 50, 12, 100, 1500
FITS = 1 << 61

Table = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Order:
    """order: indexes of the points. least: no path is shorter than this. exact: no path is shorter than this one."""

    order: tuple[int, ...]
    length: int
    least: int

    @property
    def exact(self) -> bool:
        return self.length == self.least


def shortest(
    between: Sequence[Sequence[int]], from_start: Sequence[int] | None = None, tried_first: Iterable[Sequence[int]] = ()
) -> Order:
    """The shortest path from the start through every point, ending anywhere.

    Proven for 16 points always (12 where distances exceed 18 digits) and wherever a bound meets it; else the best
    found, within `length / least`. The same table gives the same order. Of equally short orders: the first in
    `tried_first`, then the points as they come, then the first as a list of indexes; past 16 points the first found.

    Args: between: distances, the same both ways. from_start: None: begins at any point.
    """
    count = len(between)
    if not count:
        return Order((), 0, 0)
    steps = tuple(from_start) if from_start is not None else (0,) * count
    unit = gcd(*(each for row in between for each in row), *steps) or 1
    table = tuple(tuple(each // unit for each in row) for row in between)
    found = solved(table, tuple(each // unit for each in steps), tuple(map(tuple, tried_first)))
    return Order(found.order, found.length * unit, found.least * unit)


def length_of(order: Sequence[int], between: Sequence[Sequence[int]], from_start: Sequence[int] | None = None) -> int:
    """How long the path through the points in this order is."""
    first = from_start[order[0]] if from_start is not None and order else 0
    return first + sum(between[a][b] for a, b in pairwise(order))


@lru_cache(maxsize=512)
def solved(between: Table, steps: tuple[int, ...], tried_first: tuple[tuple[int, ...], ...]) -> Order:
    """`shortest` over a table in its smallest whole numbers: rooms of one kind are worked out once."""
    count = len(between)
    known = [*tried_first, tuple(range(count)), nearest_first(between, steps)]
    best = min(known, key=lambda order: length_of(order, between, steps))
    length, least = length_of(best, between, steps), least_tree_bound(between, steps)
    if length == least:
        return Order(best, length, least)
    long = (count + 1) * max(max(map(max, between)), *steps) * FINE
    if count <= (MOST if long < FITS else WIDE):
        found, shorter = by_subsets(between, steps)
        return Order(best if shorter == length else found, shorter, shorter)
    return _improved(between, steps, [best, *dict.fromkeys(known)], least, long)


def _improved(between: Table, steps: tuple[int, ...], known: list[tuple[int, ...]], least: int, long: int) -> Order:
    count = len(between)
    tries = min(MOST_TRIES, max(LEAST_TRIES, TRIES * count))
    best, length = known[0], length_of(known[0], between, steps)
    for order in dict.fromkeys(known):
        found, shorter = improved(between, steps, order, least, FIRST_TRIES)
        if shorter < length:
            best, length = found, shorter
        if length == least:
            return Order(best, length, least)
    coarse = -(-long // FITS)  # distances rounded down to multiples of this fit; a bound on them is a bound
    rounds = min(400, 60 + 4 * count)
    floored = [[each // coarse for each in row] for row in between]
    bound, prices = priced(floored, [each // coarse for each in steps], length // coarse, rounds)
    least = min(length, max(least, bound * coarse))
    if length > least:
        best, length = improved(between, steps, best, least, tries)
    if length > least and count <= PROVED_UP_TO and coarse == 1:
        proof, shortest_order = proven(prices, between, length, TREES)
        least = max(least, proof)
        if shortest_order is not None:
            best, length = shortest_order, length_of(shortest_order, between, steps)
    return Order(best, length, least)


def nearest_first(between: Sequence[Sequence[int]], steps: Sequence[int]) -> tuple[int, ...]:
    """To the nearest point, then to the nearest one left."""
    left = list(range(len(between)))
    here, order = steps, []
    while left:
        nearest = min(left, key=here.__getitem__)
        left.remove(nearest)
        order.append(nearest)
        here = between[nearest]
    return tuple(order)
