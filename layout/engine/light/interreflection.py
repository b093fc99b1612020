"""Light that comes back from surfaces: radiosity on a room's patches, solved for all lights at once.

Surfaces are taken as matte (Lambertian), each patch as evenly lit. Nothing is lost on the way: exchanges are the same
both ways, and each patch sends out all it sends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.engine.light.patches import Coarse, Patches, Whole, areas_of
from layout.engine.light.sight import Truths, drawn_in, is_convex, sees
from layout.engine.light.values import Floats, Room
from layout.engine.light.view_factors import from_points, parallel_exchange, perpendicular_exchange

CLOSING_ROUNDS = 200


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
        if np.abs(rows - 1).max() < 1e-13:
            break
        scale = scale / np.sqrt(rows)
    even = exchange * scale[:, None] * scale[None, :]
    return even / areas[:, None], worst


def boxed(patches: Patches) -> Floats:
    """Exchanges of a rectangular room: every pair of cells in closed form."""
    m = len(patches.areas)
    told = np.zeros((m, m))
    for a, first in enumerate(patches.parts):
        for b, second in enumerate(patches.parts[:a]):
            pair = _pair(first, second)
            told[patches.of(a), patches.of(b)] = pair
            told[patches.of(b), patches.of(a)] = pair.T
    return told


def boxed_from(patches: Patches, part: Coarse) -> Floats:
    """View factors from a surface's cells, of a lattice of its own, to a rectangular room's patches. (cells, m)."""
    told = np.zeros((len(part.cells.at), len(patches.areas)))
    for number, other in enumerate(patches.parts):
        if part.surface.normal @ other.surface.normal < 0.5:
            told[:, patches.of(number)] = _pair(part, other)
    return told / areas_of(part)[:, None]


def _pair(first: Coarse, second: Coarse) -> Floats:
    n1, n2 = first.surface.normal, second.surface.normal
    if abs(n1 @ n2) > 0.5:  # across the room
        fast, slow = np.abs(first.surface.along), np.abs(first.surface.up)
        apart = float((second.surface.origin - first.surface.origin) @ n1)
        (x1, y1, at1), (x2, y2, at2) = _ordered(first, fast, slow), _ordered(second, fast, slow)
        told = parallel_exchange(x1, y1, x2, y2, apart)
        return told[np.ix_(at1, at2)]
    common = np.abs(np.cross(n1, n2))
    along1, far1, at1 = _ordered(first, common, n2)
    along2, far2, at2 = _ordered(second, common, n1)
    from1, from2 = second.surface.origin @ n2, first.surface.origin @ n1
    # What is behind the other surface, as walls below a work plane are, is cut down to nothing.
    far1, far2 = np.maximum(far1 - from1, 0.0), np.maximum(far2 - from2, 0.0)
    return perpendicular_exchange(along1, far1, along2, far2)[np.ix_(at1, at2)]


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
    """Exchanges of any room: a patch seen in closed form from points of the other, more of them where they are near."""
    near = _near(patches)
    told = from_points(patches.middles, patches.normals, patches.polygons, patches.normals)
    places, weights = points_on(patches, 3)
    for index in np.nonzero(near.any(axis=1))[0]:
        others = np.nonzero(near[index])[0]
        normals = np.tile(patches.normals[index], (len(weights), 1))
        seen = from_points(places[index], normals, patches.polygons[others], patches.normals[others])
        told[index, others] = weights @ seen
    told *= patches.areas[:, None]
    corners = np.array(room.corners)
    if not is_convex(corners):
        told *= visible(corners, patches)
    return (told + told.T) / 2


def _near(patches: Patches) -> Truths:
    between = np.linalg.norm(patches.middles[:, None] - patches.middles[None], axis=2)
    size = np.sqrt(patches.areas)
    apart = patches.normals @ patches.normals.T < 1 - 1e-9
    return np.asarray(apart & (between < 2.5 * np.maximum(size[:, None], size[None])))


def points_on(patches: Patches, count: int) -> tuple[Floats, Floats]:
    """Gauss points spread over each patch's first four corners, (m, count^2, 3), and their weights."""
    at, weights = np.polynomial.legendre.leggauss(count)
    u, v = (each.ravel()[None, :, None] for each in np.meshgrid((at + 1) / 2, (at + 1) / 2))
    a, b, c, d = (patches.polygons[:, k, None, :] for k in range(4))
    return a * (1 - u) * (1 - v) + b * u * (1 - v) + c * u * v + d * (1 - u) * v, np.outer(weights, weights).ravel() / 4


def visible(corners: Floats, patches: Patches) -> Floats:
    """Which share of each patch sees which share of each other past the room's corners, by four points each. (m, m)."""
    drawn, m = _looking(corners, patches), len(patches.areas)
    told = np.ones((m, m))
    for index in range(m):
        told[index, :index] = sees(corners, drawn[index, :, None, None], drawn[None, :index]).mean(axis=(0, 2))
        told[:index, index] = told[index, :index]
    return told


def seen_from(corners: Floats, points: Floats, patches: Patches) -> Floats:
    """Which share of each patch points see past the room's corners. points: (n, 3). (n, m)."""
    drawn, eyes = _looking(corners, patches), drawn_in(corners, points[:, :2])
    return np.array([sees(corners, eye, drawn).mean(axis=1) for eye in eyes]).reshape(len(points), -1)


def _looking(corners: Floats, patches: Patches) -> Floats:
    places, _ = points_on(patches, 2)
    return drawn_in(corners, places[:, :, :2].reshape(-1, 2)).reshape(len(places), -1, 2)
