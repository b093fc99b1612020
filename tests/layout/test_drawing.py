"""The plan as drawn: to scale, marks inside the walls, no words on words, the same facts for those who can't see it."""

from fractions import Fraction
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.drawing import Datum, Names, PerSide, PlanDrawing, PlanMark, last_to_wall, plan_svg, plan_table, running
from layout.drawing.text import spread
from layout.engine.lengths import ZERO, Style, Tape, feet, inches, mm, nanometers
from layout.engine.marks import Axis, Kind, Mark, Orientation, Side

SVG = "{http://www.w3.org/2000/svg}"
TWENTY = inches(20)
EIGHTHS = Tape(Style.INCHES, 8)
NAMES = Names("hall wall", "window wall", "fireplace wall", "closet wall")


def even_room(wide, deep, columns, rows, *, orientation=None, off=TWENTY, **more):
    """Lights in an even grid, the outer ones `off` the ceiling's edges, dimensioned from the datum."""
    turn = orientation or Orientation(Axis.LEFT_RIGHT)
    bare = PlanDrawing(turn, wide, deep, NAMES, EIGHTHS, "Den", **more)
    across_room = turn.rows_run is Axis.LEFT_RIGHT
    long, short = (bare.ceiling_wide, bare.ceiling_deep) if across_room else (bare.ceiling_deep, bare.ceiling_wide)

    def stops(count, length):
        if count == 1:
            return [nanometers(int(length.nm / 2))]
        return [nanometers(int((off + (length - 2 * off) * Fraction(n, count - 1)).nm)) for n in range(count)]

    marks = tuple(
        PlanMark(Mark(f"A{1 + row * columns + column}", Kind.LIGHT, along, across, row + 1), inches("4 3/8"))
        for row, across in enumerate(stops(rows, short))
        for column, along in enumerate(stops(columns, long))
    )
    along_inset = bare.inset(turn.zero_side(turn.rows_run), bare.datum)
    across_inset = bare.inset(turn.zero_side(turn.rows_run.other), bare.datum)
    return PlanDrawing(
        turn, wide, deep, NAMES, EIGHTHS, "Den", marks=marks,
        along=running([(one.mark.id, one.mark.along) for one in marks], EIGHTHS, along_inset, "along"),
        across=running([(one.mark.id, one.mark.across) for one in marks], EIGHTHS, across_inset, "across"),
        last_along="20", last_across="20", **more,
    )  # fmt: skip


def texts(svg):
    """Every word on the sheet with the box it fills: a bold digit of this face is 0.68 of its size at most, on average
    with narrow letters some 0.6."""
    boxes = []
    for text in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        size, x, base = (float(text.get(name)) for name in ("font-size", "x", "y"))
        middle = base - size * 0.36
        long, high = len(text.text) * size * 0.56, size * 0.72
        if "rotate" in text.get("transform", ""):
            # turned about (x, y of its middle): see the numbers in rotate(-90 x y)
            middle = float(text.get("transform").rstrip(")").split()[-1])
            long, high = high, long
        boxes.append((text.text, (x - long / 2, middle - high / 2, x + long / 2, middle + high / 2)))
    return boxes


def overlap(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def circles_inside_wall(svg):
    root = ElementTree.fromstring(svg)
    wall = next(rect for rect in root.iter(f"{SVG}rect") if rect.get("class") == "wall")
    left, top, wide, high = (float(wall.get(name)) for name in ("x", "y", "width", "height"))
    lights = [g.find(f"{SVG}circle") for g in root.iter(f"{SVG}g") if "mark-light" in (g.get("class") or "")]
    assert lights
    return all(
        left < float(one.get("cx")) < left + wide and top < float(one.get("cy")) < top + high for one in lights
    )


TYPICAL = {
    "den": even_room(inches("206 3/8"), feet(14), 4, 2, build_up=PerSide(left=inches("1 1/2"), right=inches("2 7/8")),
                     datum=Datum.FRAMING, door_name="hall door", north=Side.FAR),
    "floating ceiling": even_room(feet(18), feet(16), 3, 3, gap=PerSide(*[inches(6)] * 4), datum=Datum.EDGE,
                                  orientation=Orientation(Axis.DOOR_FAR, Side.RIGHT, Side.FAR)),
    "hallway": even_room(feet(6), feet(30), 6, 1, orientation=Orientation(Axis.DOOR_FAR), door_name="front door"),
    "long room": even_room(feet(40), feet(14), 8, 2, orientation=Orientation(Axis.LEFT_RIGHT, Side.RIGHT)),
    "twenty": even_room(feet(24), feet(20), 5, 4, door_name="hall door", north=Side.LEFT),
}  # fmt: skip


@pytest.mark.parametrize("name", TYPICAL)
def test_no_word_stands_on_another_in_a_typical_room(name):
    boxes = texts(plan_svg(TYPICAL[name], width_mm=180, height_mm=120))
    assert [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if overlap(one, other)] == []


@pytest.mark.parametrize("name", TYPICAL)
def test_every_mark_is_drawn_inside_the_walls_and_labeled_once(name):
    svg = plan_svg(TYPICAL[name], width_mm=180, height_mm=120)
    assert circles_inside_wall(svg)
    said = [text for text, _ in texts(svg)]
    assert all(said.count(one.mark.id) == 1 for one in TYPICAL[name].marks)


@settings(deadline=None, max_examples=40, database=None)
@given(
    wide=st.integers(60, 720), deep=st.integers(60, 720), columns=st.integers(1, 8), rows=st.integers(1, 5),
    turn=st.builds(Orientation, st.sampled_from(Axis), st.sampled_from([Side.LEFT, Side.RIGHT]),
                   st.sampled_from([Side.DOOR, Side.FAR])),
    name=st.text(max_size=20),
)  # fmt: skip
def test_any_room_is_well_formed_with_its_marks_inside(wide, deep, columns, rows, turn, name):
    plan = even_room(inches(wide), inches(deep), columns, rows, orientation=turn, off=inches(12), door_name=name)
    assert circles_inside_wall(plan_svg(plan))


def test_ids_stand_apart_even_where_marks_are_close():
    """Twelve lights in a 30 ft row on a 100 mm sheet: some IDs must leave their first place."""
    plan = even_room(feet(30), feet(14), 12, 2)
    boxes = texts(plan_svg(plan, width_mm=100, height_mm=90))
    ids = [(text, box) for text, box in boxes if text.startswith("A")]
    assert len(ids) == 24
    assert [(a, b) for (a, one), (b, other) in combinations(ids, 2) if overlap(one, other)] == []


def test_words_cannot_become_markup():
    hostile = '</text><script>alert(1)</script>&"\x00\ud800'
    plan = even_room(feet(12), feet(12), 2, 2, door_name=hostile)
    root = ElementTree.fromstring(plan_svg(plan))
    assert not list(root.iter(f"{SVG}script"))
    assert any(text.text and "<script>alert(1)</script>" in text.text for text in root.iter(f"{SVG}text"))


def test_nothing_is_styled_where_a_content_security_policy_would_ignore_it():
    assert "style=" not in plan_svg(TYPICAL["den"])


def test_the_room_is_drawn_to_scale_in_both_directions():
    """206 3/8 by 168 inches: their ratio is 1.2284 by hand."""
    svg = plan_svg(even_room(inches("206 3/8"), feet(14), 4, 2))
    wall = next(r for r in ElementTree.fromstring(svg).iter(f"{SVG}rect") if r.get("class") == "wall")
    assert float(wall.get("width")) / float(wall.get("height")) == pytest.approx(1.2284, abs=0.001)


def test_left_on_the_sheet_is_left_in_the_room_whatever_corner_is_zero():
    near_left_door = PlanMark(Mark("A1", Kind.LIGHT, inches(200), inches(20), 1), inches(4))
    plan = PlanDrawing(
        Orientation(Axis.LEFT_RIGHT, Side.RIGHT), inches(220), feet(14), NAMES, EIGHTHS, "Den", marks=(near_left_door,)
    )
    root = ElementTree.fromstring(plan_svg(plan))
    light = next(g for g in root.iter(f"{SVG}g") if "mark-light" in (g.get("class") or "")).find(f"{SVG}circle")
    wall = next(r for r in root.iter(f"{SVG}rect") if r.get("class") == "wall")
    left, top, wide, high = (float(wall.get(n)) for n in ("x", "y", "width", "height"))
    assert float(light.get("cx")) < left + wide / 2, "200 in from the right wall of 220 is 20 in from the left"
    assert float(light.get("cy")) > top + high / 2, "the door wall is at the bottom"


def test_a_four_inch_light_can_be_seen_in_a_forty_foot_room():
    svg = plan_svg(TYPICAL["long room"], width_mm=128, height_mm=95)
    light = next(c for c in ElementTree.fromstring(svg).iter(f"{SVG}circle") if c.get("class") == "symbol")
    assert 2 * float(light.get("r")) >= 3.4


def test_every_mark_and_dimension_can_take_the_focus_and_names_its_line():
    root = ElementTree.fromstring(plan_svg(TYPICAL["den"]))
    linked = [g for g in root.iter(f"{SVG}g") if g.get("data-line")]
    assert {g.get("data-line") for g in linked} >= {"mark-A1", "along-1", "across-2", "along-last", "across-last"}
    assert all(g.get("tabindex") == "0" and g.find(f"{SVG}title").text for g in linked)
    assert len({g.get("id") for g in linked}) == len(linked)


def test_paper_takes_no_focus():
    assert "tabindex" not in plan_svg(TYPICAL["den"], interactive=False)


def test_the_twin_says_every_face():
    """A light 20 in off a finished wall with 1 1/2 in of channel and board stands 21 1/2 in from framing."""
    first = plan_table(TYPICAL["den"])[0]
    assert (first.id, first.what) == ("A1", "light")
    assert first.numbers == ((Datum.FRAMING, '21 1/2"', '20"'), (Datum.FINISHED, '20"', '20"'))


def test_one_face_is_said_once():
    assert [face for face, *_ in plan_table(even_room(feet(12), feet(12), 2, 2))[0].numbers] == [Datum.FINISHED]


def test_running_numbers_are_rounded_once_from_the_exact_place():
    """Nine even gaps in 233 1/2: 25 17/18 each. Chained in 16ths as 25 15/16 the ninth would be 233 7/16."""
    gap = inches("233 1/2") / 9
    numbers = running([(str(n), gap * n) for n in range(1, 10)], Tape(Style.INCHES, 16), ZERO, "along")
    assert [one.text for one in numbers][:2] == ["25 15/16", "51 7/8"]
    assert numbers[-1].text == "233 1/2"


def test_marks_that_print_alike_share_one_number():
    assert len(running([("A1", inches(20)), ("A2", inches("20 1/64"))], EIGHTHS, ZERO, "along")) == 1


def test_last_to_wall_adds_up_in_pencil():
    """Printed 206 3/8 less printed 162 5/8 is 43 3/4, whatever the exact numbers were."""
    assert last_to_wall(inches("206 25/64"), inches("162 39/64"), EIGHTHS) == "43 3/4"


def test_metric_numbers_are_whole_millimeters():
    assert running([("A1", mm("508.4"))], Tape(Style.MM, 1), ZERO, "along")[0].text == "508"


def test_build_ups_as_wide_as_the_room_are_refused():
    with pytest.raises(ValueError, match="Nothing is left"):
        PlanDrawing(Orientation(Axis.LEFT_RIGHT), inches(10), feet(9), NAMES, EIGHTHS, "Den",
                    gap=PerSide(left=inches(5), right=inches(5)))  # fmt: skip


@settings(deadline=None, database=None)
@given(
    st.lists(st.floats(0, 200), min_size=1, max_size=20).map(sorted).flatmap(
        lambda targets: st.tuples(
            st.just(targets),
            st.lists(st.floats(1, 20), min_size=len(targets), max_size=len(targets)),
        )
    )
)
def test_spread_words_keep_their_order_and_never_overlap(case):
    targets, sizes = case
    centers = spread(targets, sizes, 0, 200)
    for (a, size_a), (b, size_b) in zip(
        zip(centers, sizes, strict=True), zip(centers[1:], sizes[1:], strict=True), strict=False
    ):
        assert b - a >= (size_a + size_b) / 2 - 1e-6
