"""From a laid-out ceiling to the room that light and sound fill: finished wall to finished wall, in meters.

A ceiling that floats off the walls ends before they do; the room doesn't. Each edge of the ceiling is moved out by the
gap on the side it faces. Knows no record.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from layout.engine.lengths import Distance, meters
from layout.engine.marks import Side
from layout.engine.room import RoomLayout
from layout.engine.shape.outline import Outline, outline_of, rectangle

Corners = tuple[tuple[float, float], ...]
INWARD = {Side.DOOR: (0.0, 1.0), Side.RIGHT: (-1.0, 0.0), Side.FAR: (0.0, -1.0), Side.LEFT: (1.0, 0.0)}
STRAIGHT = 1e-9  # two edges nearer to one line than this have no corner between them


@dataclass(frozen=True, slots=True)
class Walls:
    """corners: counterclockwise from the left finished wall and the door wall. sides: which side each wall is on.

    from_left, from_door: where the ceiling's own zero of plan places stands in them.
    """

    corners: Corners
    sides: tuple[Side, ...]
    from_left: float
    from_door: float

    def on(self, side: Side) -> int | None:
        """The number of the longest wall on this side; None where no wall faces it."""
        lengths = {n: hypot(*_edge(self.corners, n)) for n, one in enumerate(self.sides) if one is side}
        return max(lengths, key=lambda n: lengths[n]) if lengths else None


def walls_of(layout: RoomLayout) -> Walls:
    """The finished walls of any room that is laid out, a rectangle's in the order door, right, far, left."""
    gaps = {side: meters(gap) for side, gap in gaps_of(layout).items()}
    wide, deep = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    outline: Outline = outline_of(layout.inputs.outline) if layout.inputs.outline else rectangle(wide, deep)
    edge = tuple((meters(corner.x), meters(corner.y)) for corner in outline.corners)
    sides = tuple(_side(edge, n) for n in range(len(edge)))
    moved = _moved_out(edge, tuple(gaps[side] for side in sides))
    left, door = gaps[Side.LEFT], gaps[Side.DOOR]
    return Walls(tuple((x + left, y + door) for x, y in moved), sides, left, door)


def gaps_of(layout: RoomLayout) -> dict[Side, Distance]:
    """Finished wall to the ceiling's edge, by side. Exact."""
    gaps: dict[Side, Distance] = {}
    for result in (layout.along, layout.across):
        turn = layout.inputs.orientation
        gaps[turn.zero_side(result.axis)] = result.datums.start_gap
        gaps[turn.end_side(result.axis)] = result.datums.end_gap
    return gaps


def _edge(corners: Corners, number: int) -> tuple[float, float]:
    (ax, ay), (bx, by) = corners[number], corners[(number + 1) % len(corners)]
    return bx - ax, by - ay


def _inward(corners: Corners, number: int) -> tuple[float, float]:
    dx, dy = _edge(corners, number)
    length = hypot(dx, dy)
    return -dy / length, dx / length


def _side(corners: Corners, number: int) -> Side:
    """The side whose wall looks most the same way into the room."""
    nx, ny = _inward(corners, number)
    return max(INWARD, key=lambda side: INWARD[side][0] * nx + INWARD[side][1] * ny)


def _moved_out(corners: Corners, by: tuple[float, ...]) -> Corners:
    """Each edge moved out by its own number; corners where the moved edges meet."""
    if not any(by):
        return corners
    return tuple(_met(corners, (number - 1) % len(corners), number, by) for number in range(len(corners)))


def _met(corners: Corners, before: int, after: int, by: tuple[float, ...]) -> tuple[float, float]:
    x, y = corners[after]
    (ax, ay), (bx, by_) = _inward(corners, before), _inward(corners, after)
    turn = ax * by_ - ay * bx
    if abs(turn) < STRAIGHT:
        return x - bx * by[after], y - by_ * by[after]
    # Moved by (u, v): u·a = -by[before], u·b = -by[after]
    u = (-by[before] * by_ + by[after] * ay) / turn
    v = (-by[after] * ax + by[before] * bx) / turn
    return x + u, y + v
