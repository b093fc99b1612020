"""Figures of light: points, areas, lobes and photometric files. Engine calls only."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from typing import Any

from layout.engine.light import closed, files, lobe, photometry
from layout.engine.light.values import LightError
from reports.figures.figure import ANY_UNIT, Figure, FigureError, Input, Result
from reports.figures.kinds import ListOf, Number, Row, Text

GROUP = "light"
MOST_LIGHTS = 200
MOST_FILE = 1_000_000  # characters
WANTED_FILE = "the text of an LM-63 or EULUMDAT file"
DIRECT = "Direct light only: what walls and ceiling send back comes on top."
LOBE_ONLY = "A cosine lobe is smooth and round; a light's own file tells more."
ANY_SIZE, OR_ZERO = Number(), Number(zero=True)
ANYWHERE = Number(low=-1e6, high=1e6)
POWER = Number(low=1e-6, high=lobe.STEEPEST, zero=True)
CANDELA, PEAK = Number(high=1e9, zero=True), Number(high=lobe.BRIGHTEST_CD)
SOURCE = Number(low=-1e6, high=1e9)
DEGREES = Number(low=lobe.NARROWEST_DEG, high=lobe.WIDEST_DEG)


EXAMPLE_FILE = """IESNA:LM-63-2002
[TEST] none
[TESTLAB] none
[ISSUEDATE] 2026-12-01
[MANUFAC] none, an example: a lobe of cos v
TILT=NONE
1 -1 1 10 1 1 2 -0.15 -0.15 0
1 1 10
0 10 20 30 40 50 60 70 80 90
0
318.3 313.5 299.1 275.7 243.8 204.6 159.2 108.9 55.3 0
"""


def meters(name: str, label: str, example: float, *, zero: bool = False) -> Input:
    return Input(name, label, Number(low=1e-4, high=1e4, zero=zero), "m", example)


def optional(name: str, label: str, kind: Any, unit: str, example: float | None, hint: str = "") -> Input:
    return Input(name, label, kind, unit, example, optional=True, hint=hint)


HEIGHT = meters("height_m", "Height of the light above the point", 8)
EXITANCE = Input("exitance_lm_m2", "Lumens from each square meter of it", OR_ZERO, "lm/m2", 1000)
LX = Result("lx", "Illuminance", "lx")
FC = Result("fc", "In footcandles", "fc")


def by_field(reckon: Callable[..., Mapping[str, object]]) -> Callable[..., Mapping[str, object]]:
    """What the light engine refuses, said at the input it is about."""

    @wraps(reckon)
    def told(**given: Any) -> Mapping[str, object]:
        try:
            return reckon(**given)
        except LightError as error:
            raise FigureError(str(error).removeprefix(f"{error.field}: "), _input_of(error.field, given)) from error

    return told


def _input_of(field: str, given: Mapping[str, object]) -> str:
    """The input an engine's field is: by its name, by its name and a unit, or the only one."""
    if len(given) == 1:
        return next(iter(given))
    return next((one for one in given if one == field or one.startswith(f"{field}_")), "") if field else ""


def _point(
    height_m: float,
    offset_m: float,
    flux_lm: float | None,
    intensity_cd: float | None,
    peak_cd: float | None,
    power: float | None,
) -> Mapping[str, object]:
    ways = {"flux_lm": flux_lm, "intensity_cd": intensity_cd, "peak_cd": peak_cd}
    given = [name for name, one in ways.items() if one is not None]
    if len(given) != 1:
        raise FigureError("give one of flux_lm, intensity_cd, or peak_cd with power.", given[1] if given else "flux_lm")
    if (peak_cd is None) != (power is None):
        raise FigureError("peak_cd and power go together. Give both or neither.", "power")
    if flux_lm is not None:
        cd = closed.isotropic_cd(flux_lm)
    elif intensity_cd is not None:
        cd = intensity_cd
    else:
        assert peak_cd is not None and power is not None
        cd = closed.lobe_cd(peak_cd, power, height_m, offset_m)
    there = closed.at_point(cd, height_m, offset_m)
    return {
        "horizontal_lx": there.horizontal_lx,
        "vertical_lx": there.vertical_lx,
        "intensity_cd": cd,
        "horizontal_fc": closed.footcandles(there.horizontal_lx),
    }


def _points(
    sources: tuple[tuple[float, float, float], ...], height_m: float, at: tuple[float, float]
) -> Mapping[str, object]:
    for number, (_x, _y, cd) in enumerate(sources, 1):
        if cd < 0:
            raise FigureError(f"number {number}: cd: {cd:g} is no intensity. Give 0 or more.", "sources")
    lx = closed.at_points(sources, height_m, at)
    return {"horizontal_lx": lx, "horizontal_fc": closed.footcandles(lx)}


def lit(lx: float) -> Mapping[str, object]:
    return {"lx": lx, "fc": closed.footcandles(lx)}


def _lobe(beam_deg: float | None, power: float | None, flux_lm: float | None) -> Mapping[str, object]:
    if (beam_deg is None) == (power is None):
        raise FigureError("give either beam_deg or power.", "beam_deg")
    found = lobe.power_of(beam_deg) if power is None and beam_deg is not None else power
    assert found is not None
    return {
        "power": found,
        "peak_cd": lobe.peak_of(flux_lm, found) if flux_lm is not None else None,
        "beam_deg": lobe.beam_of(found),
        "field_deg": lobe.field_of(found),
    }


def _spacing(power: float) -> Mapping[str, object]:
    parallel, diagonal = closed.lobe_spacing(power)
    return {"parallel": parallel, "diagonal": diagonal, "smaller": min(parallel, diagonal)}


def _file_spacing(light: photometry.Photometry) -> tuple[tuple[float | None, float | None], tuple[str, ...]]:
    """Spacing between two and among four; of a light dark straight down neither, and why. The rest stays told."""
    try:
        return photometry.spacing_criterion(light), ()
    except LightError as untold:
        return (None, None), (str(untold),)


def _file(text: str) -> Mapping[str, object]:
    read = files.read(text)
    light = read.photometry
    (parallel, diagonal), untold = _file_spacing(light)
    return {
        "flux_lm": light.flux_lm,
        "edition": read.edition,
        "absolute": read.absolute,
        "lamps": read.lamps,
        "lumens_per_lamp": read.lumens_per_lamp,
        "watts": read.watts,
        "peak_cd": float(light.candela_table.max()),
        "beam_deg": photometry.beam_deg(light),
        "field_deg": photometry.field_deg(light),
        "spacing_parallel": parallel,
        "spacing_diagonal": diagonal,
        "down_fraction": photometry.down_fraction(light),
        "zonal_lm": [float(one) for one in photometry.zonal_lumens(light)],
        "keywords": [f"{name}: {said}" for name, said in read.keywords.items()],
        "warnings": [*read.warnings, *untold],
    }


def figure(name: str, title: str, reckon: Callable[..., Mapping[str, object]], **rest: Any) -> Figure:
    return Figure(name=name, title=title, group=GROUP, reckon=by_field(reckon), **rest)


SQUARE = "inverse square and cosine law; course slides and a textbook's examples (seen)"
FIVE_TIMES = "A light counts as a point from five times its largest size; a disk is 1 % off there."
FIGURES = (
    figure(
        "light.point",
        "Illuminance from one light",
        _point,
        inputs=(
            HEIGHT,
            meters("offset_m", "Aside from under the light", 6, zero=True),
            optional("flux_lm", "Lumens, shining the same all round", CANDELA, "lm", 1200, "or one of the next"),
            optional("intensity_cd", "Intensity toward the point", CANDELA, "cd", None),
            optional("peak_cd", "Intensity straight down", PEAK, "cd", None, "with the power of its lobe"),
            optional("power", "Power of its lobe", POWER, "", None),
        ),
        results=(
            Result("horizontal_lx", "On a level surface", "lx"),
            Result("vertical_lx", "On an upright surface facing the light", "lx"),
            Result("intensity_cd", "Intensity toward the point", "cd"),
            Result("horizontal_fc", "On a level surface", "fc"),
        ),
        rule="I h / d^3 level and I x / d^3 upright, d to the light; a lobe: peak x cos^power, all round: flux / 4 pi.",
        source=SQUARE,
        cautions=(DIRECT, FIVE_TIMES),
    ),
    figure(
        "light.points",
        "Illuminance from several lights",
        _points,
        inputs=(
            Input(
                "sources",
                "Lights: place on the plan, and intensity toward the point",
                ListOf(Row(("x in m", "y in m", "cd"), SOURCE), MOST_LIGHTS, 1, of_what="lights [x, y, cd]"),
                "",
                [[-15, 0, 200], [-5, 0, 200], [5, 0, 200], [15, 0, 200]],
            ),
            meters("height_m", "Height of the lights above the point", 5),
            Input("at", "Point on the plan", Row(("x in m", "y in m"), ANYWHERE), "", [0, 0]),
        ),
        results=(
            Result("horizontal_lx", "On a level surface", "lx"),
            Result("horizontal_fc", "On a level surface", "fc"),
        ),
        rule="The sum of I h / d^3 over the lights.",
        source=SQUARE,
        cautions=(DIRECT, FIVE_TIMES),
    ),
    figure(
        "light.footcandles",
        "Lux in footcandles",
        lambda lx: {"fc": closed.footcandles(lx)},
        inputs=(Input("lx", "Illuminance", OR_ZERO, "lx", 500),),
        results=(FC,),
        rule="1 fc is 1 lm on a square foot: lx x 0.3048^2.",
        source="definition of the foot, exact",
    ),
    figure(
        "light.panel",
        "Illuminance under a panel",
        lambda **given: lit(closed.under_panel(**given)),
        inputs=(
            meters("length_m", "Panel, length", 0.6),
            meters("width_m", "Panel, width", 0.6),
            EXITANCE,
            meters("height_m", "Height of the panel above the point", 2),
        ),
        results=(LX, FC),
        rule="M x the view factor from a point under the center to the rectangle; the panel matt, level and even.",
        source="element to rectangle, parallel (Siegel and Howell); closed form",
        cautions=(DIRECT,),
    ),
    figure(
        "light.disk",
        "Illuminance under a disk",
        lambda **given: lit(closed.under_disk(**given)),
        inputs=(
            meters("radius_m", "Disk, radius", 0.09),
            EXITANCE,
            meters("height_m", "Height of the disk above the point", 1),
        ),
        results=(LX, FC),
        rule="M R^2 / (R^2 + h^2); the disk matt, level and even, the point under its center.",
        source="closed form (from memory)",
        cautions=(DIRECT,),
    ),
    figure(
        "light.lobe",
        "A light without a file, from its beam",
        _lobe,
        inputs=(
            optional("beam_deg", "Beam angle, side to side", DEGREES, "degrees", 60, "or the power"),
            optional("power", "Power of the lobe", POWER, "", None),
            optional("flux_lm", "Lumens, all downward", Number(high=lobe.BRIGHTEST_LM), "lm", 1000),
        ),
        results=(
            Result("power", "Power of the lobe", ""),
            Result("peak_cd", "Intensity straight down", "cd"),
            Result("beam_deg", "Beam, to half", "degrees"),
            Result("field_deg", "Field, to a tenth", "degrees"),
        ),
        rule="I = I0 cos^n; half at half the beam angle, a tenth at half the field; lumens = 2 pi I0 / (n + 1).",
        source="closed form; beam and field as IES defines them (seen)",
        cautions=(LOBE_ONLY,),
    ),
    figure(
        "light.beam_circle",
        "Circle of a beam",
        lambda beam_deg, height: {"diameter": closed.beam_circle(beam_deg, height)},
        inputs=(
            Input("beam_deg", "Beam angle, side to side", Number(high=179.9), "degrees", 60),
            Input("height", "Height of the light above the surface", ANY_SIZE, ANY_UNIT, 6.5),
        ),
        results=(Result("diameter", "Across the circle", ANY_UNIT),),
        rule="2 h tan(beam / 2).",
        source="geometry; how-to pages (seen)",
        cautions=("The edge is where intensity is half: on the surface less than half arrives there.",),
    ),
    figure(
        "light.spacing_criterion",
        "Widest even spacing of a lobe",
        _spacing,
        inputs=(Input("power", "Power of the lobe", POWER, "", 1),),
        results=(
            Result("parallel", "Between two lights, over height", ""),
            Result("diagonal", "Among four lights, over height", ""),
            Result("smaller", "The smaller of the two", ""),
        ),
        rule="2 E(S/2) = E(0) between two, 4 E(S / root 2) = E(0) among four; height above the plane.",
        source="the two tests from memory of the IES Handbook; closed form for a lobe",
        cautions=("It is about the plane between lights. It says nothing about the walls.",),
    ),
    figure(
        "light.scallop",
        "Top of the scallop on a wall",
        lambda setback_m, half_beam_deg: {"below_ceiling_m": closed.scallop_top(setback_m, half_beam_deg)},
        inputs=(
            meters("setback_m", "Light off the wall", 0.6),
            Input("half_beam_deg", "Half the beam angle", Number(high=89.99), "degrees", 30),
        ),
        results=(Result("below_ceiling_m", "Below the ceiling", "m"),),
        rule="d / tan(half beam): where the beam's edge first meets the wall.",
        source="geometry",
        cautions=("A light nearer the wall has a higher, harder scallop.",),
    ),
    figure(
        "light.file",
        "What a photometric file says",
        _file,
        inputs=(Input("text", "LM-63 or EULUMDAT file", Text(MOST_FILE, WANTED_FILE), "", EXAMPLE_FILE),),
        results=(
            Result("flux_lm", "Lumens, by summing its candelas", "lm"),
            Result("edition", "Edition", ""),
            Result("absolute", "Absolute photometry", ""),
            Result("lamps", "Lamps", ""),
            Result("lumens_per_lamp", "Lumens of each lamp", "lm"),
            Result("watts", "Input", "W"),
            Result("peak_cd", "Most intensity", "cd"),
            Result("beam_deg", "Beam, to half", "degrees"),
            Result("field_deg", "Field, to a tenth", "degrees"),
            Result("spacing_parallel", "Spacing criterion, between two", ""),
            Result("spacing_diagonal", "Spacing criterion, among four", ""),
            Result("down_fraction", "Downward, of all its lumens", ""),
            Result("zonal_lm", "Lumens by 10 degrees from straight down", ""),
            Result("keywords", "What it says of itself", ""),
            Result("warnings", "To look at", ""),
        ),
        rule="Candela = table x multiplier x ballast factor; field 12 only before 1995. Lumens: I sin v summed.",
        source="LM-63, 1986 to 2019, through open parsers and excerpts (seen)",
        cautions=("Type A and B photometry is converted or refused, never read as type C.",),
    ),
)
