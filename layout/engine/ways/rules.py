"""What can clash, what a way costs, and what a way is. Values only.

Rules of taste may be given up; what is in the way never is: framing, ducts, alarms and the clearances entered with them
stay as they are, whatever the way. Source of the rules: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from layout.engine.findings import Finding
from layout.engine.lengths import ZERO, Distance
from layout.engine.marks import Kind
from layout.engine.overhead.check import Conflict
from layout.engine.overhead.stand import Direction
from layout.engine.room import RoomLayout


class Taste(StrEnum):
    """What a shop likes and may give up."""

    MIRRORED = "mirrored"  # about the center line
    OFF_THE_WALL = "off_the_wall"  # the outer lines, as far as asked
    GAPS_ALIKE = "gaps_alike"  # to a tape mark
    SPACING = "spacing"  # the limit
    COUNT = "count"  # how many lines
    STRAIGHT = "straight"  # rows and columns are lines
    CUTOUT = "cutout"  # the chosen fixture
    PINNED = "pinned"  # a person holds it
    MIDWAY = "midway"  # speakers, between their lights


class Safety(StrEnum):
    """What no way takes from."""

    MEMBER = "member"
    THING = "thing"
    EDGE = "edge"
    WEB = "web"
    DEPTH = "depth"
    OTHER = "other"  # what else the layout's findings say


@dataclass(frozen=True, slots=True)
class InTheWay:
    """One thing a clash names. name: 'joist 3'. at: its center on the axis. apart: from that to the mark's center."""

    kind: Safety
    name: str
    apart: Distance = ZERO
    needed: Distance = ZERO
    short_by: Distance = ZERO
    part: str = "hole"


@dataclass(frozen=True, slots=True)
class Clash:
    """The smallest set of rules that can't all hold, and the place where they meet.

    direction: the axis they meet on. number: the line there, from 1 (0 in a wing, whose lines aren't these); count: how
    many lines; mark: the one it is told of.
    at: where these rules put it; off_wall: from there to the nearer wall. speaker: it stands midway in the gap after
    that line. cutout: of what is to go there.
    """

    taste: tuple[Taste, ...]
    safety: tuple[InTheWay, ...]
    direction: Direction
    number: int
    count: int
    mark: str
    kind: Kind
    at: Distance
    off_wall: Distance
    cutout: Distance
    speaker: bool = False

    @property
    def rules(self) -> tuple[str, ...]:
        return (*self.taste, *(each.name for each in self.safety))


class WayKind(StrEnum):
    """In the order a crew takes them."""

    SLIDE = "slide"  # rows, along the joists
    RESPACE = "respace"  # both ends the same, gaps alike
    PAIRS = "pairs"  # mirrored pairs, equal opposite amounts
    SHIFT = "shift"  # everything one way
    SMALLER = "smaller"  # another fixture
    ONE_MORE = "one_more"
    ONE_FEWER = "one_fewer"
    ONE_ALONE = "one_alone"  # a line or a light leaves the symmetry


@dataclass(frozen=True, slots=True)
class Move:
    """One line, or one mark where `mark` is given, and how far: away from the zero corner when above 0."""

    direction: Direction
    number: int  # the column's or the row's, from 1
    by: Distance
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Cost:
    """What a way takes from a rule of taste. by: how much; for COUNT, lines more (or fewer) instead."""

    rule: Taste
    direction: Direction
    by: Distance = ZERO
    lines: int = 0


class NoWay(StrEnum):
    """Why a way doesn't exist."""

    NOT_WITHIN = "not_within"  # nothing clears within the distance looked at
    PINNED = "pinned"
    MIDDLE_FIXED = "middle_fixed"  # the middle line stays on the center line, and something is in its way
    NOT_MIRRORED = "not_mirrored"
    NOTHING_TO_MOVE = "nothing_to_move"  # a single line: no pair, no gap
    NO_SMALLER = "no_smaller"  # no other fixture was given, or none is smaller
    STILL_IN_THE_WAY = "still_in_the_way"
    SPEAKERS_LOST = "speakers_lost"  # that count leaves no gap for them
    TYPED = "typed"  # the numbers are a person's own
    ON_FRAMING = "on_framing"  # sliding along a joist doesn't get a hole off it
    ON_TILES = "on_tiles"  # lights stand in the middle of tiles, and no others clear
    SAME = "same"  # it comes to the same as a way before it


@dataclass(frozen=True, slots=True)
class Missing:
    """A way that doesn't exist here, and why. within: how far was looked."""

    kind: WayKind
    why: NoWay
    direction: Direction
    within: Distance = ZERO


@dataclass(frozen=True, slots=True)
class Way:
    """One way out.

    change: the fields of RoomInputs to replace. layout: what comes of it. still: what then breaks one of the shop's own
    limits, or stands in the way of something this way doesn't move. fixture: the name of another one.
    """

    kind: WayKind
    direction: Direction
    moves: tuple[Move, ...]
    costs: tuple[Cost, ...]
    change: Mapping[str, object]
    layout: RoomLayout
    still: tuple[Finding, ...] = ()
    fixture: str = ""

    @property
    def farthest(self) -> Distance:
        """The most that any line or light moves."""
        return max((abs(move.by) for move in self.moves), key=lambda by: by.nm, default=ZERO)


@dataclass(frozen=True, slots=True)
class Compromise:
    """Where nothing fits: the fewest marks in the way, and least deep. `deepest` and `in_all` are over all of them."""

    moves: tuple[Move, ...]
    change: Mapping[str, object]
    layout: RoomLayout
    left: tuple[Conflict, ...]

    @property
    def deepest(self) -> Distance:
        return max((each.short_by for each in self.left), key=lambda by: by.nm, default=ZERO)


@dataclass(frozen=True, slots=True)
class Ways:
    """Why a layout won't fit and what can be done. All empty where it fits."""

    clash: Clash | None = None
    ways: tuple[Way, ...] = ()
    missing: tuple[Missing, ...] = ()
    compromise: Compromise | None = None
    left: tuple[Conflict, ...] = field(default=())  # what is in the way of the layout as asked

    @property
    def wont_fit(self) -> bool:
        """Something is in the way, and no way out clears it."""
        return self.clash is not None and not self.ways
