"""The cable runs of one room, each opening to its parts. Knows plan points and heights; not prices, waste or Django.

           panel (height)                       ceiling, finished height above the floor
              |  drop            path |dx|+|dy|
              +--------------------------------+  rise
                     homerun                   |
                                             switch -- leg -- A1 -- hop -- A2 -- hop -- A3

What is not placed is not guessed: the run is left out and listed in `missing`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from layout.engine.lengths import ZERO, Distance, Length
from layout.engine.marks import Axis
from layout.engine.wiring.chain import Drop, Point, chain, natural, path


class RunKind(StrEnum):
    HOP = "hop"
    SWITCH_LEG = "switch_leg"
    SWITCH_FEED = "switch_feed"
    HOMERUN = "homerun"
    SPEAKER = "speaker"


class Part(StrEnum):
    """What a piece of a run is for."""

    PATH = "path"
    SWITCH_DROP = "switch_drop"
    PANEL_DROP = "panel_drop"
    RACK_DROP = "rack_drop"
    BEYOND = "beyond"
    LIGHT_MAKE_UP = "light_make_up"
    SWITCH_MAKE_UP = "switch_make_up"
    PANEL_MAKE_UP = "panel_make_up"
    FEED_MAKE_UP = "feed_make_up"
    SPEAKER_LOOP = "speaker_loop"
    RACK_LOOP = "rack_loop"


class Lacks(StrEnum):
    """A point that was not entered, so that a run can't be counted."""

    SWITCH = "switch"
    PANEL = "panel"
    RACK = "rack"
    HEIGHT = "height"


@dataclass(frozen=True, slots=True)
class Outlet:
    """A box on a wall: where on the plan, and how high above the finished floor.

    beyond: cable past this point, out of the room, as measured (a rack in the cellar, a panel down the hall).
    """

    id: str
    at: Point
    height: Length
    beyond: Length = ZERO


@dataclass(frozen=True, slots=True)
class Zone:
    """The lights of one switch. switch is None until it is placed."""

    letter: str
    lights: tuple[Drop, ...]
    switch: Outlet | None = None


@dataclass(frozen=True, slots=True)
class Cables:
    """Which cable a room is pulled with. A speaker run longer than speaker_up_to takes the heavier one."""

    power: str
    speaker: str
    speaker_long: str
    speaker_up_to: Length


@dataclass(frozen=True, slots=True)
class Allowances:
    """What is added at the ends of a run: the shop's own lengths."""

    light_make_up: Length
    switch_make_up: Length
    panel_make_up: Length
    feed_make_up: Length  # the homerun's end at the switch
    speaker_loop: Length
    rack_loop: Length


@dataclass(frozen=True, slots=True)
class RoomWiring:
    """Everything in one room that a cable goes to.

    ceiling: the finished height above the finished floor, or None when nobody taped it: then no drop can be counted.
    """

    ceiling: Length | None
    rows_run: Axis
    zones: tuple[Zone, ...] = ()
    speakers: tuple[Drop, ...] = ()
    panel: Outlet | None = None
    rack: Outlet | None = None


@dataclass(frozen=True, slots=True)
class Run:
    """One piece of cable, from box to box. Its length is the sum of its parts and nothing else."""

    kind: RunKind
    cable: str
    from_id: str
    to_id: str
    parts: tuple[tuple[Part, Distance], ...]
    zone: str = ""

    @property
    def length(self) -> Distance:
        return sum((length for _, length in self.parts), start=ZERO)


@dataclass(frozen=True, slots=True)
class Missing:
    """What to enter, and what waits for it: zone letters, or speaker IDs for a rack."""

    lacks: Lacks
    waits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wiring:
    runs: tuple[Run, ...]
    missing: tuple[Missing, ...]


def room_runs(room: RoomWiring, cables: Cables, allowances: Allowances) -> Wiring:
    """Every run of a room and what keeps others from being counted.

    Lights of a zone are chained from its switch; switches are fed one from the next; one homerun goes from the first
    switch box to the panel; each speaker has a run of its own to the rack.
    Source: common practice, no source; make-up is never less than 6 in of free conductor (NEC 300.14, from memory).
    """
    zones = sorted((zone for zone in room.zones if zone.lights), key=lambda zone: natural(zone.letter))
    runs: list[Run] = []
    for zone in zones:
        runs += zone_runs(zone, _order(zone, room.rows_run), room.ceiling, cables, allowances)
    if room.ceiling is not None:
        runs += _runs_to_walls(room, room.ceiling, switch_boxes(zones), cables, allowances)
    return Wiring(tuple(runs), _missing(room, zones))


def zone_runs(
    zone: Zone, order: tuple[Drop, ...], ceiling: Length | None, cables: Cables, allowances: Allowances
) -> tuple[Run, ...]:
    """The switch leg (when switch and height are known) and the hops of one zone, wired in the order given."""
    runs = []
    if zone.switch and order and ceiling is not None:
        runs.append(
            Run(
                RunKind.SWITCH_LEG,
                cables.power,
                zone.switch.id,
                order[0].id,
                (
                    (Part.SWITCH_DROP, abs(ceiling - zone.switch.height)),
                    (Part.PATH, path(zone.switch.at, order[0].at)),
                    (Part.SWITCH_MAKE_UP, allowances.switch_make_up),
                    (Part.LIGHT_MAKE_UP, allowances.light_make_up),
                ),
                zone.letter,
            )
        )
    for here, there in pairwise(order):
        parts = ((Part.PATH, path(here.at, there.at)), (Part.LIGHT_MAKE_UP, 2 * allowances.light_make_up))
        runs.append(Run(RunKind.HOP, cables.power, here.id, there.id, parts, zone.letter))
    return tuple(runs)


def switch_boxes(zones: list[Zone] | tuple[Zone, ...]) -> tuple[Outlet, ...]:
    """The boxes the zones are switched from, each place once: two switches at one place share a box."""
    boxes: dict[tuple[Point, Length], Outlet] = {}
    for zone in zones:
        if zone.switch:
            boxes.setdefault((zone.switch.at, zone.switch.height), zone.switch)
    return tuple(boxes.values())


def _runs_to_walls(
    room: RoomWiring, ceiling: Length, switches: tuple[Outlet, ...], cables: Cables, allowances: Allowances
) -> list[Run]:
    runs = _switch_feeds(switches, ceiling, cables, allowances)
    if switches and room.panel:
        runs.append(_homerun(switches[0], room.panel, ceiling, cables, allowances))
    if room.rack:
        runs += [_speaker_run(speaker, room.rack, ceiling, cables, allowances) for speaker in room.speakers]
    return runs


def _order(zone: Zone, rows_run: Axis) -> tuple[Drop, ...]:
    return chain(zone.lights, rows_run, zone.switch.at if zone.switch else None)


def _switch_feeds(switches: tuple[Outlet, ...], ceiling: Length, cables: Cables, allowances: Allowances) -> list[Run]:
    return [
        Run(
            RunKind.SWITCH_FEED,
            cables.power,
            here.id,
            there.id,
            (
                (Part.SWITCH_DROP, abs(ceiling - here.height) + abs(ceiling - there.height)),
                (Part.PATH, path(here.at, there.at)),
                (Part.SWITCH_MAKE_UP, 2 * allowances.switch_make_up),
            ),
        )
        for here, there in pairwise(switches)
    ]


def _homerun(switch: Outlet, panel: Outlet, ceiling: Length, cables: Cables, allowances: Allowances) -> Run:
    return Run(
        RunKind.HOMERUN,
        cables.power,
        switch.id,
        panel.id,
        (
            (Part.SWITCH_DROP, abs(ceiling - switch.height)),
            (Part.PATH, path(switch.at, panel.at)),
            (Part.PANEL_DROP, abs(ceiling - panel.height)),
            *_beyond(panel),
            (Part.PANEL_MAKE_UP, allowances.panel_make_up),
            (Part.FEED_MAKE_UP, allowances.feed_make_up),
        ),
    )


def _speaker_run(speaker: Drop, rack: Outlet, ceiling: Length, cables: Cables, allowances: Allowances) -> Run:
    parts = (
        (Part.PATH, path(speaker.at, rack.at)),
        (Part.RACK_DROP, abs(ceiling - rack.height)),
        *_beyond(rack),
        (Part.SPEAKER_LOOP, allowances.speaker_loop),
        (Part.RACK_LOOP, allowances.rack_loop),
    )
    total = sum((length for _, length in parts), start=ZERO)
    cable = cables.speaker if total <= cables.speaker_up_to else cables.speaker_long
    return Run(RunKind.SPEAKER, cable, speaker.id, rack.id, parts)


def _beyond(outlet: Outlet) -> tuple[tuple[Part, Distance], ...]:
    return ((Part.BEYOND, outlet.beyond),) if outlet.beyond else ()


def _missing(room: RoomWiring, zones: list[Zone]) -> tuple[Missing, ...]:
    found = []
    if unswitched := tuple(zone.letter for zone in zones if not zone.switch):
        found.append(Missing(Lacks.SWITCH, unswitched))
    if zones and not room.panel:
        found.append(Missing(Lacks.PANEL, tuple(zone.letter for zone in zones)))
    if room.speakers and not room.rack:
        found.append(Missing(Lacks.RACK, tuple(speaker.id for speaker in room.speakers)))
    if room.ceiling is None and (zones or room.speakers):
        found.append(Missing(Lacks.HEIGHT, ()))
    return tuple(found)
