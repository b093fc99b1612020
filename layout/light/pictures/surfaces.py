"""Computed levels on a surface as a field that reaches its edges, and the lines and regions of equal level in it.

A grid's points are at the middles of its cells, so its outermost half cell is carried on straight from the two points
before it; cells off the surface take their nearest neighbors' level and are cut off when drawn. Coordinates are
meters along u and v from the grid's origin. Lines come from marching quadrilaterals (contourpy, BSD).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

import numpy as np
import numpy.typing as npt
from contourpy import FillType, LineType, ZInterp, contour_generator

from layout.engine.light.values import Floats, Grid

Line = npt.NDArray[np.float64]  # (k, 2): u and v, meters


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Levels at the crossings of rising u and v, whole to the surface's edges, without holes. Lux."""

    u: Floats  # (columns + 2,)
    v: Floats  # (rows + 2,)
    lux: Floats  # (rows + 2, columns + 2)

    def at(self, u: float, v: float) -> float:
        """Between the crossings, straight along both."""
        column = int(np.clip(np.searchsorted(self.u, u) - 1, 0, len(self.u) - 2))
        row = int(np.clip(np.searchsorted(self.v, v) - 1, 0, len(self.v) - 2))
        across = (u - self.u[column]) / (self.u[column + 1] - self.u[column])
        up = (v - self.v[row]) / (self.v[row + 1] - self.v[row])
        low, high = (
            self.lux[each, column] * (1 - across) + self.lux[each, column + 1] * across for each in (row, row + 1)
        )
        return float(low * (1 - up) + high * up)


def field_of(grid: Grid, values: Floats) -> Field:
    """values: (n,) lux at the grid's points."""
    inner = _filled(grid.table(np.asarray(values, dtype=float)))
    wide, high = steps_of(grid)
    lux = np.pad(inner, 1, mode="edge")
    lux[0, :] += _half_step(lux[1, :], lux[2, :], grid.rows)
    lux[-1, :] += _half_step(lux[-2, :], lux[-3, :], grid.rows)
    lux[:, 0] += _half_step(lux[:, 1], lux[:, 2], grid.columns)
    lux[:, -1] += _half_step(lux[:, -2], lux[:, -3], grid.columns)
    return Field(_places(grid.columns, wide), _places(grid.rows, high), np.maximum(lux, 0))


def steps_of(grid: Grid) -> tuple[float, float]:
    """How wide and how high a cell is, m."""
    return hypot(*grid.step_u), hypot(*grid.step_v)


def isolines(grid: Grid, values: Floats, levels: Iterable[float]) -> dict[float, list[Line]]:
    """The lines of equal level, lux, on a surface: {level: [(k, 2) meters along u and v]}."""
    return lines_of(field_of(grid, values), levels)


def lines_of(field: Field, levels: Iterable[float]) -> dict[float, list[Line]]:
    drawn = _generator(field)
    return {level: [line for line in drawn.lines(level) if len(line) > 1] for level in levels}


def over(field: Field, levels: Iterable[float]) -> list[tuple[float, list[Line]]]:
    """Where it is brighter than each level: its rings, outer ones and holes alike (even-odd)."""
    drawn, most = _generator(field), float(field.lux.max()) + 1
    found = []
    for level in levels:
        if level >= most:
            continue
        points, offsets = drawn.filled(level, most)
        rings = [
            each[start:end]
            for each, cuts in zip(points, offsets, strict=True)
            for start, end in pairwise(cuts)
        ]
        found.append((level, rings))
    return found


def thinned(line: Line, tolerance: float) -> Line:
    """The line without points nearer than tolerance to the chord of their neighbors kept (Douglas and Peucker 1973)."""
    if len(line) < 3:
        return line
    keep = np.zeros(len(line), dtype=bool)
    keep[[0, -1]] = True
    closed = bool(np.allclose(line[0], line[-1]))
    middle = int(np.argmax(np.hypot(*(line - line[0]).T))) if closed else 0
    spans = [(0, middle), (middle, len(line) - 1)] if closed and 0 < middle < len(line) - 1 else [(0, len(line) - 1)]
    keep[middle] = True
    while spans:
        start, end = spans.pop()
        if end - start < 2:
            continue
        chord = line[end] - line[start]
        long = hypot(*chord)
        away = line[start + 1 : end] - line[start]
        off = np.abs(away[:, 0] * chord[1] - away[:, 1] * chord[0]) / long if long > 1e-12 else np.hypot(*away.T)
        worst = int(np.argmax(off))
        if off[worst] > tolerance:
            keep[start + 1 + worst] = True
            spans += [(start, start + 1 + worst), (start + 1 + worst, end)]
    return line[keep]


def _generator(field: Field):
    return contour_generator(
        field.u, field.v, field.lux, name="serial", line_type=LineType.Separate, fill_type=FillType.OuterOffset,
        z_interp=ZInterp.Linear,
    )  # fmt: skip


def _places(count: int, step: float) -> Floats:
    return np.concatenate([[0.0], (np.arange(count) + 0.5) * step, [count * step]])


def _half_step(edge: Floats, inner: Floats, count: int) -> Floats:
    """From an outermost point on to the edge, half a cell; nothing to go by when there is one point only."""
    return (edge - inner) / 2 if count > 1 else np.zeros_like(edge)


def _filled(table: Floats) -> Floats:
    """NaNs from the mean of their known neighbors, ring after ring outward."""
    if np.isnan(table).all():
        return np.zeros_like(table)
    while np.isnan(table).any():
        padded = np.pad(table, 1, constant_values=np.nan)
        rows, columns = table.shape
        around = np.stack([
            padded[1 + down : 1 + down + rows, 1 + right : 1 + right + columns]
            for down in (-1, 0, 1) for right in (-1, 0, 1) if down or right
        ])  # fmt: skip
        known = ~np.isnan(around)
        counts = known.sum(axis=0)
        means = np.where(known, around, 0).sum(axis=0) / np.maximum(counts, 1)
        table = np.where(np.isnan(table) & (counts > 0), means, table)
    return table
