"""Light against worked cases from outside: textbooks, worksheets, a published table of utilization, closed forms.

Cases that are figures run through the batch command (figure_cases.json, test_figures.py), those of photometric files in
test_light_files.py. Here are the others of lighting_cases.json, and what the handbook pages print beside them:
`printed` is a number that was seen printed, `worked` one worked by closed form apart from this code.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from layout.engine.lengths import Unit, feet, inches
from layout.engine.light import closed, lumen_method, view_factors
from layout.engine.rows.arrange import Hole, Mode, Wish, arrange
from reports.figures.batch import answered
from tests.engine.lit_rooms import THIRDS_AND_HALF

HERE = Path(__file__).parent
CASES = {case["id"]: case for case in json.loads((HERE / "lighting_cases.json").read_text())}
FIGURES = {case["id"].split(".")[0] for case in json.loads((HERE / "figure_cases.json").read_text())}
FILES = {"IR01", "IR03", "IR05"}  # open sample files of two packages: test_light_files.py


def _tilted():
    given = CASES["PP07"]["inputs"]
    return [closed.tilted(closed.isotropic_cd(given["flux_lm"]), given["r_m"], given["angle_deg"])]


def _ratios():
    given = CASES["LM02"]["inputs"]
    return [lumen_method.rectangle_ratio(given["L"], given["W"], given[height]) for height in ("hrc", "hfc")]


def _both_offset():
    """The floor from .1 to .6 off the edge, the wall from .2 to .5 above it, both .5 along it."""
    along = np.array([0.0, 0.5])
    exchange = view_factors.perpendicular_exchange(along, np.array([0.1, 0.6]), along, np.array([0.2, 0.5]))
    return [float(exchange[0, 0]) / 0.25]


def _box_factors():
    factors = closed.box_factors(4, 3, 2.5)
    return [factors[0, 1], factors[0, 2], factors[0, 4], factors[0].sum()]


def _even_box():
    """Whatever the light falls on, all surfaces alike: here a third of it on one wall, the rest on the ceiling."""
    lit = closed.box(4, 3, 2.5, floor=0.5, ceiling=0.5, wall=0.5, flux_lm=(0, 2000, 0, 0, 1000, 0))
    areas = (12, 12, 20, 15)
    lux = (lit.floor_lx, lit.ceiling_lx, lit.length_wall_lx, lit.width_wall_lx)
    return [sum(area * each for area, each in zip(areas, lux, strict=True)) / 59]


def _half_gap():
    """Three lights along 12 ft, half a gap off the walls: by the engine that places them."""
    wish = Wish(
        along=feet(12),
        across=feet(12),
        unit=Unit.INCH,
        mode_along=Mode.HALF_GAP,
        mode_across=Mode.HALF_GAP,
        rows=3,
        columns=3,
        end_setback=inches(24),
        row_setback=inches(24),
        spacing_limit=inches(60),
        light=Hole(inches(6)),
        speaker=Hole(inches(8)),
        speaker_gaps=(),
        speaker_columns=(),
        subwoofer=None,
        edge_min=inches(4),
        web_min=inches("1 1/2"),
        speaker_to_light_min=inches(24),
    )
    first, second, _third = (float(at.nm / feet(1).nm) for at in arrange(wish).columns)
    return [second - first, first]


ASKED = {
    "PP07": _tilted,
    "PP09": lambda: [closed.brightest_height(CASES["PP09"]["inputs"]["x_m"])],
    "LM02": _ratios,
    "LM08": lambda: [lumen_method.between(2.5, (2, 3), (0.90, 0.85))],
    "VF03": lambda: [view_factors.opposed(1, 1, 1), view_factors.perpendicular(1, 1, 1)],
    "VF05": _both_offset,
    "VF13": _box_factors,
    "RB03": _even_box,
    "LY07": _half_gap,
    # The line of 20 degrees from the foot of the wall: as far below the ceiling as the room is high.
    "LY09": lambda: [2.7 / closed.scallop_top(1, 20)],
    "EN02": lambda: [closed.watts_per_square_meter(0.64)],
}


@pytest.mark.parametrize("case_id", ASKED)
def test_the_engine_comes_to_the_number_of_the_case(case_id):
    case = CASES[case_id]
    wanted = case["expected"] if isinstance(case["expected"], list) else [case["expected"]]
    assert ASKED[case_id]() == pytest.approx(wanted, abs=case["tolerance"], rel=0)


def test_no_case_of_light_is_left_out():
    assert set(CASES) == set(ASKED) | (FIGURES & set(CASES)) | FILES


def result(figure, **inputs):
    found = answered({"figure": figure, "inputs": inputs})
    assert "result" in found, found
    return found["result"]


def near(found, wanted, within):
    assert found == pytest.approx(wanted, abs=within, rel=0)


def test_points_as_textbooks_print_them():
    """Textbook examples 49.1 and 49.2, printed; course slides and the cosine laws, worked."""
    near(result("light.point", flux_lm=1200, height_m=8, offset_m=6)["horizontal_lx"], 0.764, 0.0005)
    below = result("light.point", intensity_cd=100, height_m=10, offset_m=0)["horizontal_lx"]
    near(result("light.point", intensity_cd=100, height_m=10, offset_m=19.083)["horizontal_lx"], below / 10, 1e-5)
    corners = [[x, y, 250] for x in (-2, 2) for y in (-2, 2)]
    near(result("light.points", sources=corners, height_m=6, at=[0, 0])["horizontal_lx"], 20.558, 0.0005)
    # A matt source with 25 lx right below it at 2.4 m: as the fourth power of the cosine, .8 at 1.8 m aside.
    matt = result("light.point", peak_cd=25 * 2.4**2, power=1, height_m=2.4, offset_m=1.8)
    near(matt["horizontal_lx"], 25 * 0.8**4, 1e-9)
    near(matt["vertical_lx"] / matt["horizontal_lx"], 1.8 / 2.4, 1e-12)
    near(result("light.point", intensity_cd=1000, height_m=1.2, offset_m=0.9)["vertical_lx"], 266.667, 0.001)


def test_a_panel_two_meters_up_is_three_percent_less_than_a_point():
    """Element to rectangle (Siegel and Howell); the point model says 28.648."""
    lx = result("light.panel", length_m=0.6, width_m=0.6, exitance_lm_m2=1000, height_m=2)["lx"]
    near(lx, 27.815, 0.0005)
    near(28.648 / lx, 1.030, 0.0005)


@pytest.mark.parametrize(
    ("beam", "parallel", "diagonal"), [(None, 1.53, 1.74), (120, 1.29, 1.41), (60, 0.88, 0.92), (40, 0.64, 0.66)]
)
def test_spacing_criteria_as_they_are_listed(beam, parallel, diagonal):
    """The list of closed forms for a lobe; 120 degrees is the matt source, no beam the bare one."""
    power = result("light.lobe", beam_deg=beam)["power"] if beam else 0
    found = result("light.spacing_criterion", power=power)
    near([found["parallel"], found["diagonal"]], [parallel, diagonal], 0.006)


def test_lobes_of_known_beams():
    """A matt source falls to half at 60 degrees; ln .5 / ln cos 30 = 4.8188."""
    near(result("light.lobe", beam_deg=120)["power"], 1, 1e-9)
    near(result("light.lobe", beam_deg=60)["power"], 4.81884, 5e-6)
    near(result("light.lobe", beam_deg=60, flux_lm=1000)["peak_cd"], 1000 * 5.81884 / (2 * math.pi), 0.001)


def test_lumen_method_as_it_is_printed():
    """College notes: 53.33, so 54 lamps. Worksheet: 4.35 and 1.15. Utility: 5.5. Trade magazine: 1500 lm."""
    found = result(
        "light.lumen_count", target_lx=200, area_m2=60 * 24, lumens_each=18000, utilization=0.4, maintenance=0.75
    )
    near(found["exact"], 53.33, 0.005)
    assert found["count"] == 54
    near(result("light.cavity_ratio", length=40, width=15, height=2.5)["ratio"], 1.15, 0.005)
    near(result("light.cavity_ratio", length=12, width=10, height=6)["ratio"], 5.5, 1e-9)
    bare = result(
        "light.lumen_count",
        target_lx=3 / 0.3048**2,
        area_m2=500 * 0.3048**2,
        lumens_each=1,
        utilization=1,
        maintenance=1,
    )
    near(bare["exact"], 1500, 1e-6)


OPPOSED = {  # Howell C-11 over X = a/c and Y = b/c, worked
    (0.5, 0.5): 0.0686, (0.5, 1): 0.1167, (0.5, 2): 0.1653, (0.5, 5): 0.2059, (1, 1): 0.1998,
    (1, 2): 0.2859, (1, 5): 0.3592, (2, 2): 0.4153, (2, 5): 0.5299, (5, 5): 0.6902,
}  # fmt: skip
SQUARE = {  # Howell C-14 over H = h/l and W = w/l, worked
    (0.5, 0.5): 0.2406, (0.5, 1): 0.1462, (0.5, 2): 0.0787, (1, 0.5): 0.2924, (1, 1): 0.2000,
    (1, 2): 0.1164, (2, 0.5): 0.3146, (2, 1): 0.2329, (2, 2): 0.1493,
}  # fmt: skip


def test_view_factors_as_they_are_listed():
    for (x, y), factor in OPPOSED.items():
        for length, width in ((x, y), (y, x)):
            found = result("light.view_factor", kind="parallel", length=3 * length, width=3 * width, distance=3)
            near(found["value"], factor, 5.1e-5)
    for (height, depth), factor in SQUARE.items():
        found = result(
            "light.view_factor", kind="perpendicular", common_edge=2, from_depth=2 * depth, to_height=2 * height
        )
        near(found["value"], factor, 5.1e-5)


def test_a_thing_far_away_takes_what_its_area_takes_of_a_matt_source():
    """Two small squares a long way apart: area / (pi d^2)."""
    found = result("light.view_factor", kind="parallel", length=1, width=1, distance=1000)["value"]
    assert found == pytest.approx(1 / (math.pi * 1000**2), rel=1e-4)


@pytest.mark.parametrize(("power", "at", "mean", "least", "walls"), THIRDS_AND_HALF)
def test_thirds_give_more_on_the_plane_and_less_on_the_walls(power, at, mean, least, walls):
    """12 x 12 ft, 9 ft high, plane at 2.5 ft, four lights: a list of own numbers, worked twice apart from this code."""
    found = result(
        "light.room",
        length_ft=12,
        width_ft=12,
        ceiling_ft=9,
        plane_ft=2.5,
        lights_ft=[[x, y] for x in at for y in at],
        peak_cd=1000,
        power=power,
        grid=60,
    )
    near(found["plane_avg_lx"], mean, 0.06)
    near([found["min_over_avg"], found["wall_over_plane"]], [least, walls], 0.0006)
