"""What one fixture takes of a ceiling: its hole, and its frame above the drywall as turned. Knows nothing overhead.

A turn is counted in degrees counterclockwise on the plan as drawn, looking down with the far wall up. At 0 the frame's
length lies left to right, its opening `from_end` from the left end and `from_side` from the side toward the door. A
frame is never turned face down, so its four turns are all there are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from layout.engine.lengths import ZERO, Distance, Length
from layout.engine.marks import Axis, Orientation, Side
from layout.engine.overhead.values import Frame

TURNS = (0, 180, 90, 270)  # in the order a crew would try them: long side as it is first
AROUND = (Side.RIGHT, Side.FAR, Side.LEFT, Side.DOOR)  # where the right end of a frame goes at 0, 90, 180, 270


class Cut(Protocol):
    """A fixture as far as the ceiling is concerned; room.Fitting is one."""

    @property
    def cutout(self) -> Length: ...
    @property
    def square(self) -> bool: ...
    @property
    def frame(self) -> Frame | None: ...
    @property
    def depth(self) -> Length | None: ...


@dataclass(frozen=True, slots=True)
class Footprint:
    """A rectangle with round corners beside the mark. A circle has no straight sides, a plain rectangle no radius.

    off_along, off_across: from the mark to its center. half_along, half_across: half its straight sides.
    """

    part: str  # hole, frame, center
    off_along: Distance
    off_across: Distance
    half_along: Distance
    half_across: Distance
    radius: Distance


CENTER = Footprint("center", ZERO, ZERO, ZERO, ZERO, ZERO)


def hole(fitting: Cut) -> Footprint:
    half = fitting.cutout / 2
    if fitting.square:
        return Footprint("hole", ZERO, ZERO, half, half, ZERO)
    return Footprint("hole", ZERO, ZERO, ZERO, ZERO, half)


def frame(plate: Frame, turn: int, orientation: Orientation) -> Footprint:
    """A frame turned on the plan, as it lies along and across the rows."""
    to_right = plate.length / 2 - plate.from_end
    to_far = plate.width / 2 - plate.from_side
    x, y = {0: (to_right, to_far), 90: (-to_far, to_right), 180: (-to_right, -to_far), 270: (to_far, -to_right)}[turn]
    half_x, half_y = plate.length / 2, plate.width / 2
    if turn in (90, 270):
        half_x, half_y = half_y, half_x
    x = x if orientation.zero_x is Side.LEFT else -x
    y = y if orientation.zero_y is Side.DOOR else -y
    if orientation.rows_run is Axis.LEFT_RIGHT:
        return Footprint("frame", x, y, half_x, half_y, ZERO)
    return Footprint("frame", y, x, half_y, half_x, ZERO)


def turns_of(fitting: Cut) -> tuple[int, ...]:
    """The turns that make a difference, in the order they are tried."""
    plate = fitting.frame
    if plate is None or not plate.may_turn:
        return (0,)
    return TURNS


@dataclass(frozen=True, slots=True)
class Turned:
    """How a frame lies: the way its long side runs, and the wall its box end points to (None: the opening is midway).

    The box is taken to be on the end that reaches farther from the opening: common practice, no source.
    """

    turn: int
    long_side: Axis
    box_toward: Side | None


def turned(plate: Frame, turn: int) -> Turned:
    lengthwise = Axis.LEFT_RIGHT if turn in (0, 180) else Axis.DOOR_FAR
    long_side = lengthwise if plate.length >= plate.width else lengthwise.other
    reach = plate.length / 2 - plate.from_end
    if not reach:
        return Turned(turn, long_side, None)
    quarter = turn // 90 + (0 if reach > ZERO else 2)
    return Turned(turn, long_side, AROUND[quarter % 4])
