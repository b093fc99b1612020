"""Photometric files against what stands outside the reader: exact integrals of their lobes, and another reader.

The files in photometric/ are made from formulas and name nobody. A 5 degree table that is linear between its angles
reads 0.06 % below the formula, 0.2 % at worst where the lobe is narrow. The other reader is photompy 0.3.1 (MIT), a
general library for the format; it reads the editions from 1995 with blanks between numbers.
"""

import math
import warnings
from pathlib import Path

import numpy as np
import photompy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.light import lm63
from layout.engine.light.lobe import Lobe, field_of, peak_of
from layout.engine.light.photometry import beam_deg, field_deg, spacing_criterion
from tests.engine.light_file_texts import text_of

FILES = Path(__file__).parent / "photometric"

# The exact integral of the lobe each file was made from, all factors in; closed form.
FLUX = {
    "lambert_1995": 1000.0,  # 1000 lm Lambertian lamp
    "cos_2002_abs_mult": 2 * math.pi * 100 * 2.5 * 0.9 / 3,  # 100 cos^2, x 2.5, ballast 0.9: 471.239
    "quad_2019_filegen": math.pi * 200,  # 100 to 300 cos, linear over the quadrant; 1.10000 is a code
    "noversion_1986_tilt": 1000 * 0.95,  # field 12 counts in 1986; tilt is for a tilted light only
    "bilateral_180": math.pi * 150,  # 100, 200, 100 cos over the half turn
    "mirror_90_270_1995": math.pi * 200,  # 200 cos v (1 + sin h / 2): the sine has no mean
    "open_turn_1991": math.pi * 200 * 0.9,  # 200 cos v (1 + cos h / 2), field 12 0.9
    "up_and_down_2002": math.pi * 400,  # 300 cos down, 100 cos up
    "uplight_2019": math.pi * 100,
    "batwing_2002": math.pi * 480,  # 2 pi x 10 x 0.8 x integral of (20 + 60 sin^2 2v) cos v sin v = 10 + 20
}


def told(name):
    return lm63.read((FILES / f"{name}.ies").read_bytes())


def test_every_file_has_its_closed_form():
    assert sorted(FLUX) == sorted(path.stem for path in FILES.glob("*.ies"))


@pytest.mark.parametrize("name", FLUX)
def test_the_flux_of_a_file_is_the_integral_of_its_lobe(name):
    assert told(name).photometry.flux_lm == pytest.approx(FLUX[name], rel=0.002)


@pytest.mark.parametrize(
    ("name", "edition", "symmetry"),
    [
        ("noversion_1986_tilt", "LM-63-1986", "the same all round"),
        ("open_turn_1991", "LM-63-1991", "no symmetry"),
        ("mirror_90_270_1995", "LM-63-1995", "mirrored about the 90-270 plane"),
        ("bilateral_180", "LM-63-2002", "mirrored about the 0-180 plane"),
        ("quad_2019_filegen", "LM-63-2019", "alike in four quadrants"),
    ],
)
def test_edition_and_symmetry_of_a_file(name, edition, symmetry):
    assert (told(name).edition, told(name).symmetry) == (edition, symmetry)


def test_tilt_factors_of_the_1986_file_are_kept():
    assert told("noversion_1986_tilt").tilt.factor_at(22.5) == pytest.approx(0.95)


def test_the_lambertian_file_has_the_angles_of_the_closed_form():
    """cos 60 = 0.5; cos 84.26 = 0.1; the criterion of cos^1: 1.2872 and sqrt 2 (IES Lighting Handbook, from memory)."""
    light = told("lambert_1995").photometry
    assert beam_deg(light) == pytest.approx(120, abs=0.05)
    assert field_deg(light) == pytest.approx(168.52, abs=0.05)
    assert spacing_criterion(light) == pytest.approx((1.2872, 1.4142), abs=0.002)


def test_lobes_of_the_reference_cases():
    """PH01, PH03, SC02, SC04: closed forms worked apart from this code."""
    assert peak_of(1000, 1) == pytest.approx(318.31, abs=0.01)
    assert field_of(4.81884) == pytest.approx(103.35, abs=0.01)
    assert spacing_criterion(Lobe(1000, 1)) == pytest.approx((1.2872, 1.4142), abs=0.0002)
    assert spacing_criterion(Lobe(1000, 11.1434)) == pytest.approx((0.6418, 0.6581), abs=0.0002)


# --- the other reader ---


def other(text):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return photompy.IESFile.read(text.encode() if isinstance(text, str) else text)


def agree(text):
    """The same candelas in every direction both know, up to the ballast factor, which photompy leaves out."""
    ours, theirs = lm63.read(text), other(text)
    whole = theirs.photometry.expanded()
    source = np.random.default_rng(11)
    vertical = source.uniform(0, ours.photometry.vertical_deg[-1], 500)
    horizontal = source.uniform(0, 360, 500)
    found = ours.photometry.candela(vertical, horizontal) / theirs.header.ballast_factor
    expected = np.asarray(whole.get_intensity(vertical, horizontal))
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    "name", ["lambert_1995", "bilateral_180", "quad_2019_filegen", "up_and_down_2002", "batwing_2002"]
)
def test_both_readers_find_the_same_candelas_and_within_a_thousandth_the_same_flux(name):
    text = (FILES / f"{name}.ies").read_bytes()
    agree(text)
    # photompy sums over bands halfway between the angles, this engine integrates: they meet as steps shrink.
    assert told(name).photometry.flux_lm == pytest.approx(other(text).photometry.total_optical_power(), rel=1e-3)


@st.composite
def lights(draw):
    """Files with angles and candelas of any kind, in each symmetry that both readers know."""
    step = draw(st.sampled_from([2.5, 5, 7.5, 15, 30]))
    end = draw(st.sampled_from([90, 180]))
    turn = draw(st.sampled_from([0, 90, 180, 360]))
    vertical = tuple(np.arange(0, end + 0.1, step))
    across = draw(st.sampled_from([15, 22.5, 30, 45, 90]))  # photompy rounds the angles it mirrors
    horizontal = tuple(np.arange(0, turn + 0.1, across))
    seed = draw(st.integers(0, 2**32 - 1))
    table = np.random.default_rng(seed).uniform(0, 5000, (len(horizontal), len(vertical))).round(1)
    if turn == 360:
        table[-1] = table[0]
    rows = {(v, h): table[j, i] for j, h in enumerate(horizontal) for i, v in enumerate(vertical)}
    return text_of(
        lambda v, h: rows[v, h],
        version=draw(st.sampled_from(["IESNA:LM-63-1995", "IESNA:LM-63-2002", "IES:LM-63-2019"])),
        vertical=vertical,
        horizontal=horizontal,
        multiplier=draw(st.sampled_from([1, 0.5, 2.25])),
        factors="1 1.00010",
    )


@settings(max_examples=25)
@given(lights())
def test_both_readers_agree_on_any_light(text):
    agree(text)


SHAPES = {
    "0 0 0": ("point", "POINT"),
    "0.3 0.6 0": ("rectangle", "RECTANGULAR"),
    "0.3 0.6 0.1": ("box", "RECTANGULAR_WITH_SIDES"),
    "-0.12 -0.12 0": ("circle", "CIRCULAR"),
    "-0.1 -0.2 0": ("ellipse", "ELLIPSE"),
    "-0.12 -0.12 0.3": ("upright cylinder", "VERTICAL_CYLINDER"),
    "-0.1 -0.2 -0.3": ("ellipsoid", "ELLIPSOIDAL_SPHEROID"),
    "-0.04 1.2 -0.04": ("cylinder lying along the 0-180 plane", "HORIZONTAL_CYLINDER_ALONG"),
    "1.2 -0.04 -0.04": ("cylinder lying across the 0-180 plane", "HORIZONTAL_CYLINDER_PERPENDICULAR"),
    "-0.3 0 -0.3": ("upright circle", "VERTICAL_CIRCLE"),
}


@pytest.mark.parametrize("opening", SHAPES)
@pytest.mark.parametrize("units", [1, 2])
def test_both_readers_find_the_same_opening(opening, units):
    text = text_of(lambda v, h: 100, version="IES:LM-63-2019", opening=opening, units=units)
    ours, theirs = lm63.read(text), other(text).header.luminous_opening
    assert (ours.shape, theirs.shape.name) == SHAPES[opening]
    found = ours.photometry.opening
    assert (found.width, found.length, found.height) == pytest.approx(
        (abs(theirs.width), abs(theirs.length), abs(theirs.height))
    )


def test_both_readers_keep_the_same_keywords():
    text = (FILES / "quad_2019_filegen.ies").read_bytes()
    assert dict(told("quad_2019_filegen").keywords) == other(text).header.keywords
