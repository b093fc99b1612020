"""A camera that stands level in a room of upright walls, and what it sees of each wall. Knows no light and no SVG.

Hidden surfaces: every wall runs from floor to ceiling, so what hides a wall is another wall, and the question is one of
the plan alone. Each wall is cut to the stretches that nothing stands before; floor and ceiling are drawn first, whole,
and the visible stretches over them: a wall's picture covers exactly what lies behind it, as long as the eye is between
floor and ceiling.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, radians, sin, tan

import numpy as np

from layout.engine.light.values import Floats

Plan = tuple[float, float]
NEAR = 0.05  # m: nothing nearer the eye is drawn


@dataclass(frozen=True, slots=True)
class Camera:
    """x, y, z: the eye, m. bearing_deg: where it looks on the plan. field_deg: how much it sees across."""

    x: float
    y: float
    z: float
    bearing_deg: float
    field_deg: float = 84.0

    def seen(self, points: Floats) -> Floats:
        """(n, 3) in the room -> (n, 3): to the right, up and ahead of the eye, m."""
        way = radians(self.bearing_deg)
        off = np.asarray(points, dtype=float) - (self.x, self.y, self.z)
        right = off[:, 0] * sin(way) - off[:, 1] * cos(way)
        ahead = off[:, 0] * cos(way) + off[:, 1] * sin(way)
        return np.column_stack([right, off[:, 2], ahead])

    def faces(self, points: Floats) -> bool:
        """Whether any of it is ahead of the eye."""
        return bool((self.seen(points)[:, 2] > NEAR).any())

    def project(self, points: Floats) -> Floats:
        """(n, 3) in the room, cut at the near plane -> (k, 2): right and up, 1 at the edge of what it sees across."""
        ring = clipped(self.seen(points), (0.0, 0.0, 1.0), NEAR)
        if not len(ring):
            return np.zeros((0, 2))
        reach = tan(radians(self.field_deg / 2))
        return ring[:, :2] / (ring[:, 2:] * reach)


def clipped(ring: Floats, normal: Sequence[float], least: float) -> Floats:
    """What of a closed ring lies where normal . point >= least (Sutherland and Hodgman 1974, from memory)."""
    if len(ring) < 2:
        return np.zeros((0, ring.shape[1]))
    depth = ring @ np.asarray(normal) - least
    if (depth >= 0).all():
        return ring
    kept = []
    for at in range(len(ring)):
        before, after = depth[at - 1], depth[at]
        if (before >= 0) != (after >= 0):
            kept.append(ring[at - 1] + (ring[at] - ring[at - 1]) * before / (before - after))
        if after >= 0:
            kept.append(ring[at])
    return np.array(kept) if kept else np.zeros((0, ring.shape[1]))


def stretches(corners: Sequence[Plan], eye: Plan, number: int) -> list[tuple[float, float]]:
    """The parts of a wall that the eye sees on the plan, as shares of the way from its first corner, in order.

    A wall seen from behind or edge on has none. Between the bearings of two corners next to each other the nearest wall
    stays the same one, so each part is asked once, at its middle.
    """
    start, end = corners[number], corners[(number + 1) % len(corners)]
    if _side(start, end, eye) <= 1e-9:
        return []
    cuts = {0.0, 1.0}
    for corner in corners:
        share = _crossing(eye, corner, start, end)
        if share is not None and 1e-9 < share < 1 - 1e-9:
            cuts.add(share)
    seen: list[tuple[float, float]] = []
    for low, high in pairwise(sorted(cuts)):
        middle = (low + high) / 2
        target = start[0] + (end[0] - start[0]) * middle, start[1] + (end[1] - start[1]) * middle
        if high - low > 1e-9 and sees(corners, eye, target):
            if seen and abs(seen[-1][1] - low) < 1e-9:
                low = seen.pop()[0]
            seen.append((low, high))
    return seen


def sees(corners: Sequence[Plan], eye: Plan, target: Plan) -> bool:
    """Whether no wall crosses the way from the eye to a point, both of which may lie on a wall."""
    for start, end in pairwise((*corners, corners[0])):
        ahead = _side(eye, target, start) * _side(eye, target, end) < -1e-12
        across = _side(start, end, eye) * _side(start, end, target) < -1e-9
        if ahead and across:
            return False
    return all(
        not _passes(eye, target, corner, before, after)
        for before, corner, after in zip((corners[-1], *corners), corners, (*corners[1:], corners[0]), strict=False)
    )


def _passes(eye: Plan, target: Plan, corner: Plan, before: Plan, after: Plan) -> bool:
    """Whether the way runs exactly through a corner with a wall on each side of it: then it is blocked."""
    off = _side(eye, target, corner)
    long = hypot(target[0] - eye[0], target[1] - eye[1])
    if abs(off) > 1e-9 * max(long, 1e-9):
        return False
    along = ((corner[0] - eye[0]) * (target[0] - eye[0]) + (corner[1] - eye[1]) * (target[1] - eye[1])) / long**2
    return 1e-9 < along < 1 - 1e-9 and _side(eye, target, before) * _side(eye, target, after) < 0


def _side(start: Plan, end: Plan, point: Plan) -> float:
    """Twice the area of the triangle; positive where the point is left of start -> end."""
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])


def _crossing(eye: Plan, corner: Plan, start: Plan, end: Plan) -> float | None:
    """Where the way from the eye through a corner and on meets a wall, as a share of the wall."""
    way = corner[0] - eye[0], corner[1] - eye[1]
    wall = end[0] - start[0], end[1] - start[1]
    turn = way[0] * wall[1] - way[1] * wall[0]
    if abs(turn) < 1e-12:
        return None
    off = start[0] - eye[0], start[1] - eye[1]
    ahead = (off[0] * wall[1] - off[1] * wall[0]) / turn
    return (off[0] * way[1] - off[1] * way[0]) / turn if ahead > 0 else None
