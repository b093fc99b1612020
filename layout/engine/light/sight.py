"""Who sees whom between upright walls: two points do when the line between them on the plan stays inside."""

from __future__ import annotations

import numpy as np

from layout.engine.light.values import Floats
from layout.engine.shape.on_plan import Truths

INWARD_M = 1e-6  # how far a point on a wall is drawn into the room before it looks about


def turns(corners: Floats) -> Floats:
    """Twice the signed area of the triangle at each corner: above 0 where the outline turns left. (k,)."""
    before, after = corners - np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0) - corners
    return np.asarray(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])


def is_convex(corners: Floats) -> bool:
    """Everybody sees everybody."""
    return bool((turns(corners) >= -1e-12).all())


def drawn_in(corners: Floats, points: Floats) -> Floats:
    """Points of the plan, those on a wall a hair off it. (n, 2)."""
    told = np.array(points, dtype=np.float64)
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        edge = (b - a) / np.linalg.norm(b - a)
        inward = np.array([-edge[1], edge[0]])
        along, off = (told - a) @ edge, (told - a) @ inward
        on = (np.abs(off) < INWARD_M) & (along > -INWARD_M) & (along < np.linalg.norm(b - a) + INWARD_M)
        told[on] += (INWARD_M - off[on])[:, None] * inward
    return told


def sees(corners: Floats, a: Floats, b: Floats) -> Truths:
    """Whether a sees b, for points inside or a hair inside the outline. a, b: (..., 2), broadcast against each other.

    A line that only touches a corner passes.
    """
    ax, ay, bx, by = a[..., 0], a[..., 1], b[..., 0], b[..., 1]
    dx, dy = bx - ax, by - ay
    blocked = np.zeros(np.broadcast_shapes(ax.shape, bx.shape), dtype=np.bool_)
    side = [dx * (cy - ay) - dy * (cx - ax) > 0 for cx, cy in corners]
    for number, ((cx, cy), (ex, ey)) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
        across = side[number] != side[(number + 1) % len(corners)]
        from_a = (ex - cx) * (ay - cy) - (ey - cy) * (ax - cx) > 0
        from_b = (ex - cx) * (by - cy) - (ey - cy) * (bx - cx) > 0
        blocked |= across & (from_a != from_b)
    return ~blocked
