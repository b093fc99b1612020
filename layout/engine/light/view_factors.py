"""What share of the light that leaves one surface reaches another: closed forms for rectangles, contours for the rest.

An exchange is area times view factor, m2: the same both ways. Numbers in C-11 to C-16 are those of Howell's catalog of
radiation configuration factors.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from layout.engine.light.values import Floats

Whole = npt.NDArray[np.intp]
PAIRS_AT_ONCE = 20_000


def opposed(a: float, b: float, c: float) -> float:
    """View factor between two equal, opposed rectangles a x b a distance c apart (C-11)."""
    return float(parallel_exchange(_edges(0, a), _edges(0, b), _edges(0, a), _edges(0, b), c)[0, 0]) / (a * b)


def perpendicular(width: float, height: float, length: float) -> float:
    """View factor from a rectangle width x length to one height x length, square to it on their common edge (C-14)."""
    common = _edges(0, length)
    return float(perpendicular_exchange(common, _edges(0, width), common, _edges(0, height))[0, 0]) / (width * length)


def parallel_exchange(x1: Floats, y1: Floats, x2: Floats, y2: Floats, apart: float) -> Floats:
    """Exchange between the cells of two parallel lattices that face each other (C-13 summed over cells), m2.

    x1 (a+1,), y1 (b+1,), x2 (c+1,), y2 (d+1,): the lines of the lattices, rising. (b*a, d*c): x runs fastest.
    """
    u = x1[:, None] - x2[None, :]
    v = y1[:, None] - y2[None, :]
    u, v = u[None, None], v[:, :, None, None]  # (y1, y2, x1, x2)
    z2 = apart * apart
    ru, rv = np.sqrt(u * u + z2), np.sqrt(v * v + z2)
    part = v * ru * np.arctan(v / ru) + u * rv * np.arctan(u / rv) - 0.5 * z2 * np.log1p((u * u + v * v) / z2)
    return _cells(part)


def perpendicular_exchange(along1: Floats, across: Floats, along2: Floats, up: Floats) -> Floats:
    """Exchange between the cells of two lattices square to each other (C-16 summed over cells), m2.

    along1, along2: lines along the edge their planes share. across, up: how far each line of the first and of the
    second lattice is from that edge, 0 or more and rising. (across*along1, up*along2): along runs fastest.
    """
    u = (along1[:, None] - along2[None, :])[None, None]  # (across, up, along1, along2)
    r2 = (across[:, None] ** 2 + up[None, :] ** 2)[:, :, None, None]
    r, whole = np.sqrt(r2), r2 + u * u
    # The catalog's terms in r2 alone and in u alone drop out of the sums over cells, and with them the logs of 0.
    part = u * r * np.arctan2(u, r) - 0.25 * (r2 - u * u) * np.log(np.where(whole > 0, whole, 1.0))
    return _cells(part)


def _cells(part: Floats) -> Floats:
    """From values at crossings of lines (row1, row2, column1, column2) to cells (row1*column1, row2*column2)."""
    for axis in range(4):
        part = np.diff(part, axis=axis)
    rows1, rows2, columns1, columns2 = part.shape
    flat = part.transpose(0, 2, 1, 3).reshape(rows1 * columns1, rows2 * columns2)
    return np.asarray(flat / (2 * np.pi))


def _edges(low: float, high: float) -> Floats:
    return np.array([low, high], dtype=np.float64)


def pair_by_pair(
    points: Floats, normals: Floats, polygons: Floats, fronts: Floats, n: Whole, m: Whole
) -> Floats:
    """View factors from small pieces of surface to flat polygons, nothing between, for pairs n, m of them. (pairs,).

    points, normals: (n, 3). polygons: (m, k, 3), counterclockwise as their lit side is seen, short ones filled up with
    their last corner. fronts: (m, 3), their normals. Lambert's contour sum, cut at each point's horizon.
    """
    told = np.zeros(len(n))
    facing = np.einsum("mi,mi->m", polygons[:, 0], fronts)
    for first in range(0, len(n), PAIRS_AT_ONCE):
        a, b = n[first : first + PAIRS_AT_ONCE], m[first : first + PAIRS_AT_ONCE]
        ahead = np.nonzero(np.einsum("pi,pi->p", points[a], fronts[b]) - facing[b] > 1e-9)[0]
        rays = polygons[b[ahead]] - points[a[ahead], None, :]
        up = normals[a[ahead]]
        heights = np.einsum("pki,pi->pk", rays, up)
        sight = np.nonzero(heights.max(axis=1) > 1e-9)[0]
        told[first + ahead[sight]] = _seen(rays[sight], up[sight], heights[sight])
    return told


def _seen(rays: Floats, normals: Floats, heights: Floats) -> Floats:
    total = np.empty(len(rays))
    whole = heights.min(axis=1) >= 0
    total[whole] = _contour(rays[whole], normals[whole])
    cut = ~whole
    if cut.any():
        total[cut] = _cut_contour(rays[cut], normals[cut], heights[cut])
    return np.asarray(np.maximum(total / (-2 * np.pi), 0.0))


def _contour(rays: Floats, normals: Floats) -> Floats:
    return np.asarray(_edge_sum(rays, np.roll(rays, -1, axis=1), normals).sum(axis=1))


def _edge_sum(a: Floats, b: Floats, normals: Floats) -> Floats:
    """Each edge's angle times the height of its plane's normal. a, b: (p, k, 3). (p, k)."""
    cx = a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1]
    cy = a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2]
    cz = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    size = np.sqrt(cx * cx + cy * cy + cz * cz)
    dot = a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1] + a[..., 2] * b[..., 2]
    up = cx * normals[:, None, 0] + cy * normals[:, None, 1] + cz * normals[:, None, 2]
    return np.asarray(up * np.arctan2(size, dot) / np.where(size > 1e-30, size, 1.0))


def _cut_contour(rays: Floats, normals: Floats, heights: Floats) -> Floats:
    """The contour of what is above the horizon: edges cut there, and closed along it from where they sink to rise."""
    after, next_heights = np.roll(rays, -1, axis=1), np.roll(heights, -1, axis=1)
    fall = heights - next_heights
    share = (heights / np.where(fall == 0, 1.0, fall))[..., None]
    crossing = rays + (after - rays) * share
    up, next_up = heights >= 0, next_heights >= 0
    a = np.where(up[..., None], rays, crossing)
    b = np.where(next_up[..., None], after, crossing)
    told = np.where(up | next_up, _edge_sum(a, b, normals), 0.0).sum(axis=1)
    sinks = np.where((up & ~next_up)[..., None], crossing, 0.0).sum(axis=1)
    rises = np.where((~up & next_up)[..., None], crossing, 0.0).sum(axis=1)
    turn = np.einsum("pi,pi->p", np.cross(sinks, rises), normals)
    return np.asarray(told + np.arctan2(turn, np.einsum("pi,pi->p", sinks, rises)))
