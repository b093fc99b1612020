"""What is wanted of a room's light, and how what is computed stands to it: met, or short by how much. No more."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.light.measures import Measures


class Asked(StrEnum):
    PLANE = "plane"  # average on the work plane
    PLANE_MOST = "plane most"  # the upper end of its range
    UNIFORMITY = "uniformity"  # least over average on the plane
    WALLS = "walls"  # average of the walls
    CEILING = "ceiling"  # average of the ceiling
    WALL_RATIO = "wall ratio"  # walls over plane
    POWER = "power"  # watts per square meter, at most


@dataclass(frozen=True, slots=True)
class Target:
    """Levels in lux, ratios as shares, power in W/m2; None: not asked. kind, document, edition, source: who says so."""

    lux: float | None = None
    high_lux: float | None = None
    uniformity: float | None = None
    wall_lux: float | None = None
    ceiling_lux: float | None = None
    wall_ratio: float | None = None
    most_w_per_m2: float | None = None
    kind: str = ""
    document: str = ""
    edition: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing asked. unit: "lx", "W/m2" or "" for a ratio. off: found less wanted; below 0 is short of `at least`."""

    asked: Asked
    wanted: float
    found: float
    unit: str
    at_least: bool = True

    @property
    def off(self) -> float:
        return self.found - self.wanted

    @property
    def met(self) -> bool:
        return self.off >= 0 if self.at_least else self.off <= 0


def against(measures: Measures, target: Target) -> tuple[Line, ...]:
    """What the target asks, each beside what is computed. What can't be told (no watts known) is left out."""
    asked = (
        (Asked.PLANE, target.lux, measures.plane_avg_lx, "lx", True),
        (Asked.PLANE_MOST, target.high_lux, measures.plane_avg_lx, "lx", False),
        (Asked.UNIFORMITY, target.uniformity, measures.min_over_avg, "", True),
        (Asked.WALLS, target.wall_lux, measures.walls_avg_lx, "lx", True),
        (Asked.CEILING, target.ceiling_lux, measures.ceiling_avg_lx, "lx", True),
        (Asked.WALL_RATIO, target.wall_ratio, measures.wall_over_plane, "", True),
        (Asked.POWER, target.most_w_per_m2, measures.w_per_m2, "W/m2", False),
    )
    return tuple(
        Line(what, wanted, found, unit, at_least)
        for what, wanted, found, unit, at_least in asked
        if wanted is not None and found is not None
    )
