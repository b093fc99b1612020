"""What stands in the way as drawn: to scale, told without color, every name and every mark's ID readable."""

import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.drawing import PerSide, plan_svg
from layout.drawing.layers import Ghost, Layers, Member, Part, Patch, Place, Thing, Tiles
from layout.engine.lengths import ZERO, feet, inches
from layout.engine.marks import Axis, Kind, Orientation, Side
from tests.layout.test_drawing import SVG, even_room, overlap, texts

WIDE, DEEP = inches(220), inches(168)


def at(along, across):
    return Place(inches(along), inches(across))


def drawn(layers, **more):
    plan = replace(even_room(WIDE, DEEP, 4, 2, **more), layers=layers)
    return ElementTree.fromstring(plan_svg(plan))


def wall(root):
    rect = next(one for one in root.iter(f"{SVG}rect") if one.get("class") == "wall")
    left, top, wide, high = (float(rect.get(name)) for name in ("x", "y", "width", "height"))
    return left, top, wide, high


def of_kind(root, kind, tag="*"):
    return [one for one in root.iter() if one.get("class") == kind and (tag == "*" or one.tag == f"{SVG}{tag}")]


def points_of(element):
    if element.get("points"):
        return [tuple(map(float, pair.split(","))) for pair in element.get("points").split()]
    numbers = [float(one) for one in re.findall(r"-?[\d.]+", element.get("d"))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


JOIST = Member("joist 1", True, inches(110), inches("1 1/2"), inches(2))


def test_a_joist_is_two_dashed_lines_as_far_apart_as_it_is_wide():
    """In the middle of 220 in, 1 1/2 in wide."""
    root = drawn(Layers(members=(JOIST,)))
    left, _top, wide, _high = wall(root)
    (path,) = of_kind(root, "framing", "path")
    xs = sorted({x for x, _ in points_of(path)})
    assert path.get("stroke-dasharray")
    assert xs[1] - xs[0] == pytest.approx(wide * 1.5 / 220, abs=0.02)
    assert sum(xs) / 2 == pytest.approx(left + wide / 2, abs=0.02)


def test_the_hatch_of_a_joist_fills_what_a_hole_may_not_enter_and_no_more():
    """1 1/2 in of joist and 2 in kept clear on both sides are 5 1/2 in of hatch."""
    root = drawn(Layers(members=(JOIST,)))
    _left, top, wide, high = wall(root)
    (hatch,) = of_kind(root, "hatch")
    xs, ys = zip(*points_of(hatch), strict=True)
    assert max(xs) - min(xs) == pytest.approx(wide * 5.5 / 220, abs=0.05)
    assert min(ys) >= top - 0.01 and max(ys) <= top + high + 0.01


@pytest.mark.parametrize("rows_run", Axis)
@pytest.mark.parametrize("corner", [(Side.LEFT, Side.DOOR), (Side.RIGHT, Side.FAR)])
def test_a_duct_stands_where_it_was_measured_whatever_corner_is_zero(rows_run, corner):
    """30 in along and 40 across from the zero corner, wherever that is."""
    turn = Orientation(rows_run, *corner)
    root = drawn(Layers(things=(Thing("duct", at(30, 40), inches(20), inches(12)),)), orientation=turn)
    left, top, wide, high = wall(root)
    xs, ys = zip(*points_of(of_kind(root, "thing", "polygon")[0]), strict=True)
    from_left, from_door = sum(xs) / 4 - left, top + high - sum(ys) / 4
    scale = wide / 220
    x, y = (30, 40) if rows_run is Axis.LEFT_RIGHT else (40, 30)
    assert from_left / scale == pytest.approx(x if corner[0] is Side.LEFT else 220 - x, abs=0.2)
    assert from_door / scale == pytest.approx(y if corner[1] is Side.DOOR else 168 - y, abs=0.2)
    level = max(xs) - min(xs) > max(ys) - min(ys)
    assert level is (rows_run is Axis.LEFT_RIGHT), "20 in along the rows, 12 across"


def test_things_are_hatched_and_carry_their_names():
    layers = Layers(things=(Thing("duct", at(60, 80), inches(20), inches(40)),
                            Thing("fan", at(150, 84), inches(52), inches(52), round=True, keep=inches(4))))  # fmt: skip
    svg = plan_svg(replace(even_room(WIDE, DEEP, 4, 2), layers=layers))
    root = ElementTree.fromstring(svg)
    assert {"duct", "fan"} <= {text for text, _ in texts(svg)}
    assert len(of_kind(root, "hatch")) == 2
    assert float(of_kind(root, "keep")[0].get("r")) == pytest.approx(wall(root)[2] * 30 / 220, abs=0.05)


def test_the_name_of_an_alarm_stands_beside_it_and_not_across_it():
    """5 in of alarm is narrower than its name."""
    alarm = Thing("Smoke alarm", at(110, 84), inches(5), inches(5), round=True)
    root = drawn(Layers(things=(alarm,)))
    (shape, *_) = of_kind(root, "thing", "polygon") or of_kind(root, "thing")
    points = points_of(shape)
    (name,) = of_kind(root, "thing-name")
    x, y = float(name.get("x")), float(name.get("y"))
    assert not (min(px for px, _ in points) < x < max(px for px, _ in points)
                and min(py for _, py in points) < y < max(py for _, py in points))  # fmt: skip


def test_the_true_outline_takes_the_place_of_the_rectangle():
    """An L of 220 by 168 in without 80 by 58 at its far right corner: 36,960 - 4,640 = 32,320 square inches."""
    ell = (at(0, 0), at(220, 0), at(220, 110), at(140, 110), at(140, 168), at(0, 168))
    root = drawn(Layers(corners=ell))
    (walls,) = of_kind(root, "wall", "polygon")
    points = points_of(walls)
    area = abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True))) / 2
    scale = (max(x for x, _ in points) - min(x for x, _ in points)) / 220
    assert len(points) == 6
    assert area / scale**2 == pytest.approx(32_320, rel=0.002)
    assert not of_kind(root, "wall", "rect")


def test_a_gap_stands_between_the_true_outline_and_its_walls_on_every_side():
    """A cloud 6 in off every wall: its L is 6 in smaller all round, also at the inner corner."""
    gap = PerSide(*[inches(6)] * 4)
    plan = even_room(inches(232), inches(180), 4, 2, gap=gap)
    ell = (at(0, 0), at(220, 0), at(220, 110), at(140, 110), at(140, 168), at(0, 168))
    root = ElementTree.fromstring(plan_svg(replace(plan, layers=Layers(corners=ell))))
    (walls,), (edge,) = of_kind(root, "wall", "polygon"), of_kind(root, "edge", "polygon")
    scale = (max(x for x, _ in points_of(edge)) - min(x for x, _ in points_of(edge))) / 220
    for (x, y), (inner_x, inner_y) in zip(points_of(walls), points_of(edge), strict=True):
        assert abs(x - inner_x) / scale == pytest.approx(6, abs=0.2)
        assert abs(y - inner_y) / scale == pytest.approx(6, abs=0.2)


def test_joists_stop_at_the_true_outline():
    ell = (at(0, 0), at(220, 0), at(220, 110), at(140, 110), at(140, 168), at(0, 168))
    root = drawn(Layers(corners=ell, members=(replace(JOIST, at=inches(200)),)))
    (path,) = of_kind(root, "framing", "path")
    (walls,) = of_kind(root, "wall", "polygon")
    top, bottom = min(y for _, y in points_of(walls)), max(y for _, y in points_of(walls))
    long = max(y for _, y in points_of(path)) - min(y for _, y in points_of(path))
    assert long == pytest.approx((bottom - top) * 110 / 168, abs=0.1)


def test_border_tiles_are_shaded_and_whole_ones_are_not():
    """Lines at 14, 38 ... 206 in of 220: borders of 14 in at both ends, and 12 in both ways across 168."""
    tiles = Tiles(tuple(inches(14 + 24 * n) for n in range(9)), tuple(inches(12 + 24 * n) for n in range(7)))
    root = drawn(Layers(tiles=tiles))
    assert len(of_kind(root, "tile")) == 16
    shaded = sum(
        (max(x for x, _ in p) - min(x for x, _ in p)) * (max(y for _, y in p) - min(y for _, y in p))
        for p in map(points_of, of_kind(root, "border-tile"))
    )
    _left, _top, wide, high = wall(root)
    assert shaded / (wide * high) == pytest.approx(1 - 192 * 144 / (220 * 168), abs=0.005)


def test_where_a_hole_may_stand_is_dotted_there_only():
    root = drawn(Layers(may_stand=(Patch(inches(50), ZERO, inches(70), DEEP),)))
    left, _top, wide, _high = wall(root)
    (dots,) = of_kind(root, "stand")
    xs = [(x - left) * 220 / wide for x, _ in points_of(dots)]
    assert min(xs) == pytest.approx(50, abs=0.1) and max(xs) == pytest.approx(70, abs=0.1)
    assert dots.get("stroke-linecap") == "round"


def test_a_pinned_mark_has_a_pin_s_head_above_its_cross():
    plan = even_room(WIDE, DEEP, 4, 2)
    pinned = replace(plan, marks=(replace(plan.marks[0], pinned=True), *plan.marks[1:]))
    root = ElementTree.fromstring(plan_svg(pinned))
    (head,) = of_kind(root, "pin")
    light = of_kind(root, "symbol", "circle")[0]
    assert head.get("cx") == light.get("cx")
    assert float(head.get("cy")) + float(head.get("r")) < float(light.get("cy")) - float(light.get("r"))
    assert head.get("fill") == "#000"


def test_a_moved_mark_leaves_its_old_place_open_and_struck_with_an_arrow():
    plan = even_room(WIDE, DEEP, 4, 2)
    was = Place(plan.marks[0].mark.along + inches(30), plan.marks[0].mark.across + inches(24))
    moved = replace(plan, marks=(replace(plan.marks[0], was=was), *plan.marks[1:]))
    root = ElementTree.fromstring(plan_svg(moved))
    (group,) = of_kind(root, "was-here")
    assert [one.tag for one in group] == [f"{SVG}{tag}" for tag in ("circle", "line", "line", "polygon")]
    assert group[0].get("fill") == "#fff"


def test_the_ghost_of_a_revision_is_drawn_where_it_differs():
    plan = even_room(WIDE, DEEP, 4, 2)
    same, other = plan.marks[0].mark, Place(inches(60), inches(60))
    ghosts = (Ghost(Kind.LIGHT, Place(same.along, same.across), inches(4)), Ghost(Kind.LIGHT, other, inches(4)))
    root = ElementTree.fromstring(plan_svg(replace(plan, layers=Layers(ghosts=ghosts))))
    (ghost,) = of_kind(root, "ghost")
    assert ghost.get("fill") == "none" and ghost.get("stroke-dasharray")


def test_a_housing_is_drawn_thin_beneath_its_opening():
    plan = even_room(WIDE, DEEP, 4, 2)
    mark = plan.marks[0].mark
    frame = Patch(mark.along - inches(8), mark.across - inches(4), mark.along + inches(4), mark.across + inches(4))
    root = ElementTree.fromstring(
        plan_svg(replace(plan, marks=(replace(plan.marks[0], frame=frame), *plan.marks[1:])))
    )
    (box,) = of_kind(root, "housing")
    assert float(box.get("width")) == pytest.approx(wall(root)[2] * 12 / 220, abs=0.02)
    assert float(box.get("stroke-width")) < 0.25


EVERYTHING = Layers(
    corners=(at(0, 0), at(220, 0), at(220, 110), at(160, 110), at(160, 168), at(0, 168)),
    parts=(Part("tray", (at(30, 40), at(110, 40), at(110, 120), at(30, 120)), "+8"),),
    tiles=Tiles((inches(110),), (inches(84),)),
    members=tuple(Member(f"joist {n}", True, inches(6 + 16 * n), inches("1 1/2"), inches("1/2")) for n in range(14)),
    things=(Thing("duct", at(190, 60), inches(20), inches(60), keep=inches(1)),),
    ghosts=(Ghost(Kind.LIGHT, at(60, 60), inches(4)),),
    may_stand=(Patch(inches(50), ZERO, inches(70), DEEP),),
)


def test_nothing_is_told_by_color():
    svg = plan_svg(replace(even_room(WIDE, DEEP, 4, 2), layers=EVERYTHING))
    assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', svg)) <= {"#000", "#fff", "none"}


def test_no_word_stands_on_another_where_everything_is_drawn():
    boxes = texts(plan_svg(replace(even_room(WIDE, DEEP, 4, 2), layers=EVERYTHING)))
    assert [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if overlap(one, other)] == []
    assert {"duct", "tray +8", "A1", "A8"} <= {text for text, _ in boxes}


# However small the drawing, every mark's ID is on the paper and can be read


def ids_on(svg):
    """Every ID a mark-id says: 'A1–A3, SP1' says four."""
    said = []
    for text in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        if text.get("class") == "mark-id":
            for part in text.text.split(", "):
                first, _, last = part.partition("–")
                letters = first.rstrip("0123456789")
                low = int(first[len(letters) :])
                high = int(last[len(letters) :]) if last else low
                said += [f"{letters}{number}" for number in range(low, high + 1)]
    return said


def ids_apart(svg):
    kinds = [text.get("class") for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    boxes = [box for box, kind in zip(texts(svg), kinds, strict=True) if kind == "mark-id"]
    return [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if overlap(one, other)]


@pytest.mark.parametrize("high", [30, 40, 50, 60, 80, 120])
@pytest.mark.parametrize("columns, rows", [(6, 4), (8, 3), (12, 2), (5, 5), (10, 8)])
def test_a_crowded_drawing_still_names_every_mark_and_no_id_covers_another(columns, rows, high):
    """A lobby of 20 by 20 ft on a card's plan."""
    plan = even_room(feet(20), feet(20), columns, rows)
    svg = plan_svg(plan, width_mm=118, height_mm=high, number_pt=9)
    assert sorted(ids_on(svg)) == sorted(one.mark.id for one in plan.marks)
    assert ids_apart(svg) == []


@settings(deadline=None, max_examples=40, database=None)
@given(
    wide=st.integers(8, 60), deep=st.integers(8, 60), columns=st.integers(1, 12), rows=st.integers(1, 8),
    high=st.integers(30, 120), rows_run=st.sampled_from(Axis),
)  # fmt: skip
def test_every_id_can_be_read_in_any_room(wide, deep, columns, rows, high, rows_run):
    plan = even_room(feet(wide), feet(deep), columns, rows, orientation=Orientation(rows_run))
    svg = plan_svg(plan, width_mm=118, height_mm=high, number_pt=9)
    assert sorted(ids_on(svg)) == sorted(one.mark.id for one in plan.marks)
    assert ids_apart(svg) == []


def test_tiles_that_the_true_outline_cuts_are_shaded_on_the_ceiling_only():
    """Tiles of 24 in from the corner of an L: 220 is 9 of them and 4 in, its arm ends at 140 = 5 x 24 + 20 and at
    110 = 4 x 24 + 14, the far wall at 168 = 7 x 24. Cut: 4 in at the right wall, 14 in below the inner wall over the 80
    beyond 140, 20 in beside it over the 58 above 110, and the tile at the inner corner.
    """
    ell = (at(0, 0), at(220, 0), at(220, 110), at(140, 110), at(140, 168), at(0, 168))
    tiles = Tiles(tuple(inches(24 * n) for n in range(1, 10)), tuple(inches(24 * n) for n in range(1, 7)))
    root = drawn(Layers(corners=ell, tiles=tiles))
    (walls,) = of_kind(root, "wall", "polygon")
    scale = (max(x for x, _ in points_of(walls)) - min(x for x, _ in points_of(walls))) / 220

    def area(points):
        twice = sum(a * d - b * c for (a, b), (c, d) in zip(points, points[1:] + points[:1], strict=True))
        return abs(twice) / 2 / scale**2

    def cut(x, y):
        """Whether a tile by its number from the zero corner is at a wall or cut."""
        return x in (0, 9) or y in (0, 6) or (x >= 5 and y >= 4)

    def on_ceiling(x, y):
        wide, high = min(24, 220 - 24 * x), min(24, 168 - 24 * y)
        off = max(0, 24 * x + wide - max(140, 24 * x)) * max(0, 24 * y + high - max(110, 24 * y))
        return wide * high - off

    expected = sum(on_ceiling(x, y) for x in range(10) for y in range(7) if cut(x, y))
    shaded = sum(area(points_of(one)) for one in of_kind(root, "border-tile"))
    assert shaded == pytest.approx(expected, rel=0.01)
