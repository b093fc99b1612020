"""A box built over a fixture so that an isolated lid stays closed: how big it gets. Knows no room.

The box is a frame like any other afterwards: what keeps from joists, ducts and the top of the bay is the box.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.engine.lengths import ZERO, Length, LengthError, inches, nanometers
from layout.engine.overhead.footprint import Cut
from layout.engine.overhead.values import Frame

INSIDE = inches(3)
SOURCE = (
    "3 in inside the box round a housing, at the sides and over it: a backer box drawing, as quoted by public pages. "
    "The fixture's own label may ask for more."
)


@dataclass(frozen=True, slots=True)
class Boxed:
    """A fixture in its box, as far as the ceiling is concerned."""

    cutout: Length
    square: bool
    frame: Frame | None
    depth: Length | None


def boxed(fitting: Cut, wall: Length, inside: Length = INSIDE) -> Boxed:
    """A fixture with a box over it. wall: the box's own, all its layers. inside: free round the housing, see SOURCE.

    A fixture without a frame is boxed about its hole. Raises LengthError.
    """
    if wall < ZERO or inside < ZERO:
        raise LengthError("Backer box: its wall and the room inside are not below zero.")
    grow = (wall + inside).exact()
    plate = fitting.frame or _about(fitting.cutout)
    frame = Frame(
        length=(plate.length + grow * 2).exact(),
        width=(plate.width + grow * 2).exact(),
        from_end=(plate.from_end + grow).exact(),
        from_side=(plate.from_side + grow).exact(),
        may_turn=plate.may_turn,
    )
    depth = None if fitting.depth is None else (fitting.depth + grow).exact()
    return Boxed(fitting.cutout, fitting.square, frame, depth)


def _about(cutout: Length) -> Frame:
    """The least frame that holds a hole, to the nanometer."""
    half = nanometers(-(-int(cutout) // 2))
    side = (half * 2).exact()
    return Frame(side, side, half, half, may_turn=False)
