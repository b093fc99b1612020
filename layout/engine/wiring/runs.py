"""The cable runs of one room, each opening to its parts. Knows plan points and heights; not prices, waste or Django.

           panel (height)                       ceiling, finished height above the floor
              |  drop            path |dx|+|dy|
              +--------------------------------+  rise
                     homerun                   |
                                             switch -- leg -- A1 -- hop -- A2 -- hop -- A3

What is not placed is not guessed: the run is left out and listed in `missing`, unless a person set its length.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from layout.engine.wiring import speaker_routes
from layout.engine.wiring.chain import Point, natural
from layout.engine.wiring.feeds import chosen, feed_drafts, on_one_homerun
from layout.engine.wiring.paths import Ground
from layout.engine.wiring.pull import NO_WAY, Draft, Pull
from layout.engine.wiring.values import (
    Allowances,
    Area,
    Cables,
    Circuit,
    Framing,
    HandSet,
    InTheWay,
    Lacks,
    Missing,
    Note,
    OnOneHomerun,
    Ordered,
    Outlet,
    Part,
    RoomWiring,
    Run,
    RunKey,
    RunKind,
    SeparateBox,
    SpeakerLine,
    SpeakerWiring,
    Through,
    Wired,
    Wiring,
    Zone,
    run_key,
)
from layout.engine.wiring.zone_routes import zone_drafts

__all__ = [
    "Allowances",
    "Area",
    "Cables",
    "Circuit",
    "Framing",
    "HandSet",
    "InTheWay",
    "Lacks",
    "Missing",
    "Note",
    "OnOneHomerun",
    "Ordered",
    "Outlet",
    "Part",
    "RoomWiring",
    "Run",
    "RunKey",
    "RunKind",
    "SeparateBox",
    "SpeakerLine",
    "SpeakerWiring",
    "Through",
    "Wired",
    "Wiring",
    "Zone",
    "room_runs",
    "run_key",
]


def room_runs(room: RoomWiring, cables: Cables, allowances: Allowances) -> Wiring:
    """Every run of a room and what keeps others from being counted.

    Lights of a zone hang together from its switch in the shortest order, or as a person set it; the switch boxes of a
    circuit are fed one from the next, and one homerun goes from the first of them to the panel; speakers are wired
    each in their own kind. A length set by hand stands in place of the computed one, which stays beside it.
    Source: common practice, no source; make-up is never less than 6 in of free conductor (NEC 300.14, from memory).
    """
    ground = Ground(room.framing, room.in_the_way, room.extent, _points(room))
    pull = Pull(ground, room.ceiling, room.rows_run, cables, allowances)
    zones = sorted((zone for zone in room.zones if zone.lights), key=lambda zone: natural(zone.letter))
    drafts: list[Draft] = []
    feeds: list[Draft] = []
    boxes: list[SeparateBox] = []
    ordered: list[Ordered] = []
    homeruns: list[OnOneHomerun] = []
    for circuit in _circuits(room, zones, cables):
        on_it = [zone for zone in zones if zone.circuit == circuit.name]
        home = None if circuit.fed_from else circuit.home or room.panel
        hangs, fed = chosen(on_it, home, circuit.name, pull)
        for zone, hang in zip(on_it, hangs, strict=True):
            made, beside = zone_drafts(zone, hang, pull, circuit.power, circuit.three_way)
            drafts += made
            boxes += beside
            ordered.append(hang.ordered)
        feeds += feed_drafts(on_it, fed, home, circuit, pull)
        if len(fed.boxes) > 1 and fed.ordered.length.nm < NO_WAY:
            ordered.append(fed.ordered)
        homeruns.append(on_one_homerun(on_it, fed, circuit))
    speakers, lines = _speakers(room, pull)
    placed, unmatched = _by_hand([*drafts, *feeds, *speakers], room.by_hand, pull)
    placed = speaker_routes.gauged(placed, room.speaker_lines, pull)
    return Wiring(
        runs=tuple(draft.run for draft in placed if _counts(draft)),
        missing=_missing(draft for draft in placed if not _counts(draft)),
        boxes=tuple(boxes),
        ordered=(*ordered, *lines),
        homeruns=tuple(homeruns),
        unmatched=unmatched,
        waiting=tuple(draft.run for draft in placed if not _counts(draft)),
    )


def _circuits(room: RoomWiring, zones: Sequence[Zone], cables: Cables) -> list[Circuit]:
    """Those that have lights, by name, with their cables."""
    known = {circuit.name: circuit for circuit in room.circuits}
    found = [known.get(name, Circuit(name)) for name in sorted({zone.circuit for zone in zones}, key=natural)]
    return [
        replace(each, power=each.power or cables.power, three_way=each.three_way or cables.three_way) for each in found
    ]


def _speakers(room: RoomWiring, pull: Pull) -> tuple[list[Draft], list[Ordered]]:
    drafts, ordered = speaker_routes.own_runs(room.speakers, room.rack, pull), []
    for line in room.speaker_lines:
        if line.speakers:
            made, told = speaker_routes.line_drafts(line, room.rack, pull)
            drafts += made
            ordered += told
    return drafts, ordered


def _by_hand(
    drafts: Sequence[Draft], by_hand: Sequence[HandSet], pull: Pull
) -> tuple[list[Draft], tuple[HandSet, ...]]:
    """Each run with what a person set for it, and what was set for runs there are not."""
    left = {each.key: each for each in by_hand}
    found = []
    for draft in drafts:
        given = left.pop(draft.run.key, None)
        if given is None and any(lack is Lacks.WAY for lack, _ in draft.lacks):  # from wherever a person says
            given = next((each for each in left.values() if draft.run.to_id in (each.from_id, each.to_id)), None)
            if given:
                del left[given.key]
                run = replace(draft.run, kind=given.kind, from_id=given.from_id, to_id=given.to_id)
                draft = replace(draft, run=run)
        found.append(_set(draft, given, pull) if given else draft)
    return found, tuple(each for each in by_hand if each.key in left)


def _set(draft: Draft, given: HandSet, pull: Pull) -> Draft:
    run, length = draft.run, given.length
    if given.way:
        way = pull.ground.along(given.way)
        on_plan = [each for part, each in run.parts if part in (Part.PATH, Part.DETOUR)]
        if length is None and run.parts:
            length = run.computed - sum(on_plan[1:], start=on_plan[0]) + way.length
        run = replace(run, bends=way.points, bored=way.bored, around=way.around)
    return replace(draft, run=replace(run, by_hand=length))


def _counts(draft: Draft) -> bool:
    return not draft.lacks or draft.run.by_hand is not None


def _missing(drafts: Iterable[Draft]) -> tuple[Missing, ...]:
    """What to enter, each once, with all that waits for it."""
    waits: dict[Lacks, dict[str, None]] = {}
    for draft in drafts:
        for lack, names in draft.lacks:
            waits.setdefault(lack, {}).update(dict.fromkeys(names))
    order = (Lacks.SWITCH, Lacks.PANEL, Lacks.RACK, Lacks.CONTROL, Lacks.HEIGHT, Lacks.FEED, Lacks.WAY)
    return tuple(Missing(lack, tuple(waits[lack])) for lack in order if lack in waits)


def _points(room: RoomWiring) -> list[Point]:
    """Everything cable goes to."""
    outlets = [room.panel, room.rack, *(circuit.home for circuit in room.circuits)]
    outlets += [each for zone in room.zones for each in (zone.switch, zone.partner)]
    outlets += [line.control for line in room.speaker_lines]
    drops = [*room.speakers, *(light for zone in room.zones for light in zone.lights)]
    drops += [speaker for line in room.speaker_lines for speaker in line.speakers]
    return [outlet.at for outlet in outlets if outlet] + [drop.at for drop in drops]
