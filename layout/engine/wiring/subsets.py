"""The shortest order for few points, by the shortest way through every subset of them. Knows distances alone.

Source: M. Held and R. M. Karp, A Dynamic Programming Approach to Sequencing Problems, J. SIAM 10 (1962), from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

MOST = 16  # 2^16 subsets x 16 ends: a tenth of a second


def by_subsets(between: Sequence[Sequence[int]], from_start: Sequence[int]) -> tuple[tuple[int, ...], int]:
    """The order and its length. Of equally short orders the first one, read as a list of indexes.

    Args: between: distances, n x n. from_start: to each point from where the path begins. n from 1 to MOST.
    """
    count = len(between)
    if count > MOST:
        raise ValueError(f"by_subsets takes {MOST} points at most, not {count}.")
    longest = count * max(max(map(max, between)), *from_start, 1)
    kind = np.int64 if longest < 2**60 else object
    far = 2 * longest
    distance = np.array(between, dtype=kind)
    # rest[s, j]: the shortest way from j through all of s, which holds j
    rest = np.full((1 << count, count), far, dtype=kind)
    for j in range(count):
        rest[1 << j, j] = 0
    for sets in _by_size(count)[2:]:
        for j in range(count):
            here = sets[(sets >> j) & 1 == 1]
            rest[here, j] = (rest[here ^ (1 << j)] + distance[j]).min(axis=1)
    every = (1 << count) - 1
    ways = [from_start[j] + int(rest[every, j]) for j in range(count)]
    return _first_order(between, rest, ways), min(ways)


def _first_order(between: Sequence[Sequence[int]], rest: NDArray[np.int64], ways: list[int]) -> tuple[int, ...]:
    here = ways.index(min(ways))
    order, left = [here], (len(ways) and (1 << len(ways)) - 1) ^ (1 << here)
    while left:
        need = int(rest[left | (1 << here), here])
        here = next(j for j in range(len(ways)) if (left >> j) & 1 and between[here][j] + int(rest[left, j]) == need)
        order.append(here)
        left ^= 1 << here
    return tuple(order)


@cache
def _by_size(count: int) -> tuple[NDArray[np.int64], ...]:
    """Every subset as bits, by how many points it has."""
    sets = np.arange(1 << count, dtype=np.int64)
    size = np.zeros(1 << count, dtype=np.int64)
    for bit in range(count):
        size += (sets >> bit) & 1
    return tuple(sets[size == each] for each in range(count + 1))
