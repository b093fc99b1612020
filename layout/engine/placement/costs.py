"""What a hole at each tick of one axis costs, and which marks read easily on a tape. Knows nothing of searching.

A cost is one whole number: broken rules in the high part, total excess in ticks in the low part, so that adding and
comparing costs adds and compares (rules broken, excess) in that order. Costs stand in arrays of 64-bit whole numbers,
one for each tick; problem.py refuses what would not fit. Nothing here is ever a floating-point number.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from math import isqrt

import numpy as np
import numpy.typing as npt

from layout.engine.lengths import Unit
from layout.engine.placement.problem import EXCESS_BITS, QUARTERS, Joists

Array = npt.NDArray[np.int64]

BROKEN = 1 << EXCESS_BITS  # one broken rule
NEVER = 1 << 61  # outside the caps: such a layout doesn't exist. Two of them and a cost still fit


def up(value: int | Fraction, step: int) -> int:
    """value / step, rounded up."""
    return -(-value // step)


def shortfall(needed: int | Fraction, there: int | Fraction) -> int:
    """The cost of one subject that has `there` quarter ticks and needs `needed`; touching is allowed."""
    return BROKEN + up(needed - there, QUARTERS) if there < needed else 0


def shortfalls(needed: int, there: Array) -> Array:
    """`shortfall` for each of many distances."""
    short = needed - there
    return np.where(short > 0, BROKEN - (-short // QUARTERS), 0)


def mark_cost(unit: Unit, tick: int) -> int:
    """How hard a mark is to read on a tape: inches 0, halves 1 ... sixteenths 4; 50 mm 0, 10 mm 1, 5 mm 2, 1 mm 3."""
    steps = (16, 8, 4, 2) if unit is Unit.INCH else (50, 10, 5)
    return next((cost for cost, step in enumerate(steps) if tick % step == 0), len(steps))


@lru_cache(maxsize=8)
def mark_costs(unit: Unit, ticks: int) -> Array:
    """`mark_cost` of each tick from 0 on."""
    steps = (16, 8, 4, 2) if unit is Unit.INCH else (50, 10, 5)
    costs = np.full(ticks, len(steps), np.int64)
    for cost, step in reversed(list(enumerate(steps))):
        costs[::step] = cost
    return costs


def mirrored(costs: Array) -> Array:
    """From the costs of all ticks 0..length: each tick before the middle together with its mirror."""
    half = len(costs) // 2  # length + 1 ticks: those below length / 2
    return costs[:half] + costs[: len(costs) - half - 1 : -1]


# What stands against one axis alone. `length` in ticks; the middle may stand on half a tick, so it is asked for apart.


def edges(needed: int, length: int) -> Array:
    """Both net edges, for ticks 0..length."""
    there = QUARTERS * np.arange(length + 1, dtype=np.int64)
    return shortfalls(needed, there) + shortfalls(needed, QUARTERS * length - there)


def edges_at(needed: int, length: int, at: int) -> int:
    return shortfall(needed, at) + shortfall(needed, QUARTERS * length - at)


def joists(entry: Joists, needed: int, length: int) -> Array:
    """One entry of joists, for ticks 0..length; needed from center to center.

    Each is short of the lesser of what the two sides ask, and rounding up keeps which is the lesser.
    """
    costs = np.zeros(length + 1, np.int64)
    for _, center in entry_near(entry, 0, QUARTERS * length, needed):
        left, right = (center - needed) // QUARTERS, up(center + needed, QUARTERS)
        begin, end = max(0, left + 1), min(length + 1, right)
        ticks = np.arange(begin, end, dtype=np.int64)
        costs[begin:end] += BROKEN + np.minimum(right - ticks, ticks - left)
    return costs


def joists_at(entry: Joists, needed: int, at: int) -> int:
    return sum(shortfall(needed, abs(at - center)) for _, center in entry_near(entry, at, at, needed))


def entry_near(entry: Joists, low: int, high: int, reach: int) -> Iterable[tuple[int, Fraction]]:
    """The joists nearer than `reach` to some place in low..high: number (0 is the one stated) and center."""
    first = (low - reach - entry.first) // entry.spacing + 1
    last = -((entry.first - high - reach) // entry.spacing) - 1
    return ((number, entry.first + number * entry.spacing) for number in range(first, last + 1))


def off_tile(pitch: int, line: int, length: int) -> Array:
    """How far ticks 0..length stand off a tile's center, as costs."""
    past = (QUARTERS * np.arange(length + 1, dtype=np.int64) - line - pitch // 2) % pitch
    return shortfalls(0, -np.minimum(past, pitch - past))


def off_tile_at(pitch: int, line: int, at: int) -> int:
    past = (at - line - pitch // 2) % pitch
    return shortfall(0, -min(past, pitch - past))


# What stands against both axes: obstructions


def away(low: int, high: int, at: int) -> int:
    """How far `at` stands outside low..high."""
    return max(low - at, 0, at - high)


def obstruction_at(needed: int, off_x: int, off_y: int) -> int:
    """The cost of a hole that stands so far off a rectangle on each axis. The distance is an irrational number; what is
    left of it after its whole quarter ticks never changes the excess in whole ticks."""
    return shortfall(needed, isqrt(off_x * off_x + off_y * off_y))


@lru_cache(maxsize=512)
def _squares(needed: int) -> Array:
    """The squared distances below which one more tick is short, least first."""
    return np.array([step * step for step in range(needed, 0, -QUARTERS)][::-1], np.int64)


def obstruct(costs: Array, low: int, high: int, needed: int, off_other: int) -> None:
    """Add an obstruction that spans low..high on this axis and stands `off_other` off on the other one.

    costs: of ticks 0, 1, 2 ... on this axis.
    """
    begin, end = max(0, up(low - needed, QUARTERS)), min(len(costs), (high + needed) // QUARTERS + 1)
    if begin >= end:
        return
    at = QUARTERS * np.arange(begin, end, dtype=np.int64)
    off = np.maximum(np.maximum(low - at, at - high), 0)
    steps = _squares(needed)
    short = len(steps) - np.searchsorted(steps, off * off + off_other * off_other, side="right")
    costs[begin:end] += short + np.where(short > 0, BROKEN, 0)


def obstruct_all(costs: Array, things: Array) -> None:
    """`obstruct` for many at once. things: a row for each, of low, high, needed and off_other."""
    low, high, needed, off_other = things.T
    begin = np.maximum(0, -((needed - low) // QUARTERS))
    number = np.maximum(0, np.minimum(len(costs), (high + needed) // QUARTERS + 1) - begin)
    which = np.repeat(np.arange(len(things)), number)
    at = np.arange(len(which), dtype=np.int64) - np.repeat(np.cumsum(number) - number, number) + begin[which]
    off = np.maximum(np.maximum(low[which] - QUARTERS * at, QUARTERS * at - high[which]), 0)
    squared = off * off + off_other[which] ** 2
    short = np.zeros(len(which), np.int64)
    for each in np.unique(needed).tolist():
        steps, some = _squares(each), np.flatnonzero(needed[which] == each)
        short[some] = len(steps) - np.searchsorted(steps, squared[some], side="right")
    np.add.at(costs, at, short + np.where(short > 0, BROKEN, 0))
