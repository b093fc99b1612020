"""Sound against worked cases from outside: standards' tables, an open library's vectors, closed forms.

sound_cases.json are the cases; those that are figures run through the batch command (figure_cases.json,
test_figures.py), the others here, and beside them what is printed around them. `seen` was read in a public copy.
"""

import json
import math
from pathlib import Path

import pytest

from layout.engine.sound import coverage, listening, reverberation
from layout.engine.sound.air import exact_band_hz
from layout.engine.wiring import speaker_lines
from reports.figures.registry import reckon

HERE = Path(__file__).parent
CASES = {case["id"]: case for case in json.loads((HERE / "sound_cases.json").read_text())}
FIGURES = {
    case["id"]: case
    for case in json.loads((HERE / "figure_cases.json").read_text())
    if case["figure"].startswith("sound.")
}


def _gypsum_and_carpet():
    given = CASES["RT04"]["inputs"]
    x, y, z = given["room_m"]
    surfaces = [
        reverberation.Surface("floor", x * y, {1000: given["alpha_carpet"]}),
        reverberation.Surface("ceiling and walls", x * y + 2 * (x + y) * z, {1000: given["alpha_gypsum"]}),
    ]
    found = reverberation.by_octave(surfaces, x * y * z, bands=[1000], c=given["c"])[0].sabine
    return found.t60_s * (found.absorption_m2 + found.air_m2) / found.absorption_m2  # the case leaves out the air


ASKED = {
    "CV05": lambda: coverage.largest_spacing("square"),
    "RT04": _gypsum_and_carpet,
}


@pytest.mark.parametrize("case", ASKED)
def test_the_engine_comes_to_the_worked_number(case):
    wanted, allowed = CASES[case]["expected"], CASES[case]["tolerance"]
    allowed *= wanted if CASES[case]["tolerance_kind"] == "relative" else 1
    assert ASKED[case]() == pytest.approx(wanted, rel=0, abs=allowed)


def test_no_case_is_left_out():
    assert set(CASES) - set(FIGURES) == set(ASKED)


def test_a_figure_is_the_same_case_as_its_page():
    """Where both lists have a case, they expect the same."""
    for name in set(CASES) & set(FIGURES):
        assert list(FIGURES[name]["expected"].values()) == [CASES[name]["expected"]], name


# --- tables printed around the cases, each reckoned as a figure

# ISO 9613-2 table 2, 20 C and 70 %, dB/km in octaves (seen).
AIR_20_70 = {63: 0.1, 125: 0.3, 250: 1.1, 500: 2.8, 1000: 5.0, 2000: 9.0, 4000: 22.9, 8000: 76.6}


@pytest.mark.parametrize("band", AIR_20_70)
def test_air_takes_what_the_standards_table_prints(band):
    found = reckon("sound.air", {"temp_c": 20, "rh_percent": 70, "f_hz": exact_band_hz(band)})
    assert found["db_per_km"] == pytest.approx(AIR_20_70[band], abs=0.051)


def test_one_printed_cell_of_air_is_rounded_otherwise():
    """15 C, 80 %, 1 kHz: 4.1 printed (seen), the formula gives 4.15: within the table's last digit all the same."""
    found = reckon("sound.air", {"temp_c": 15, "rh_percent": 80, "f_hz": 1000})["db_per_km"]
    assert found == pytest.approx(4.15, abs=0.005)


# IEC 61672-1 table 3, nominal third octaves: A and C, dB (octaves seen, the others from memory).
WEIGHTING = {
    10: (-70.4, -14.3),
    12.5: (-63.4, -11.2),
    16: (-56.7, -8.5),
    20: (-50.5, -6.2),
    25: (-44.7, -4.4),
    31.5: (-39.4, -3.0),
    40: (-34.6, -2.0),
    50: (-30.2, -1.3),
    63: (-26.2, -0.8),
    80: (-22.5, -0.5),
    100: (-19.1, -0.3),
    125: (-16.1, -0.2),
    160: (-13.4, -0.1),
    200: (-10.9, 0.0),
    250: (-8.6, 0.0),
    315: (-6.6, 0.0),
    400: (-4.8, 0.0),
    500: (-3.2, 0.0),
    630: (-1.9, 0.0),
    800: (-0.8, 0.0),
    1000: (0.0, 0.0),
    1250: (0.6, 0.0),
    1600: (1.0, -0.1),
    2000: (1.2, -0.2),
    2500: (1.3, -0.3),
    3150: (1.2, -0.5),
    4000: (1.0, -0.8),
    5000: (0.5, -1.3),
    6300: (-0.1, -2.0),
    8000: (-1.1, -3.0),
    10000: (-2.5, -4.4),
    12500: (-4.3, -6.2),
    16000: (-6.6, -8.5),
    20000: (-9.3, -11.2),
}


def test_a_and_c_weighting_are_the_standards_in_all_34_bands():
    assert len(WEIGHTING) == 34
    for band, printed in WEIGHTING.items():
        for curve, wanted in zip("AC", printed, strict=True):
            found = reckon("sound.weighting", {"curve": curve, "f_hz": exact_band_hz(band)})["db"]
            assert found == pytest.approx(wanted, abs=0.051), (curve, band)


@pytest.mark.parametrize(("celsius", "printed"), [(20, 343.204), (35, 351.875)])
def test_the_speed_of_sound_is_that_of_dry_air(celsius, printed):
    """sqrt(1.4 R T / 0.02897), a public forum's examples (seen)."""
    assert reckon("sound.speed", {"temp_c": celsius})["m_per_s"] == pytest.approx(printed, abs=0.01)


def test_a_web_example_of_modes_slips_in_two_digits():
    """5.2 x 4.0 x 2.8 m: 54.2 and 74.6 Hz printed (seen); 54.09 and 74.77 by the formula and on a grid."""
    for mode, hz in (([1, 1, 0], 54.09), ([0, 1, 1], 74.77)):
        assert reckon("sound.mode", {"room_m": [5.2, 4.0, 2.8], "mode": mode})["hz"] == pytest.approx(hz, abs=0.006)


# pattern, spacing over diameter, row pitch, share covered: closed forms, printed in trade notes (seen).
PATTERNS = [
    ("square", 1, 1, math.pi / 4),
    ("hex", 1, 0.866, 0.907),
    ("square", 0.707, 0.707, 1),
    ("hex", 0.866, 0.75, 1),
    ("square", 0.5, 0.5, 1),
    ("hex", 0.5, 0.433, 1),
]


@pytest.mark.parametrize(("pattern", "spacing", "row", "covered"), PATTERNS)
def test_patterns_cover_what_the_trade_prints(pattern, spacing, row, covered):
    found = reckon("sound.pattern", {"pattern": pattern, "spacing_over_diameter": spacing})
    assert found["row_over_diameter"] == pytest.approx(row, abs=5e-4)
    assert found["covered"] == pytest.approx(covered, abs=5e-4)
    if spacing == 0.5:
        assert found["twice"] == 1  # edge to center: everywhere twice or more


def test_arau_is_the_open_librarys():
    """V 3000, S 240/600/500, a 0.10/0.25/0.45: 1.14244 (open library's test, seen)."""
    inputs = {"formula": "arau", "areas_m2": [240, 600, 500], "alpha": [0.1, 0.25, 0.45], "volume_m3": 3000}
    assert reckon("sound.t60", inputs)["s"] == pytest.approx(1.14244, abs=1e-5)


def test_sabine_in_feet_is_the_same_time():
    """0.049 V / A in feet (published, seen): 72.9 m3 and 13.338 m2 are 2574.4 ft3 and 143.57 ft2."""
    inputs = {"formula": "sabine", "areas_m2": [13.338], "alpha": [1.0], "volume_m3": 72.9}
    assert reckon("sound.t60", inputs)["s"] == pytest.approx(0.049 * 2574.4 / 143.57, rel=0.003)


# BS.2051 ranges as coded in an open broadcaster's renderer (seen): azimuth left positive, elevation.
RANGES = {
    "BS.2051 0+5+0": {"M+030": (30, 30, 0, 0), "M+000": (0, 0, 0, 0), "M+110": (100, 120, 0, 15)},
    "BS.2051 2+5+0": {"U+030": (30, 45, 30, 55)},
    "BS.2051 4+5+0": {"M+110": (100, 120, 0, 15), "U+030": (30, 45, 30, 55), "U+110": (100, 135, 30, 55)},
    "BS.2051 0+7+0": {"M+030": (30, 45, 0, 0), "M+090": (85, 110, 0, 0), "M+135": (120, 150, 0, 0)},
    "BS.2051 4+7+0": {
        "M+030": (30, 45, 0, 0),
        "M+090": (85, 110, 0, 0),
        "M+135": (120, 150, 0, 0),
        "U+045": (30, 45, 30, 55),
        "U+135": (100, 150, 30, 55),
    },
    "BS.2051 3+7+0": {
        "M+090": (60, 150, 0, 0),
        "M+135": (60, 150, 0, 0),
        "U+045": (30, 45, 30, 45),
        "UH+180": (180, 180, 45, 90),
    },
    "BS.775 3/2": {"L": (30, 30, 0, 0), "C": (0, 0, 0, 0), "LS": (100, 120, 0, 15)},  # BS.775-3 figure (seen)
}


@pytest.mark.parametrize("system", RANGES)
def test_layouts_have_the_recommendations_ranges(system):
    for name, (left, right, low, high) in RANGES[system].items():
        channel = listening.LAYOUTS[system].channel(name)
        assert (*channel.az_range, *channel.el_range) == (left, right, low, high), name


def test_a_place_of_a_broadcasters_scene_file():
    """(30, 40, 2 m): -0.766, 1.327, 1.286 (open scene file, seen)."""
    found = reckon("sound.position", {"azimuth_deg_left_positive": 30, "elevation_deg": 40, "r_m": 2})
    assert [found[axis] for axis in "xyz"] == pytest.approx([-0.766, 1.327, 1.286], abs=6e-4)


def test_a_tap_loads_its_line_as_the_notes_print():
    """100 W on 70.7 V: 50.0 ohm; 4998 / P (published notes, seen)."""
    assert speaker_lines.line_ohm(70.7, 100) == pytest.approx(50.0, abs=0.05)
    assert speaker_lines.line_ohm(70.7, 1) == pytest.approx(4998, abs=1)
