"""What the light engine speaks of: a room, what gives light, where it falls. Meters, degrees, lumens, candelas, lux.

Exact lengths end here: light is computed in floats. x runs from the left wall to the right one, y from the door wall to
the far wall, z up from the finished floor. A bearing on the plan is counterclockwise from x as the plan is read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
METERS_IN_A_FOOT = 0.3048  # by definition, exact
SQUARE_FEET_IN_A_SQUARE_METER = 1 / METERS_IN_A_FOOT**2
LUX_IN_A_FOOTCANDLE = SQUARE_FEET_IN_A_SQUARE_METER  # 1 fc is 1 lm on a square foot


class LightError(ValueError):
    """What can't be computed. field: the name of the number at fault; the message says the remedy."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class Opening:
    """What shines: a point when all are 0, else a rectangle, or an ellipse where it is round. Meters."""

    width: float = 0.0  # along the photometric 90-270 plane
    length: float = 0.0  # along the photometric 0-180 plane
    height: float = 0.0
    round: bool = False

    @property
    def largest(self) -> float:
        return max(self.width, self.length, self.height)


class Known(StrEnum):
    """Where a light's distribution is from. Shown beside every figure that stands on it."""

    FILE = "file"  # a photometric file the shop put in
    LOBE = "lobe"  # no file: a cosine-power lobe from beam angle and lumens


class Emitter(Protocol):
    """A light's distribution about its own axis: vertical 0 is straight out, horizontal 0 its photometric 0 plane."""

    @property
    def known(self) -> Known: ...
    @property
    def flux_lm(self) -> float: ...
    @property
    def opening(self) -> Opening: ...
    @property
    def axial(self) -> bool:
        """The same all round: horizontal angles are never asked."""
        ...

    def candela(self, vertical_deg: Floats, horizontal_deg: Floats | None = None) -> Floats:
        """Intensity, cd, elementwise. horizontal_deg may be left out when axial."""
        ...


@dataclass(frozen=True, slots=True)
class Light:
    """One mark that shines. id: the mark's. factor: all light losses multiplied. dim: share of full output, 0 to 1."""

    id: str
    x: float
    y: float
    z: float
    emitter: Emitter
    zone: str = ""
    watts: float | None = None
    factor: float = 1.0
    dim: float = 1.0
    tilt_deg: float = 0.0  # of its axis from straight down, 0 to 180
    toward_deg: float = 0.0  # the plan bearing it is tilted toward
    spin_deg: float = 0.0  # the plan bearing of its photometric 0 plane, before it is tilted


@dataclass(frozen=True, slots=True)
class Room:
    """A room as light sees it: upright walls on an outline, a flat floor, a flat or one-way sloped ceiling.

    corners: counterclockwise on the plan, meters; wall 0 runs from corner 0 to corner 1. Reflectances are shares, 0 to
    below 1. wall_names: what people call each wall, in the order of the walls; may be empty.
    slope: how much the ceiling rises per meter of x and of y, from height_m at corner 0.
    """

    corners: tuple[tuple[float, float], ...]
    height_m: float
    floor: float = 0.2
    ceiling: float = 0.8
    wall: float = 0.5
    walls: tuple[float, ...] = ()  # wall by wall, where they differ; empty: all `wall`
    wall_names: tuple[str, ...] = ()
    slope: tuple[float, float] = (0.0, 0.0)

    def reflectance_of(self, number: int) -> float:
        return self.walls[number] if self.walls else self.wall


@dataclass(frozen=True, slots=True)
class Task:
    """Where light is asked for besides the room's own surfaces: a counter, a desk, a board, a picture.

    A parallelogram: corner, then two edges from it; its lit side is toward `along` x `up` (right-hand rule).
    """

    name: str
    corner: tuple[float, float, float]
    along: tuple[float, float, float]
    up: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Scene:
    """All that a room's light is computed from."""

    room: Room
    lights: tuple[Light, ...]
    plane_m: float = 0.762  # the work plane above the floor; 30 in, common practice
    tasks: tuple[Task, ...] = ()


class On(StrEnum):
    """What a grid lies on."""

    PLANE = "plane"
    FLOOR = "floor"
    CEILING = "ceiling"
    WALL = "wall"
    TASK = "task"


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Points on one surface, at the centers of cells of a regular lattice; cells outside the surface are left out.

    A point's place: origin + (column + 1/2) * step_u + (row + 1/2) * step_v; where a cell is cut and its center is off
    the surface, the middle of its part. On the floor, plane and ceiling u is x and v is y; on a wall u runs along it as
    a person in the room sees it, left to right, and v up. areas: the part of each cell that is on the surface, m2.
    """

    on: On
    name: str  # "plane", "floor", "ceiling", "wall 1".., or the task's name
    number: int  # of the wall or task, from 0; 0 for the others
    origin: Floats  # (3,)
    step_u: Floats  # (3,)
    step_v: Floats  # (3,)
    columns: int
    rows: int
    at: npt.NDArray[np.intp]  # (n, 2): column and row of each point
    points: Floats  # (n, 3)
    normal: Floats  # (3,), into the room
    areas: Floats  # (n,)

    def table(self, values: Floats) -> Floats:
        """(rows, columns) with NaN where a cell is off the surface."""
        told = np.full((self.rows, self.columns), np.nan)
        told[self.at[:, 1], self.at[:, 0]] = values
        return told


@dataclass(frozen=True, slots=True)
class Balance:
    """Whether the solve keeps its light. All in lumens, every light at its own dim and factor."""

    emitted: float  # by the lamps, losses applied
    received: float  # directly, by all surfaces of the room, on their patches
    absorbed: float
    residual: float  # (received - absorbed) / received
    patches: int
    worst_row: float  # how far a row of view factors was from 1 before it was closed


@dataclass(frozen=True, slots=True)
class Dims:
    """Dim levels to read a solved room at, 0 to 1: by zone, and by light where it differs. Others keep their own."""

    zones: Mapping[str, float] = field(default_factory=dict)
    lights: Mapping[str, float] = field(default_factory=dict)
