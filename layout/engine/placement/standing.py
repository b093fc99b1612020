"""What obstructions cost along the rows when each row stands somewhere within a band. Knows no search."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from layout.engine.placement.costs import Array, away, mirrored, obstruct, obstruct_all, obstruction_at
from layout.engine.placement.problem import QUARTERS, Hole, Problem

_FEW = 8  # obstructions: so few are added one by one
_REMEMBERED = 1 << 24  # ticks in all the rows remembered


@dataclass(frozen=True, slots=True)
class Band:
    """The places across the rows, in quarter ticks, among which a row stands."""

    low: int
    high: int


def row_bands(width: int, rows: int, boxes: Iterable[range]) -> list[Band]:
    """The rows of a room whose free rows stand in these boxes of ticks: those, their mirrors, a middle one."""
    near = [Band(QUARTERS * box[0], QUARTERS * box[-1]) for box in boxes]
    ends = QUARTERS * width
    far = [Band(ends - band.high, ends - band.low) for band in near]
    return near + far + ([Band(2 * width, 2 * width)] if rows % 2 else [])


class Standing:
    """The obstructions of a room. Costs are the least any row within its band could meet."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.kinds = [hole for hole, _ in problem.holes]
        self._lows = np.array([each.y0 for each in problem.obstructions], np.int64)
        self._highs = np.array([each.y1 for each in problem.obstructions], np.int64)
        self._needs = [np.array([each.needs(hole) for each in problem.obstructions], np.int64) for hole in self.kinds]
        self._known: dict[tuple[int, int, int], tuple[Array | None, int]] = {}

    def _near(self, kind: int, band: Band) -> list[tuple[int, int, int, int]]:
        """The obstructions a row of the band can't keep clear of: span along the rows, what a hole needs, and the
        farthest off across them. How far off is convex in the place, so the farthest is at an end of the band."""
        off = np.maximum(
            np.maximum(self._lows - band.low, band.low - self._highs),
            np.maximum(self._lows - band.high, band.high - self._highs),
        )
        off, needs = np.maximum(off, 0), self._needs[kind]
        every = self.problem.obstructions
        return [(every[n].x0, every[n].x1, int(needs[n]), int(off[n])) for n in np.flatnonzero(off < needs).tolist()]

    def along(self, bands: Iterable[Band]) -> tuple[Array, Array | None, int]:
        """What lights, and speakers, meet: by tick before the middle, each with its mirror; and on the center line."""
        ticks = (self.problem.length + 1) // 2
        arrays, fixed = [np.zeros(ticks, np.int64) for _ in self.kinds], 0
        for band in bands:
            for kind, costs in enumerate(arrays):
                met, at_middle = self._met(kind, band)
                fixed += at_middle
                if met is not None:
                    costs += met
        return arrays[0], arrays[1] if len(arrays) > 1 else None, fixed

    def _met(self, kind: int, band: Band) -> tuple[Array | None, int]:
        """What one row's lights, or speakers, meet; None where nothing is near."""
        key = (kind, band.low, band.high)
        if key not in self._known:
            if len(self._known) * self.problem.length > _REMEMBERED:
                self._known.clear()
            self._known[key] = self._find_met(kind, band)
        return self._known[key]

    def _find_met(self, kind: int, band: Band) -> tuple[Array | None, int]:
        problem, fixed = self.problem, 0
        near = self._near(kind, band)
        if not near:
            return None, 0
        if (problem.cols % 2 == 1, problem.cols % 2 == 0 and problem.cols // 2 in problem.speaker_gaps)[kind]:
            middle = 2 * problem.length
            fixed = sum(obstruction_at(needed, away(low, high, middle), off) for low, high, needed, off in near)
        costs = np.zeros(problem.length + 1, np.int64)
        if len(near) <= _FEW:
            for low, high, needed, off in near:
                obstruct(costs, low, high, needed, off)
        else:
            obstruct_all(costs, np.array(near, np.int64))
        return mirrored(costs), fixed

    def meets(self, holes: Iterable[tuple[Hole, int]], band: Band) -> int:
        """What the holes at these places along a row meet."""
        near = {hole: self._near(kind, band) for kind, hole in enumerate(self.kinds)}
        met = ((x, each) for hole, x in holes for each in near[hole])
        return sum(obstruction_at(needed, away(low, high, x), off) for x, (low, high, needed, off) in met)
