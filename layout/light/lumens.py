"""The lumen method beside the computed level, and why they differ. Knows no record and no page."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from layout.engine.light import lumen_method
from layout.engine.light.values import Dims, Known, Light, Scene
from layout.engine.shape import on_plan


@dataclass(frozen=True, slots=True)
class Beside:
    """The lumen method for a scene. level_lx: its average on the plane. used: of all lumens, those that arrive there.

    ratio: the room cavity's. direct: of the downward lumens, the share it sends straight to the plane; direct_here: the
    share that falls straight there with the lights where they are.
    """

    level_lx: float
    used: float
    ratio: float
    floor_cavity: float
    lumens: float
    direct: float
    direct_here: float


def around_m(scene: Scene) -> float:
    corners = scene.room.corners
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


def mean_height_m(scene: Scene) -> float:
    """Of a sloped ceiling the mean over its corners; exact over a rectangle."""
    room = scene.room
    x0, y0 = room.corners[0]
    rises = [(x - x0) * room.slope[0] + (y - y0) * room.slope[1] for x, y in room.corners]
    return room.height_m + sum(rises) / len(rises)


def mean_wall(scene: Scene) -> float:
    """The walls' reflectance, by their lengths."""
    room, corners = scene.room, scene.room.corners
    lengths = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    return sum(length * room.reflectance_of(n) for n, length in enumerate(lengths)) / sum(lengths)


def output(light: Light, dims: Dims | None) -> float:
    """Lumens it gives at these levels, losses taken off."""
    return light.emitter.flux_lm * light.factor * dim_of(light, dims)


def dim_of(light: Light, dims: Dims | None) -> float:
    if dims is None:
        return light.dim
    return dims.lights.get(light.id, dims.zones.get(light.zone, light.dim))


def beside(solved, dims: Dims | None) -> Beside | None:
    """None where the method says nothing: no room between plane and ceiling, or no light on."""
    scene: Scene = solved.scene
    area, around, height = on_plan.area(scene.room.corners), around_m(scene), mean_height_m(scene)
    lumens = sum(output(light, dims) for light in scene.lights)
    over = height - scene.plane_m
    if over <= 0 or lumens <= 0:
        return None
    ratio = lumen_method.cavity_ratio(around, area, over)
    wall = mean_wall(scene)
    under = lumen_method.cavity_ratio(around, area, scene.plane_m) if scene.plane_m else 0.0
    floor = lumen_method.cavity_reflectance(scene.room.floor, wall, under) if under else scene.room.floor
    uses = {}
    arrived = straight = down = 0.0
    for light in scene.lights:
        key = id(light.emitter)
        if key not in uses:
            uses[key] = lumen_method.utilization_of(light.emitter, ratio, scene.room.ceiling, wall, floor)
        use, given = uses[key], output(light, dims)
        arrived += given * use.value
        straight += given * use.down_fraction * use.direct_ratio
        down += given * use.down_fraction
    grid = solved.grid("plane")
    here = float(np.sum(solved.direct("plane", dims) * grid.areas))
    return Beside(
        level_lx=arrived / area, used=arrived / lumens, ratio=ratio, floor_cavity=floor, lumens=lumens,
        direct=straight / down if down else 0.0, direct_here=here / down if down else 0.0,
    )  # fmt: skip


def marked(scene: Scene) -> bool:
    """Whether a light of it stands on a lobe, not on a file."""
    return any(light.emitter.known is Known.LOBE for light in scene.lights)
