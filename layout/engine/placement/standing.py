"""What obstructions cost on one axis once the other one's lines stand, or are held to boxes. Knows no search."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from layout.engine.placement.costs import Array, away, mirrored, obstruct, obstruction_at
from layout.engine.placement.problem import QUARTERS, Hole, Obstruction, Problem


@dataclass(frozen=True, slots=True)
class Band:
    """The places, in quarter ticks, among which a line or a speaker stands on an axis."""

    low: int
    high: int

    def farthest(self, low: int, high: int) -> int:
        """The farthest it can be off low..high. How far off is convex in the place, so that is at an end."""
        return max(away(low, high, self.low), away(low, high, self.high))


def along_costs(problem: Problem, rows: Iterable[Band]) -> tuple[Array, Array | None, int]:
    """What lights and speakers meet along rows that stand in these bands, at least: by tick before the middle, each
    with its mirror, and on the center line."""
    bands = list(rows)
    kinds = [hole for hole, _ in problem.holes]
    arrays = [np.zeros(problem.length + 1, np.int64) for _ in kinds]
    fixed, middles = 0, _middles(problem)
    for each in problem.obstructions:
        for hole, costs, middle in zip(kinds, arrays, middles, strict=False):
            needed = each.needs(hole)
            for off in _off(bands, each.y0, each.y1, needed):
                obstruct(costs, each.x0, each.x1, needed, off, 1)
                if middle:
                    fixed += obstruction_at(needed, away(each.x0, each.x1, 2 * problem.length), off)
    return mirrored(arrays[0]), mirrored(arrays[1]) if len(arrays) > 1 else None, fixed


def _off(bands: list[Band], low: int, high: int, needed: int) -> Iterable[int]:
    return (off for band in bands if (off := band.farthest(low, high)) < needed)


def _middles(problem: Problem) -> tuple[bool, bool]:
    """Whether a light, and whether a speaker, stands on the center line of each row."""
    speaker = problem.cols % 2 == 0 and problem.cols // 2 in problem.speaker_gaps
    return problem.cols % 2 == 1, speaker


def across_costs(problem: Problem, holes: Iterable[tuple[Hole, int]]) -> tuple[Array, int]:
    """What a row meets whose holes stand at these places along it: by tick before the middle, each with its mirror,
    and on the center line."""
    costs = np.zeros(problem.width + 1, np.int64)
    fixed = 0
    for hole, x in holes:
        for each in problem.obstructions:
            needed, off = each.needs(hole), away(each.x0, each.x1, x)
            if off < needed:
                obstruct(costs, each.y0, each.y1, needed, off, 1)
                if problem.rows % 2:
                    fixed += obstruction_at(needed, off, away(each.y0, each.y1, 2 * problem.width))
    return mirrored(costs), fixed


def row_bands(width: int, rows: int, boxes: Iterable[range]) -> list[Band]:
    """The rows of a room whose free rows stand in these boxes of ticks."""
    near = [Band(QUARTERS * box[0], QUARTERS * box[-1]) for box in boxes]
    ends = QUARTERS * width
    far = [Band(ends - band.high, ends - band.low) for band in near]
    return near + far + ([Band(2 * width, 2 * width)] if rows % 2 else [])


def meets(obstructions: Iterable[Obstruction], holes: Iterable[tuple[Hole, int]], band: Band) -> int:
    """What the holes at these places along a row meet, at least, when the row stands in the band."""
    return sum(
        obstruction_at(each.needs(hole), away(each.x0, each.x1, x), band.farthest(each.y0, each.y1))
        for hole, x in holes
        for each in obstructions
    )
