"""How far lights may be dimmed and still give what is wanted: one level for all, or each zone its own."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import numpy as np

from layout.engine.light.measures import Measures
from layout.engine.light.solve import Solved
from layout.engine.light.targets import Asked, Target, against
from layout.engine.light.values import Floats, Grid, On

Levels = Mapping[str, float]  # zone letter -> share of full output
LEAST = 0.1  # dimmers are rarely asked for less while a room is used; common practice, no source
MOST_ZONES = 3  # dimmed apart; more are dimmed together
TENTHS = tuple(number / 10 for number in range(2, 11))
WORTH = 0.02  # levels of their own have to save this share of the light, or come this much nearer to what is wanted


def level_for(full: Measures, target: Target) -> float:
    """The lowest whole percent at which every level asked for is met; 1 where none is asked, or 1 is not enough.

    full: with nothing dimmed.
    """
    levels = (Asked.PLANE, Asked.WALLS, Asked.CEILING)
    asked = [line for line in against(full, target) if line.asked in levels]
    if not asked or any(line.found <= 0 for line in asked):
        return 1.0
    need = max(line.wanted / line.found for line in asked)
    return min(1.0, max(LEAST, -(-round(100 * need, 6) // 1) / 100))


def levels_for(solved: Solved, full: Measures, target: Target) -> dict[str, float]:
    """One level for all zones, or one for each where that is worth it: nearer to what is wanted, or less power."""
    zones = tuple(sorted({light.zone for light in solved.scene.lights}))
    one = level_for(full, target)
    together = dict.fromkeys(zones, one)
    if not 2 <= len(zones) <= MOST_ZONES:
        return together
    parts = _Parts(solved, zones)
    tried = np.array([(one,) * len(zones), *product(TENTHS, repeat=len(zones))])
    miss, power = parts.missed(tried, full, target), tried @ parts.lumens / parts.lumens.sum()
    best = min(range(len(tried)), key=lambda n: (round(float(miss[n]), 4), float(power[n])))
    nearer, saves = miss[0] - miss[best], power[0] - power[best]
    if nearer > WORTH or (nearer > -1e-6 and saves > WORTH):
        return dict(zip(zones, (float(level) for level in tried[best]), strict=True))
    return together


class _Parts:
    """What each zone gives at full level: points of the plane, averages of walls and ceiling. Zones are the rows."""

    def __init__(self, solved: Solved, zones: tuple[str, ...]) -> None:
        by = {on: [grid for grid in solved.grids if grid.on is on] for on in (On.PLANE, On.WALL, On.CEILING)}
        plane = by[On.PLANE][0]
        self.areas = plane.areas
        self.plane = np.array([solved.of_zone(plane.name, zone) for zone in zones])
        self.walls = np.array([_average(solved, by[On.WALL], zone) for zone in zones])
        self.ceiling = np.array([_average(solved, by[On.CEILING], zone) for zone in zones])
        lights = solved.scene.lights
        self.lumens = np.array([sum(each.emitter.flux_lm for each in lights if each.zone == zone) for zone in zones])

    def missed(self, levels: Floats, full: Measures, target: Target) -> Floats:
        """How far off each row of levels is, each thing asked as a part of what is wanted."""
        plane = levels @ self.plane
        average = plane @ self.areas / self.areas.sum()
        walls, ceiling = levels @ self.walls, levels @ self.ceiling
        told = np.zeros(len(levels))
        power = full.w_per_m2
        for wanted, found, most in (
            (target.lux, average, False),
            (target.high_lux, average, True),
            (target.uniformity, plane.min(axis=1) / average, False),
            (target.wall_lux, walls, False),
            (target.ceiling_lux, ceiling, False),
            (target.wall_ratio, walls / average, False),
            (target.most_w_per_m2, None if power is None else np.full(len(levels), power), True),
        ):
            if wanted and found is not None:
                told += np.maximum(0.0, (found - wanted) if most else (wanted - found)) / wanted
        return told


def _average(solved: Solved, grids: list[Grid], zone: str) -> float:
    area = sum(float(grid.areas.sum()) for grid in grids)
    return sum(float(solved.of_zone(grid.name, zone) @ grid.areas) for grid in grids) / area
