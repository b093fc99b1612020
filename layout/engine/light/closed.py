"""Light worked in closed form: points, panels, disks, circles, one box with one patch a surface. Floats, SI.

What the handbooks print and what fits on a calculator. A whole room with its marks is `solve`'s.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import acos, atan, hypot, pi, radians, sqrt, tan

import numpy as np

from layout.engine.light.lobe import Lobe
from layout.engine.light.refusals import over_zero
from layout.engine.light.values import LUX_IN_A_FOOTCANDLE, SQUARE_FEET_IN_A_SQUARE_METER, Floats, LightError
from layout.engine.light.view_factors import opposed, perpendicular

FINEST_GRID = 300
MOST_SUMS = 2_000_000  # cells of the plane times lights


@dataclass(frozen=True, slots=True)
class Lit:
    """Lux on a level surface, and on an upright one that faces the light, at one point."""

    horizontal_lx: float
    vertical_lx: float


def isotropic_cd(flux_lm: float) -> float:
    """Intensity of a source that shines the same all round: flux / 4 pi."""
    return flux_lm / (4 * pi)


def at_point(intensity_cd: float, height_m: float, offset_m: float) -> Lit:
    """Inverse square and cosine: I h / d^3 and I x / d^3; intensity toward the point.

    Holds from five times the source's largest size; a disk on its axis is 1 % off there.
    """
    over_zero("height_m", height_m)
    each = intensity_cd / hypot(height_m, offset_m) ** 3
    return Lit(each * height_m, each * offset_m)


def lobe_cd(peak_cd: float, power: float, height_m: float, offset_m: float) -> float:
    """Intensity of a cosine-power lobe that shines straight down, toward a point below and aside."""
    over_zero("height_m", height_m)
    return float(Lobe(peak_cd, power).candela(np.degrees(np.arctan2(offset_m, height_m))))


def at_points(sources: Sequence[tuple[float, float, float]], height_m: float, at: tuple[float, float]) -> float:
    """Horizontal lux at a point from several sources (x, y, cd toward the point), all height_m above it."""
    x, y = at
    return sum(at_point(cd, height_m, hypot(its_x - x, its_y - y)).horizontal_lx for its_x, its_y, cd in sources)


def tilted(intensity_cd: float, distance_m: float, angle_deg: float) -> float:
    """Lux on a surface whose normal is angle_deg off the ray; 0 when it is turned away."""
    over_zero("distance_m", distance_m)
    return intensity_cd * max(float(np.cos(radians(angle_deg))), 0.0) / distance_m**2


def brightest_height(offset_m: float) -> float:
    """The height at which an isotropic source lights a level point offset_m aside the most: x / root 2."""
    over_zero("offset_m", offset_m)
    return offset_m / sqrt(2)


def under_panel(length_m: float, width_m: float, exitance_lm_m2: float, height_m: float) -> float:
    """Lux under the center of a Lambertian rectangle, on an element parallel to it.

    Source: element-to-rectangle view factor (Siegel and Howell), four quarters.
    """
    for name, value in (("length_m", length_m), ("width_m", width_m), ("height_m", height_m)):
        over_zero(name, value)
    along, across = length_m / 2 / height_m, width_m / 2 / height_m
    a, b = hypot(1, along), hypot(1, across)
    quarter = (along / a * atan(across / a) + across / b * atan(along / b)) / (2 * pi)
    return 4 * quarter * exitance_lm_m2


def under_disk(radius_m: float, exitance_lm_m2: float, height_m: float) -> float:
    """Lux under the center of a Lambertian disk, on an element parallel to it: M R^2 / (R^2 + h^2)."""
    over_zero("radius_m", radius_m)
    over_zero("height_m", height_m)
    return exitance_lm_m2 * radius_m**2 / (radius_m**2 + height_m**2)


def footcandles(lx: float) -> float:
    return lx / LUX_IN_A_FOOTCANDLE


def beam_circle(beam_deg: float, height: float) -> float:
    """Across the circle on a level surface within which intensity is over half: 2 h tan(beam / 2). Any one unit."""
    if not 0 < beam_deg < 180:
        raise LightError(f"beam_deg: a beam of {beam_deg:g} degrees ends in no circle. Give under 180.", "beam_deg")
    return 2 * height * tan(radians(beam_deg) / 2)


def lobe_spacing(power: float) -> tuple[float, float]:
    """Spacing over height at which the middle between two lights, and between four, has what is right below one alone.

    Two: 2 E(S/2) = E(0); four: 4 E(S / root 2) = E(0), for I0 cos^power. Source: the two tests from memory of the IES
    Handbook; closed form.
    """
    if not power >= 0:
        raise LightError(f"power: {power:g} is no power of a cosine. Give 0 or more.", "power")
    return 2 * tan(acos(2 ** (-1 / (power + 3)))), sqrt(2) * tan(acos(4 ** (-1 / (power + 3))))


def scallop_top(setback: float, half_beam_deg: float) -> float:
    """How far below the ceiling the beam first meets the wall: d / tan(half beam). Any one unit."""
    if not 0 < half_beam_deg < 90:
        told = f"half_beam_deg: at {half_beam_deg:g} degrees the beam's edge meets no wall. Give under 90."
        raise LightError(told, "half_beam_deg")
    return setback / tan(radians(half_beam_deg))


def watts_per_square_meter(watts_per_square_foot: float) -> float:
    return watts_per_square_foot * SQUARE_FEET_IN_A_SQUARE_METER


@dataclass(frozen=True, slots=True)
class Box:
    """A box, one patch a surface. lx: floor, ceiling, the two walls along the length, the two across it."""

    floor_lx: float
    ceiling_lx: float
    length_wall_lx: float
    width_wall_lx: float


def box_factors(length_m: float, width_m: float, height_m: float) -> Floats:
    """(6, 6) view factors of a box: floor, ceiling, two walls along the length, two across. Rows sum to 1.

    Source: Howell's catalogue C-11 and C-14.
    """
    for name, value in (("length_m", length_m), ("width_m", width_m), ("height_m", height_m)):
        over_zero(name, value)
    told = np.zeros((6, 6))
    # each pair of faces: across its two edges, and the distance to its twin
    faces = ((length_m, width_m, height_m), (length_m, height_m, width_m), (width_m, height_m, length_m))
    for pair, (a, b, apart) in enumerate(faces):
        told[2 * pair, 2 * pair + 1] = told[2 * pair + 1, 2 * pair] = opposed(a, b, apart)
    edges = {(0, 1): length_m, (0, 2): width_m, (1, 2): height_m}
    for (one, other), edge in edges.items():
        depth, height = (faces[pair][0] * faces[pair][1] / edge for pair in (one, other))
        there = perpendicular(depth, height, edge)
        told[2 * one : 2 * one + 2, 2 * other : 2 * other + 2] = there
        told[2 * other : 2 * other + 2, 2 * one : 2 * one + 2] = there * depth / height
    return told


def box(
    length_m: float,
    width_m: float,
    height_m: float,
    *,
    floor: float,
    ceiling: float,
    wall: float,
    flux_lm: Sequence[float],
) -> Box:
    """Radiosity of a box whose six surfaces are each lit evenly: lux, direct and reflected.

    flux_lm: direct lumens on the floor, the ceiling, each wall along the length and each across it, in that order.
    """
    for name, value in (("floor", floor), ("ceiling", ceiling), ("wall", wall)):
        if not 0 <= value < 1:
            raise LightError(f"{name}: {value:g} is no reflectance. Give 0 to under 1.", name)
    factors = box_factors(length_m, width_m, height_m)
    areas = np.repeat([length_m * width_m, length_m * height_m, width_m * height_m], 2)
    shares = np.array([floor, ceiling, wall, wall, wall, wall])
    lx = np.linalg.solve(np.eye(6) - factors * shares, np.asarray(flux_lm, dtype=np.float64) / areas)
    return Box(float(lx[0]), float(lx[1]), float(lx[2:4].mean()), float(lx[4:6].mean()))


@dataclass(frozen=True, slots=True)
class DirectRoom:
    """A room's direct light. Walls are taken floor to ceiling, each by its own area."""

    plane_avg_lx: float
    plane_min_lx: float
    plane_max_lx: float
    wall_avg_lx: float
    walls_lx: tuple[float, ...]  # door wall, right, far, left

    @property
    def min_over_avg(self) -> float:
        return self.plane_min_lx / self.plane_avg_lx

    @property
    def wall_over_plane(self) -> float:
        return self.wall_avg_lx / self.plane_avg_lx


def direct_room(
    length_m: float,
    width_m: float,
    ceiling_m: float,
    plane_m: float,
    lights_m: Sequence[tuple[float, float]],
    lobe: Lobe,
    grid: int,
) -> DirectRoom:
    """Direct lux of equal lobes in the ceiling, at the centers of grid x grid cells of the plane and of each wall.

    No reflection. Raises LightError by argument.
    """
    _check_room(length_m, width_m, ceiling_m, plane_m, lights_m, grid)
    lights = np.array([(x, y, ceiling_m) for x, y in lights_m])
    at = (np.arange(grid) + 0.5) / grid
    across, up = np.meshgrid(at, at)
    u, v = across.ravel(), up.ravel()
    plane = _lux(lights, lobe, np.stack([u * length_m, v * width_m, np.full(u.size, plane_m)], axis=1), (0, 0, 1))
    rise = v * ceiling_m
    sides = (
        (u * length_m, np.zeros(u.size), (0, 1, 0)),
        (np.full(u.size, length_m), u * width_m, (-1, 0, 0)),
        (u * length_m, np.full(u.size, width_m), (0, -1, 0)),
        (np.zeros(u.size), u * width_m, (1, 0, 0)),
    )
    walls = tuple(float(_lux(lights, lobe, np.stack([x, y, rise], axis=1), normal).mean()) for x, y, normal in sides)
    weights = (length_m, width_m, length_m, width_m)
    mean = float(np.average(walls, weights=weights))
    return DirectRoom(float(plane.mean()), float(plane.min()), float(plane.max()), mean, walls)


def _lux(lights: Floats, lobe: Lobe, points: Floats, normal: tuple[int, int, int]) -> Floats:
    told = np.zeros(len(points))
    for light in lights:
        ray = light - points
        distance = np.sqrt((ray**2).sum(axis=1))
        facing = np.maximum(ray @ np.array(normal, dtype=np.float64), 0.0)
        told += lobe.candela(np.degrees(np.arccos(ray[:, 2] / distance))) * facing / distance**3
    return told


def _check_room(
    length_m: float,
    width_m: float,
    ceiling_m: float,
    plane_m: float,
    lights_m: Sequence[tuple[float, float]],
    grid: int,
) -> None:
    for name, value in (("length", length_m), ("width", width_m), ("ceiling", ceiling_m)):
        over_zero(name, value)
    if not 0 <= plane_m < ceiling_m:
        raise LightError("plane: the plane has to lie below the ceiling. Give 0 or more, under the ceiling.", "plane")
    if not 1 <= grid <= FINEST_GRID:
        raise LightError(f"grid: {grid} cells do not do. Give 1 to {FINEST_GRID}.", "grid")
    if not lights_m:
        raise LightError("lights: there is none. Give one at least.", "lights")
    if grid * grid * len(lights_m) > MOST_SUMS:
        told = f"grid: {grid} x {grid} cells are too many for {len(lights_m)} lights. Give fewer."
        raise LightError(told, "grid")
    for number, (x, y) in enumerate(lights_m, 1):
        if not (0 <= x <= length_m and 0 <= y <= width_m):
            raise LightError(f"lights: light {number} is outside the room. Give places within it.", "lights")
