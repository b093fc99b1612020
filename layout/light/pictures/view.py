"""A plain shaded view of the room from its door: each surface in the gray its light and reflectance give it.

What leaves a matte surface is its reflectance times the lux on it. Grays follow CIE lightness (a cube root), as the eye
does: a surface that sends out a fifth of the light of the brightest one is drawn about half as light as white.
Furniture, daylight, glare and shine are not in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, degrees, hypot, pi
from xml.etree.ElementTree import Element

import numpy as np
from django.utils.translation import gettext as _

from layout.drawing.ink import add, drawing, number, rectangle, written
from layout.drawing.picture import Picture, Table
from layout.engine.light.values import Dims, Floats, Grid, Light, On, Room
from layout.engine.shape import on_plan
from layout.light.pictures import tones
from layout.light.pictures.perspective import Camera, Plan, clipped, sees, stretches
from layout.light.pictures.plan_map import ceiling_at, corners_on, dim_of
from layout.light.pictures.sheet import edge_of
from layout.light.pictures.surfaces import field_of, over, thinned
from layout.light.pictures.twins import wall_name
from layout.light.pictures.values import Told
from layout.light.pictures.values import written as said_number

EYE_M = 1.6  # a standing person's eye above the floor; common practice, no source
STEPS = 64  # lightness steps from black to white: about 1.6 L* each, near the least the eye tells apart
FINE = 0.05  # mm: what an outline may leave out
ROUND = 16  # corners of a light's disc
LEAST_DISC_M = 0.09  # across: a light without an opening of its own
WHITE_SHARE = 0.99  # of the surfaces' area is no brighter than white
NARROWEST, WIDEST = 72.0, 104.0  # degrees seen across: beyond that straight lines look stretched
ASIDE = 75.0  # degrees: corners further to the side are beside the viewer
MARGIN = 0.5


@dataclass(frozen=True, slots=True)
class Eye:
    """Where the viewer stands on the plan, and where to: m and degrees. None: into the room."""

    x: float
    y: float
    height_m: float = EYE_M
    bearing_deg: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class _Surface:
    name: str
    grid: Grid
    lux: Floats  # at the grid's points
    reflectance: float
    edge: Floats  # (k, 2): its outline along u and v, m
    seen: tuple[tuple[float, float], ...] | None = None  # a wall's visible stretches along u, m; None: no wall

    @property
    def corners(self) -> Floats:
        """(k, 3) in the room."""
        u, v = (each / hypot(*each) for each in (self.grid.step_u, self.grid.step_v))
        return self.grid.origin + self.edge[:, :1] * u + self.edge[:, 1:2] * v

    @property
    def exitance(self) -> Floats:
        """What leaves it, lm/m2."""
        return self.reflectance * self.lux


def from_the_door(
    solved,
    dims: Dims | None = None,
    *,
    told: Told,
    eye: Eye | None = None,
    white_lm_m2: float | None = None,
    key: str = "light-view",
    width_mm: float = 130,
    height_mm: float = 84,
) -> Picture:
    """The room as it shades itself. white_lm_m2: what is drawn white, to show two rooms alike; None: by the room."""
    room = solved.scene.room
    eye = eye or at_the_door(room)
    bearing = _bearing(room, eye)
    camera = Camera(eye.x, eye.y, eye.height_m, bearing, _field(room, eye, bearing))
    surfaces = [each for each in _surfaces(solved, dims, (eye.x, eye.y)) if camera.faces(each.corners)]
    white = white_lm_m2 or white_of(surfaces)
    title = _("The room from the door")
    said = _(
        "Shaded by the light each surface gives back, %(eye)s above the floor. White is %(white)s lm/m²; "
        "lightness goes by the cube root, as the eye judges it."
    ) % {"eye": told.length(eye.height_m), "white": said_number(white)}
    svg = drawing(width_mm, height_mm, key=key, title=title, description=said)
    svg.set("role", "img")
    svg.set("class", "plan-drawing light-picture light-view")
    draw = _Pen(camera, width_mm, height_mm, white)
    group = _window(svg, key, width_mm, height_mm)
    for surface in surfaces:
        draw.surface(group, surface)
    for light in _visible(solved.scene.lights, room, eye):
        draw.disc(group, light, dim_of(light, dims) > 0)
    rectangle(svg, "thing", MARGIN, MARGIN, width_mm - 2 * MARGIN, height_mm - 2 * MARGIN)
    return Picture(key, title, said, written(svg), _table(surfaces, white, told))


def at_the_door(room: Room) -> Eye:
    """At the middle of the door wall: the longest of those that lie nearest y = 0, which is the door's side."""
    walls = list(pairwise((*room.corners, room.corners[0])))
    least = min(y1 + y2 for (_x1, y1), (_x2, y2) in walls)
    near = [wall for wall in walls if wall[0][1] + wall[1][1] < least + 0.02]
    (x1, y1), (x2, y2) = max(near, key=lambda wall: hypot(wall[1][0] - wall[0][0], wall[1][1] - wall[0][1]))
    long = hypot(x2 - x1, y2 - y1)
    inward = (y1 - y2) / long * 0.01, (x2 - x1) / long * 0.01
    x, y = (x1 + x2) / 2 + inward[0], (y1 + y2) / 2 + inward[1]
    return Eye(x, y, min(EYE_M, 0.75 * ceiling_at(room, x, y)), degrees(atan2(inward[1], inward[0])))


def white_of(surfaces: Sequence[_Surface]) -> float:
    """The exitance that all but a hundredth of the seen area stays under."""
    exitance = np.concatenate([surface.exitance for surface in surfaces])
    areas = np.concatenate([surface.grid.areas for surface in surfaces])
    order = np.argsort(exitance)
    share = np.cumsum(areas[order]) / areas.sum()
    return max(float(exitance[order][np.searchsorted(share, WHITE_SHARE)]), 1e-6)


def _bearing(room: Room, eye: Eye) -> float:
    if eye.bearing_deg is not None:
        return eye.bearing_deg
    x, y = np.mean(np.asarray(room.corners), axis=0)
    return degrees(atan2(y - eye.y, x - eye.x))


def _field(room: Room, eye: Eye, bearing: float) -> float:
    """How much is seen across: wide enough for the corners ahead with a little of the walls that lead to them."""
    aside = [
        abs((degrees(atan2(y - eye.y, x - eye.x)) - bearing + 180) % 360 - 180)
        for x, y in room.corners
        if sees(room.corners, (eye.x, eye.y), (x, y))
    ]
    widest = max((each for each in aside if each < ASIDE), default=NARROWEST / 2)
    return min(max(2 * widest + 12, NARROWEST), WIDEST)


def _surfaces(solved, dims: Dims | None, eye: Plan) -> list[_Surface]:
    """Floor and ceiling, then the walls that the eye sees some of."""
    scene = solved.scene
    room = scene.room
    level = {On.FLOOR: (_("floor"), room.floor), On.CEILING: (_("ceiling"), room.ceiling)}
    found, walls = [], []
    for grid in solved.grids:
        edge = np.array(edge_of(grid, corners_on(room, grid, scene)))
        if grid.on in level:
            name, share = level[grid.on]
            found.append(_Surface(name, grid, solved.lux(grid.name, dims), share, edge))
        elif grid.on is On.WALL and (parts := stretches(room.corners, eye, grid.number)):
            name, share = wall_name(scene, grid.number), room.reflectance_of(grid.number)
            seen = _along(room, grid, parts)
            walls.append(_Surface(name, grid, solved.lux(grid.name, dims), share, edge, seen))
    return found + walls


def _along(room: Room, grid: Grid, parts: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Shares from the wall's first corner as meters along the grid's u."""
    way = grid.step_u[:2] / hypot(*grid.step_u[:2])
    ends = [room.corners[grid.number], room.corners[(grid.number + 1) % len(room.corners)]]
    start, end = ((np.asarray(each) - grid.origin[:2]) @ way for each in ends)
    return tuple(tuple(sorted((start + (end - start) * low, start + (end - start) * high))) for low, high in parts)


def _visible(lights: Sequence[Light], room: Room, eye: Eye) -> list[Light]:
    """The lights in sight, the farthest first."""
    seen = [light for light in lights if sees(room.corners, (eye.x, eye.y), (light.x, light.y))]
    return sorted(seen, key=lambda light: (-hypot(light.x - eye.x, light.y - eye.y), light.id))


def _window(svg: Element, key: str, wide: float, high: float) -> Element:
    clip = add(add(svg, "defs"), "clipPath", id=f"{key}-window")
    add(clip, "rect", x=MARGIN, y=MARGIN, width=wide - 2 * MARGIN, height=high - 2 * MARGIN)
    group = add(svg, "g", kind="shades")
    group.set("clip-path", f"url(#{key}-window)")
    return group


@dataclass(frozen=True, slots=True)
class _Pen:
    camera: Camera
    wide: float
    high: float
    white: float

    def surface(self, group: Element, surface: _Surface) -> None:
        """The darkest tone over all of it, then every lighter step where it is at least that light.

        Floor and ceiling are not cut to their outlines: what of them lies outside is behind a wall.
        """
        field = field_of(surface.grid, np.array([tones.lightness(each / self.white) for each in surface.exitance]))
        step = 100 / STEPS
        darkest = int(field.lux.min() / step)
        self._fill(group, surface.grid, _seen(surface.edge, surface), tones.gray((darkest + 0.5) * step))
        steps = [at * step for at in range(darkest + 1, min(int(field.lux.max() / step), STEPS) + 1)]
        for level, rings in over(field, steps):
            cut = [part for ring in rings for part in _seen(ring, surface)]
            self._fill(group, surface.grid, cut, tones.gray(min(level + step / 2, 100)))
        if surface.seen is not None:
            self._edges(group, surface)

    def _edges(self, group: Element, surface: _Surface) -> None:
        """A thin line round what is seen of a wall: two surfaces of one tone still part."""
        drawn = "".join(self._path(self._flat(surface.grid, ring)) for ring in _seen(surface.edge, surface))
        if drawn:
            add(group, "path", kind="corner", d=drawn, fill="none", stroke=tones.gray(30), stroke_width=0.15)

    def _flat(self, grid: Grid, ring: Floats) -> Floats:
        """A ring along a surface's u and v, as the camera has it."""
        u, v = (each / hypot(*each) for each in (grid.step_u, grid.step_v))
        return self.camera.project(grid.origin + ring[:, :1] * u + ring[:, 1:2] * v)

    def _fill(self, group: Element, grid: Grid, rings: Sequence[Floats], tone: str) -> None:
        drawn = "".join(self._path(self._flat(grid, ring)) for ring in rings)
        if drawn:
            add(group, "path", d=drawn, fill=tone, fill_rule="evenodd")

    def _path(self, flat: Floats) -> str:
        """The ring in millimeters, cut to the window; nothing where none of it is seen."""
        if len(flat) < 3:
            return ""
        half = self.wide / 2
        points = np.column_stack([half + flat[:, 0] * half, self.high / 2 - flat[:, 1] * half])
        for normal, least in (((1, 0), -1), ((-1, 0), -self.wide - 1), ((0, 1), -1), ((0, -1), -self.high - 1)):
            points = clipped(points, normal, least)
        if len(points) < 3:
            return ""
        points = thinned(np.vstack([points, points[:1]]), FINE)
        return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points[:-1]) + "Z" if len(points) > 3 else ""

    def disc(self, group: Element, light: Light, lit: bool) -> None:
        """A light's opening, lying level where it hangs: white when it is lit, a ring when it is not."""
        radius = max(light.emitter.opening.width, LEAST_DISC_M) / 2
        turns = np.arange(ROUND) * 2 * pi / ROUND
        ring = np.column_stack([
            light.x + radius * np.cos(turns), light.y + radius * np.sin(turns), np.full(ROUND, light.z - 0.002),
        ])  # fmt: skip
        drawn = self._path(self.camera.project(ring))
        if drawn:
            ink, weight = (tones.gray(45), 0.12) if lit else (tones.gray(20), 0.2)
            fill = "#fefefe" if lit else "none"
            kind = "lamp" if lit else "lamp unlit"
            add(group, "path", kind=kind, d=drawn, fill=fill, stroke=ink, stroke_width=weight)


def _seen(ring: Floats, surface: _Surface) -> list[Floats]:
    """A ring of a wall cut to its outline, which bulges nowhere inward, and to each stretch seen of it."""
    if surface.seen is None:
        return [ring]
    turn = 1.0 if on_plan.area(surface.edge) > 0 else -1.0
    for (u0, v0), (u1, v1) in pairwise((*surface.edge, surface.edge[0])):
        normal = turn * (v0 - v1), turn * (u1 - u0)
        ring = clipped(ring, normal, normal[0] * u0 + normal[1] * v0 - 1e-9)
    parts = [clipped(clipped(ring, (1.0, 0.0), low), (-1.0, 0.0), -high) for low, high in surface.seen]
    return [part for part in parts if len(part) > 2]


def _table(surfaces: Sequence[_Surface], white: float, told: Told) -> Table:
    rows = []
    for surface in surfaces:
        exitance = float((surface.exitance * surface.grid.areas).sum() / surface.grid.areas.sum())
        lit = float((surface.lux * surface.grid.areas).sum() / surface.grid.areas.sum())
        rows.append((
            surface.name, told.both(lit), f"{surface.reflectance:.0%}", said_number(exitance),
            f"{tones.lightness(exitance / white):.0f}",
        ))  # fmt: skip
    heads = ("", _("light on it"), _("reflectance"), _("gives back, lm/m²"), _("drawn at lightness, of 100"))
    return Table(_("What the view is shaded by, on average"), heads, tuple(rows))
