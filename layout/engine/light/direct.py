"""Direct light, point by point: intensity over the square of the distance, by the slant of the surface it falls on.

A light nearer than five times its opening is no point: its opening is taken in pieces, all with the same distribution
and together with the same flux (Gauss points, so that few pieces do).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import cos, radians, sin

import numpy as np

from layout.engine.light.sight import drawn_in, sees
from layout.engine.light.values import Emitter, Floats, Light, Opening
from layout.engine.shape.on_plan import Truths

FAR = 5.0  # distance over largest opening from where a light is a point: handbook rule, 1 % for a disk straight below
# From this many openings away so many Gauss points each way do; the least is for what all but touches the light.
PIECES = ((FAR, 1), (2.0, 2), (1.0, 3), (0.5, 5), (0.25, 8), (0.0, 16))
NEAREST_M = 1e-4  # inside a light nothing is told


@dataclass(frozen=True, slots=True, eq=False)
class Aim:
    """Where a light's own directions stand in the room: unit vectors."""

    axis: Floats  # straight out
    zero: Floats  # its photometric 0 plane
    quarter: Floats  # its 90 plane


def aim_of(light: Light) -> Aim:
    """Spun about the plumb line first, then tilted toward a bearing."""
    spin, toward, tilt = radians(light.spin_deg), radians(light.toward_deg), radians(light.tilt_deg)
    down, way = np.array([0.0, 0.0, -1.0]), np.array([cos(toward), sin(toward), 0.0])
    hinge = np.cross(down, way)

    def turned(v: Floats) -> Floats:
        across: Floats = np.cross(hinge, v)
        return np.asarray(v * cos(tilt) + across * sin(tilt) + hinge * (hinge @ v) * (1 - cos(tilt)))

    zero, quarter = np.array([cos(spin), sin(spin), 0.0]), np.array([-sin(spin), cos(spin), 0.0])
    return Aim(turned(down), turned(zero), turned(quarter))


@cache
def _line(count: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Gauss points of -1/2 to 1/2 and their weights, which sum to 1."""
    at, weights = np.polynomial.legendre.leggauss(count)
    return tuple(at / 2), tuple(weights / 2)


def pieces(opening: Opening, count: int) -> tuple[Floats, Floats]:
    """Where pieces of an opening are, (p, 2) along its length and width from its center, and their shares, (p,)."""
    if opening.round and count > 1:
        at, weights = (np.array(each) for each in _line(count - 1))
        rings, around = np.sqrt(at + 0.5) / 2, 2 * np.pi * (np.arange(4 * count - 4) + 0.5) / (4 * count - 4)
        u, v = (np.outer(rings, turn(around)).ravel() for turn in (np.cos, np.sin))
        shares = np.repeat(weights / len(around), len(around))
    else:
        at, weights = (np.array(each) for each in _line(count))
        u, v = (each.ravel() for each in np.meshgrid(at, at, indexing="ij"))
        shares = np.outer(weights, weights).ravel()
    return np.stack([u * opening.length, v * opening.width], axis=1), shares


def lit(light: Light, points: Floats, ahead: Floats, normals: Floats | None = None) -> Floats:
    """Lux at points from one light at dim 1, its loss factor in, nothing between.

    points: (n, 3). ahead: how far the light's center is in front of each point's surface, m, (n,): what is behind gets
    nothing. normals: (n, 3), asked for only where the opening is taken in pieces. (n,).
    """
    center, aim, opening = np.array([light.x, light.y, light.z]), aim_of(light), light.emitter.opening
    told = np.zeros(len(points))
    front = np.nonzero(ahead > 1e-9)[0]
    rays = points[front] - center
    square = np.einsum("ni,ni->n", rays, rays)
    near = square < (FAR * opening.largest) ** 2
    plain = ~near
    told[front[plain]] = _from_a_point(light.emitter, aim, rays[plain], square[plain], ahead[front[plain]])
    if near.any() and normals is not None:
        told[front[near]] = _from_pieces(light.emitter, aim, rays[near], np.sqrt(square[near]), normals[front[near]])
    return told * light.factor


def _from_a_point(emitter: Emitter, aim: Aim, rays: Floats, square: Floats, ahead: Floats) -> Floats:
    square = np.maximum(square, NEAREST_M**2)
    distance = np.sqrt(square)
    candela = _candela(emitter, aim, rays, distance)
    return np.asarray(candela * ahead / (square * distance))


def _candela(emitter: Emitter, aim: Aim, rays: Floats, distance: Floats) -> Floats:
    vertical = np.degrees(np.arccos(np.clip(rays @ aim.axis / distance, -1.0, 1.0)))
    if emitter.axial:
        return emitter.candela(vertical)
    horizontal = np.degrees(np.arctan2(rays @ aim.quarter, rays @ aim.zero)) % 360.0
    return emitter.candela(vertical, horizontal)


def _from_pieces(emitter: Emitter, aim: Aim, rays: Floats, distance: Floats, normals: Floats) -> Floats:
    told = np.zeros(len(rays))
    ratio, least = distance / emitter.opening.largest, np.inf
    for from_ratio, count in PIECES:
        here = np.nonzero((ratio >= from_ratio) & (ratio < least))[0]
        least = from_ratio
        if not len(here):
            continue
        places, shares = pieces(emitter.opening, count)
        for (along, across), share in zip(places, shares, strict=True):
            each = rays[here] - (along * aim.zero + across * aim.quarter)
            ahead = np.maximum(-np.einsum("ni,ni->n", each, normals[here]), 0.0)
            told[here] += share * _from_a_point(emitter, aim, each, np.einsum("ni,ni->n", each, each), ahead)
    return told


def unshaded(corners: Floats, light: Light, points: Floats) -> Truths:
    """Which points of the plan see a light past the room's corners. points: (n, 2), a hair inside the room."""
    return sees(corners, drawn_in(corners, np.array([[light.x, light.y]])), points)
