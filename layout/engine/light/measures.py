"""The figures a designer asks of a solved room: averages, ratios, walls by height, faces, power. Lux and meters.

Averages are by area. Nothing is solved here: everything is read off a room that is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians
from typing import Protocol

import numpy as np
import numpy.typing as npt

from layout.engine.light.values import (
    METERS_IN_A_FOOT,
    SQUARE_FEET_IN_A_SQUARE_METER,
    Dims,
    Floats,
    Grid,
    Known,
    LightError,
    On,
    Scene,
)

BANDS = 4  # of a wall's height
STRIP_M = METERS_IN_A_FOOT  # how wide a strip of wall is looked at, about; common practice, no source
BEARINGS = 72  # around an upright cylinder; even for one bare point 0.06 % off at most
SEATED_M, STANDING_M = 1.2, 1.6  # a face above the floor (EN 12464-1, from memory)


class Lit(Protocol):
    """A solved room as this module reads it; `solve.Solved` is one."""

    @property
    def scene(self) -> Scene: ...
    @property
    def grids(self) -> tuple[Grid, ...]: ...
    def lux(self, name: str, dims: Dims | None = None) -> Floats: ...
    def at(self, points: Floats, normals: Floats, dims: Dims | None = None) -> Floats: ...


@dataclass(frozen=True, slots=True)
class Band:
    """A part of a wall between two heights above the floor, m, over its whole length."""

    low_m: float
    high_m: float
    average_lx: float
    least_lx: float


@dataclass(frozen=True, slots=True)
class WallBands:
    """One wall. bands: low to high."""

    number: int
    name: str
    average_lx: float
    least_lx: float
    most_lx: float
    bands: tuple[Band, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """The darkest strip of wall, about a foot wide and one band high. from_m: from its left, seen from inside."""

    number: int
    wall: str
    from_m: float
    to_m: float
    low_m: float
    high_m: float
    lx: float


@dataclass(frozen=True, slots=True)
class TaskLevel:
    name: str
    average_lx: float
    least_lx: float


@dataclass(frozen=True, slots=True)
class Measures:
    """watts, lumens: installed, undimmed and with no losses. watts None: nobody's watts are known.

    min_over_avg, max_over_min, wall_over_plane: None where the plane is dark. notes: "lobe" when a light stands on a
    lobe instead of a file, "watts" when some light's watts are unknown and left out, "dark" when nothing shines.
    """

    plane_avg_lx: float
    plane_min_lx: float
    plane_max_lx: float
    min_over_avg: float | None
    max_over_min: float | None
    floor_avg_lx: float
    ceiling_avg_lx: float
    walls_avg_lx: float
    wall_over_plane: float | None
    ceiling_over_plane: float | None
    wall_bands: tuple[WallBands, ...]
    worst_strip: Strip
    tasks: tuple[TaskLevel, ...]
    floor_m2: float
    watts: float | None
    w_per_m2: float | None
    w_per_ft2: float | None
    lumens: float
    notes: tuple[str, ...]


def measure(solved: Lit, dims: Dims | None = None) -> Measures:
    """Everything at once, at the dim levels given or else each light's own."""
    plane, floor, ceiling = (_only(solved, on) for on in (On.PLANE, On.FLOOR, On.CEILING))
    lux = {grid.name: solved.lux(grid.name, dims) for grid in solved.grids}
    on_plane = lux[plane.name]
    average, least, most = _mean(on_plane, plane), float(on_plane.min()), float(on_plane.max())
    walls = [grid for grid in solved.grids if grid.on is On.WALL]
    walls_avg = _mean_of([(lux[wall.name], wall) for wall in walls])
    ceiling_avg = _mean(lux[ceiling.name], ceiling)
    lights = solved.scene.lights
    known = [light.watts for light in lights if light.watts is not None]
    area = float(floor.areas.sum())
    watts = sum(known) if known else None
    lit = average > 0
    return Measures(
        plane_avg_lx=average,
        plane_min_lx=least,
        plane_max_lx=most,
        min_over_avg=least / average if lit else None,
        max_over_min=most / least if least > 0 else None,
        floor_avg_lx=_mean(lux[floor.name], floor),
        ceiling_avg_lx=ceiling_avg,
        walls_avg_lx=walls_avg,
        wall_over_plane=walls_avg / average if lit else None,
        ceiling_over_plane=ceiling_avg / average if lit else None,
        wall_bands=tuple(_bands_of(solved, wall, lux[wall.name]) for wall in walls),
        worst_strip=min((_darkest_of(solved, wall, lux[wall.name]) for wall in walls), key=lambda strip: strip.lx),
        tasks=tuple(
            TaskLevel(grid.name, _mean(lux[grid.name], grid), float(lux[grid.name].min()))
            for grid in solved.grids
            if grid.on is On.TASK
        ),
        floor_m2=area,
        watts=watts,
        w_per_m2=watts / area if watts is not None else None,
        w_per_ft2=watts / area / SQUARE_FEET_IN_A_SQUARE_METER if watts is not None else None,
        lumens=sum(light.emitter.flux_lm for light in lights),
        notes=_notes(solved.scene, len(known), lit=lit),
    )


def vertical(solved: Lit, points: Floats, facing_deg: float, dims: Dims | None = None) -> Floats:
    """Lux on an upright surface at each point, (n, 3) m, that looks toward a plan bearing: a face, a board. (n,)"""
    return solved.at(points, np.tile(_upright(np.array([radians(facing_deg)])), (len(points), 1)), dims)


def cylindrical(solved: Lit, points: Floats, dims: Dims | None = None) -> Floats:
    """Lux on a small upright cylinder at each point, (n, 3) m: the mean of `vertical` all round. (n,)"""
    around = _upright(np.linspace(0.0, 2 * np.pi, BEARINGS, endpoint=False))
    lux = solved.at(np.repeat(points, BEARINGS, axis=0), np.tile(around, (len(points), 1)), dims)
    told: Floats = lux.reshape(len(points), BEARINGS).mean(axis=1)
    return told


def _upright(bearings: Floats) -> Floats:
    """The level unit vectors of bearings, radians: (n, 3)."""
    return np.stack([np.cos(bearings), np.sin(bearings), np.zeros_like(bearings)], axis=1)


def wall_name(solved: Lit, number: int) -> str:
    """What people call a wall, or else its grid's name."""
    names = solved.scene.room.wall_names
    return names[number] if names else f"wall {number + 1}"


def _only(solved: Lit, on: On) -> Grid:
    for grid in solved.grids:
        if grid.on is on:
            return grid
    raise LightError(f"grids: this room was solved without its {on}.", "grids")


def _mean(lux: Floats, grid: Grid) -> float:
    return float(np.average(lux, weights=grid.areas))


def _mean_of(walls: Sequence[tuple[Floats, Grid]]) -> float:
    area = sum(float(wall.areas.sum()) for _, wall in walls)
    return sum(float(lux @ wall.areas) for lux, wall in walls) / area


def _bands_of(solved: Lit, wall: Grid, lux: Floats) -> WallBands:
    edges, band = _heights(wall)
    areas, light = (np.bincount(band, weights, BANDS) for weights in (wall.areas, lux * wall.areas))
    bands = tuple(
        Band(float(edges[n]), float(edges[n + 1]), float(light[n] / areas[n]), float(lux[band == n].min()))
        for n in range(BANDS)
        if areas[n] > 0
    )
    name = wall_name(solved, wall.number)
    return WallBands(wall.number, name, _mean(lux, wall), float(lux.min()), float(lux.max()), bands)


def _heights(wall: Grid) -> tuple[Floats, npt.NDArray[np.intp]]:
    """The edges of a wall's bands, from its foot to its highest point, and which band each of its points is in."""
    foot = float(wall.origin[2])
    edges = np.linspace(foot, foot + wall.rows * float(wall.step_v[2]), BANDS + 1)
    return edges, np.clip(np.searchsorted(edges, wall.points[:, 2], side="right") - 1, 0, BANDS - 1)


def _darkest_of(solved: Lit, wall: Grid, lux: Floats) -> Strip:
    step = float(np.linalg.norm(wall.step_u))
    count = max(1, min(wall.columns, round(wall.columns * step / STRIP_M)))
    across = wall.columns * step / count
    strip = np.minimum(((wall.at[:, 0] + 0.5) * step / across).astype(np.intp), count - 1)
    edges, band = _heights(wall)
    areas, light = (np.bincount(band * count + strip, weights) for weights in (wall.areas, lux * wall.areas))
    means = np.where(areas > 0, light / np.where(areas > 0, areas, 1.0), np.inf)
    darkest = int(means.argmin())
    low, along = divmod(darkest, count)
    return Strip(
        number=wall.number,
        wall=wall_name(solved, wall.number),
        from_m=along * across,
        to_m=(along + 1) * across,
        low_m=float(edges[low]),
        high_m=float(edges[low + 1]),
        lx=float(means[darkest]),
    )


def _notes(scene: Scene, known_watts: int, *, lit: bool) -> tuple[str, ...]:
    notes = []
    if any(light.emitter.known is Known.LOBE for light in scene.lights):
        notes.append("lobe")
    if known_watts < len(scene.lights):
        notes.append("watts")
    if not lit:
        notes.append("dark")
    return tuple(notes)
