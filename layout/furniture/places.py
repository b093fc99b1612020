"""Furniture against marks: which marks a piece has near it, and which no longer stand to it as they did. Values only.

Both are told on the plan: x from the finished left wall, y from the finished door wall, exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isqrt

from layout.engine.lengths import ZERO, Distance
from layout.engine.marks import Side
from layout.engine.room import RoomLayout

Point = tuple[Distance, Distance]


@dataclass(frozen=True, slots=True)
class Stands:
    """One mark to one piece: from the piece's middle to the right and away from the door. None: not near it."""

    ident: str
    was: Point | None
    now: Point | None


def insets_of(layout: RoomLayout) -> Point:
    """From the finished left wall and the finished door wall in to the ceiling's edge."""
    turn = layout.inputs.orientation
    found = []
    for result, side in ((layout.wide, Side.LEFT), (layout.deep, Side.DOOR)):
        at_start = turn.zero_side(result.axis) is side
        found.append(result.datums.start_gap if at_start else result.datums.end_gap)
    return found[0], found[1]


def marks_on_plan(layout: RoomLayout) -> dict[str, Point]:
    """Each mark's center from the two finished walls, by its ID."""
    turn, (in_x, in_y) = layout.inputs.orientation, insets_of(layout)
    sizes = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    found = {}
    for mark in layout.arrangement.marks:
        x, y = turn.plan_xy(mark.along, mark.across, *sizes)
        found[mark.id] = (x + in_x, y + in_y)
    return found


def middle_of(piece) -> Point:
    return ZERO + piece.left + piece.wide / 2, ZERO + piece.door + piece.deep / 2


def away(piece, at: Point) -> Distance:
    """How far a point is from the piece's nearest side, straight across the floor; nothing over it.

    Rounded down to the nanometer where it is a diagonal.
    """
    off_x, off_y = (abs(one - middle) for one, middle in zip(at, middle_of(piece), strict=True))
    if piece.round:
        far = _diagonal(off_x, off_y) - piece.wide / 2
        return max(far, ZERO)
    over_x, over_y = max(off_x - piece.wide / 2, ZERO), max(off_y - piece.deep / 2, ZERO)
    return _diagonal(over_x, over_y)


def _diagonal(x: Distance, y: Distance) -> Distance:
    return Distance(isqrt(int(x.nm) ** 2 + int(y.nm) ** 2)) if x and y else x or y


def near(piece, marks: dict[str, Point], reach) -> list[str]:
    """IDs of the marks over the piece or no farther than reach from its sides, in their own order."""
    return [ident for ident, at in marks.items() if away(piece, at) <= reach]


def no_longer_agree(kept, piece, marks: dict[str, Point], tape) -> list[Stands]:
    """What moving a piece did to the marks of the revision it stood in.

    kept: the piece as the revision has it, with the IDs laid out for it; None: the piece is new.
    A mark agrees while it stands to the middle of the piece as before, as the tape reads it.
    """
    before = [ident for ident in kept.idents if ident in marks] if kept else []
    now = near(piece, marks, piece.reach)
    found = []
    for ident in [*before, *(one for one in now if one not in before)]:
        was = _from(middle_of(kept), marks[ident]) if ident in before else None
        stands = _from(middle_of(piece), marks[ident])
        agrees = was is not None and all(tape.rounded(a) == tape.rounded(b) for a, b in zip(was, stands, strict=True))
        if not agrees:
            found.append(Stands(ident, was, stands if ident in now else None))
    return found


def _from(middle: Point, at: Point) -> Point:
    return at[0] - middle[0], at[1] - middle[1]
