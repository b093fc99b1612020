"""The nearest point of a ceiling that lies in several pie slices at once: how far a speaker has to move. Exact.

The nearest point of such a set is where it is, or straight across on an edge, or where two edges cross; all of these
are looked at. Plan only, meters; knows no loudspeakers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.engine.shape import on_plan
from layout.engine.sound.values import Floats, SoundError, Spot

TOLERANCE_M = 1e-7  # what a point may be outside and still count
MOST_SLICES = 24
MOST_EDGES = 500


@dataclass(frozen=True, slots=True)
class Slice:
    """Within half_deg either side of a bearing from a spot, and between two distances of it (far may be inf)."""

    apex: Spot
    bearing_deg: float
    half_deg: float
    near_m: float
    far_m: float


def inside(outline: Sequence[Spot], points: Floats) -> on_plan.Truths:
    """Which points (n, 2) are in an outline or within TOLERANCE_M of its edge, (n,)."""
    return on_plan.inside(outline, points) | (on_plan.off_edge(outline, points) <= TOLERANCE_M)


def nearest(start: Spot, slices: Sequence[Slice], outline: Sequence[Spot] = ()) -> Spot | None:
    """The point nearest to start in every slice, and in the outline when there is one; None when there is none."""
    if len(slices) > MOST_SLICES or len(outline) > MOST_EDGES:
        raise SoundError(f"Give at most {MOST_SLICES} seats and a ceiling of {MOST_EDGES} corners.", "seats")
    lines, circles = _edges(slices, outline)
    origin = np.array([start], dtype=np.float64)
    points = np.concatenate(
        [
            origin,
            _onto_lines(origin[0], lines),
            _onto_circles(origin[0], circles),
            _line_line(lines),
            _line_circle(lines, circles),
            _circle_circle(circles),
        ]
    )
    points = points[np.all(np.isfinite(points), axis=1)]
    for one in slices:
        points = points[_in_slice(one, points)]
    if outline and len(points):
        points = points[inside(outline, points)]
    if not len(points):
        return None
    best = points[np.argmin(np.hypot(*(points - origin).T))]
    return float(best[0]), float(best[1])


def _in_slice(one: Slice, points: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    away = points - np.array(one.apex)
    distance = np.hypot(away[:, 0], away[:, 1])
    ahead, left = (away @ _unit(one.bearing_deg + turn) for turn in (0, 90))
    half = math.radians(one.half_deg)
    sideways = np.abs(left) * math.cos(half) - ahead * math.sin(half)  # over the slice's straight edge
    return np.asarray(
        (sideways <= TOLERANCE_M)
        & (ahead >= -TOLERANCE_M)
        & (distance >= one.near_m - TOLERANCE_M)
        & (distance <= one.far_m + TOLERANCE_M)
    )


def _unit(bearing_deg: float) -> Floats:
    return np.array([math.cos(math.radians(bearing_deg)), math.sin(math.radians(bearing_deg))])


def _edges(slices: Sequence[Slice], outline: Sequence[Spot]) -> tuple[Floats, Floats]:
    """Lines (n, 4): a point and a direction; circles (m, 3): middle and radius."""
    lines = [
        (*one.apex, *_unit(one.bearing_deg + side)) for one in slices for side in {one.half_deg, -one.half_deg}
    ]
    for (ax, ay), (bx, by) in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        length = math.hypot(bx - ax, by - ay)
        if length:
            lines.append((ax, ay, (bx - ax) / length, (by - ay) / length))
    circles = [
        (*one.apex, radius) for one in slices for radius in (one.near_m, one.far_m) if 0 < radius < math.inf
    ]
    return np.array(lines, dtype=np.float64).reshape(-1, 4), np.array(circles, dtype=np.float64).reshape(-1, 3)


def _onto_lines(start: Floats, lines: Floats) -> Floats:
    along = np.sum((start - lines[:, :2]) * lines[:, 2:], axis=1)
    return np.asarray(lines[:, :2] + along[:, None] * lines[:, 2:])


def _onto_circles(start: Floats, circles: Floats) -> Floats:
    away = start - circles[:, :2]
    distance = np.hypot(away[:, 0], away[:, 1])
    away[distance == 0] = (1.0, 0.0)  # every way out is as near
    distance[distance == 0] = 1.0
    return np.asarray(circles[:, :2] + away * (circles[:, 2] / distance)[:, None])


def _line_line(lines: Floats) -> Floats:
    one, other = (lines[side] for side in np.triu_indices(len(lines), 1))
    turn = one[:, 2] * other[:, 3] - one[:, 3] * other[:, 2]
    between = other[:, :2] - one[:, :2]
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (between[:, 0] * other[:, 3] - between[:, 1] * other[:, 2]) / turn
        return np.asarray(one[:, :2] + along[:, None] * one[:, 2:])


def _line_circle(lines: Floats, circles: Floats) -> Floats:
    if not len(lines) or not len(circles):
        return np.empty((0, 2))
    line, circle = (side.ravel() for side in np.indices((len(lines), len(circles))))
    at, way, middle, radius = lines[line, :2], lines[line, 2:], circles[circle, :2], circles[circle, 2]
    toward = np.sum((middle - at) * way, axis=1)
    off = np.sum((at + toward[:, None] * way - middle) ** 2, axis=1)
    with np.errstate(invalid="ignore"):
        half = np.sqrt(radius**2 - off)
    return np.concatenate([at + (toward + sign * half)[:, None] * way for sign in (-1, 1)])


def _circle_circle(circles: Floats) -> Floats:
    one, other = (circles[side] for side in np.triu_indices(len(circles), 1))
    between = other[:, :2] - one[:, :2]
    apart = np.hypot(between[:, 0], between[:, 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (apart**2 + one[:, 2] ** 2 - other[:, 2] ** 2) / (2 * apart)
        half = np.sqrt(one[:, 2] ** 2 - along**2)
        way = between / apart[:, None]
    across = np.column_stack([-way[:, 1], way[:, 0]])
    return np.concatenate([one[:, :2] + along[:, None] * way + (sign * half)[:, None] * across for sign in (-1, 1)])
