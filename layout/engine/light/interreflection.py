"""Light that comes back from surfaces: radiosity on a room's patches, solved for all lights at once.

Surfaces are taken as matte (Lambertian), each patch as evenly lit. Nothing is lost on the way: exchanges are the same
both ways, and each patch sends out all it sends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.engine.light.patches import Coarse, Patches, Whole, areas_of
from layout.engine.light.sight import drawn_in, is_convex, sees
from layout.engine.light.values import Floats, Room
from layout.engine.light.view_factors import pair_by_pair, parallel_exchange, perpendicular_exchange
from layout.engine.shape.on_plan import Truths

CLOSING_ROUNDS = 200
NEAR = 2.5  # patches nearer than so many sides of the larger one see each other from many points
FAR = 5.0  # a patch farther than so many of its longest sides is a point
ONE = np.full((1, 3), 1 / 3)  # the middle of a triangle
THREE = np.array([[4, 1, 1], [1, 4, 1], [1, 1, 4]]) / 6


@dataclass(frozen=True, slots=True, eq=False)
class Mirror:
    """What a room's patches do with light. factors: (m, m), rows sum to 1. leaving: lm/m2 that leave each patch for
    lux that fall on each directly, (m, m). worst_row: how far a row was from 1 before it was closed."""

    factors: Floats
    leaving: Floats
    worst_row: float


def mirror_of(room: Room, patches: Patches) -> Mirror:
    exchange = boxed(patches) if is_box(room, patches) else sampled(room, patches)
    factors, worst = closed(exchange, patches.areas)
    rho = patches.reflectances
    leaving = np.linalg.inv(np.eye(len(rho)) - rho[:, None] * factors) * rho[None, :]
    return Mirror(factors, leaving, worst)


def is_box(room: Room, patches: Patches) -> bool:
    return room.slope == (0.0, 0.0) and patches.parts[0].surface.is_box


def closed(exchange: Floats, areas: Floats) -> tuple[Floats, float]:
    """Exchanges scaled, the same both ways, until each patch's sum is its area; as view factors. (m, m), worst row."""
    rows = exchange.sum(axis=1) / areas
    worst = float(np.abs(rows - 1).max())
    scale = np.ones(len(areas))
    for _ in range(CLOSING_ROUNDS):
        rows = scale * (exchange @ scale) / areas
        if np.abs(rows - 1).max() < 1e-11:
            break
        scale = scale / np.sqrt(rows)
    even = exchange * scale[:, None] * scale[None, :]
    return even / areas[:, None], worst


def boxed(patches: Patches) -> Floats:
    """Exchanges of a rectangular room: every pair of cells in closed form."""
    m, known = len(patches.areas), Known()
    told = np.zeros((m, m))
    for a, first in enumerate(patches.parts):
        for b, second in enumerate(patches.parts[:a]):
            pair = known.pair(first, second)
            told[patches.of(a), patches.of(b)] = pair
            told[patches.of(b), patches.of(a)] = pair.T
    return told


def boxed_from(patches: Patches, part: Coarse) -> Floats:
    """View factors from a surface's cells, of a lattice of its own, to a rectangular room's patches. (cells, m)."""
    told, known = np.zeros((len(part.cells.at), len(patches.areas))), Known()
    for number, other in enumerate(patches.parts):
        if part.surface.normal @ other.surface.normal < 0.5:
            told[:, patches.of(number)] = known.pair(part, other)
    return told / areas_of(part)[:, None]


class Known:
    """Exchanges between lattices; what a room has twice, as opposite walls, is worked out once."""

    def __init__(self) -> None:
        self._told: dict[tuple[bytes, ...], Floats] = {}

    def pair(self, first: Coarse, second: Coarse) -> Floats:
        """(cells of the first, cells of the second), m2."""
        n1, n2 = first.surface.normal, second.surface.normal
        if abs(n1 @ n2) > 0.5:  # across the room
            fast, slow = np.abs(first.surface.along), np.abs(first.surface.up)
            apart = float((second.surface.origin - first.surface.origin) @ n1)
            (x1, y1, at1), (x2, y2, at2) = _ordered(first, fast, slow), _ordered(second, fast, slow)
            return parallel_exchange(x1, y1, x2, y2, apart)[np.ix_(at1, at2)]
        common = np.abs(np.cross(n1, n2))
        along1, far1, at1 = _ordered(first, common, n2)
        along2, far2, at2 = _ordered(second, common, n1)
        # What is behind the other surface, as walls below a work plane are, is cut down to nothing.
        far1 = np.maximum(far1 - second.surface.origin @ n2, 0.0)
        far2 = np.maximum(far2 - first.surface.origin @ n1, 0.0)
        lines = (along1, far1, along2, far2)
        key = tuple(np.round(each, 9).tobytes() for each in lines)
        if key not in self._told:
            self._told[key] = perpendicular_exchange(*lines)
        return self._told[key][np.ix_(at1, at2)]


def _ordered(part: Coarse, fast: Floats, slow: Floats) -> tuple[Floats, Floats, Whole]:
    """A lattice's lines along two directions of the room, rising, and which cell of such a lattice each cell is."""
    surface, cells = part.surface, part.cells
    by_u = abs(surface.along @ fast) > 0.5
    lines, at = [], []
    for axis, is_u in ((fast, by_u), (slow, not by_u)):
        own, way, of = (cells.us, surface.along, 0) if is_u else (cells.vs, surface.up, 1)
        told = surface.origin @ axis + own * (way @ axis)
        rising = told[0] < told[-1]
        lines.append(told if rising else told[::-1])
        at.append(cells.at[:, of] if rising else len(own) - 2 - cells.at[:, of])
    return lines[0], lines[1], at[1] * (len(lines[0]) - 1) + at[0]


def sampled(room: Room, patches: Patches) -> Floats:
    """Exchanges of any room: of each two patches the larger is seen in closed form from points of the smaller."""
    corners, areas, m = np.array(room.corners), patches.areas, len(patches.areas)
    apart = patches.normals @ patches.normals.T < 1 - 1e-9
    share = np.ones((m, m)) if is_convex(corners) else visible(corners, patches)
    small, large = np.nonzero(apart & (share > 0) & _before(areas))
    between = np.linalg.norm(patches.middles[small] - patches.middles[large], axis=1)
    near = between < NEAR * np.sqrt(areas[large])
    told = np.zeros((m, m))
    told[small[~near], large[~near]] = seen(patches.middles, patches.normals, patches, small[~near], large[~near])
    told[small[near], large[near]] = _from_all_over(patches, small[near], large[near])
    told *= areas[:, None] * share
    return told + told.T


def seen(points: Floats, normals: Floats, patches: Patches, n: Whole, m: Whole) -> Floats:
    """View factors from points to patches pair by pair, nothing between; a patch far off is taken as a point."""
    rays = patches.middles[m] - points[n]
    square = np.einsum("pi,pi->p", rays, rays)
    slants = np.einsum("pi,pi->p", rays, normals[n]) * -np.einsum("pi,pi->p", rays, patches.normals[m])
    told = np.maximum(slants, 0.0) * patches.areas[m] / (np.pi * np.maximum(square, 1e-12) ** 2)
    close = np.nonzero(square < (FAR * patches.spans[m]) ** 2)[0]
    told[close] = pair_by_pair(points, normals, patches.polygons, patches.normals, n[close], m[close])
    return np.asarray(told)


def _before(areas: Floats) -> Truths:
    """Of each two patches which is asked: the smaller, of equal ones the first."""
    place = np.empty(len(areas), dtype=np.intp)
    place[np.argsort(areas, kind="stable")] = np.arange(len(areas))
    return np.asarray(place[:, None] < place[None, :])


def _from_all_over(patches: Patches, small: Whole, large: Whole) -> Floats:
    """View factors pair by pair from many points of the smaller patch."""
    places, weights = points_on(patches, THREE)
    count = places.shape[1]
    points, normals = places.reshape(-1, 3), np.repeat(patches.normals, count, axis=0)
    n = (small[:, None] * count + np.arange(count)).ravel()
    told = pair_by_pair(points, normals, patches.polygons, patches.normals, n, np.repeat(large, count))
    return np.asarray((told.reshape(-1, count) * weights[small]).sum(axis=1))


def points_on(patches: Patches, rule: Floats) -> tuple[Floats, Floats]:
    """Points of the triangles from each patch's middle to its edges, (m, p, 3), and shares of its area, (m, p)."""
    b, c = patches.polygons, np.roll(patches.polygons, -1, axis=1)
    a = np.broadcast_to(patches.middles[:, None], b.shape)
    shares = np.einsum("mki,mi->mk", np.cross(b - a, c - a), patches.normals) / (2 * patches.areas[:, None])
    places = np.einsum("rt,tmki->mkri", rule, np.stack([a, b, c]))
    m, count = len(b), b.shape[1] * len(rule)
    return places.reshape(m, count, 3), np.repeat(shares / len(rule), len(rule), axis=1)


def visible(corners: Floats, patches: Patches) -> Floats:
    """Which share of each patch sees which share of each other past the room's corners, by a few points each.

    (m, m). On the plan a wall's patches stand on one another, and the ceiling's over the floor's: each is asked once.
    """
    drawn, weights, place = _looking(corners, patches)
    told = np.ones((len(drawn), len(drawn)))
    for index in range(len(drawn)):
        seen = sees(corners, drawn[index, :, None, None], drawn[None, :index])
        told[index, :index] = np.einsum("aob,a,ob->o", seen, weights[index], weights[:index])
        told[:index, index] = told[index, :index]
    return np.asarray(told[np.ix_(place, place)])


def seen_from(corners: Floats, points: Floats, patches: Patches) -> Floats:
    """Which share of each patch points see past the room's corners. points: (n, 3). (n, m)."""
    drawn, weights, place = _looking(corners, patches)
    eyes, own = np.unique(np.round(drawn_in(corners, points[:, :2]), 7), axis=0, return_inverse=True)
    told = np.array([(sees(corners, eye, drawn) * weights).sum(axis=1) for eye in eyes]).reshape(len(eyes), len(drawn))
    return np.asarray(told[np.ix_(own.ravel(), place)])


def _looking(corners: Floats, patches: Patches) -> tuple[Floats, Floats, Whole]:
    """Where on the plan patches are looked at from, (q, p, 2), with shares, (q, p), and which each patch has, (m,)."""
    places, weights = points_on(patches, ONE)
    drawn = drawn_in(corners, places[:, :, :2].reshape(-1, 2)).reshape(*places.shape[:2], 2)
    flat = np.round(drawn, 7).reshape(len(drawn), -1)
    _, firsts, place = np.unique(flat, axis=0, return_index=True, return_inverse=True)
    return drawn[firsts], weights[firsts], place.ravel()
