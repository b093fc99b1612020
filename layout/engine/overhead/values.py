"""What a crew finds above and on a ceiling, as it was measured: from a wall, from one of its faces. Nothing is judged.

Plan directions are used here (left to right, door wall to far wall), so that a duct stays where it is when the zero
corner or the rows are turned.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.lengths import ZERO, Distance, Length
from layout.engine.marks import Axis, Datum, Side


class ClearTo(StrEnum):
    """What of a fixture a clearance runs to."""

    RIM = "rim"  # the edge of the hole
    CENTER = "center"


@dataclass(frozen=True, slots=True)
class Joists:
    """Members alike at one spacing, wall to wall, found from one whose center was measured."""

    runs: Axis  # the way the members run; they stand spaced along the other axis
    spacing: Distance  # center to center; 19.2 in is real
    width: Length
    first: Distance  # center of one member
    first_from: Side  # the wall it was measured from, one of the two the members are spaced between
    datum: Datum  # that wall's face it was measured from
    clear: Length  # free material between a hole's rim (or a frame) and a member's face
    depth: Length | None = None


@dataclass(frozen=True, slots=True)
class Member:
    """One member out of the pattern: doubled, a header, blocking."""

    name: str
    runs: Axis
    at: Distance  # its center
    at_from: Side
    datum: Datum
    width: Length
    clear: Length


@dataclass(frozen=True, slots=True)
class Thing:
    """Something a hole must keep away from: a duct, a pipe, a fan, an alarm, a cabinet.

    x, y: its center, from the left wall and from the door wall, from their `datum` face. wide, deep: its size left to
    right and door to far; both the diameter where it is round.
    """

    name: str
    what: str  # the entry of the clearance table it is kept by
    x: Distance
    y: Distance
    wide: Length
    deep: Length
    round: bool
    datum: Datum
    clear: Length
    clear_to: ClearTo = ClearTo.RIM
    above: bool = False  # stands above the drywall: housings and speaker frames keep away from it, not the hole alone
    leaves: Length | None = None  # with `above`: the depth left under it. What is no deeper may stand below it.
    fixed: bool = True  # framing, alarm, rated, heat: no way out ever takes from this clearance
    source: str = ""
    note: str = ""  # why the clearance is not the table's
    keeps_off: bool = True  # False: a zone that only asks something of what stands in it, like a shower's


@dataclass(frozen=True, slots=True)
class Cavity:
    """The depth a fixture has above the drywall's face.

    depth: drywall's face to the underside of what is above. keep: free depth kept at the top, as 1/2 in to combustibles
    over a housing that is not IC (NEC 410.116(A)(1), from memory; local code decides).
    """

    depth: Length
    keep: Length = ZERO
    what: str = ""  # 'joists 9 1/4 in + channel 7/8 in'


@dataclass(frozen=True, slots=True)
class Overhead:
    """All that is known of what is overhead. looked: somebody entered the framing, or said there is none."""

    joists: tuple[Joists, ...] = ()
    members: tuple[Member, ...] = ()
    things: tuple[Thing, ...] = ()
    cavity: Cavity | None = None
    looked: bool = False


@dataclass(frozen=True, slots=True)
class Frame:
    """A new-work housing's or speaker bracket's frame: a rectangle, its opening off its center.

    from_end, from_side: the opening's center from one short side and from one long side.
    """

    length: Length
    width: Length
    from_end: Length
    from_side: Length
    may_turn: bool = True
