"""A room's surfaces cut into sample points and, in groups of their cells, into patches for what light comes back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, hypot, sqrt

import numpy as np
import numpy.typing as npt

from layout.engine.light.values import Floats, Grid, On, Room, Scene, Task
from layout.engine.shape.on_plan import inside

Whole = npt.NDArray[np.intp]
Corners2 = list[tuple[float, float]]
MOST_POINTS = 40_000  # of all surfaces together; a larger floor gets a wider step
MOST_PATCHES = 1400
MOST_SAMPLED = 900  # where patches see each other by contours, which take longer than a rectangle's closed forms
PATCHES = 320  # of an ordinary room; the convergence tests hold it
PATCHES_IN_HEIGHT = 2.5  # at least, while a floor isn't so large that MOST_PATCHES forbids it
READ_M = 0.5  # reflected light is worked out on groups of cells about this wide, and read between them
PATCHES_PER_SQUARE = 1.6  # patches in a square of an ordinary patch's side, narrow ones at the edges included
LEAST_CELLS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """A flat piece of the room: points are origin + u * along + v * up. Its outline in (u, v), counterclockwise."""

    on: On
    name: str
    number: int
    origin: Floats
    along: Floats
    up: Floats
    outline: Corners2
    normal: Floats  # into the room
    stretch: float  # m2 of surface in a square meter of (u, v)
    reflectance: float = 0.0

    def place(self, u: Floats, v: Floats) -> Floats:
        return np.asarray(self.origin + u[..., None] * self.along + v[..., None] * self.up)

    @property
    def area(self) -> float:
        return area_and_middle(self.outline)[0] * self.stretch

    @property
    def shortest(self) -> float:
        """The shorter side of its box, m."""
        u0, v0, u1, v1 = self.box
        return float(min((u1 - u0) * np.linalg.norm(self.along), (v1 - v0) * np.linalg.norm(self.up)))

    @property
    def box(self) -> tuple[float, float, float, float]:
        us, vs = zip(*self.outline, strict=True)
        return min(us), min(vs), max(us), max(vs)

    @property
    def is_box(self) -> bool:
        low_u, low_v, high_u, high_v = self.box
        return len(self.outline) == 4 and all(u in (low_u, high_u) and v in (low_v, high_v) for u, v in self.outline)


def ceiling_at(room: Room, x: float, y: float) -> float:
    x0, y0 = room.corners[0]
    return room.height_m + (x - x0) * room.slope[0] + (y - y0) * room.slope[1]


def surface(
    on: On, name: str, number: int, place: tuple[Floats, Floats, Floats], outline: Corners2, rho: float = 0.0
) -> Surface:
    """place: origin, and what a meter of u and of v is."""
    cross = np.cross(place[1], place[2])
    stretch = float(np.linalg.norm(cross))
    normal = cross / (-stretch if on is On.CEILING else stretch)
    return Surface(on, name, number, *place, outline, normal, stretch, rho)


def surfaces_of(room: Room) -> tuple[Surface, ...]:
    """Floor, ceiling, then the walls in order. A wall's u runs left to right as it is seen from inside."""
    plan, zero = list(room.corners), np.zeros(3)
    x, y, z = np.eye(3)
    level = ceiling_at(room, 0.0, 0.0)
    top, rise_x, rise_y = np.array([[0, 0, level], [1, 0, room.slope[0]], [0, 1, room.slope[1]]])
    told = [
        surface(On.FLOOR, "floor", 0, (zero, x, y), plan, room.floor),
        surface(On.CEILING, "ceiling", 0, (top, rise_x, rise_y), plan, room.ceiling),
    ]
    for number, (right, left) in enumerate(zip(plan, plan[1:] + plan[:1], strict=True)):
        length = hypot(right[0] - left[0], right[1] - left[1])
        along = np.array([(right[0] - left[0]) / length, (right[1] - left[1]) / length, 0.0])
        upright = [(0.0, 0.0), (length, 0.0), (length, ceiling_at(room, *right)), (0.0, ceiling_at(room, *left))]
        place = (np.array([*left, 0.0]), along, z)
        told.append(surface(On.WALL, f"wall {number + 1}", number, place, upright, room.reflectance_of(number)))
    return tuple(told)


def plane_of(scene: Scene) -> Surface:
    x, y, _ = np.eye(3)
    return surface(On.PLANE, "plane", 0, (np.array([0, 0, scene.plane_m]), x, y), list(scene.room.corners))


def task_of(number: int, task: Task) -> Surface:
    along, up = np.array(task.along, dtype=np.float64), np.array(task.up, dtype=np.float64)
    wide, high = float(np.linalg.norm(along)), float(np.linalg.norm(up))
    outline = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
    return surface(On.TASK, task.name, number, (np.array(task.corner), along / wide, up / high), outline)


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """The cells of a lattice that are on a surface, row by row. All in (u, v)."""

    us: Floats  # lines of the lattice
    vs: Floats
    at: Whole  # (n, 2)
    shares: Floats  # (n,) of a whole cell's area, above 0 to 1
    middles: Floats  # (n, 2): a cell's center, or the middle of its part where the center is off the surface
    cut: dict[int, Corners2]  # outlines of those that are no whole cells


def cells_of(outline: Corners2, us: Floats, vs: Floats, *, whole: bool) -> Cells:
    """whole: the outline is the lattice's own box."""
    columns, rows = len(us) - 1, len(vs) - 1
    column, row = (each.ravel() for each in np.meshgrid(np.arange(columns), np.arange(rows)))
    middles = np.stack([(us[column] + us[column + 1]) / 2, (vs[row] + vs[row + 1]) / 2], axis=1)
    at = np.stack([column, row], axis=1).astype(np.intp)
    if whole:
        return Cells(us, vs, at, np.ones(len(at)), middles, {})
    corners = np.array(outline)
    within, crossed = inside(corners, middles), _crossed(corners, us, vs, column, row)
    shares, parts = within.astype(np.float64), {}
    for index in np.nonzero(crossed)[0]:
        i, j = int(column[index]), int(row[index])
        part = clipped(outline, us[i], vs[j], us[i + 1], vs[j + 1])
        area, middle = area_and_middle(part)
        share = area / ((us[i + 1] - us[i]) * (vs[j + 1] - vs[j]))
        shares[index] = share if share > 1e-6 else 0.0
        if 1e-6 < share < 1 - 1e-9:
            parts[int(index)] = part
            if not within[index]:
                middles[index] = middle
    kept = np.nonzero(shares > 0)[0]
    place = {int(old): new for new, old in enumerate(kept)}
    cut = {place[old]: part for old, part in parts.items()}
    return Cells(us, vs, at[kept], shares[kept], middles[kept], cut)


def _crossed(corners: Floats, us: Floats, vs: Floats, column: Whole, row: Whole) -> npt.NDArray[np.bool_]:
    """Which cells an edge of the outline may run through."""
    told = np.zeros(len(column), dtype=np.bool_)
    u0, u1, v0, v1 = us[column], us[column + 1], vs[row], vs[row + 1]
    for (au, av), (bu, bv) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        near = (min(au, bu) < u1) & (max(au, bu) > u0) & (min(av, bv) < v1) & (max(av, bv) > v0)
        sides = [(bu - au) * (v - av) - (bv - av) * (u - au) for u in (u0, u1) for v in (v0, v1)]
        told |= near & (np.min(sides, axis=0) < 0) & (np.max(sides, axis=0) > 0)
    return told


def clipped(outline: Corners2, u0: float, v0: float, u1: float, v1: float) -> Corners2:
    """The part of an outline inside a box (cut by one side of the box after the other)."""
    for axis, limit, sign in ((0, u0, 1), (0, u1, -1), (1, v0, 1), (1, v1, -1)):
        outline = list(_above(outline, axis, limit, sign))
    return outline


def _above(outline: Corners2, axis: int, limit: float, sign: int) -> Iterator[tuple[float, float]]:
    for a, b in zip(outline, outline[1:] + outline[:1], strict=True):
        over_a, over_b = sign * (a[axis] - limit), sign * (b[axis] - limit)
        if over_a >= 0:
            yield a
        if (over_a > 0 > over_b) or (over_a < 0 < over_b):
            share = over_a / (over_a - over_b)
            yield (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def area_and_middle(outline: Corners2) -> tuple[float, tuple[float, float]]:
    """Of a piece that runs counterclockwise; zeros where it has no area."""
    if len(outline) < 3:
        return 0.0, (0.0, 0.0)
    u0, v0 = outline[0]
    area = mu = mv = 0.0
    for (au, av), (bu, bv) in pairwise(outline[1:]):
        piece = ((au - u0) * (bv - v0) - (av - v0) * (bu - u0)) / 2
        area, mu, mv = area + piece, mu + piece * (au + bu - 2 * u0) / 3, mv + piece * (av + bv - 2 * v0) / 3
    return (area, (u0 + mu / area, v0 + mv / area)) if area > 0 else (0.0, (0.0, 0.0))


def lattice(surface: Surface, step_m: float) -> Cells:
    """Cells as near step_m as divide the surface's box evenly."""
    u0, v0, u1, v1 = surface.box
    stretch_u, stretch_v = float(np.linalg.norm(surface.along)), float(np.linalg.norm(surface.up))
    columns, rows = (max(1, ceil(span / step_m - 1e-9)) for span in ((u1 - u0) * stretch_u, (v1 - v0) * stretch_v))
    us, vs = np.linspace(u0, u1, columns + 1), np.linspace(v0, v1, rows + 1)
    return cells_of(surface.outline, us, vs, whole=surface.is_box)


def step_of(surfaces: tuple[Surface, ...], step_m: float) -> float:
    """The step asked for, or a wider one that keeps the points of all surfaces and the plane within bounds."""
    return max(step_m, sqrt(1.5 * sum(each.area for each in surfaces) / MOST_POINTS))


def step_on(surface: Surface, step_m: float) -> float:
    """On a task at least LEAST_CELLS each way."""
    u0, v0, u1, v1 = surface.box
    return min(step_m, min(u1 - u0, v1 - v0) / LEAST_CELLS) if surface.on is On.TASK else step_m


def patch_size(surfaces: tuple[Surface, ...]) -> float:
    """How wide an ordinary patch is, m."""
    total = PATCHES_PER_SQUARE * sum(each.area for each in surfaces)
    least, most = min(each.shortest for each in surfaces), MOST_PATCHES if surfaces[0].is_box else MOST_SAMPLED
    return max(min(sqrt(total / PATCHES), least / PATCHES_IN_HEIGHT), sqrt(total / most))


def reading_size(step_m: float) -> float:
    return max(READ_M, READ_M / 0.127 * step_m)


def grid_of(surface: Surface, cells: Cells) -> Grid:
    du, dv = cells.us[1] - cells.us[0], cells.vs[1] - cells.vs[0]
    return Grid(
        on=surface.on,
        name=surface.name,
        number=surface.number,
        origin=surface.place(cells.us[0], cells.vs[0]),
        step_u=surface.along * du,
        step_v=surface.up * dv,
        columns=len(cells.us) - 1,
        rows=len(cells.vs) - 1,
        at=cells.at,
        points=surface.place(cells.middles[:, 0], cells.middles[:, 1]),
        normal=surface.normal,
        areas=cells.shares * (du * dv * surface.stretch),
    )


def groups(count: int, step: float, patch_m: float) -> Whole:
    """Where groups of a row of cells begin and end: narrow at the ends, where light falls off fast, wide between."""
    usual = max(1, round(patch_m / step))
    half, width = (count + 1) // 2, 1
    sizes: list[int] = []
    while width < usual and sum(sizes) + width < half:
        sizes.append(width)
        width *= 2
    rest = count - 2 * sum(sizes)
    middle = max(1, round(rest / usual))
    inner = np.diff(np.round(np.linspace(0, rest, middle + 1))).astype(int).tolist()
    return np.concatenate([[0], np.cumsum([*sizes, *inner, *sizes[::-1]])]).astype(np.intp)


@dataclass(frozen=True, slots=True, eq=False)
class Coarse:
    """One surface's cells in groups. of_cell: the group each fine cell is in, (n,)."""

    surface: Surface
    fine: Cells
    cells: Cells
    of_cell: Whole
    table: Whole  # (rows, columns): the group's number, -1 where the surface isn't


def coarse(surface: Surface, fine: Cells, patch_m: float) -> Coarse:
    steps = [float(np.linalg.norm(surface.along)), float(np.linalg.norm(surface.up))]
    lines = []
    for edges, scale in zip((fine.us, fine.vs), steps, strict=True):
        lines.append(groups(len(edges) - 1, float(edges[1] - edges[0]) * scale, patch_m))
    cells = cells_of(surface.outline, fine.us[lines[0]], fine.vs[lines[1]], whole=surface.is_box)
    table = np.full((len(lines[1]) - 1, len(lines[0]) - 1), -1, dtype=np.intp)
    table[cells.at[:, 1], cells.at[:, 0]] = np.arange(len(cells.at))
    column, row = (np.searchsorted(lines[k], fine.at[:, k], side="right") - 1 for k in (0, 1))
    return Coarse(surface, fine, cells, table[row, column], table)


@dataclass(frozen=True, slots=True, eq=False)
class Patches:
    """All patches of the room's own surfaces, surface after surface."""

    parts: tuple[Coarse, ...]
    starts: Whole  # (surfaces + 1,)
    polygons: Floats  # (m, k, 3) counterclockwise as seen from the room, filled up with the last corner
    normals: Floats  # (m, 3)
    areas: Floats  # (m,)
    middles: Floats  # (m, 3)
    spans: Floats  # (m,) from the middle to the farthest corner, twice
    reflectances: Floats  # (m,)

    def of(self, number: int) -> slice:
        return slice(int(self.starts[number]), int(self.starts[number + 1]))


def patches_of(parts: tuple[Coarse, ...]) -> Patches:
    most = max((len(part) for each in parts for part in each.cells.cut.values()), default=4)
    most = max(4, most)
    counts = [len(each.cells.at) for each in parts]
    polygons = np.concatenate([_polygons(each, most) for each in parts])
    middles = np.concatenate([_middles(each) for each in parts])
    return Patches(
        parts=parts,
        starts=np.concatenate([[0], np.cumsum(counts)]).astype(np.intp),
        polygons=polygons,
        normals=np.repeat(np.array([each.surface.normal for each in parts]), counts, axis=0),
        areas=np.concatenate([areas_of(each) for each in parts]),
        middles=middles,
        spans=2 * np.linalg.norm(polygons - middles[:, None], axis=2).max(axis=1),
        reflectances=np.repeat([each.surface.reflectance for each in parts], counts),
    )


def areas_of(part: Coarse) -> Floats:
    cells = part.cells
    whole = np.diff(cells.us)[cells.at[:, 0]] * np.diff(cells.vs)[cells.at[:, 1]]
    return np.asarray(whole * cells.shares * part.surface.stretch)


def _middles(part: Coarse) -> Floats:
    told = part.cells.middles.copy()
    for index, outline in part.cells.cut.items():
        told[index] = area_and_middle(outline)[1]
    return part.surface.place(told[:, 0], told[:, 1])


def _polygons(part: Coarse, most: int) -> Floats:
    cells = part.cells
    i, j = cells.at[:, 0], cells.at[:, 1]
    u, v = np.empty((len(i), most)), np.empty((len(i), most))
    u[:], v[:] = cells.us[i][:, None], cells.vs[j + 1][:, None]
    u[:, 1:3], v[:, :2] = cells.us[i + 1][:, None], cells.vs[j][:, None]
    for index, outline in cells.cut.items():
        filled = outline + outline[-1:] * (most - len(outline))
        u[index], v[index] = np.array(filled).T
    told = part.surface.place(u, v)
    return told[:, ::-1] if part.surface.on is On.CEILING else told


def spread(part: Coarse) -> tuple[Whole, Floats]:
    """How a value known on each group is read at the surface's points: the four groups round each, weighted.

    Straight on beyond the last center where the surface is its lattice's box; level elsewhere. (n, 4), (n, 4).
    """
    cells, points, whole = part.cells, part.fine.middles, part.surface.is_box
    left, share_u = _between(cells.us, points[:, 0], whole)
    below, share_v = _between(cells.vs, points[:, 1], whole)
    right = np.minimum(left + 1, len(cells.us) - 2)
    above = np.minimum(below + 1, len(cells.vs) - 2)
    index = np.stack([part.table[j, i] for j in (below, above) for i in (left, right)], axis=1)
    weights = np.stack([a * b for a in (1 - share_v, share_v) for b in (1 - share_u, share_u)], axis=1)
    if whole:
        return index, weights
    weights = np.where(index >= 0, weights, 0.0)
    total = weights.sum(axis=1)
    lone = total < 1e-6
    index = np.where(index >= 0, index, 0)
    index[lone], weights[lone] = part.of_cell[lone, None], np.array([1.0, 0, 0, 0])
    return index, weights / np.where(lone, 1.0, total)[:, None]


def _between(lines: Floats, at: Floats, beyond: bool) -> tuple[Whole, Floats]:
    middles = (lines[1:] + lines[:-1]) / 2
    if len(middles) == 1:
        return np.zeros(len(at), dtype=np.intp), np.zeros(len(at))
    left = np.clip(np.searchsorted(middles, at) - 1, 0, len(middles) - 2)
    share = (at - middles[left]) / (middles[left + 1] - middles[left])
    return left, share if beyond else np.clip(share, 0.0, 1.0)
