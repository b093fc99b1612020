"""Stretches of one coordinate as pairs of whole numbers: what is left free, in any of several sets, in both of two.

Blocked stretches are open, free ones closed: touching is allowed, so two blocked stretches that touch leave one point.
"""

from __future__ import annotations

from collections.abc import Iterable

Stretches = list[tuple[int, int]]


def free_of(blocked: Iterable[tuple[int, int]], size: int) -> Stretches:
    """What open stretches leave of 0 to size."""
    free: Stretches = []
    clear_from = 0
    for low, high in sorted(blocked):
        if low > size:
            break
        if low >= clear_from:
            free.append((clear_from, low))
        clear_from = max(clear_from, high)
    if clear_from <= size:
        free.append((clear_from, size))
    return free


def in_any(sets: Iterable[Stretches]) -> Stretches:
    joined: Stretches = []
    for low, high in sorted(one for each in sets for one in each):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return joined


def in_both(first: Stretches, second: Stretches) -> Stretches:
    common: Stretches = []
    i = j = 0
    while i < len(first) and j < len(second):
        low, high = max(first[i][0], second[j][0]), min(first[i][1], second[j][1])
        if low <= high:
            common.append((low, high))
        if first[i][1] < second[j][1]:
            i += 1
        else:
            j += 1
    return common
