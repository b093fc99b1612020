"""A mark: the center of one hole on a ceiling, and how a room is turned. Knows nothing of how a mark was found.

Stand with your back to the door and face in: the door wall is behind you, `left` and `right` are yours, the far
wall is ahead. A plan is read as if looking down through it, so left on paper is left on the floor.

         far
      +---------+
      |         |
 left |         | right      across-the-room axis: left_right
      |         |            down-the-room axis:   door_far
      +--[door]-+
         door
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.lengths import Distance, Length


class Side(StrEnum):
    DOOR = "door"
    LEFT = "left"
    FAR = "far"
    RIGHT = "right"


class Axis(StrEnum):
    LEFT_RIGHT = "left_right"
    DOOR_FAR = "door_far"

    @property
    def other(self) -> Axis:
        return Axis.DOOR_FAR if self is Axis.LEFT_RIGHT else Axis.LEFT_RIGHT

    @property
    def sides(self) -> tuple[Side, Side]:
        """The two walls this axis is measured between, in the plan's own order (left to right, door to far)."""
        return (Side.LEFT, Side.RIGHT) if self is Axis.LEFT_RIGHT else (Side.DOOR, Side.FAR)


class Datum(StrEnum):
    """The face a number is pulled from."""

    FRAMING = "framing"
    FINISHED = "finished"
    EDGE = "edge"


@dataclass(frozen=True, slots=True)
class Orientation:
    """Which way the rows run, and the zero corner every running dimension is pulled from."""

    rows_run: Axis
    zero_x: Side = Side.LEFT  # LEFT or RIGHT
    zero_y: Side = Side.DOOR  # DOOR or FAR

    def zero_side(self, axis: Axis) -> Side:
        """The wall that dimensions on this axis start from."""
        return self.zero_x if axis is Axis.LEFT_RIGHT else self.zero_y

    def end_side(self, axis: Axis) -> Side:
        low, high = axis.sides
        return high if self.zero_side(axis) is low else low

    def plan_xy(self, along: Distance, across: Distance, wide: Distance, deep: Distance) -> tuple[Distance, Distance]:
        """A point along and across the rows, from the zero corner, as plan x (from left) and y (from the door wall).

        wide and deep are the ceiling's left-to-right and door-to-far sizes.
        """
        x, y = (along, across) if self.rows_run is Axis.LEFT_RIGHT else (across, along)
        return (
            x if self.zero_x is Side.LEFT else wide - x,
            y if self.zero_y is Side.DOOR else deep - y,
        )


class Kind(StrEnum):
    LIGHT = "light"
    SPEAKER = "speaker"
    SUBWOOFER = "subwoofer"


@dataclass(frozen=True, slots=True)
class Mark:
    """One hole: its printed ID (A3, SP1, SW1), what goes in it, and its center from the ceiling's zero corner.

    pinned: a person holds its column or its row. moved_from: where it would stand on its lines, along and across, when
    a person moved this mark alone.
    """

    id: str
    kind: Kind
    along: Length
    across: Length
    row: int  # 1 is the row nearest the zero corner
    zone: str = ""
    pinned: bool = False
    moved_from: tuple[Length, Length] | None = None
