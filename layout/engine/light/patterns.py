"""What the computed light looks like on walls and floor: scallops, caves, dark or hot walls, stripes. Codes only.

Every pattern is read off the lux of this room and these lights, with the numbers it stands on; none follows from where
the lights are. What counts as one is a practice rule that people may see differently: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise

import numpy as np

from layout.engine.light.measures import Lit, Measures, measure, wall_name
from layout.engine.light.values import Dims, Floats, Grid, On

SOURCE = "common practice, no source"
SCALLOP_RATIO = 1.5  # between a pool on a wall and the dark beside it, at one height: seen as an edge
SCALLOP_LEAST = 0.1  # of the plane's average: what is darker than that on a wall draws no eye
UPPER_SHARE = 1 / 3  # of a wall's height, from the top: what is looked at first from the door
CAVE_LEVEL = 0.1  # of the plane's average: an upper wall under it reads as black
CAVE_SHARE = 0.5  # of all upper walls under that
WALLS_LEAST = 0.25  # walls over plane
WALLS_MOST = 0.8
HOT_RATIO = 2.0  # brightest of a wall over the plane's average
DARKEST_LX = 1e-9  # no ratio to nothing
STRIPE_RATIO = 1.5  # between a lane on the plane and the next, averaged along it
STRIPE_SHARE = 2.0  # and by so much stronger than the other way
EDGE_M = 0.3  # of the plane beside walls: left out of lanes


class Kind(StrEnum):
    SCALLOP = "scallop"  # pools along a wall with dark between them
    CAVE = "cave"  # upper walls dark
    DARK_WALLS = "dark walls"  # all walls against the plane
    BRIGHT_WALLS = "bright walls"
    HOT_WALL = "hot wall"  # one wall far over the plane
    STRIPE = "stripe"  # lanes on the plane


@dataclass(frozen=True, slots=True)
class Pattern:
    """found: the number that makes it one; limit: the practice it is held against.

    wall: from 0, None for the whole room. at_m: along the wall from its left as seen from inside, or on the plane along
    x or y: where the pools or lanes are. along: "x" or "y", for lanes. height_m: above the floor. numbers: what else
    was computed, by name.
    """

    kind: Kind
    found: float
    limit: float
    wall: int | None = None
    name: str = ""
    at_m: tuple[float, ...] = ()
    height_m: float | None = None
    along: str = ""
    numbers: Mapping[str, float] = field(default_factory=dict)
    source: str = SOURCE


def told(solved: Lit, dims: Dims | None = None) -> tuple[Pattern, ...]:
    """What this room shows, walls in order and then the room. Nothing in the dark."""
    measures = measure(solved, dims)
    if not measures.plane_avg_lx > 0:
        return ()
    walls = [(grid, solved.lux(grid.name, dims)) for grid in solved.grids if grid.on is On.WALL]
    found = [pattern for grid, lux in walls for pattern in _on_a_wall(solved, grid, lux, measures.plane_avg_lx)]
    plane = next(grid for grid in solved.grids if grid.on is On.PLANE)
    return (
        *found,
        *_cave(walls, measures.plane_avg_lx),
        *_whole(measures),
        *_stripes(plane, solved.lux(plane.name, dims)),
    )


def _on_a_wall(solved: Lit, grid: Grid, lux: Floats, plane_lx: float) -> list[Pattern]:
    name, found = wall_name(solved, grid.number), []
    scallop = _scallop(grid, lux, plane_lx, name)
    if scallop:
        found.append(scallop)
    most = int(lux.argmax())
    ratio = float(lux[most]) / plane_lx
    if ratio >= HOT_RATIO:
        column = int(grid.at[most, 0])
        place = (float((column + 0.5) * np.linalg.norm(grid.step_u)),)
        height = float(grid.points[most, 2])
        numbers = {"most_lx": float(lux[most]), "plane_lx": plane_lx}
        found.append(Pattern(Kind.HOT_WALL, ratio, HOT_RATIO, grid.number, name, place, height, numbers=numbers))
    return found


def _scallop(grid: Grid, lux: Floats, plane_lx: float, name: str) -> Pattern | None:
    """The height at which pools stand out the most, when they do by SCALLOP_RATIO there."""
    table, best, row_of_best, columns = grid.table(lux), None, 0, np.zeros(0, dtype=np.intp)
    for row, profile in enumerate(table):
        here = np.flatnonzero(~np.isnan(profile))
        pools = pools_of(profile[here], SCALLOP_RATIO) if len(here) else ()
        contrast = _deepest(profile[here], pools)
        if contrast and contrast.pool >= SCALLOP_LEAST * plane_lx and (best is None or contrast.ratio > best.ratio):
            best, row_of_best, columns = contrast, row, here[list(pools)]
    if best is None:
        return None
    height = float(grid.origin[2] + (row_of_best + 0.5) * grid.step_v[2])
    places = tuple(float((column + 0.5) * np.linalg.norm(grid.step_u)) for column in columns)
    numbers = {"pools": float(len(places)), "pool_lx": best.pool, "between_lx": best.between, "plane_lx": plane_lx}
    return Pattern(Kind.SCALLOP, best.ratio, SCALLOP_RATIO, grid.number, name, places, height, numbers=numbers)


@dataclass(frozen=True, slots=True)
class _Contrast:
    """Two neighboring pools and what lies between: the weaker of them, the least between them."""

    pool: float
    between: float

    @property
    def ratio(self) -> float:
        return self.pool / max(self.between, DARKEST_LX)


def _deepest(profile: Floats, pools: Sequence[int]) -> _Contrast | None:
    """The strongest contrast of neighboring pools; None when there are no two."""
    contrasts = [
        _Contrast(float(min(profile[one], profile[other])), float(profile[one : other + 1].min()))
        for one, other in pairwise(pools)
    ]
    return max(contrasts, key=lambda contrast: contrast.ratio, default=None)


def pools_of(profile: Floats, ratio: float) -> tuple[int, ...]:
    """Places of peaks in a row of lux that are `ratio` times the least between them and the next peak, or more.

    A peak at either end counts: light against a corner. (n,) -> places in it.
    """
    pools: list[int] = []
    high = low = 0
    rising = True
    for place in range(1, len(profile)):
        if rising:
            if profile[place] > profile[high]:
                high = place
            elif profile[high] >= ratio * profile[place]:
                pools.append(high)
                low, rising = place, False
        elif profile[place] < profile[low]:
            low = place
        elif profile[place] >= ratio * profile[low]:
            high, rising = place, True
    if rising:
        pools.append(high)
    return tuple(pools)


def _cave(walls: Sequence[tuple[Grid, Floats]], plane_lx: float) -> list[Pattern]:
    dark = whole = light = 0.0
    for grid, lux in walls:
        tops = grid.table(grid.points[:, 2])
        top = np.nanmax(tops, axis=0)[grid.at[:, 0]] + grid.step_v[2] / 2  # of each point's own column: ceilings slope
        upper = grid.points[:, 2] - grid.origin[2] > (1 - UPPER_SHARE) * (top - grid.origin[2])
        areas = grid.areas[upper]
        whole += float(areas.sum())
        dark += float(areas[lux[upper] < CAVE_LEVEL * plane_lx].sum())
        light += float(lux[upper] @ areas)
    if not whole or dark / whole < CAVE_SHARE:
        return []
    numbers = {"upper_walls_lx": light / whole, "plane_lx": plane_lx}
    return [Pattern(Kind.CAVE, dark / whole, CAVE_SHARE, numbers=numbers)]


def _whole(measures: Measures) -> list[Pattern]:
    ratio = measures.wall_over_plane
    numbers = {"walls_lx": measures.walls_avg_lx, "plane_lx": measures.plane_avg_lx}
    if ratio is not None and ratio < WALLS_LEAST:
        return [Pattern(Kind.DARK_WALLS, ratio, WALLS_LEAST, numbers=numbers)]
    if ratio is not None and ratio > WALLS_MOST:
        return [Pattern(Kind.BRIGHT_WALLS, ratio, WALLS_MOST, numbers=numbers)]
    return []


def _stripes(grid: Grid, lux: Floats) -> list[Pattern]:
    """Lanes along x or along y, where their averages differ far more than the averages across them."""
    table = grid.table(lux)
    ways = []
    for axis, step in enumerate((float(grid.step_u[0]), float(grid.step_v[1]))):
        edge = int(EDGE_M / step)
        counts = (~np.isnan(table)).sum(axis=axis)
        means = np.nansum(table, axis=axis) / np.maximum(counts, 1)
        inside = means[edge : len(means) - edge] if len(means) > 2 * edge + 2 else means
        pools = pools_of(inside, STRIPE_RATIO)
        contrast = _deepest(inside, pools)
        first = float(grid.origin[axis]) + (edge + 0.5) * step
        ways.append((contrast.ratio if contrast else 1.0, tuple(first + one * step for one in pools)))
    (along_x, at_x), (along_y, at_y) = ways
    ratio, places, along, other = (along_x, at_x, "x", along_y) if along_x >= along_y else (along_y, at_y, "y", along_x)
    if ratio < STRIPE_RATIO or ratio < STRIPE_SHARE * other:
        return []
    numbers = {"lanes": float(len(places))}
    return [Pattern(Kind.STRIPE, ratio, STRIPE_RATIO, at_m=places, along=along, numbers=numbers)]
