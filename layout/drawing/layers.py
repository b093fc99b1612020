"""What a plan shows besides its marks: framing, things, tiles, the true outline. Must not know how it is drawn.

Places are told as marks are: along the rows and across them, from the zero corner of the ceiling's edge.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.engine.lengths import ZERO, Distance
from layout.engine.marks import Kind


@dataclass(frozen=True, slots=True)
class Place:
    along: Distance
    across: Distance


@dataclass(frozen=True, slots=True)
class Patch:
    """A rectangle of the ceiling, its sides along the rows and across them."""

    along: Distance
    across: Distance
    along_to: Distance
    across_to: Distance


@dataclass(frozen=True, slots=True)
class Member:
    """A joist, wall to wall. stands_along: its place is a distance along the rows; otherwise one across them.

    at: its center. keep: free material between its face and a hole.
    """

    name: str
    stands_along: bool
    at: Distance
    width: Distance
    keep: Distance = ZERO
    named: bool = False  # its name is written: a member out of the pattern


@dataclass(frozen=True, slots=True)
class Thing:
    """What a hole keeps away from. long: its size along the rows, deep: across them; both the diameter when round."""

    name: str
    center: Place
    long: Distance
    deep: Distance
    round: bool = False
    keep: Distance = ZERO
    key: str = ""  # names it for the page, where it can be moved


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the ceiling at a height of its own. height: as printed."""

    name: str
    corners: tuple[Place, ...]
    height: str = ""
    key: str = ""


@dataclass(frozen=True, slots=True)
class Tiles:
    """The grid's lines, ascending; what lies between the walls and the outermost lines is a border tile."""

    along: tuple[Distance, ...]
    across: tuple[Distance, ...]


@dataclass(frozen=True, slots=True)
class Ghost:
    """A hole as the last revision has it."""

    kind: Kind
    at: Place
    cutout: Distance


@dataclass(frozen=True, slots=True)
class Furnished:
    """A piece of furniture below. long: its size along the rows, deep: across them; both the diameter when round."""

    name: str
    center: Place
    long: Distance
    deep: Distance
    round: bool = False


@dataclass(frozen=True, slots=True)
class Backdrop:
    """A picture the plan is traced over. left, far: its far left corner, from the left and the far side of the ceiling.

    opacity: 0 to 100.
    """

    href: str
    left: Distance
    far: Distance
    wide: Distance
    deep: Distance
    opacity: int


@dataclass(frozen=True, slots=True)
class Layers:
    """may_stand: where a hole may stand. corners: the true outline of the ceiling; none, and it is the rectangle.

    walked: walls as far as they were entered, where they don't close.
    """

    corners: tuple[Place, ...] = ()
    parts: tuple[Part, ...] = ()
    tiles: Tiles | None = None
    members: tuple[Member, ...] = ()
    things: tuple[Thing, ...] = ()
    may_stand: tuple[Patch, ...] = ()
    ghosts: tuple[Ghost, ...] = ()
    backdrop: Backdrop | None = None
    walked: tuple[Place, ...] = ()
    furniture: tuple[Furnished, ...] = ()
