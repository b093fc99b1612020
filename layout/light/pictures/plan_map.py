"""Light on the work plane, the floor, the ceiling or a task as a map, the lights in their places on a level one.

Read as the plan is: looking down, the door wall at the bottom, left is left. A task on a wall is seen facing it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan2, cos, hypot, pi, sin
from xml.etree.ElementTree import Element

import numpy as np
from django.utils.translation import gettext as _

from layout.drawing.hatch import Point
from layout.drawing.ink import add, drawing, stroke, words, written
from layout.drawing.picture import Picture
from layout.drawing.symbols import CROSS, drawn_size, symbol
from layout.drawing.text import MM_PER_POINT, Box, width
from layout.engine.light.values import Dims, Floats, Grid, Light, On, Room, Scene
from layout.engine.marks import Kind
from layout.light.pictures.bands import LEGEND_HIGH, Bands, bands_of, legend
from layout.light.pictures.sheet import Placed, draw_numbers, draw_surface, edge_of, outline, place
from layout.light.pictures.twins import lattice_table, summed_up, surface_name, wall_name
from layout.light.pictures.values import Form, Told

NAME_PT, ID_PT = 9.0, 8.5
MARGIN = 7.0  # mm: for the walls' names
MOST_IDS = 60  # lights: beyond it their IDs are left to the plan


def plan_map(
    solved,
    dims: Dims | None = None,
    *,
    told: Told,
    on: str = "plane",
    bands: Bands | None = None,
    form: Form = Form.COLOR,
    key: str = "light-map",
    width_mm: float = 130,
    height_mm: float = 150,
) -> Picture:
    """A map of illuminance. on: "plane", "floor", "ceiling" or a task's name. bands: shared with other pictures."""
    grid, lux = solved.grid(on), solved.lux(on, dims)
    bands = bands or bands_of([lux], told, form)
    room = solved.scene.room
    edge = edge_of(grid, corners_on(room, grid, solved.scene))
    (low_u, high_u), (low_v, high_v) = ((min(part), max(part)) for part in zip(*edge, strict=True))
    scale = min((width_mm - 2 * MARGIN) / (high_u - low_u), (height_mm - 2 * MARGIN - LEGEND_HIGH) / (high_v - low_v))
    wide = max((high_u - low_u) * scale + 2 * MARGIN, 70.0)
    bottom = MARGIN + (high_v - low_v) * scale
    left = (wide - (high_u - low_u) * scale) / 2
    title = _("Light on the %(surface)s") % {"surface": surface_name(grid, solved.scene, told)}
    level = abs(grid.normal[2]) > 0.99
    seen = _("Seen from above, the door wall at the bottom.") if level else _("Seen facing it.")
    said = f"{summed_up(lux, grid.areas, told)} {seen}"
    svg = drawing(wide, bottom + MARGIN + LEGEND_HIGH, key=key, title=title, description=said)
    svg.set("role", "img")
    svg.set("class", "plan-drawing light-picture")
    at = place(grid, lux, edge, scale, left - low_u * scale, bottom + low_v * scale)
    taken = [Box(0, 0, 0, 0)]
    draw_surface(svg, at, bands, key)
    outline(svg, at)
    _wall_names(svg, at, solved.scene)
    over = solved.scene.lights if grid.on is not On.TASK else ()
    lights = [(light, at.point(*_uv(grid, light))) for light in over]
    marks = add(svg, "g", kind="marks")
    _marks(marks, at, lights, dims, taken)
    _in_every_theme(marks)
    draw_numbers(svg, at, bands, taken)
    legend(svg, bands, MARGIN, bottom + MARGIN, wide - 2 * MARGIN)
    return Picture(key, title, said, written(svg), lattice_table(grid, lux, told, title))


def corners_on(room: Room, grid: Grid, scene: Scene) -> Floats:
    """The outline of a surface in the room, (k, 3)."""
    if grid.on is On.TASK:
        task = scene.tasks[grid.number]
        corner, along, up = (np.asarray(each, dtype=float) for each in (task.corner, task.along, task.up))
        return np.array([corner, corner + along, corner + along + up, corner + up])
    if grid.on is On.WALL:
        ends = [room.corners[grid.number], room.corners[(grid.number + 1) % len(room.corners)]]
        low, high = [(x, y, 0.0) for x, y in ends], [(x, y, ceiling_at(room, x, y)) for x, y in reversed(ends)]
        return np.array(low + high)
    heights = {On.PLANE: scene.plane_m, On.FLOOR: 0.0}
    return np.array([(x, y, heights.get(grid.on, ceiling_at(room, x, y))) for x, y in room.corners])


def ceiling_at(room: Room, x: float, y: float) -> float:
    first_x, first_y = room.corners[0]
    return room.height_m + room.slope[0] * (x - first_x) + room.slope[1] * (y - first_y)


def dim_of(light: Light, dims: Dims | None) -> float:
    """What a light is dimmed to where these dims are read."""
    if dims is None:
        return light.dim
    return dims.lights.get(light.id, dims.zones.get(light.zone, light.dim))


def _uv(grid: Grid, light: Light) -> Point:
    off = np.array([light.x, light.y, light.z]) - grid.origin
    steps = (grid.step_u, grid.step_v)
    u, v = (float(off[:2] @ step[:2] / hypot(*step[:2])) for step in steps)
    return u, v


def _marks(
    svg: Element, at: Placed, lights: Sequence[tuple[Light, Point]], dims: Dims | None, taken: list[Box]
) -> None:
    """Lights as on the plan, an unlit one dashed, each ID where it is clear."""
    drawn: list[tuple[Light, Point, float]] = []
    for light, (x, y) in lights:
        size = drawn_size(Kind.LIGHT, light.emitter.opening.width * at.scale)
        if dim_of(light, dims) > 0:
            symbol(svg, Kind.LIGHT, x, y, size)
        else:
            add(svg, "circle", cx=x, cy=y, r=size / 2, **(stroke("ghost") | {"fill": "#fff"}))
        _aim(svg, light, x, y, size)
        taken.append(Box.around(x, y, size + 2 * CROSS, size + 2 * CROSS))
        drawn.append((light, (x, y), size))
    if len(drawn) > MOST_IDS:
        return
    high = ID_PT * MM_PER_POINT
    for light, (x, y), size in drawn:
        wide = width(light.id, high)
        side, off = size / 2 + CROSS + 0.4 + wide / 2, size / 2 + CROSS + 0.3 + high / 2
        for dx, dy in ((side, 0), (-side, 0), (0, off), (0, -off)):
            box = Box.around(x + dx, y + dy, wide + 0.6, high)
            if box.clear_of(taken) and at.box.left < box.left and box.right < at.box.right:
                add(svg, "rect", x=box.left, y=box.top, width=wide + 0.6, height=high, fill="#fff")
                words(svg, light.id, x + dx, y + dy, ID_PT, bold=True, kind="mark-id")
                taken.append(box)
                break


def _aim(svg: Element, light: Light, x: float, y: float, size: float) -> None:
    """A tilted light points: a stroke from its rim the way it leans."""
    if light.tilt_deg:
        way = light.toward_deg * pi / 180
        start, end = size / 2 + CROSS, size / 2 + CROSS + 3
        ends: dict[str, str | float] = {
            "x1": x + start * cos(way), "y1": y - start * sin(way), "x2": x + end * cos(way), "y2": y - end * sin(way),
        }  # fmt: skip
        for ink, weight in (("#fff", 1.3), ("#000", 0.5)):
            add(svg, "line", kind="aim", stroke=ink, stroke_width=weight, **ends)


def _in_every_theme(group: Element) -> None:
    """Marks stand on tones, which no theme changes: their black and white are written so that none changes them."""
    for element in group.iter():
        for name in ("stroke", "fill"):
            if element.get(name) in ("#000", "#fff"):
                element.set(name, element.get(name, "") + element.get(name, "")[1:])


def _wall_names(svg: Element, at: Placed, scene: Scene) -> None:
    """Each wall's name outside it, along it; a wall shorter than its name stays without, its table names it."""
    if at.grid.on not in (On.PLANE, On.FLOOR, On.CEILING):
        return
    high = NAME_PT * MM_PER_POINT
    for number, ((x1, y1), (x2, y2)) in enumerate(pairwise((*at.edge, at.edge[0]))):
        name, long = wall_name(scene, number), hypot(x2 - x1, y2 - y1)
        if width(name, high) > long:
            continue
        out_x, out_y = (y1 - y2) / long, (x2 - x1) / long  # the outline runs counterclockwise, y downward
        x, y = (x1 + x2) / 2 + out_x * (high / 2 + 1.6), (y1 + y2) / 2 + out_y * (high / 2 + 1.6)
        turn = -atan2(y2 - y1, x2 - x1) * 180 / pi % 180
        words(svg, name, x, y, NAME_PT, level=not 45 < turn < 135, kind="wall-name")
