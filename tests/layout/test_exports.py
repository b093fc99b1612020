"""A room's ceiling as files for other programs: full size, in the trade's own layers, right to a millionth of an inch.

ezdxf, which drawing programs' users rely on, reads the DXF back; the SVG is read as XML.
"""

from dataclasses import replace
from io import BytesIO, TextIOWrapper
from xml.etree import ElementTree

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.drawing import Names
from layout.engine.ceiling import Corner, Region
from layout.engine.lengths import Style, Tape, Unit, inches, mm
from layout.engine.marks import Axis, Datum, Kind, Orientation, Side
from layout.engine.overhead.values import Joists, Overhead, Thing
from layout.engine.room import AxisSurvey, Fitting, RoomInputs, lay_out
from layout.engine.rows.arrange import Mode
from layout.engine.stacks import Layer as BuildUp
from layout.engine.stacks import SideBuildUp
from layout.exports import Layer, Sheet, dxf_bytes, svg_text

BOARD = SideBuildUp((BuildUp("board", inches("5/8")),))
CHANNEL = SideBuildUp((BuildUp("channel and board", inches("2 7/8")),))
SIX = inches(6)
FEET = Tape(Style.FEET_INCHES, 16)
SHEET = Sheet("Maple House", "Den", "R2", FEET, Names("hall wall", "window wall", "fireplace wall", "closet wall"))
SVG = "{http://www.w3.org/2000/svg}"

DEN = RoomInputs(
    unit=Unit.INCH, orientation=Orientation(Axis.LEFT_RIGHT),
    left_right=AxisSurvey(inches("192 3/4"), None, None, BOARD, CHANNEL),
    door_far=AxisSurvey(inches(145), None, None, BOARD, BOARD),
    rows=2, lights_per_row=4, mode_along=Mode.WALL_HELD, mode_across=Mode.WALL_HELD, end_setback=inches(24),
    row_setback=inches(30), spacing_limit=inches(72), edge_min=inches(4), web_min=inches("1 1/2"),
    light_to_speaker=inches(20), light=Fitting("c6", "6 in light", inches("6 3/8")),
    speaker=Fitting("s8", "8 in speaker", inches("9 1/4")), speaker_gaps=(2,),
    subwoofer=Fitting("w", "subwoofer", inches("10 1/2"), square=True),
)  # fmt: skip

OVERHEAD = Overhead(
    joists=(Joists(Axis.DOOR_FAR, inches(16), inches("1 1/2"), inches(10), Side.LEFT, Datum.FINISHED, inches("1/2")),),
    things=(
        Thing("smoke alarm", "alarm", inches(90), inches(20), SIX, SIX, True, Datum.FINISHED, inches(12)),
        Thing("duct", "duct", inches(40), inches(72), inches(24), inches(10), False, Datum.FINISHED, inches(2)),
    ),
    looked=True,
)


def read(layout, sheet=SHEET):
    return ezdxf.read(TextIOWrapper(BytesIO(dxf_bytes(layout, sheet)), encoding="utf-8"))


def on_layer(drawing, layer, kind):
    return list(drawing.modelspace().query(f'{kind}[layer=="{layer.value}"]'))


def exact_circles(layout, kinds):
    """Center and radius of every round hole on the plan, in the room's unit, as floats of exact values."""
    wide, deep = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    found = []
    for mark in layout.arrangement.marks:
        fitting = layout.inputs.fittings[mark.kind]
        if mark.kind in kinds and not fitting.square:
            x, y = layout.inputs.orientation.plan_xy(mark.along, mark.across, wide, deep)
            sizes = (x, y, fitting.cutout / 2)
            found.append(tuple(float(s.inches if layout.inputs.unit is Unit.INCH else s.mm) for s in sizes))
    return sorted(found)


def circles(drawing, layer):
    return sorted((c.dxf.center.x, c.dxf.center.y, c.dxf.radius) for c in on_layer(drawing, layer, "CIRCLE"))


def same(found, expected):
    assert len(found) == len(expected) and expected
    for one, other in zip(found, expected, strict=True):
        assert one == pytest.approx(other, abs=1e-6)


def test_every_hole_is_a_circle_where_it_is_cut_and_as_large():
    layout = lay_out(DEN)
    drawing = read(layout)
    same(circles(drawing, Layer.LIGHTS), exact_circles(layout, {Kind.LIGHT}))
    same(circles(drawing, Layer.SPEAKERS), exact_circles(layout, {Kind.SPEAKER}))


@settings(max_examples=12, deadline=None)
@given(
    st.builds(Orientation, st.sampled_from(list(Axis)), st.sampled_from([Side.LEFT, Side.RIGHT]),
              st.sampled_from([Side.DOOR, Side.FAR])),
    st.integers(100 * 64, 400 * 64), st.integers(100 * 64, 400 * 64), st.sampled_from(list(Unit)),
)  # fmt: skip
def test_whichever_way_a_room_is_turned(turn, wide, deep, unit):
    sixty_fourth = inches("1/64")
    layout = lay_out(replace(
        DEN, unit=unit, orientation=turn, left_right=replace(DEN.left_right, framing=wide * sixty_fourth),
        door_far=replace(DEN.door_far, framing=deep * sixty_fourth),
    ))  # fmt: skip
    sheet = replace(SHEET, tape=Tape(Style.MM, 1) if unit is Unit.MM else FEET)
    same(circles(read(layout, sheet), Layer.LIGHTS), exact_circles(layout, {Kind.LIGHT}))


def test_a_square_hole_is_drawn_square_and_true_to_size():
    """10 1/2 in, and a second square round it says subwoofer."""
    drawing = read(lay_out(DEN))
    sizes = set()
    for ring in on_layer(drawing, Layer.SPEAKERS, "LWPOLYLINE"):
        xs = [x for x, *_ in ring.get_points()]
        sizes.add(round(max(xs) - min(xs), 6))
    assert {10.5, 21.0} <= sizes


def test_inches_and_millimeters_are_set_in_the_header():
    """DXF Reference, $INSUNITS: 1 is inches, 4 millimeters; $MEASUREMENT: 0 English, 1 metric (from memory)."""
    drawing = read(lay_out(DEN))
    assert (drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == (1, 0)
    metric = replace(
        DEN, unit=Unit.MM, end_setback=mm(600), row_setback=mm(750), spacing_limit=mm(1800), edge_min=mm(100)
    )
    drawing = read(lay_out(metric), replace(SHEET, tape=Tape(Style.MM, 1)))
    assert (drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == (4, 1)


def test_layers_are_named_in_the_trades_words_and_all_is_on_one_of_them():
    drawing = read(lay_out(replace(DEN, overhead=OVERHEAD)))
    names = {layer.value for layer in Layer}
    assert names == {"CEILING", "WALLS", "FRAMING", "LIGHTS", "SPEAKERS", "KEEP-OUT", "DIMENSIONS", "TEXT"}
    assert names <= {layer.dxf.name for layer in drawing.layers}
    assert {entity.dxf.layer for entity in drawing.modelspace()} == names


def test_the_file_is_one_that_ezdxf_finds_no_fault_with():
    assert not read(lay_out(replace(DEN, overhead=OVERHEAD))).audit().has_errors


def test_the_same_layout_gives_the_same_bytes():
    layout = lay_out(DEN)
    assert dxf_bytes(layout, SHEET) == dxf_bytes(layout, SHEET)


def test_finished_wall_and_framing_stand_where_the_build_up_puts_them():
    """192 3/4 of framing less 5/8 and 2 7/8 is 189 1/4 of ceiling: framing from -5/8 to 192 1/8."""
    rings = on_layer(read(lay_out(DEN)), Layer.WALLS, "LWPOLYLINE")
    spans = sorted((min(x for x, *_ in ring.get_points()), max(x for x, *_ in ring.get_points())) for ring in rings)
    assert spans == [(-0.625, 192.125), (0, 189.25)]


def test_joists_are_drawn_face_to_face():
    """First center 10 in from the finished wall, 16 on center, 1 1/2 wide: faces 9 1/4 and 10 3/4, 25 1/4 and so on."""
    rings = on_layer(read(lay_out(replace(DEN, overhead=OVERHEAD))), Layer.FRAMING, "LWPOLYLINE")
    faces = sorted((min(x for x, *_ in ring.get_points()), max(x for x, *_ in ring.get_points())) for ring in rings)
    assert faces[:2] == [(9.25, 10.75), (25.25, 26.75)]
    assert len(faces) == 12  # 10, 26 ... 186; the next, at 202, is past 189 1/4


def test_what_a_hole_keeps_away_from_is_drawn_with_the_line_it_keeps():
    drawing = read(lay_out(replace(DEN, overhead=OVERHEAD)))
    same(circles(drawing, Layer.KEEP_OUT), [(90, 20, 3), (90, 20, 15)])
    rings = on_layer(drawing, Layer.KEEP_OUT, "LWPOLYLINE")
    reach = sorted((min(x for x, *_ in ring.get_points()), max(x for x, *_ in ring.get_points())) for ring in rings)
    assert reach == [(26, 54), (28, 52)]
    assert {round(bulge, 4) for ring in rings for *_, bulge in ring.get_points("xyb")} == {0, 0.4142}  # tan 22.5


def test_a_zone_that_keeps_nothing_off_has_no_line_round_it():
    shower = Thing(
        "shower zone", "shower", inches(60), inches(60), inches(36), inches(36), False, Datum.FINISHED, inches(6),
        keeps_off=False,
    )  # fmt: skip
    drawing = read(lay_out(replace(DEN, overhead=Overhead(things=(shower,), looked=True))))
    assert len(on_layer(drawing, Layer.KEEP_OUT, "LWPOLYLINE")) == 1


def test_running_dimensions_print_what_the_card_prints_and_measure_what_is_drawn():
    """Lights 24 off a 189 1/4 ceiling: 24 and 165 1/4 from the finished wall; 24 left to the wall."""
    drawing = read(lay_out(DEN))
    numbers = {d.dxf.text: d.get_measurement().x for d in on_layer(drawing, Layer.DIMENSIONS, "DIMENSION")}
    assert numbers["2'-0\""] == pytest.approx(24)
    assert numbers["13'-9 1/4\""] == pytest.approx(165.25)
    assert "+2'-0\"" in numbers


def test_the_title_block_says_how_the_plan_is_read():
    drawing = read(lay_out(DEN))
    said = " ".join(text.dxf.text for text in on_layer(drawing, Layer.TEXT, "TEXT"))
    assert "Maple House · Den · R2" in said
    assert "REFLECTED CEILING PLAN: drawn as seen in a mirror on the floor." in said
    assert "1 drawing unit = 1 inch" in said
    assert "from the finished wall" in said
    assert "Local code and the licensed trade decide" in said
    assert "A1" in said and "SP1" in said and "fireplace wall" in said


def test_a_name_with_a_line_break_or_a_code_in_it_stays_a_name():
    drawing = read(lay_out(DEN), replace(SHEET, room="Den\n0\nEOF %%u"))
    assert not drawing.audit().has_errors
    texts = [text.dxf.text for text in on_layer(drawing, Layer.TEXT, "TEXT")]
    assert "Maple House · Den 0 EOF % %u · R2" in texts


def test_a_rooms_true_outline_and_its_trays_are_the_ceiling():
    points = ((0, 0), (189, 0), (189, 100), (120, 100), (120, 143.75), (0, 143.75))
    outline = tuple(Corner(inches(x), inches(str(y))) for x, y in points)
    tray = tuple(Corner(inches(x), inches(y)) for x, y in ((40, 40), (80, 40), (80, 80), (40, 80)))
    layout = lay_out(replace(DEN, speaker_gaps=(), outline=outline, regions=(Region("tray", tray, inches(8)),)))
    drawing = read(layout)
    rings = on_layer(drawing, Layer.CEILING, "LWPOLYLINE")
    assert [[(x, y) for x, y, *_ in ring.get_points()] for ring in rings] == [
        list(points), [(40, 40), (80, 40), (80, 80), (40, 80)]
    ]  # fmt: skip
    assert "tray, 8\" higher" in [text.dxf.text for text in on_layer(drawing, Layer.TEXT, "TEXT")]
    same(circles(drawing, Layer.LIGHTS), exact_circles(layout, {Kind.LIGHT}))


def test_framing_that_was_never_measured_is_not_drawn():
    measured = AxisSurvey(None, inches(189), None, BOARD, BOARD)
    layout = lay_out(replace(DEN, left_right=measured, door_far=measured))
    assert len(on_layer(read(layout), Layer.WALLS, "LWPOLYLINE")) == 1
    with pytest.raises(ValueError, match="never measured"):
        dxf_bytes(layout, replace(SHEET, datum=Datum.FRAMING))


# SVG


def svg(layout, sheet=SHEET):
    return ElementTree.fromstring(svg_text(layout, sheet).encode())


def test_an_svg_is_as_large_as_the_room_and_in_its_unit():
    root = svg(lay_out(DEN))
    _, _, wide, high = root.get("viewBox").split()
    assert (root.get("width"), root.get("height")) == (f"{wide}in", f"{high}in")
    metric = svg(lay_out(replace(DEN, unit=Unit.MM)), replace(SHEET, tape=Tape(Style.MM, 1)))
    assert metric.get("width").endswith("mm")


def test_holes_in_the_svg_stand_as_far_apart_and_as_large_as_they_are_cut():
    """The SVG's own corner is at the top left of the sheet, so that places are told from the lowest left light."""
    layout = lay_out(DEN)
    (group,) = [g for g in svg(layout).iter(f"{SVG}g") if g.get("id") == "LIGHTS"]
    found = [(float(c.get("cx")), -float(c.get("cy")), float(c.get("r"))) for c in group.iter(f"{SVG}circle")]
    same(_from_first(sorted(found)), _from_first(exact_circles(layout, {Kind.LIGHT})))


def _from_first(rings):
    x0, y0, _ = rings[0]
    return sorted((x - x0, y - y0, r) for x, y, r in rings)


def test_the_svg_has_every_layer_and_the_title_block():
    root = svg(lay_out(replace(DEN, overhead=OVERHEAD)))
    assert [group.get("id") for group in root.iter(f"{SVG}g")] == [layer.value for layer in Layer]
    words = " ".join(text.text for text in root.iter(f"{SVG}text"))
    assert "REFLECTED CEILING PLAN" in words and "smoke alarm" in words
    assert root.find(f"{SVG}title").text == "Maple House · Den · R2"


def test_nothing_in_the_svg_stands_off_its_sheet():
    root = svg(lay_out(replace(DEN, overhead=OVERHEAD)))
    _, _, wide, high = (float(n) for n in root.get("viewBox").split())
    for ring in root.iter(f"{SVG}circle"):
        x, y, r = (float(ring.get(n)) for n in ("cx", "cy", "r"))
        assert r <= x <= wide - r and r <= y <= high - r
    for text in root.iter(f"{SVG}text"):
        assert 0 <= float(text.get("x")) <= wide and 0 <= float(text.get("y")) <= high


def test_letters_xml_cannot_hold_are_left_out():
    assert "Den" in svg_text(lay_out(DEN), replace(SHEET, room="D\x00e\x0bn & <Co>"))
