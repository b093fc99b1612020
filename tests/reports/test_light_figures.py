"""Figures of light at their edges: what is answered, and which input is named when it can't be."""

import math

import pytest

from reports.figures.batch import answered
from tests.engine.light_file_texts import text_of


def answer(figure, **inputs):
    return answered({"figure": figure, "inputs": inputs})


def result(figure, **inputs):
    found = answer(figure, **inputs)
    assert "result" in found, found
    return found["result"]


ROOM = {
    "length_ft": 12, "width_ft": 12, "ceiling_ft": 9, "plane_ft": 2.5,
    "lights_ft": [[3, 3]], "peak_cd": 1000, "power": 1, "grid": 20,
}  # fmt: skip
UTILIZED = {"rcr": 2, "down_fraction": 0.8, "direct_ratio": 0.9, "ceiling": 0.8, "wall": 0.5, "floor": 0.2}
FACING = {"kind": "parallel", "length": 1, "width": 1, "distance": 1}
BOX = {
    "length_m": 4, "width_m": 3, "height_m": 2.5, "floor": 0.2, "ceiling": 0.7, "wall": 0.5, "flux_on_floor_lm": 3000,
}  # fmt: skip


@pytest.mark.parametrize(
    ("field", "figure", "inputs"),
    [
        ("flux_lm", "light.point", {"height_m": 2, "offset_m": 0}),
        ("intensity_cd", "light.point", {"height_m": 2, "offset_m": 0, "flux_lm": 3, "intensity_cd": 3}),
        ("power", "light.point", {"height_m": 2, "offset_m": 0, "peak_cd": 3}),
        ("height_m", "light.point", {"height_m": 0, "offset_m": 0, "flux_lm": 3}),
        ("sources", "light.points", {"sources": [[0, 0]], "height_m": 5, "at": [0, 0]}),
        ("sources", "light.points", {"sources": [[0, 0, 5], [0, 0, -5]], "height_m": 5, "at": [0, 0]}),
        ("at", "light.points", {"sources": [[0, 0, 5]], "height_m": 5, "at": [0]}),
        ("beam_deg", "light.lobe", {}),
        ("beam_deg", "light.lobe", {"beam_deg": 60, "power": 3}),
        ("beam_deg", "light.lobe", {"beam_deg": 180}),
        ("flux_lm", "light.lobe", {"power": 3, "flux_lm": 0}),
        ("beam_deg", "light.beam_circle", {"beam_deg": 180, "height": 3}),
        ("half_beam_deg", "light.scallop", {"setback_m": 0.6, "half_beam_deg": 90}),
        ("power", "light.spacing_criterion", {"power": -1}),
        ("text", "light.file", {"text": "hello"}),
        ("text", "light.file", {"text": 5}),
        ("text", "light.file", {"text": "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 x\n"}),
        ("ceiling", "light.utilization", UTILIZED | {"ceiling": 1}),
        ("floor", "light.utilization", UTILIZED | {"floor": -0.1}),
        ("up_fraction", "light.utilization", UTILIZED | {"up_fraction": 0.3}),
        ("width", "light.cavity_ratio", {"length": 4, "width": 0, "height": 2}),
        ("maintenance", "light.lumen_level", {"lumens": 1, "utilization": 1, "maintenance": 1.1, "area_m2": 3}),
        ("common_edge", "light.view_factor", {"kind": "perpendicular", "length": 1}),
        ("to_height", "light.view_factor", FACING | {"to_height": 1}),
        ("kind", "light.view_factor", {"kind": "slanted"}),
        ("wall", "light.box", BOX | {"wall": 1}),
        ("plane_ft", "light.room", ROOM | {"plane_ft": 9}),
        ("lights_ft", "light.room", ROOM | {"lights_ft": [[13, 3]]}),
        ("lights_ft", "light.room", ROOM | {"lights_ft": []}),
        ("grid", "light.room", ROOM | {"lights_ft": [[3, 3]] * 100, "grid": 200}),
    ],
)
def test_the_input_at_fault_is_named(field, figure, inputs):
    found = answer(figure, **inputs)
    assert found["error"].startswith(f"{field}: "), found


def test_a_line_of_a_file_is_named_with_what_stands_there():
    error = answer("light.file", text="IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 x\n")["error"]
    assert "ine 4" in error and "x" in error and "watts" in error


def test_an_uplight_and_a_light_dark_beneath_keep_their_lumens():
    """100 cd all over the upper half is 200 pi lm; nothing goes straight down, so only the spacing is untold."""
    up = text_of(lambda v, h: 100, vertical=range(90, 181, 5))
    wings = text_of(lambda v, h: 100 * math.sin(math.radians(v)), vertical=range(91))  # pi^2 / 2 x 100 lm by hand
    for text, lumens in ((up, 200 * math.pi), (wings, 50 * math.pi**2)):
        found = result("light.file", text=text)
        assert found["flux_lm"] == pytest.approx(lumens, rel=1e-4)
        assert (found["spacing_parallel"], found["spacing_diagonal"]) == (None, None)
        assert "straight down" in found["warnings"][-1]


def test_a_source_that_shines_alike_below_has_no_beam_that_ends():
    found = result("light.lobe", power=0, flux_lm=1000)
    assert (found["beam_deg"], found["field_deg"]) == (180, 180)
    assert found["peak_cd"] == pytest.approx(1000 / (2 * math.pi))
    below = result("light.point", height_m=2, offset_m=0, peak_cd=144, power=0)
    assert (below["horizontal_lx"], below["vertical_lx"]) == (36, 0)


def test_without_a_cavity_all_arrives():
    black = UTILIZED | {"rcr": 0, "direct_ratio": 1, "down_fraction": 1, "ceiling": 0, "wall": 0, "floor": 0}
    assert result("light.utilization", **black)["value"] == pytest.approx(1)
    lobe = result("light.utilization_lobe", power=3, rcr=0, ceiling=0.8, wall=0.5, floor=0.2)
    assert lobe["direct_ratio"] == 1 and lobe["value"] == pytest.approx(1 / 0.84)
    assert result("light.cavity_ratio", length=4, width=3, height=0) == {"ratio": 0, "room_index": None}
    assert result("light.cavity_reflectance", base=0.7, wall=0, ratio=0)["percent"] == pytest.approx(70)


def test_next_to_white_still_ends():
    """All surfaces at .999: a thousand times the light, evenly, as in a sphere (flux / (area (1 - rho)))."""
    found = result("light.box", **BOX | {"floor": 0.999, "ceiling": 0.999, "wall": 0.999})
    assert found["ceiling_lx"] == pytest.approx(3000 / (59 * 0.001), rel=2e-3)
    assert result("light.utilization", **UTILIZED | {"ceiling": 0.999, "wall": 0.999, "floor": 0.999})["value"] > 100


def test_a_black_box_is_lit_where_the_light_falls():
    found = result("light.box", **BOX | {"floor": 0, "ceiling": 0, "wall": 0})
    assert found == {"floor_lx": 250, "ceiling_lx": 0, "long_wall_lx": 0, "short_wall_lx": 0}


def test_a_room_that_is_wider_than_long_keeps_its_long_walls():
    assert result("light.box", **BOX | {"length_m": 3, "width_m": 4}) == pytest.approx(result("light.box", **BOX))


def test_one_light_in_the_middle_treats_all_walls_alike():
    turned = result("light.room", **ROOM | {"length_ft": 10, "width_ft": 16, "lights_ft": [[5, 8]]})
    straight = result("light.room", **ROOM | {"length_ft": 16, "width_ft": 10, "lights_ft": [[8, 5]]})
    assert turned == pytest.approx(straight)


def test_lights_stand_on_the_marks_of_a_tape():
    """3.9996 ft is a third of 12 ft written short: the nearest 1/64 in is 4 ft."""
    short = [[3.9996, 3.9996], [3.9996, 8.0004], [8.0004, 3.9996], [8.0004, 8.0004]]
    exact = [[4, 4], [4, 8], [8, 4], [8, 8]]
    assert result("light.room", **ROOM | {"lights_ft": short}) == result("light.room", **ROOM | {"lights_ft": exact})
