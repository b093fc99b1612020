"""Light on each wall as someone in the room faces it: bands, lines and numbers on the wall to scale."""

from __future__ import annotations

from math import hypot
from xml.etree.ElementTree import Element

import numpy as np
from django.utils.translation import gettext as _

from layout.drawing.ink import drawing, line, words, written
from layout.drawing.picture import Picture
from layout.drawing.text import MM_PER_POINT, Box, width
from layout.engine.light.values import Dims, Grid, On, Scene
from layout.light.pictures.bands import LEGEND_HIGH, Bands, bands_of, legend
from layout.light.pictures.plan_map import ceiling_at, corners_on
from layout.light.pictures.sheet import Placed, draw_numbers, draw_surface, edge_of, outline, place
from layout.light.pictures.twins import lattice_table, summed_up, wall_name
from layout.light.pictures.values import Form, Told

NAME_PT = 9.0
SIDE, TOP, FOOT = 4.0, 3.0, 7.5  # mm: beside, over and under a wall
HIGHEST = 75.0  # mm: a tall room's walls are drawn smaller instead


def elevations(
    solved,
    dims: Dims | None = None,
    *,
    told: Told,
    bands: Bands | None = None,
    form: Form = Form.COLOR,
    key: str = "light-wall",
    width_mm: float = 130,
) -> tuple[Picture, ...]:
    """Every wall in turn, all to one scale and in the same bands. bands: those shared with other pictures."""
    walls = [grid for grid in solved.grids if grid.on is On.WALL]
    lux = {grid.number: solved.lux(grid.name, dims) for grid in walls}
    bands = bands or bands_of(lux.values(), told, form)
    room = solved.scene.room
    longest = max(_long(solved.scene, grid.number) for grid in walls)
    highest = max(ceiling_at(room, x, y) for x, y in room.corners)
    scale = min((width_mm - 2 * SIDE) / longest, HIGHEST / highest)
    return tuple(
        _wall(solved.scene, grid, lux[grid.number], told, bands, scale, highest, f"{key}-{grid.number + 1}", width_mm)
        for grid in walls
    )


def _wall(scene, grid, lux, told, bands, scale, highest, key, width_mm) -> Picture:
    edge = edge_of(grid, corners_on(scene.room, grid, scene))
    long = max(u for u, _v in edge)
    bottom = TOP + highest * scale
    title = _("Light on the %(wall)s") % {"wall": wall_name(scene, grid.number)}
    before, after = _neighbors(scene, grid)
    said = " ".join((
        summed_up(lux, grid.areas, told),
        _("Seen from inside the room: left, the corner with the %(left)s; right, with the %(right)s.")
        % {"left": before, "right": after},
    ))  # fmt: skip
    svg = drawing(width_mm, bottom + FOOT + LEGEND_HIGH, key=key, title=title, description=said)
    svg.set("role", "img")
    svg.set("class", "plan-drawing light-picture")
    at = place(grid, lux, edge, scale, (width_mm - long * scale) / 2, bottom)
    taken: list[Box] = []
    draw_surface(svg, at, bands, key)
    outline(svg, at)
    _foot(svg, at, (before, after), told.length(long))
    _plane(svg, at, scene)
    draw_numbers(svg, at, bands, taken)
    legend(svg, bands, SIDE, bottom + FOOT, width_mm - 2 * SIDE)
    return Picture(key, title, said, written(svg), lattice_table(grid, lux, told, title))


def _foot(svg: Element, at: Placed, corners: tuple[str, str], long: str) -> None:
    """The floor's line running past the wall, its length, and the wall met at either end."""
    box, high = at.box, NAME_PT * MM_PER_POINT
    line(svg, "wall", box.left - SIDE + 0.5, box.bottom, box.right + SIDE - 0.5, box.bottom)
    y = box.bottom + high / 2 + 1.4
    wide = [width(name, high) for name in corners]
    middle = width(long, high)
    if sum(wide) + middle + 6 > box.right - box.left + 2 * SIDE:
        words(svg, long, (box.left + box.right) / 2, y, NAME_PT)
        return
    words(svg, corners[0], box.left - SIDE + wide[0] / 2, y, NAME_PT, kind="wall-name")
    words(svg, long, (box.left + box.right) / 2, y, NAME_PT)
    words(svg, corners[1], box.right + SIDE - wide[1] / 2, y, NAME_PT, kind="wall-name")


def _plane(svg: Element, at: Placed, scene: Scene) -> None:
    """How high the work plane stands, as a stroke at both ends of the wall."""
    _x, y = at.point(0, scene.plane_m)
    for x, way in ((at.box.left, -1), (at.box.right, 1)):
        line(svg, "dimension", x, y, x + way * 2.5, y)


def _neighbors(scene: Scene, grid: Grid) -> tuple[str, str]:
    """The walls at its left and right as it is faced: told by which end the grid starts from."""
    corners = scene.room.corners
    ends = np.asarray(corners)[[grid.number, (grid.number + 1) % len(corners)]]
    from_start = hypot(*(grid.origin[:2] - ends[0])) < hypot(*(grid.origin[:2] - ends[1]))
    before, after = wall_name(scene, grid.number - 1), wall_name(scene, grid.number + 1)
    return (before, after) if from_start else (after, before)


def _long(scene: Scene, number: int) -> float:
    (x1, y1), (x2, y2) = scene.room.corners[number], scene.room.corners[(number + 1) % len(scene.room.corners)]
    return hypot(x2 - x1, y2 - y1)
