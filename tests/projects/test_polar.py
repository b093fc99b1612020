"""The polar curve: where its points lie, what its table says, and that nothing but lines and words is in it."""

import re
from xml.etree import ElementTree

import numpy as np
import pytest

from layout.engine.light import files, lobe
from projects.catalogue.polar import RADIUS, WIDE, polar_svg, polar_table
from tests.engine.light_file_texts import cosine, text_of

SVG = "{http://www.w3.org/2000/svg}"
LAMBERT = lobe.from_beam(120, 1000)  # I falls as the cosine; 1000 / pi = 318.31 cd straight down


def drawing(emitter, title="A light"):
    return ElementTree.fromstring(polar_svg(emitter, title=title, words="Words."))


def curves(root):
    return [
        np.array([[float(number) for number in point.split(",")] for point in line.get("points").split()])
        for line in root.iter(f"{SVG}polyline")
    ]


def rings(root):
    return [float(text.text) for text in root.iter(f"{SVG}text") if "°" not in text.text]


def test_a_cosine_is_a_circle_that_touches_the_ceiling():
    """In polar coordinates I0 cos v is a circle with diameter I0 below the light."""
    root = drawing(LAMBERT)
    [points] = curves(root)
    most = rings(root)[-1]
    diameter = RADIUS * 318.31 / most
    top = points[:, 1].min()
    off = np.hypot(points[:, 0] - WIDE / 2, points[:, 1] - (top + diameter / 2))
    assert off == pytest.approx(diameter / 2, abs=0.1)


def test_its_table_has_the_candelas_of_the_drawing():
    table = polar_table(LAMBERT)
    assert table.planes == (0.0,)
    candelas = {row.vertical_deg: row.candela[0] for row in table.rows}
    assert (candelas[0], candelas[60]) == (pytest.approx(318.31, abs=0.01), pytest.approx(159.15, abs=0.01))
    assert [row.vertical_deg for row in table.rows] == list(range(0, 91, 5))


def test_rings_are_round_numbers_and_hold_the_brightest():
    for lumens in (1, 37, 450, 1000, 99_000):
        emitter = lobe.from_beam(60, lumens)
        told = rings(drawing(emitter))
        assert 2 <= len(told) <= 5
        assert told[-1] >= emitter.peak_cd * (1 - 1e-9) > told[-1] - 1.001 * told[0]
        assert re.fullmatch(r"(1|2|2\.5|5)e[+-]\d+", f"{told[0]:.1e}".replace(".0", "")), told


def test_a_light_that_differs_all_round_has_a_solid_and_a_dashed_curve():
    """Twice as bright along 0-180 as along 90-270."""
    told = text_of(lambda v, h: cosine(v) * (2 - h / 90), horizontal=(0, 45, 90))
    emitter = files.read(told).photometry
    solid, dashed = drawing(emitter).iter(f"{SVG}polyline")
    assert solid.get("stroke-dasharray") is None and dashed.get("stroke-dasharray")
    wide, narrow = (np.ptp(points[:, 0]) for points in curves(drawing(emitter)))
    assert wide == pytest.approx(2 * narrow, rel=0.01)
    assert polar_table(emitter).planes == (0, 90, 180, 270)


def test_the_zero_plane_is_on_the_right():
    told = text_of(lambda v, h: cosine(v) * (1.5 if h in (0, 360) else 1), horizontal=(0, 90, 180, 270, 360))
    points = curves(drawing(files.read(told).photometry))[0] - [WIDE / 2, 0]
    assert points[:, 0].max() > 1.4 * -points[:, 0].min()


def test_light_above_the_horizontal_is_drawn_above_it():
    told = text_of(lambda v, h: 100.0, vertical=tuple(range(0, 181, 5)))
    emitter = files.read(told).photometry
    [points] = curves(drawing(emitter))
    assert np.ptp(points[:, 1]) == pytest.approx(2 * RADIUS, abs=0.2)  # the same in every direction: a whole circle
    assert polar_table(emitter).rows[-1].vertical_deg == 180


def test_words_are_text_and_nothing_is_a_style_or_a_script():
    svg = polar_svg(LAMBERT, title="<script>alert(1)</script>", words='"><svg onload=x>')
    root = ElementTree.fromstring(svg)
    assert root.find(f"{SVG}title").text == "<script>alert(1)</script>"
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {
        "svg", "title", "desc", "path", "circle", "text", "polyline",
    }  # fmt: skip
    assert "style" not in svg
    assert {element.get(name) for element in root.iter() for name in ("stroke", "fill")} <= {None, "none", "#000"}
