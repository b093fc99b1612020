"""The lumen method: the average on the work plane from lumens, a utilization and losses. Floats; knows no room's marks.

Zonal cavities as the handbooks have them: the room cavity lies between the lights and the work plane, `ratio` is
5 h (L + W) / (L W), and its walls are one surface. It says nothing of where light falls; `solve` does that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, exp

import numpy as np

from layout.engine.light.photometry import zonal_lumens
from layout.engine.light.refusals import over_zero
from layout.engine.light.values import Emitter, LightError

# exp(-A g^B), 10-degree zones from straight down. Source: IES LM-57, through two public source files (seen).
ZONE_A = (0.0, 0.041, 0.070, 0.100, 0.136, 0.190, 0.315, 0.640, 2.100)
ZONE_B = (0.0, 0.98, 1.05, 1.12, 1.16, 1.25, 1.25, 1.25, 0.80)
ZONE_DEG = 10
FULLEST = 0.999999  # a reflectance; at 1 light never ends
SHALLOW = 0.4  # (1 - f^2) / g where g is next to 0
TABLE_RATIOS = tuple(range(11))
TABLE_CEILINGS = (0.8, 0.7, 0.5, 0.3, 0.1, 0.0)
TABLE_WALLS = (0.5, 0.3, 0.1)
TABLE_FLOOR = 0.2
A_WHOLE = 1e-9  # a count this near a whole one is that one


def cavity_ratio(perimeter: float, area: float, height: float) -> float:
    """2.5 x height x perimeter / area, any plan, any one unit; 5 h (L + W) / (L W) for a rectangle.

    Source: zonal-cavity guides of distributors and a utility (seen).
    """
    _at_least_zero("height", height)
    for name, value in (("perimeter", perimeter), ("area", area)):
        if not value > 0:
            raise LightError(f"{name}: {value:g} is no room. Give a number over 0.", name)
    return 2.5 * height * perimeter / area


def rectangle_ratio(length: float, width: float, height: float) -> float:
    """The cavity ratio of a rectangle, any one unit."""
    for name, value in (("length", length), ("width", width)):
        if not value > 0:
            raise LightError(f"{name}: {value:g} is no room. Give a number over 0.", name)
    return cavity_ratio(2 * (length + width), length * width, height)


def form_factor(ratio: float) -> float:
    """The share of diffuse light from one end of a cavity that reaches the other end.

    Source: fit of IES LM-57 (constants seen in two public source files); within 8e-4 of a room 1.6 to 1 worked exactly.
    The fit itself says .999 for no cavity at all.
    """
    _at_least_zero("ratio", ratio)
    return 0.026 + 0.503 * exp(-0.270 * ratio) + 0.470 * exp(-0.119 * ratio)


def cavity_reflectance(base: float, wall: float, ratio: float) -> float:
    """The share of light entering a cavity's opening that comes out again: a ceiling or floor cavity as one surface.

    Three surfaces (opening, base, walls) solved by radiosity with `form_factor`. Within 1 point of the IES table,
    seen.
    """
    _share("base", base)
    _share("wall", wall)
    _at_least_zero("ratio", ratio)
    if ratio == 0:
        return base
    across = _across(ratio)
    aside = 1 - across
    walls = 0.4 * ratio  # area, the opening's being 1
    back = aside / walls
    itself = 1 - 2 * back
    # Light on the base and on the walls for 1 lm per unit area through the opening.
    about = np.array([[1.0, -back * walls * wall], [-aside / walls * base, 1 - itself * wall]])
    on_base, on_walls = np.linalg.solve(about, np.array([across, aside / walls]))
    return float(across * base * on_base + aside * wall * on_walls)


def utilization(
    ratio: float,
    down_fraction: float,
    direct_ratio: float,
    ceiling: float,
    wall: float,
    floor: float,
    up_fraction: float = 0.0,
) -> float:
    """Lumens on the work plane over lamp lumens.

    Args: ratio: of the room cavity. down_fraction, up_fraction: of the lamp lumens that leave downward and upward.
    direct_ratio: of the downward lumens that fall straight on the plane. Reflectances are the cavities'.
    Raises LightError by argument. Source: closed form of IES LM-57 (seen in two public source files), with the
    factors (1 - reflectance) cancelled so that no ratio of 0 and no surface of 0 or near 1 divides by nothing.
    """
    _at_least_zero("rcr", ratio)
    for name, value in (("ceiling", ceiling), ("wall", wall), ("floor", floor)):
        _share(name, value)
    for name, value in (
        ("down_fraction", down_fraction),
        ("direct_ratio", direct_ratio),
        ("up_fraction", up_fraction),
    ):
        if not 0 <= value <= 1:
            raise LightError(f"{name}: {value:g} is no share. Give 0 to 1.", name)
    if down_fraction + up_fraction > 1:
        raise LightError("up_fraction: with the downward share it is over 1. Give less.", "up_fraction")
    across = _across(ratio)
    lost = 1 - across**2
    each = lost / ratio if ratio else SHALLOW
    seen = 2.5 * wall * each + across * (1 - wall)
    walls_each, from_walls = each / seen, (1 - wall) * lost / seen  # C1 / (g (1 - p1)), C1
    up_each, down_each = ((1 + across) / (1 + share * across) for share in (ceiling, floor))
    from_ceiling, from_floor = (1 - ceiling) * up_each, (1 - floor) * down_each  # C2, C3
    all_ways = from_walls + from_ceiling + from_floor
    straight = direct_ratio * down_fraction
    by_walls = 2.5 * wall * walls_each * down_each * (down_fraction - straight) / all_ways
    by_ceiling = ceiling * up_each * down_each * up_fraction / all_ways
    first = straight * (1 - floor * down_each * (from_walls + from_ceiling) / all_ways) / (1 - floor)
    return by_walls + by_ceiling + first


def direct_ratio(zones: Sequence[float], ratio: float) -> float:
    """The share of downward lumens that falls straight on the plane of a cavity, by zonal multipliers.

    zones: lumens in nine zones of 10 degrees from straight down, in any one unit.
    Source: IES LM-57. The multipliers are approximate: a few percent off an evenly lit room worked exactly at ratios to
    5, some 10 % at 10.
    """
    _at_least_zero("rcr", ratio)
    below = sum(zones)
    if len(zones) != len(ZONE_A) or not below > 0:
        raise LightError("zones: nothing shines down. Give lumens of nine zones of 10 degrees.", "zones")
    kept = (exp(-a * ratio**b) * lumens for a, b, lumens in zip(ZONE_A, ZONE_B, zones, strict=True))
    return sum(kept) / below


def lobe_zones(power: float) -> tuple[float, ...]:
    """The shares of a cosine-power lobe's lumens in nine zones of 10 degrees: closed form."""
    edges = np.cos(np.radians(np.arange(0, 91, ZONE_DEG))) ** (power + 1)
    edges[-1] = 0.0
    return tuple(float(share) for share in edges[:-1] - edges[1:])


@dataclass(frozen=True, slots=True)
class Use:
    """What of a light's lumens reaches the plane. Fractions are of the light's own lumens, not of its lamp's."""

    value: float
    direct_ratio: float
    down_fraction: float
    up_fraction: float


def utilization_of(emitter: Emitter, ratio: float, ceiling: float, wall: float, floor: float) -> Use:
    """The utilization of an emitter that hangs straight, by its own zonal lumens."""
    return _use(_zones(emitter), ratio, ceiling, wall, floor)


def utilization_of_lobe(power: float, ratio: float, ceiling: float, wall: float, floor: float) -> Use:
    """The same for a cosine-power lobe, its zones in closed form."""
    return _use((*lobe_zones(power), *[0.0] * 9), ratio, ceiling, wall, floor)


@dataclass(frozen=True, slots=True)
class Table:
    """Coefficients of utilization: values[ratio][ceiling][wall], at one floor reflectance."""

    ratios: tuple[int, ...]
    ceilings: tuple[float, ...]
    walls: tuple[float, ...]
    floor: float
    values: tuple[tuple[tuple[float, ...], ...], ...]

    def at(self, ratio: float, ceiling: float, wall: float) -> float:
        """Between the rows by straight lines; the two reflectances have to be the table's own."""
        column = [row[self.ceilings.index(ceiling)][self.walls.index(wall)] for row in self.values]
        return between(ratio, self.ratios, column)


def between(ratio: float, ratios: Sequence[float], column: Sequence[float]) -> float:
    """A table's value at a ratio between its rows, by a straight line. Raises LightError past either end."""
    if not ratios[0] <= ratio <= ratios[-1]:
        raise LightError(f"ratio: the table goes from {ratios[0]:g} to {ratios[-1]:g}, not to {ratio:g}.", "ratio")
    return float(np.interp(ratio, ratios, column))


def table_of(emitter: Emitter, floor: float = TABLE_FLOOR) -> Table:
    """The table a light's sheet would print, of its own lumens, for cavity ratios 0 to 10."""
    zones = _zones(emitter)
    return Table(
        TABLE_RATIOS,
        TABLE_CEILINGS,
        TABLE_WALLS,
        floor,
        tuple(
            tuple(
                tuple(_use(zones, ratio, ceiling, wall, floor).value for wall in TABLE_WALLS)
                for ceiling in TABLE_CEILINGS
            )
            for ratio in TABLE_RATIOS
        ),
    )


def level(lumens: float, used: float, maintenance: float, area_m2: float) -> float:
    """Average lux on the plane: lumens x utilization x maintenance / area."""
    over_zero("area_m2", area_m2)
    return lumens * used * maintenance / area_m2


@dataclass(frozen=True, slots=True)
class Needed:
    exact: float
    count: int


def count(target_lx: float, area_m2: float, lumens_each: float, used: float, maintenance: float) -> Needed:
    """How many lights the average asks for: exactly, and the next whole one."""
    for name, value in (("lumens_each", lumens_each), ("utilization", used), ("maintenance", maintenance)):
        over_zero(name, value)
    exact = target_lx * area_m2 / (lumens_each * used * maintenance)
    return Needed(exact, ceil(exact * (1 - A_WHOLE)))


def _across(ratio: float) -> float:
    """The form factor, and for next to no cavity what the fit has a little too low: walls see as much of either end."""
    return max(form_factor(ratio), 1 - SHALLOW / 2 * ratio)


def _zones(emitter: Emitter) -> tuple[float, ...]:
    return tuple(float(lumens) for lumens in zonal_lumens(emitter, ZONE_DEG))


def _use(zones: Sequence[float], ratio: float, ceiling: float, wall: float, floor: float) -> Use:
    down, total = sum(zones[:9]), sum(zones)
    if not total > 0:
        raise LightError("zones: this light gives no lumens. Give one that shines.", "zones")
    straight = direct_ratio(zones[:9], ratio) if down > 0 else 0.0
    below = min(down / total, 1.0)
    above = 1 - below
    return Use(utilization(ratio, below, straight, ceiling, wall, floor, above), straight, below, above)


def _share(name: str, value: float) -> None:
    if not 0 <= value <= FULLEST:
        raise LightError(f"{name}: {value:g} is no reflectance. Give 0 to {FULLEST:g}: white paint is about 0.8.", name)


def _at_least_zero(name: str, value: float) -> None:
    if not 0 <= value < float("inf"):
        raise LightError(f"{name}: {value:g} does not do. Give 0 or more.", name)
