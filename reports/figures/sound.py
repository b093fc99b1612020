"""Figures of loudspeakers: levels, coverage, where they stand from a seat. Engine calls only."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from functools import wraps
from typing import Any

from layout.engine.sound import coverage, levels, listening
from layout.engine.sound.values import EDGE_DB, NARROWEST_DEG
from reports.figures.figure import Figure, Input, Result
from reports.figures.kinds import Flag, ListOf, Number, OneOf, Whole

GROUP = "sound"
DECIBELS = Number(low=-1000, high=1000)
DIRECT = "Direct sound in the open: a room adds to it and evens it out."
LOUD = "Loud sound harms hearing. What is safe depends on level and time: local rules decide."


def meters(name: str, label: str, example: float, *, zero: bool = False) -> Input:
    return Input(name, label, Number(high=1e6, zero=zero), "m", example)


def decibels(name: str, label: str, example: float, **rest: Any) -> Input:
    return Input(name, label, DECIBELS, "dB", example, **rest)


def watts(name: str, label: str, example: float) -> Input:
    return Input(name, label, Number(), "W", example)


def speed(example: float = 343) -> Input:
    return Input("c", "Speed of sound", Number(low=1, high=10_000), "m/s", example, usual=343.0, optional=True)


SENSITIVITY = decibels("sensitivity_db", "Sensitivity, at 1 W and 1 m", 88)
CEILING = meters("ceiling_m", "Ceiling over the floor", 2.8)
EARS = meters("ear_m", "Ears over the floor", 1.5, zero=True)
ANGLE = Input("angle_deg", "Coverage angle, full", Number(low=NARROWEST_DEG, high=360), "degrees", 90)
OVER_DIAMETER = Input("spacing_over_diameter", "Spacing over the circle's diameter", Number(), "", 1.0)
PATTERN = Input("pattern", "Pattern", OneOf(coverage.PATTERNS), "", "square")
DB = Result("db", "Level", "dB")


def elevation(name: str, label: str, example: float) -> Input:
    kind = Number(low=-90, high=90)
    return Input(name, label, kind, "degrees", example, usual=float(example), optional=True)


def figure(*, reckon: Callable[..., Mapping[str, object]], **rest: Any) -> Figure:
    """A figure of sound, told to nine digits: no microphone hears the tenth, and printed cases have no more."""

    @wraps(reckon)
    def told(**given: Any) -> Mapping[str, object]:
        found = reckon(**given)
        return {name: float(f"{one:.9g}") if isinstance(one, float) else one for name, one in found.items()}

    return Figure(group=GROUP, reckon=told, **rest)


def _coverage(ceiling_m: float, ear_m: float, angle_deg: float) -> Mapping[str, object]:
    return {
        "diameter_m": coverage.diameter_m(ceiling_m, ear_m, angle_deg),
        "plane_diameter_m": coverage.plane_diameter_m(ceiling_m, ear_m, angle_deg),
        "edge_db": coverage.edge_db(angle_deg),
    }


def _pattern(pattern: str, spacing_over_diameter: float) -> Mapping[str, object]:
    return {
        **asdict(coverage.pattern(pattern, spacing_over_diameter)),
        "largest_spacing": coverage.largest_spacing(pattern),
    }


def _position(**given: float) -> Mapping[str, object]:
    return dict(zip(("x", "y", "z"), listening.position(**given), strict=True))


def _height_range(**given: float) -> Mapping[str, object]:
    return dict(zip(("near_m", "far_m"), listening.height_range(**given), strict=True))


def _sum(levels_db: Sequence[float], coherent: bool) -> Mapping[str, object]:
    return {"db": levels.sum_db(levels_db, coherent=coherent)}


FIGURES = (
    figure(
        name="sound.level",
        title="Level of a speaker at a distance",
        inputs=(SENSITIVITY, watts("watts", "Power", 10), meters("distance_m", "Distance, on axis", 2)),
        results=(DB,),
        rule="S + 10 log10(P / 1 W) - 20 log10(r / 1 m).",
        source="inverse square law and the definition of sensitivity",
        reckon=lambda **given: {"db": levels.level_db(**given)},
        cautions=(DIRECT, LOUD),
    ),
    figure(
        name="sound.sum",
        title="Levels together",
        inputs=(
            Input("levels_db", "Levels", ListOf(DECIBELS, 1000, 1, of_what="levels, dB"), "dB", [80, 85, 85]),
            Input("coherent", "In phase: one signal, bass", Flag(), "", False, usual=False, optional=True),
        ),
        results=(DB,),
        rule="10 log10 of the sum of 10^(L / 10); in phase 20 and 20. Energies above some 500 Hz, phases for bass.",
        source="university slides: 80 and 85 dB make 86.2, in phase 88.9 (seen)",
        reckon=_sum,
    ),
    figure(
        name="sound.grid_centre",
        title="Level under the middle of a grid of speakers",
        inputs=(
            meters("height_above_ear_m", "Ceiling over the ears", 1.5),
            meters("spacing_m", "Spacing", 2),
            Input("n", "Speakers along a side", Whole(1, levels.MOST_GRID), "", 4),
            SENSITIVITY,
            watts("watts_each", "Power of each", 5),
        ),
        results=(DB,),
        rule="n x n speakers, the ears under the grid's middle, energies added, the same in all directions.",
        source="energy sum",
        reckon=lambda **given: {"db": levels.grid_centre_db(**given)},
        cautions=(DIRECT, LOUD),
    ),
    figure(
        name="sound.sensitivity_correction",
        title="Sensitivity at so many volts, as at 1 W",
        inputs=(
            Input("volts", "Given at", Number(high=1e6), "V", 2.83),
            Input("load_ohm", "Speaker, nominal", Number(high=1e6), "ohms", 4),
        ),
        results=(Result("db", "To add", "dB"),),
        rule="P = V^2 / Z: 2.83 V is 1 W into 8 ohms only, 2 W into 4.",
        source="closed form",
        reckon=lambda **given: {"db": levels.sensitivity_correction_db(**given)},
    ),
    figure(
        name="sound.headroom",
        title="Headroom of a speaker",
        inputs=(
            SENSITIVITY,
            watts("rated_watts", "Power it takes, or its tap", 30),
            meters("distance_m", "Distance to the ears", 1.5),
            decibels("target_db", "Level wanted", 75),
            decibels("peaks_db", "Peaks above it", 12, usual=0.0, optional=True),
        ),
        results=(
            Result("maximum_db", "Loudest", "dB"),
            Result("needed_w", "Needed with its peaks", "W"),
            Result("headroom_db", "Left over", "dB"),
        ),
        rule="Level at full power, less the level wanted and its peaks. Heat in the voice coil takes some dB off.",
        source="inverse square law; 10 to 12 dB of peaks is common practice, no source",
        reckon=lambda **given: asdict(levels.reach(**given)),
        cautions=(DIRECT, LOUD),
    ),
    figure(
        name="sound.coverage",
        title="Circle a ceiling speaker covers",
        inputs=(CEILING, EARS, ANGLE),
        results=(
            Result("diameter_m", "Diameter at the ears", "m"),
            Result("plane_diameter_m", "To 6 dB down at the ears", "m"),
            Result("edge_db", "At the first circle's edge", "dB"),
        ),
        rule="2 (h - ear) tan(angle / 2). The second circle counts the longer way too: cos^(n + 2) is 6 dB down.",
        source="audio supplier's note: 2.6 m for 2.8 m, 1.5 m and 90 degrees (seen); cos^n off axis is a model",
        reckon=_coverage,
    ),
    figure(
        name="sound.coverage_edge",
        title="Level at the edge of a speaker's circle",
        inputs=(
            ANGLE,
            decibels("off_axis_db", "At half the angle, at equal distance", -6, usual=EDGE_DB, optional=True),
        ),
        results=(Result("db", "Against straight below", "dB"),),
        rule="What the angle takes, less 20 log10(1 / cos(angle / 2)) for the longer way.",
        source="6 dB polar loss and inverse square law; the angle is for equal distance, the ears are on a plane",
        reckon=lambda **given: {"db": coverage.edge_db(**given)},
    ),
    figure(
        name="sound.pattern",
        title="Share of a ceiling's plan that circles cover",
        inputs=(PATTERN, OVER_DIAMETER),
        results=(
            Result("covered", "Covered, share", ""),
            Result("twice", "Covered twice or more, share", ""),
            Result("row_over_diameter", "From row to row, over the diameter", ""),
            Result("circles_over_a_point", "Circles over a point, mean", ""),
            Result("largest_spacing", "Largest spacing without a gap, over the diameter", ""),
        ),
        rule="Endless pattern; hex has every second row shifted by half a spacing, rows 0.866 of it apart. Exact.",
        source="geometry of circles in the cell of a lattice",
        reckon=_pattern,
    ),
    figure(
        name="sound.pattern_evenness",
        title="How even a pattern of speakers is",
        inputs=(PATTERN, OVER_DIAMETER, ANGLE),
        results=(Result("db", "Loudest less quietest", "dB"),),
        rule="Endless pattern, energies added, cos^n off axis with 6 dB down at half the angle.",
        source="a model of direct sound; printed tables define it otherwise and differ by some dB",
        reckon=lambda pattern, spacing_over_diameter, angle_deg: {
            "db": coverage.pattern_evenness_db(pattern, spacing_over_diameter, angle_deg)
        },
        cautions=(DIRECT,),
    ),
    figure(
        name="sound.position",
        title="Where a speaker is, from its angles",
        inputs=(
            Input("azimuth_deg_left_positive", "Azimuth, positive to the left", Number(-360, 360), "degrees", 30),
            Input("elevation_deg", "Elevation", Number(-90, 90), "degrees", 40),
            meters("r_m", "Distance", 2),
        ),
        results=(
            Result("x", "To the right", "m"),
            Result("y", "To the front", "m"),
            Result("z", "Over the ears", "m"),
        ),
        rule="x = -r sin az cos el, y = r cos az cos el, z = r sin el. Left is positive, x goes to the right.",
        source="ITU-R BS.2051 angles; a broadcaster's open scene file has (-0.766, 1.327, 1.286) (seen)",
        reckon=_position,
    ),
    figure(
        name="sound.height_range",
        title="How far a height speaker may be from a seat",
        inputs=(
            CEILING,
            EARS,
            elevation("el_min_deg", "Lowest elevation", 30),
            elevation("el_max_deg", "Highest elevation", 55),
        ),
        results=(Result("near_m", "No nearer than", "m"), Result("far_m", "No farther than", "m")),
        rule="(h - ear) / tan(elevation), on the plan.",
        source="ITU-R BS.2051 upper layer, 30 to 55 degrees (open renderer's data, seen)",
        reckon=_height_range,
    ),
    figure(
        name="sound.floor_bounce",
        title="First note the floor takes away under a speaker",
        inputs=(CEILING, meters("ear_m", "Ears over the floor", 1.2), speed()),
        results=(Result("hz", "First null", "Hz"),),
        rule="c / (2 d), the way off the floor being d = twice the ear height longer.",
        source="two equal arrivals; closed form",
        reckon=lambda **given: {"hz": levels.floor_bounce_hz(**given)},
    ),
)
