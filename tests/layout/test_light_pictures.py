"""What a computed room's pictures show, held against sums by hand, CIE's own scales, and an independent geometry."""

import re
from dataclasses import replace
from itertools import pairwise
from math import radians, sqrt, tan
from xml.etree import ElementTree

import numpy as np
import pytest
from shapely import LineString, Polygon

from layout.drawing.text import width
from layout.engine.lengths import Style, Tape
from layout.engine.light.lobe import from_beam
from layout.engine.light.solve import solve
from layout.engine.light.values import Dims, Grid, Light, On, Opening, Room, Scene, Task
from layout.light import pictures
from layout.light.pictures import ChartPoint, Choice, Eye, Form, Told, tones
from layout.light.pictures.bands import levels_between
from layout.light.pictures.perspective import Camera, sees, stretches
from layout.light.pictures.twins import lattice_table
from layout.light.pictures.view import at_the_door

INCHES, METRIC = Told(Tape()), Told(Tape(Style.MM, 1))
SVG = "{http://www.w3.org/2000/svg}"
ELL = ((0.0, 0.0), (6.0, 0.0), (6.0, 2.5), (3.0, 2.5), (3.0, 5.5), (0.0, 5.5))


def lit(corners, places, height=2.44, **more):
    emitter = from_beam(70, 900, Opening(0.15, 0.15, 0, True))
    lights = tuple(
        Light(f"{zone}{number}", x, y, height - 0.001, emitter, zone=zone)
        for number, (x, y, zone) in enumerate(places, start=1)
    )
    names = tuple(f"{chr(97 + at)} wall" for at in range(len(corners)))
    return solve(Scene(Room(tuple(corners), height, wall_names=names), lights, **more), step_m=0.2)


@pytest.fixture(scope="module")
def oblong():
    counter = Task("counter", (0.5, 3.2, 0.9), (2.0, 0.0, 0.0), (0.0, 0.6, 0.0))
    places = [(x, y, "AB"[y > 2]) for y in (0.7, 3.4) for x in (0.7, 2.6, 4.4)]
    return lit(((0.0, 0.0), (5.2, 0.0), (5.2, 4.1), (0.0, 4.1)), places, tasks=(counter,))


@pytest.fixture(scope="module")
def ell():
    return lit(ELL, [(1.0, 1.0, "A"), (4.8, 1.2, "A"), (1.5, 4.2, "B")])


def every_picture(solved, told=INCHES):
    yield from (pictures.plan_map(solved, told=told, on=on, key=on) for on in ("plane", "floor", "ceiling"))
    yield pictures.plan_map(solved, told=told, form=Form.PRINT, key="print")
    yield from pictures.elevations(solved, told=told)
    yield pictures.from_the_door(solved, told=told)


# Tones


def lab(tone):
    """CIELAB under D65 from sRGB (IEC 61966-2-1 and CIE 15; the matrix from memory)."""
    red, green, blue = linear(tone)
    x = (0.4124564 * red + 0.3575761 * green + 0.1804375 * blue) / 0.95047
    y = 0.2126729 * red + 0.7151522 * green + 0.0721750 * blue
    z = (0.0193339 * red + 0.1191920 * green + 0.9503041 * blue) / 1.08883
    fx, fy, fz = (part ** (1 / 3) if part > 216 / 24389 else (24389 / 27 * part + 16) / 116 for part in (x, y, z))
    return np.array([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)])


def linear(tone):
    parts = [int(tone[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    return [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]


def contrast(one, other):
    """WCAG 2.2's ratio."""
    darker, lighter = sorted(0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b in (linear(one), linear(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("count", range(2, 14))
def test_each_tone_is_lighter_than_the_one_before_so_that_a_gray_copy_keeps_the_order(count):
    for toned in (tones.scale(count), tones.grays(count)):
        lightness = [lab(tone)[0] for tone in toned]
        assert all(after > before for before, after in pairwise(lightness))


@pytest.mark.parametrize("count", [5, 7, 9])
def test_steps_of_lightness_are_even_in_cielab(count):
    steps = np.diff([lab(tone)[0] for tone in tones.scale(count)])
    assert steps.max() / steps.min() < 1.15


@pytest.mark.parametrize("count", [5, 7, 9])
def test_neighboring_tones_are_about_equally_far_apart_in_cielab(count):
    apart = [np.linalg.norm(lab(b) - lab(a)) for a, b in pairwise(tones.scale(count))]
    assert max(apart) / min(apart) < 1.5


@pytest.mark.parametrize(("lightness", "channel"), [(0, 0), (50, 119), (100, 255)])
def test_grays_are_cie_lightness(lightness, channel):
    """L* 50 is 118.9 of 255 in sRGB: CIE 15 and IEC 61966-2-1, worked by hand."""
    assert tones.gray(lightness) == f"#{channel:02x}{channel:02x}{channel:02x}"


@pytest.mark.parametrize("count", range(1, 14))
def test_words_on_every_tone_stand_out_by_four_and_a_half_to_one(count):
    for tone in tones.scale(count) + tones.grays(count):
        assert contrast(tone, tones.words_on(tone)) >= 4.5
    for tone in tones.grays(count):
        assert contrast(tone, "#000000") >= 4.5


# Levels


def test_levels_are_the_scale_of_steps_people_name():
    """EN 12464-1's scale of illuminance (from memory): 50, 75, 100, 150, 200, 300, 500."""
    assert levels_between(40, 600) == (50, 75, 100, 150, 200, 300, 500)


@pytest.mark.parametrize(("low", "high"), [(0, 0.3), (0, 1), (17, 38), (290, 310), (0.5, 4000), (3, 4)])
def test_levels_lie_strictly_between_what_there_is_and_stay_few(low, high):
    levels = levels_between(low, high)
    assert 3 <= len(levels) <= 9
    assert all(low < level < high for level in levels)
    assert list(levels) == sorted(set(levels))


def test_a_surface_lit_the_same_all_over_has_no_lines():
    assert levels_between(20, 20) == ()


# Lines


def flat_grid(side, cells, height=0.0):
    """A square lattice of cells from 0, 0."""
    step = side / cells
    at = np.array([(column, row) for row in range(cells) for column in range(cells)])
    points = np.column_stack([(at + 0.5) * step, np.full(len(at), height)])
    x, y = np.array([step, 0.0, 0.0]), np.array([0.0, step, 0.0])
    origin, up, areas = np.array([0.0, 0.0, height]), np.array([0.0, 0.0, 1.0]), np.full(len(at), step**2)
    return Grid(On.PLANE, "plane", 0, origin, x, y, cells, cells, at, points, up, areas)


@pytest.mark.parametrize("level", [100.0, 60.0, 30.0])
def test_under_one_matte_source_the_lines_are_circles_where_the_fourth_power_of_the_cosine_puts_them(level):
    """E = I h^2 / d^4 under a flat matte source looking down, so d^2 = h sqrt(I/E) and r = sqrt(d^2 - h^2)."""
    grid, candela, height = flat_grid(6.0, 48), 600.0, 2.0
    squared = ((grid.points[:, :2] - 3.0) ** 2).sum(axis=1) + height**2
    lines = pictures.isolines(grid, candela * height**2 / squared**2, [level])[level]
    (circle,) = lines
    radius = sqrt(height * sqrt(candela / level) - height**2)
    found = np.hypot(circle[:, 0] - 3.0, circle[:, 1] - 3.0)
    assert found == pytest.approx(radius, rel=0.006)


def test_lines_of_a_level_that_falls_evenly_are_straight_and_reach_both_edges():
    grid = flat_grid(4.0, 20)
    (line,) = pictures.isolines(grid, 100 * grid.points[:, 0], [130.0])[130.0]
    assert line[:, 0] == pytest.approx(1.3)
    assert sorted([line[0, 1], line[-1, 1]]) == pytest.approx([0.0, 4.0])


# The table twin


def test_a_small_surfaces_table_is_the_surface_itself_top_row_first():
    grid = flat_grid(4.0, 4)
    lux = np.arange(16.0) * 10 + 100
    table = lattice_table(grid, lux, METRIC, "Floor")
    told = [[float(cell) for cell in row[1:]] for row in table.rows]
    assert told == [[220, 230, 240, 250], [180, 190, 200, 210], [140, 150, 160, 170], [100, 110, 120, 130]]
    assert table.rows[-1][0] == "0.00 m – 1.00 m"


def test_a_large_surfaces_table_keeps_its_average_and_its_size():
    grid = flat_grid(4.0, 32)
    table = lattice_table(grid, np.linspace(100, 1100, 32 * 32), METRIC, "Floor")
    told = np.array([[float(cell.replace(",", "")) for cell in row[1:]] for row in table.rows])
    assert told.shape == (8, 8)
    assert told.mean() == pytest.approx(600, rel=0.002)


def test_an_inch_shop_reads_footcandles_with_lux_beside():
    """One footcandle is 10.764 lx by the definition of the foot."""
    assert INCHES.both(107.64) == "10 fc (108 lx)"
    assert METRIC.both(107.64) == "108 lx"
    assert INCHES.length(2.4384) == "8'-0\""


# Whole pictures


@pytest.mark.parametrize("which", ["oblong", "ell"])
def test_pictures_are_sound_light_and_free_of_styles_and_scripts(which, request):
    for told in (INCHES, METRIC):
        for picture in every_picture(request.getfixturevalue(which), told):
            root = ElementTree.fromstring(picture.svg)
            tags = [element.tag.removeprefix(SVG) for element in root.iter()]
            ids = [element.get("id") for element in root.iter() if element.get("id")]
            assert not {"style", "script", "image", "foreignObject"} & set(tags)
            assert not any(name == "style" or name.startswith("on") for each in root.iter() for name in each.attrib)
            assert len(ids) == len(set(ids))
            assert root.get("aria-labelledby").split() == [f"{picture.key}-title", f"{picture.key}-words"]
            assert root.find(f"{SVG}title").text and root.find(f"{SVG}desc").text
            assert sum(tag in {"path", "polygon", "rect"} for tag in tags) < 3000
            assert len(picture.svg) < 300_000
            assert picture.table.rows and all(len(row) == len(picture.table.heads) for row in picture.table.rows)


def test_pictures_come_out_the_same_each_time(oblong):
    assert [each.svg for each in every_picture(oblong)] == [each.svg for each in every_picture(oblong)]


def boxes(root, group):
    for element in root.iter(f"{SVG}g"):
        if element.get("class") == group:
            rect = element.find(f"{SVG}rect")
            yield tuple(float(rect.get(name)) for name in ("x", "y", "width", "height"))


@pytest.mark.parametrize("which", ["oblong", "ell"])
def test_numbers_on_lines_keep_clear_of_lights_of_one_another_and_of_the_walls(which, request):
    root = ElementTree.fromstring(pictures.plan_map(request.getfixturevalue(which), told=INCHES).svg)
    wall = next(each for each in root.iter(f"{SVG}polygon") if each.get("class") == "wall")
    outline = Polygon([tuple(map(float, point.split(","))) for point in wall.get("points").split()])
    circles = [each for each in root.iter(f"{SVG}circle") if each.get("class") == "symbol"]
    numbers = list(boxes(root, "level-number"))
    assert numbers and circles
    for x, y, wide, high in numbers:
        for circle in circles:
            near_x = min(max(float(circle.get("cx")), x), x + wide) - float(circle.get("cx"))
            near_y = min(max(float(circle.get("cy")), y), y + high) - float(circle.get("cy"))
            assert near_x**2 + near_y**2 > float(circle.get("r")) ** 2
        assert outline.contains(Polygon([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]))
    for (x1, y1, w1, h1), (x2, y2, w2, h2) in ((a, b) for at, a in enumerate(numbers) for b in numbers[at + 1 :]):
        assert x1 + w1 <= x2 or x2 + w2 <= x1 or y1 + h1 <= y2 or y2 + h2 <= y1


def test_a_zone_that_is_off_is_drawn_unlit_and_darkens_its_side(oblong):
    off = Dims(zones={"B": 0.0})
    picture, all_on = (pictures.plan_map(oblong, dims, told=METRIC) for dims in (off, None))
    root = ElementTree.fromstring(picture.svg)
    classes = [each.get("class") for each in root.iter(f"{SVG}circle")]
    assert (classes.count("ghost"), classes.count("symbol")) == (3, 3)
    far = [[float(row.replace(",", "")) for row in picture.table.rows[0][1:]] for picture in (picture, all_on)]
    assert all(dark < bright for dark, bright in zip(*far, strict=True))


def test_a_task_has_a_map_of_its_own(oblong):
    assert "counter" in pictures.plan_map(oblong, told=INCHES, on="counter", key="counter").title


def test_each_wall_is_named_with_the_walls_it_meets_as_someone_facing_it_sees_them(oblong):
    """Facing the wall at y = 0 from inside, the wall at x = 0 is on the right."""
    first, second, *_others = pictures.elevations(oblong, told=INCHES)
    assert "left, the corner with the b wall; right, with the d wall" in first.words
    assert "left, the corner with the c wall; right, with the a wall" in second.words


def test_names_people_typed_are_escaped(oblong):
    room = replace(oblong.scene.room, wall_names=("<b>&\"'", "b", "c", "d"))
    named = replace(oblong, scene=replace(oblong.scene, room=room))
    root = ElementTree.fromstring(pictures.elevations(named, told=INCHES)[0].svg)
    assert "<b>&\"'" in root.find(f"{SVG}title").text


# The view from the door


def test_around_a_corner_a_wall_is_seen_as_far_as_the_corner_lets():
    """From (4.5, 0) past the corner (3, 2.5) the way meets y = 5.5 at x = 4.5 - 1.5 x 5.5 / 2.5 = 1.2."""
    eye = (4.5, 0.0)
    assert stretches(ELL, eye, 4) == [pytest.approx((0.6, 1.0))]
    assert stretches(ELL, eye, 2) == [pytest.approx((0.0, 1.0))]
    assert stretches(ELL, eye, 3) == []


@pytest.mark.parametrize("eye", [(4.5, 0.4), (0.4, 5.2), (2.9, 2.6), (5.9, 2.4), (3.4, 1.0)])
def test_what_is_hidden_agrees_with_a_geometry_library(eye):
    """A point of a wall is seen when the straight way to it stays in the room (shapely)."""
    room, chance = Polygon(ELL).buffer(1e-7), np.random.default_rng(6)
    for number, (start, end) in enumerate(pairwise((*ELL, ELL[0]))):
        parts = stretches(ELL, eye, number)
        for share in chance.random(60):
            point = tuple(a + (b - a) * share for a, b in zip(start, end, strict=True))
            seen = any(low <= share <= high for low, high in parts)
            if min((abs(share - cut) for part in parts for cut in part), default=1) > 1e-3:
                assert seen == room.covers(LineString([eye, point])), (number, share)
                assert seen == (sees(ELL, eye, point) and bool(parts))


def test_the_far_wall_lands_where_similar_triangles_put_it():
    """A wall 5 m wide, 4 m ahead, an 84 degree field: its half is 2.5 / (4 tan 42) of half the picture."""
    camera = Camera(2.5, 0.0, 1.6, 90.0, 84.0)
    wall = np.array([(0.0, 4.0, 0.0), (5.0, 4.0, 0.0), (5.0, 4.0, 2.6), (0.0, 4.0, 2.6)])
    half = 2.5 / (4 * tan(radians(42)))
    flat = camera.project(wall)
    assert flat[:, 0] == pytest.approx([-half, half, half, -half])
    assert flat[:, 1] == pytest.approx([-1.6 / 2.5 * half, -1.6 / 2.5 * half, 1.0 / 2.5 * half, 1.0 / 2.5 * half])


class Evenly:
    """A room with the same light on every surface."""

    def __init__(self, solved, lux):
        self.scene, self.grids, self.grid, self._lux = solved.scene, solved.grids, solved.grid, lux

    def lux(self, name, dims=None):
        return np.full(len(self.grid(name).points), float(self._lux))


def test_a_surface_that_gives_back_a_quarter_of_white_is_drawn_at_lightness_57(oblong):
    """116 x 0.25^(1/3) - 16 = 57.07; floor 0.2, ceiling 0.8, walls 0.5 are the room's own."""
    picture = pictures.from_the_door(Evenly(oblong, 100), told=METRIC, white_lm_m2=80.0)
    drawn = {row[0]: row[-1] for row in picture.table.rows}
    assert drawn["floor"] == "57" and drawn["ceiling"] == "100"
    fills = re.findall(r'fill="(#[0-9a-f]{6})" fill-rule', picture.svg)
    assert any(abs(lab(tone)[0] - 57.07) < 1.6 for tone in fills)


def test_the_wall_behind_the_viewer_is_not_in_the_view(oblong):
    assert "a wall" not in [row[0] for row in pictures.from_the_door(oblong, told=INCHES).table.rows]


def test_the_viewer_stands_at_the_middle_of_the_door_wall_and_looks_in(ell):
    eye = at_the_door(ell.scene.room)
    assert (eye.x, eye.y) == pytest.approx((3.0, 0.0), abs=0.02)
    assert eye.bearing_deg == pytest.approx(90)


def test_lights_around_the_corner_are_not_drawn(ell):
    """From 5.5, 0.3 the light at 1.5, 4.2 is behind the inner wall: at y = 2.5 the way is at x = 3.2."""
    seen = ElementTree.fromstring(pictures.from_the_door(ell, told=INCHES, eye=Eye(5.5, 0.3, bearing_deg=150)).svg)
    assert sum(each.get("class") == "lamp" for each in seen.iter()) < 3


# Charts


def points():
    return [
        ChartPoint(mode, off, 0.6 - off / 5 + step / 20, 90 - 40 * off, 320.0, 12)
        for step, mode in enumerate(("even", "wall-held", "locked"))
        for off in (0.4, 0.6, 0.8)
    ]


def test_the_wall_chart_marks_the_chosen_layout_and_tells_every_point():
    chart = pictures.wall_chart(points(), points()[4], told=INCHES)
    root = ElementTree.fromstring(chart.svg)
    assert sum(each.get("class") == "chosen" and each.tag == f"{SVG}circle" for each in root.iter()) == 4
    assert len(chart.table.rows) == 9
    assert chart.table.rows[0][0] == "wall-held, this layout"
    assert chart.table.rows[0][1] == "23.5 in"
    words = {each.text for each in root.iter(f"{SVG}text")}
    assert {"even", "wall-held", "locked"} <= words


def test_a_chart_of_one_layout_still_has_an_axis():
    assert "<svg" in pictures.wall_chart(points()[:1], told=METRIC).svg


def test_a_chart_of_nothing_is_refused():
    with pytest.raises(ValueError, match="at least one"):
        pictures.wall_chart([], told=INCHES)
    with pytest.raises(ValueError, match="at least one"):
        pictures.trade_off_chart([], told=INCHES)


def test_the_trade_off_chart_names_what_is_offered_and_only_that():
    choices = [Choice(f"P{at}", 0.3 + at / 20, 400 - 30 * at, "12 lights", chosen=at in (1, 3)) for at in range(5)]
    chart = pictures.trade_off_chart(choices, told=METRIC)
    words = {each.text for each in ElementTree.fromstring(chart.svg).iter(f"{SVG}text")}
    assert {"P1", "P3"} <= words and "P2" not in words
    assert len(chart.table.rows) == 5


def test_a_long_name_of_a_mode_stands_whole_beside_its_line():
    long = [replace(point, mode=f"{point.mode}, held half a gap off the stone wall") for point in points()]
    root = ElementTree.fromstring(pictures.wall_chart(long, told=INCHES).svg)
    wide = float(root.get("viewBox").split()[2])
    names = [each for each in root.iter(f"{SVG}text") if "stone wall" in (each.text or "")]
    size = float(names[0].get("font-size"))
    assert len(names) == 6
    assert all(float(each.get("x")) + width(each.text, size) / 2 <= wide for each in names)
