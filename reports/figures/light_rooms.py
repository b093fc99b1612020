"""Figures of light in rooms: cavities, the lumen method, view factors, a box, direct light. Engine calls only."""

from __future__ import annotations

from collections.abc import Mapping

from layout.engine.light import closed, lobe, lumen_method, view_factors
from layout.engine.light.values import METERS_IN_A_FOOT
from reports.figures.figure import ANY_UNIT, FEET, FigureError, Input, Result
from reports.figures.kinds import ListOf, Number, OneOf, Row, Whole
from reports.figures.light import (
    DIRECT,
    FC,
    LOBE_ONLY,
    LX,
    MOST_LIGHTS,
    OR_ZERO,
    PEAK,
    POWER,
    figure,
    lit,
    meters,
    optional,
)

MARKS_IN_A_FOOT = 12 * 64
EMPTY = "An empty room with matt surfaces: furniture, gloss and daylight are not in it."
AVERAGE = "An average: it says nothing of how even the light is, nor of the walls."
TABLES = "Within some 3 % of a room worked exactly at ratios to 5, and some 10 % at 10."
CLOSED = "IES LM-57 closed form (constants seen in two public source files)"
SIZE = Number()
REFLECTANCE = Number(high=lumen_method.FULLEST, zero=True)
SHARE = Number(high=1, zero=True)
RATIO = Number(high=1000, zero=True)
FEET_MORE, AT_FEET = Number(low=1e-3, high=1000), Number(low=-1000, high=1000)


def size(name: str, label: str, example: float) -> Input:
    return Input(name, label, SIZE, ANY_UNIT, example)


def reflectance(name: str, label: str, example: float) -> Input:
    return Input(name, label, REFLECTANCE, "of 1", example)


CEILING = reflectance("ceiling", "Ceiling reflects", 0.8)
WALL = reflectance("wall", "Walls reflect", 0.5)
FLOOR = reflectance("floor", "Floor reflects", 0.2)
RCR = Input("rcr", "Room cavity ratio", RATIO, "", 2)
USED = Input("utilization", "Utilization", Number(high=2), "of 1", 0.4)
KEPT = Input("maintenance", "Light-loss factor", Number(high=1), "of 1", 0.8)


def _cavity_ratio(length: float, width: float, height: float) -> Mapping[str, object]:
    ratio = lumen_method.rectangle_ratio(length, width, height)
    return {"ratio": ratio, "room_index": 5 / ratio if ratio else None}


def _cavity_reflectance(base: float, wall: float, ratio: float) -> Mapping[str, object]:
    return {"percent": 100 * lumen_method.cavity_reflectance(base, wall, ratio)}


def _utilization(rcr: float, **given: float) -> Mapping[str, object]:
    return {"value": lumen_method.utilization(rcr, **given)}


def _utilization_lobe(power: float, rcr: float, ceiling: float, wall: float, floor: float) -> Mapping[str, object]:
    use = lumen_method.utilization_of_lobe(power, rcr, ceiling, wall, floor)
    return {"direct_ratio": use.direct_ratio, "value": use.value}


def _level(lumens: float, utilization: float, maintenance: float, area_m2: float) -> Mapping[str, object]:
    return lit(lumen_method.level(lumens, utilization, maintenance, area_m2))


def _count(
    target_lx: float, area_m2: float, lumens_each: float, utilization: float, maintenance: float
) -> Mapping[str, object]:
    needed = lumen_method.count(target_lx, area_m2, lumens_each, utilization, maintenance)
    return {"exact": needed.exact, "count": needed.count}


PARALLEL, PERPENDICULAR = ("length", "width", "distance"), ("common_edge", "from_depth", "to_height")


def _view_factor(kind: str, **given: float | None) -> Mapping[str, object]:
    names, other = (PARALLEL, PERPENDICULAR) if kind == "parallel" else (PERPENDICULAR, PARALLEL)
    for name in names:
        if given[name] is None:
            raise FigureError(f"is missing. For {kind} surfaces give {', '.join(names)}.", name)
    for name in other:
        if given[name] is not None:
            raise FigureError(f"is not asked of {kind} surfaces. Give {', '.join(names)}.", name)
    first, second, third = (float(given[name] or 0) for name in names)
    if kind == "parallel":
        return {"value": view_factors.opposed(first, second, third)}
    return {"value": view_factors.perpendicular(width=second, height=third, length=first)}


def _box(
    length_m: float, width_m: float, height_m: float, floor: float, ceiling: float, wall: float, flux_on_floor_lm: float
) -> Mapping[str, object]:
    flux = (flux_on_floor_lm, 0, 0, 0, 0, 0)
    found = closed.box(length_m, width_m, height_m, floor=floor, ceiling=ceiling, wall=wall, flux_lm=flux)
    walls = (found.length_wall_lx, found.width_wall_lx)
    long, short = walls if length_m >= width_m else walls[::-1]
    return {"floor_lx": found.floor_lx, "ceiling_lx": found.ceiling_lx, "long_wall_lx": long, "short_wall_lx": short}


def _on_the_tape(at_ft: float) -> float:
    """To the nearest 1/64 in, the finest mark: a third of 12 ft written 3.9996 is set out at 4."""
    return round(at_ft * MARKS_IN_A_FOOT) / MARKS_IN_A_FOOT


def _room(
    length_ft: float,
    width_ft: float,
    ceiling_ft: float,
    plane_ft: float,
    lights_ft: tuple[tuple[float, float], ...],
    peak_cd: float,
    power: float,
    grid: int,
) -> Mapping[str, object]:
    sizes = [one * METERS_IN_A_FOOT for one in (length_ft, width_ft, ceiling_ft, plane_ft)]
    lights = [(_on_the_tape(x) * METERS_IN_A_FOOT, _on_the_tape(y) * METERS_IN_A_FOOT) for x, y in lights_ft]
    found = closed.direct_room(*sizes, lights, lobe.Lobe(peak_cd, power), grid)
    return {
        "plane_avg_lx": found.plane_avg_lx,
        "min_over_avg": found.min_over_avg,
        "wall_over_plane": found.wall_over_plane,
        "plane_min_lx": found.plane_min_lx,
        "plane_max_lx": found.plane_max_lx,
        "wall_avg_lx": found.wall_avg_lx,
        "plane_avg_fc": closed.footcandles(found.plane_avg_lx),
    }


FIGURES = (
    figure(
        "light.cavity_ratio",
        "Cavity ratio of a room",
        _cavity_ratio,
        inputs=(
            size("length", "Length", 40),
            size("width", "Width", 15),
            Input("height", "Height of the cavity", OR_ZERO, ANY_UNIT, 9.5, hint="room cavity: lights to work plane"),
        ),
        results=(Result("ratio", "Cavity ratio", ""), Result("room_index", "Room index, 5 / ratio", "")),
        rule="5 h (L + W) / (L W); any other plan 2.5 h x perimeter / area.",
        source="zonal-cavity guides of a distributor and a utility (seen)",
    ),
    figure(
        "light.cavity_reflectance",
        "Reflectance of a cavity",
        _cavity_reflectance,
        inputs=(
            reflectance("base", "Its floor or ceiling reflects", 0.7),
            reflectance("wall", "Its walls reflect", 0.5),
            Input("ratio", "Cavity ratio", RATIO, "", 2),
        ),
        results=(Result("percent", "The opening reflects", "%"),),
        rule="Opening, base and walls solved as three matt surfaces. Recessed lights have no ceiling cavity: ratio 0.",
        source="radiosity with the LM-57 form factor; within 1 point of the IES table (seen)",
    ),
    figure(
        "light.form_factor",
        "Form factor of a cavity",
        lambda ratio: {"value": lumen_method.form_factor(ratio)},
        inputs=(Input("ratio", "Cavity ratio", RATIO, "", 3),),
        results=(Result("value", "From one end to the other", ""),),
        rule="0.026 + 0.503 e^(-0.270 g) + 0.470 e^(-0.119 g).",
        source="IES LM-57 (constants seen in two public source files); within 8e-4 of a room 1.6 to 1",
    ),
    figure(
        "light.utilization",
        "Coefficient of utilization",
        _utilization,
        inputs=(
            RCR,
            Input("down_fraction", "Leaves downward, of the lamp's lumens", SHARE, "of 1", 0.846),
            Input("direct_ratio", "Falls straight on the plane, of that", SHARE, "of 1", 0.915),
            CEILING,
            WALL,
            FLOOR,
            Input("up_fraction", "Leaves upward, of the lamp's lumens", SHARE, "of 1", 0, usual=0.0, optional=True),
        ),
        results=(Result("value", "Lumens on the plane over lamp lumens", ""),),
        rule="The LM-57 closed form: three surfaces that send light back and forth. Floor 0.2 is what tables assume.",
        source=f"{CLOSED}; within 0.0065 of 160 cells of a published table",
        cautions=(AVERAGE,),
    ),
    figure(
        "light.utilization_lobe",
        "Utilization of a lobe",
        _utilization_lobe,
        inputs=(Input("power", "Power of the lobe", POWER, "", 1), RCR, CEILING, WALL, FLOOR),
        results=(
            Result("direct_ratio", "Falls straight on the plane", ""),
            Result("value", "Lumens on the plane over the light's lumens", ""),
        ),
        rule="Zonal multipliers e^(-A g^B) on lumens in 10-degree zones, then the closed form; all lumens downward.",
        source=CLOSED,
        cautions=(LOBE_ONLY, TABLES),
    ),
    figure(
        "light.lumen_level",
        "Average level from lumens",
        _level,
        inputs=(
            Input("lumens", "Lumens of all lights", OR_ZERO, "lm", 8800),
            USED,
            KEPT,
            Input("area_m2", "Floor", SIZE, "square meters", 20),
        ),
        results=(LX, FC),
        rule="Lumens x utilization x light-loss factor / area.",
        source="lumen method; a lamp supplier's worked example (seen)",
        cautions=(AVERAGE,),
    ),
    figure(
        "light.lumen_count",
        "Lights for an average level",
        _count,
        inputs=(
            Input("target_lx", "Level wanted", OR_ZERO, "lx", 200),
            Input("area_m2", "Floor", SIZE, "square meters", 1440),
            Input("lumens_each", "Lumens of each light", SIZE, "lm", 18000),
            USED,
            KEPT,
        ),
        results=(Result("exact", "Exactly", "lights"), Result("count", "Whole lights", "")),
        rule="Level x area / (lumens x utilization x light-loss factor), up to the next whole light.",
        source="lumen method; college notes with a worked example (seen)",
        cautions=(AVERAGE,),
    ),
    figure(
        "light.view_factor",
        "View factor of two rectangles",
        _view_factor,
        inputs=(
            Input("kind", "How they stand", OneOf(("parallel", "perpendicular")), "", "parallel"),
            optional("length", "Length of both, when parallel", SIZE, ANY_UNIT, 1),
            optional("width", "Width of both, when parallel", SIZE, ANY_UNIT, 1.5),
            optional("distance", "Apart, when parallel", SIZE, ANY_UNIT, 0.5),
            optional("common_edge", "Edge they share, when perpendicular", SIZE, ANY_UNIT, None),
            optional("from_depth", "The first one, away from that edge", SIZE, ANY_UNIT, None),
            optional("to_height", "The second one, away from that edge", SIZE, ANY_UNIT, None),
        ),
        results=(Result("value", "Of what leaves the first, arrives on the second", ""),),
        rule="Matt, even rectangles: opposed and equal, or with one edge in common.",
        source="Howell's catalogue C-11 and C-14 (C-11 from memory, held to printed values)",
    ),
    figure(
        "light.box",
        "Light in a box, sent back and forth",
        _box,
        inputs=(
            meters("length_m", "Length", 4),
            meters("width_m", "Width", 3),
            meters("height_m", "Height", 2.5),
            FLOOR,
            reflectance("ceiling", "Ceiling reflects", 0.7),
            WALL,
            Input("flux_on_floor_lm", "Lumens that fall on the floor", OR_ZERO, "lm", 3000),
        ),
        results=(
            Result("floor_lx", "Floor", "lx"),
            Result("ceiling_lx", "Ceiling", "lx"),
            Result("long_wall_lx", "Each long wall", "lx"),
            Result("short_wall_lx", "Each short wall", "lx"),
        ),
        rule="Radiosity with one patch a surface: E = direct + sum of F x reflectance x E; light on the floor even.",
        source="radiosity, exact view factors; photon Monte Carlo within 0.6 %",
        cautions=(EMPTY, "One patch a surface has no pattern: corners and pools are averaged away."),
    ),
    figure(
        "light.room",
        "Direct light of a room",
        _room,
        inputs=(
            Input("length_ft", "Length", FEET_MORE, FEET, 12),
            Input("width_ft", "Width", FEET_MORE, FEET, 12),
            Input("ceiling_ft", "Ceiling above the floor", FEET_MORE, FEET, 9),
            Input("plane_ft", "Work plane above the floor", Number(high=1000, zero=True), FEET, 2.5),
            Input(
                "lights_ft",
                "Lights on the plan",
                ListOf(Row(("x in ft", "y in ft"), AT_FEET), MOST_LIGHTS, 1, of_what="lights [x, y]"),
                "",
                [[3, 3], [3, 9], [9, 3], [9, 9]],
            ),
            Input("peak_cd", "Intensity straight down, each", PEAK, "cd", 1000),
            Input("power", "Power of the lobe", POWER, "", 1),
            Input("grid", "Cells each way", Whole(1, closed.FINEST_GRID), "", 60),
        ),
        results=(
            Result("plane_avg_lx", "Plane, average", "lx"),
            Result("min_over_avg", "Plane, least over average", ""),
            Result("wall_over_plane", "Walls over plane, averages", ""),
            Result("plane_min_lx", "Plane, least", "lx"),
            Result("plane_max_lx", "Plane, most", "lx"),
            Result("wall_avg_lx", "Walls, average", "lx"),
            Result("plane_avg_fc", "Plane, average", "fc"),
        ),
        rule="Point by point at the centers of so many cells each way on the plane and on each wall, floor to ceiling. "
        "Lights stand at the nearest 1/64 in.",
        source="inverse square and cosine law; own numbers worked twice",
        cautions=(DIRECT, LOBE_ONLY),
    ),
)
