"""What a room's cable goes to, and the runs it comes to. Values alone: no routing, no prices, no Django.

Plan coordinates as everywhere: x from the left wall, y from the door wall. Outside the room is allowed (a hall).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.lengths import ZERO, Distance, Length, feet
from layout.engine.marks import Axis
from layout.engine.wiring.chain import Drop, Point


class RunKind(StrEnum):
    HOP = "hop"
    SWITCH_LEG = "switch_leg"
    SWITCH_FEED = "switch_feed"
    THREE_WAY = "three_way"  # between a switch and its 3-way partner, one conductor more
    HOMERUN = "homerun"
    WHIP = "whip"  # from a separate box to the light beside it
    SPEAKER = "speaker"  # rack to one speaker, or control to one speaker
    SPEAKER_LINE = "speaker_line"  # a constant-voltage line: rack to the first, then speaker to speaker
    CONTROL_FEED = "control_feed"  # rack to a volume control, both channels in one cable


class Part(StrEnum):
    """What a piece of a run is for."""

    PATH = "path"
    DETOUR = "detour"  # what going around things in the way adds to the path
    SWITCH_DROP = "switch_drop"
    PANEL_DROP = "panel_drop"
    RACK_DROP = "rack_drop"
    CONTROL_DROP = "control_drop"
    FLOORS = "floors"  # floor to floor, where the panel or rack is a story lower
    BEYOND = "beyond"
    WHIP = "whip"  # from a separate box to its light
    LIGHT_MAKE_UP = "light_make_up"
    SWITCH_MAKE_UP = "switch_make_up"
    PANEL_MAKE_UP = "panel_make_up"
    FEED_MAKE_UP = "feed_make_up"
    CONTROL_MAKE_UP = "control_make_up"
    SPEAKER_LOOP = "speaker_loop"
    RACK_LOOP = "rack_loop"


class Lacks(StrEnum):
    """What was not entered, or stands in the way, so that a run can't be counted."""

    SWITCH = "switch"
    PANEL = "panel"
    RACK = "rack"
    HEIGHT = "height"
    CONTROL = "control"
    FEED = "feed"  # comes from another room: nobody knows how far, set that run by hand
    WAY = "way"  # nothing but things in the way around it: set that run by hand


class Wired(StrEnum):
    """How the lights of a zone hang together."""

    CHAIN = "chain"  # one after the other
    TREE = "tree"  # least cable with junctions at lights and at the switch only


class SpeakerWiring(StrEnum):
    HOME_RUN = "home_run"  # each speaker its own run to the rack
    LINE = "line"  # chained constant-voltage line
    CONTROL = "control"  # rack to a volume control, from there to each speaker


class Note(StrEnum):
    """What a run asks a person to look at."""

    THROUGH_NOT_VERIFIED = "through_not_verified"  # passes a fixture's own box, no through-wiring label on file
    AT_SEPARATE_BOX = "at_separate_box"  # joined in a box of its own: the label allows no more cables in the fixture's


@dataclass(frozen=True, slots=True)
class Outlet:
    """A box on a wall: where on the plan, and how high above its own floor.

    beyond: cable past this point, out of the room, as measured (a rack in the cellar, a panel down the hall).
    story: where its floor is, above (+) or below (-) this room's.
    """

    id: str
    at: Point
    height: Length
    beyond: Length = ZERO
    story: Distance = ZERO


@dataclass(frozen=True, slots=True)
class Through:
    """What a fixture's own box may take, off its label. None: the label doesn't speak of it.

    cables: how many may enter, 1 where through-wiring is not allowed. conductors: insulated ones, grounds not counted.
    """

    cables: int | None = None
    conductors: int | None = None

    def allows(self, cables: int) -> bool:
        """Whether so many two-conductor cables may enter. A label that names neither number allows one."""
        if self.cables is None and self.conductors is None:
            return cables <= 1
        few_enough = self.cables is None or cables <= self.cables
        return few_enough and (self.conductors is None or cables * CONDUCTORS_TO_A_LIGHT <= self.conductors)


CONDUCTORS_TO_A_LIGHT = 2
ONE_FOOT, TWO_FEET = feet(1), feet(2)


@dataclass(frozen=True, slots=True)
class Zone:
    """The lights of one switch. switch is None until it is placed.

    partner: the other box of a 3-way pair. circuit: its name; zones of one circuit share a homerun.
    order: light IDs as a person set the chain; empty: the shortest order. Lights it leaves out follow the last one.
    labels: what each light's own box may take, by light ID; a light that isn't in it has no label on file.
    """

    letter: str
    lights: tuple[Drop, ...]
    switch: Outlet | None = None
    partner: Outlet | None = None
    circuit: str = ""
    wired: Wired = Wired.CHAIN
    order: tuple[str, ...] = ()
    labels: tuple[tuple[str, Through], ...] = ()


@dataclass(frozen=True, slots=True)
class Circuit:
    """One homerun. power, three_way: its cables where they differ from the room's (12/2 and 12/3 on 20 A).

    home: where its homerun ends when that is not the room's panel, such as a box that already has this circuit.
    fed_from: the room that has its homerun, where that is another one. This one then has a feed from there instead,
    whose length nobody knows until a person sets it.
    """

    name: str
    power: str = ""
    three_way: str = ""
    home: Outlet | None = None
    fed_from: str = ""


@dataclass(frozen=True, slots=True)
class SpeakerLine:
    """Speakers wired together. control: where the volume control is, for SpeakerWiring.CONTROL."""

    id: str
    wiring: SpeakerWiring
    speakers: tuple[Drop, ...]
    control: Outlet | None = None
    order: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Framing:
    """Members that a cable across them is bored through.

    runs: the way they run. first: center of any one of them on the plan, along the other axis. others: centers of
    members out of the pattern (doubled, a header).
    """

    runs: Axis
    spacing: Distance
    first: Distance
    width: Length
    others: tuple[Distance, ...] = ()


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle on the plan: from left, from door; right > left, far > door."""

    left: Distance
    door: Distance
    right: Distance
    far: Distance


@dataclass(frozen=True, slots=True)
class InTheWay:
    """Something cable has to go around: a duct, a beam, a shaft. Its edge may be touched."""

    name: str
    area: Area


@dataclass(frozen=True, slots=True)
class HandSet:
    """A run as a person set it: its feet, or its way, or both. way: points from end to end, along the framing."""

    kind: RunKind
    from_id: str
    to_id: str
    length: Distance | None = None
    way: tuple[Point, ...] = ()
    circuit: str = ""  # of a homerun or of a feed between switches; of a 3-way pair its zone

    @property
    def key(self) -> RunKey:
        return run_key(self.kind, self.from_id, self.to_id, self.circuit)


RunKey = tuple[str, str, str, str]
TWICE = (RunKind.HOMERUN, RunKind.SWITCH_FEED, RunKind.THREE_WAY)


def run_key(kind: RunKind, from_id: str, to_id: str, which: str = "") -> RunKey:
    """The same for a run and for one the other way.

    which: tells apart what may run twice between two boxes: a homerun's or feed's circuit, a 3-way pair's zone.
    """
    one, other = sorted((from_id, to_id))
    return (kind.value, one, other, which if kind in TWICE else "")


@dataclass(frozen=True, slots=True)
class Cables:
    """Which cable a room is pulled with. A speaker run longer than speaker_up_to takes the heavier one."""

    power: str
    speaker: str
    speaker_long: str
    speaker_up_to: Length
    three_way: str = "14/3"
    speaker_four: str = "speaker_16/4"
    speaker_line: str = "speaker_16/2"


@dataclass(frozen=True, slots=True)
class Allowances:
    """What is added at the ends of a run: the shop's own lengths.

    whip: from a separate box to its light, make-up not counted. Common practice, no source.
    """

    light_make_up: Length
    switch_make_up: Length
    panel_make_up: Length
    feed_make_up: Length  # the homerun's end at the switch
    speaker_loop: Length
    rack_loop: Length
    control_make_up: Length = ONE_FOOT
    whip: Length = TWO_FEET


@dataclass(frozen=True, slots=True)
class RoomWiring:
    """Everything in one room that a cable goes to.

    ceiling: the finished height above the finished floor, or None when nobody taped it: then no drop can be counted.
    speakers: those with a run of their own to the rack; the others stand in speaker_lines.
    extent: the ceiling's rectangle, so that no cable goes around a thing outside the room; None: not known.
    """

    ceiling: Length | None
    rows_run: Axis
    zones: tuple[Zone, ...] = ()
    speakers: tuple[Drop, ...] = ()
    panel: Outlet | None = None
    rack: Outlet | None = None
    circuits: tuple[Circuit, ...] = ()
    speaker_lines: tuple[SpeakerLine, ...] = ()
    framing: tuple[Framing, ...] = ()
    in_the_way: tuple[InTheWay, ...] = ()
    extent: Area | None = None
    by_hand: tuple[HandSet, ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """One piece of cable, from box to box. Its computed length is the sum of its parts and nothing else.

    bends: its way on the plan, both ends included. bored: framing members it crosses. around: what it goes around.
    by_hand: the length a person set; it counts then, and the computed one stays beside it.
    """

    kind: RunKind
    cable: str
    from_id: str
    to_id: str
    parts: tuple[tuple[Part, Distance], ...]
    zone: str = ""
    circuit: str = ""
    bends: tuple[Point, ...] = ()
    bored: int = 0
    around: tuple[str, ...] = ()
    by_hand: Distance | None = None
    notes: tuple[Note, ...] = ()

    @property
    def computed(self) -> Distance:
        return sum((length for _, length in self.parts), start=ZERO)

    @property
    def length(self) -> Distance:
        return self.computed if self.by_hand is None else self.by_hand

    @property
    def key(self) -> RunKey:
        which = self.zone if self.kind is RunKind.THREE_WAY else self.circuit
        return run_key(self.kind, self.from_id, self.to_id, which)


@dataclass(frozen=True, slots=True)
class Missing:
    """What to enter, and what waits for it: zone letters, speaker IDs for a rack, for a way what it would reach."""

    lacks: Lacks
    waits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SeparateBox:
    """An accessible box beside a light, where cables are joined instead of in the fixture's own box.

    cables: what enters it, its whip counted. counted: True where the label asks for it (runs go through it); False
    where no label is on file: offered, not in the runs.
    """

    id: str
    light: str
    zone: str
    cables: int
    counted: bool


@dataclass(frozen=True, slots=True)
class Ordered:
    """How good an order of lights, switches or speakers is, paths only.

    what, name: 'zone' and its letter, 'circuit' and its name, 'speakers' and their line's ID. length: of the order
    taken. best: of the shortest found, below `length` only where a person set the order. least: no order is shorter.
    """

    what: str
    name: str
    order: tuple[str, ...]
    length: Distance
    best: Distance
    least: Distance

    @property
    def exact(self) -> bool:
        """No order is shorter than `best`."""
        return self.best == self.least

    @property
    def gap_percent(self) -> float:
        """How far the best order found may be over the shortest there is, at most."""
        return 100 * float((self.best.nm - self.least.nm) / self.least.nm) if self.least else 0.0


@dataclass(frozen=True, slots=True)
class OnOneHomerun:
    """What one homerun feeds, for adding up loads: zones, lights and switch boxes in the order they are fed."""

    circuit: str
    zones: tuple[str, ...]
    lights: tuple[str, ...]
    boxes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wiring:
    """waiting: runs that lack something (`missing` says what) and are not counted; feet set by hand make them count.

    unmatched: runs set by hand that are no longer run this way: nothing is lost, nothing is counted.
    """

    runs: tuple[Run, ...]
    missing: tuple[Missing, ...]
    boxes: tuple[SeparateBox, ...] = ()
    ordered: tuple[Ordered, ...] = ()
    homeruns: tuple[OnOneHomerun, ...] = ()
    unmatched: tuple[HandSet, ...] = ()
    waiting: tuple[Run, ...] = ()

    @property
    def length(self) -> Distance:
        """All cable of the room, before waste."""
        return sum((run.length for run in self.runs), start=ZERO)

    @property
    def by_hand(self) -> Distance:
        """How much of `length` a person set."""
        return sum((run.by_hand for run in self.runs if run.by_hand is not None), start=ZERO)

    @property
    def boxes_offered(self) -> int:
        return sum(not box.counted for box in self.boxes)

    @property
    def boxes_counted(self) -> int:
        return sum(box.counted for box in self.boxes)
