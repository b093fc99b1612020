"""A room's light by photons: each is sent out by chance, bounces until it is swallowed, and is counted where it lands.

Shares nothing with the engine, not even how a room is stated. Meters, degrees, lumens.
"""

from dataclasses import dataclass, field
from math import cos, hypot, radians, sin

import numpy as np

BATCHES = 20  # the spread between batches says how far off the mean may be


@dataclass
class Lamp:
    """Intensity as the cosine's power about its axis. wide: an opening wide x long (long along x), or a disk."""

    at: tuple
    flux: float
    power: float
    tilt: float = 0.0
    toward: float = 0.0
    wide: float = 0.0
    long: float = 0.0
    disk: float = 0.0  # its radius


@dataclass
class Hall:
    """walls counterclockwise; rho: floor, ceiling, then each wall. rise: of the ceiling per meter of x."""

    corners: list
    height: float
    rho: list
    rise: float = 0.0
    plane: float = 0.762
    planes: list = field(default_factory=list)  # (point, normal inward) of floor, ceiling, walls

    def __post_init__(self):
        self.corners = [np.array(corner, dtype=float) for corner in self.corners]
        tip = np.array([self.rise, 0, -1.0])
        self.planes = [(np.zeros(3), np.array([0, 0, 1.0])), (self.over(self.corners[0]), tip / np.linalg.norm(tip))]
        for a, b in zip(self.corners, self.corners[1:] + self.corners[:1], strict=True):
            ux, uy = (b - a) / hypot(*(b - a))
            self.planes.append((np.array([*a, 0.0]), np.array([-uy, ux, 0.0])))

    def over(self, corner):
        return np.array([*corner, self.height + self.rise * (corner[0] - self.corners[0][0])])

    def areas(self):
        xs, ys = np.array(self.corners).T
        floor = abs(np.dot(xs, np.roll(ys, -1)) - np.dot(ys, np.roll(xs, -1))) / 2
        told = [floor, floor * hypot(1, self.rise)]
        for a, b in zip(self.corners, self.corners[1:] + self.corners[:1], strict=True):
            told.append(hypot(*(b - a)) * (self.over(a)[2] + self.over(b)[2]) / 2)
        return np.array(told)


def photons(hall, lamps, count, seed):
    """(mean lux of floor, ceiling, walls.. and the plane last; their standard errors)."""
    rng = np.random.default_rng(seed)
    areas = np.append(hall.areas(), hall.areas()[0])
    runs = []
    for _ in range(BATCHES):
        total = np.zeros(len(areas))
        for lamp in lamps:
            each = count // BATCHES // len(lamps)
            total += _traced(hall, *_sent(lamp, each, rng), rng) * (lamp.flux / each)
        runs.append(total / areas)
    return np.mean(runs, axis=0), np.std(runs, axis=0, ddof=1) / np.sqrt(BATCHES)


def _about(normal, cosine, rng):
    """Unit vectors at these cosines from a normal, all round by chance."""
    turn, sine = rng.uniform(0, 2 * np.pi, len(cosine)), np.sqrt(1 - cosine**2)
    other = np.where(np.abs(normal[:, :1]) < 0.9, [[1.0, 0, 0]], [[0, 1.0, 0]])
    a = np.cross(normal, other)
    a /= np.linalg.norm(a, axis=1)[:, None]
    b = np.cross(normal, a)
    return cosine[:, None] * normal + sine[:, None] * (np.cos(turn)[:, None] * a + np.sin(turn)[:, None] * b)


def _sent(lamp, count, rng):
    t, w = radians(lamp.tilt), radians(lamp.toward)
    axis = np.array([sin(t) * cos(w), sin(t) * sin(w), -cos(t)])
    start = np.tile(np.array(lamp.at, dtype=float), (count, 1))
    if lamp.disk:
        far, turn = lamp.disk * np.sqrt(rng.uniform(size=count)), rng.uniform(0, 2 * np.pi, count)
        start[:, :2] += np.stack([far * np.cos(turn), far * np.sin(turn)], axis=1)
    start[:, 0] += lamp.long * rng.uniform(-0.5, 0.5, count)
    start[:, 1] += lamp.wide * rng.uniform(-0.5, 0.5, count)
    return start, _about(np.tile(axis, (count, 1)), rng.uniform(size=count) ** (1 / (lamp.power + 1)), rng)


def _hit(hall, start, way):
    """Which plane each photon meets first, and how far off. -1: none, it left by the ceiling it started in."""
    nearest, which = np.full(len(start), np.inf), np.full(len(start), -1)
    for number, (point, normal) in enumerate(hall.planes):
        toward = way @ normal
        far = ((point - start) @ normal) / np.where(toward < -1e-12, toward, -1.0)
        there = start + far[:, None] * way
        met = (toward < -1e-12) & (far > 1e-9) & (far < nearest)
        if number >= 2:
            a, b = hall.corners[number - 2], hall.corners[(number - 1) % len(hall.corners)]
            along = (there[:, :2] - a) @ (b - a) / ((b - a) @ (b - a))
            met &= (along >= 0) & (along <= 1)
        nearest[met], which[met] = far[met], number
    return which, nearest


def _traced(hall, start, way, rng):
    rho, counts = np.array(hall.rho), np.zeros(len(hall.planes) + 1)
    gone = (start[:, 2] >= hall.height + hall.rise * (start[:, 0] - hall.corners[0][0]) - 1e-9) & (way[:, 2] >= 0)
    if not hall.rise:
        start, way = start[~gone], way[~gone]
    while len(start):
        which, far = _hit(hall, start, way)
        kept = which >= 0
        start, way, which, far = start[kept], way[kept], which[kept], far[kept]
        end = start + far[:, None] * way
        counts[:-1] += np.bincount(which, minlength=len(hall.planes))
        counts[-1] += np.count_nonzero((start[:, 2] > hall.plane) & (end[:, 2] <= hall.plane))
        on = rng.uniform(size=len(which)) < rho[which]
        normals = np.array([normal for _, normal in hall.planes])[which[on]]
        start = end[on] + 1e-7 * normals
        way = _about(normals, np.sqrt(rng.uniform(size=len(start))), rng)
    return counts
