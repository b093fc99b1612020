"""From a revision and its room's records to what the room's cable goes to. No routing, no counting, no queries.

Plan coordinates: from the left and the door framing, where wire points are pulled from; from the finish where the
framing is not known.
"""

from dataclasses import replace

from layout.engine.lengths import ZERO, Distance, nanometers
from layout.engine.marks import Axis, Datum, Kind, Side
from layout.engine.room import RoomLayout
from layout.engine.wiring.chain import Drop, Point
from layout.engine.wiring.values import (
    Area,
    Circuit,
    Framing,
    HandSet,
    InTheWay,
    Outlet,
    RoomWiring,
    RunKind,
    SpeakerLine,
    SpeakerWiring,
    Through,
    Wired,
    Zone,
)
from projects.catalogue.models import Through as OnLabel
from projects.jobs.circuits import Control, SpeakerRun
from projects.jobs.models import WirePoint

HEAVY_AWG, HEAVY_AMPS = 12, 20  # 20 A circuits are wired in 12 AWG: NEC 240.4(D), from memory; local code decides
HEAVY_POWER, HEAVY_THREE_WAY = "12/2", "12/3"
WIRED = {
    SpeakerRun.HOME_RUN: SpeakerWiring.HOME_RUN,
    SpeakerRun.CHAINED_LINE: SpeakerWiring.LINE,
    SpeakerRun.THROUGH_CONTROL: SpeakerWiring.CONTROL,
}
SPEAKERS = (Kind.SPEAKER, Kind.SUBWOOFER)
What = WirePoint.What


def room_wiring(room, revision, layout: RoomLayout, drops: dict[str, Drop] | None = None) -> RoomWiring:
    """layout: the revision's own, thawed. room: with its wire points, switch zones, speaker wiring and runs by hand.

    drops: drops_of the revision's marks, where known already.
    """
    marks = list(revision.marks.all())
    drops = drops_of(marks, layout) if drops is None else drops
    points = {(point.what, point.zone): point for point in room.wire_points.all()}
    records = {zone.letter: zone for zone in room.switch_zones.all()}
    speakers = tuple(drops[mark.ident] for mark in marks if Kind(mark.kind) in SPEAKERS)
    line = _speaker_line(room, speakers, _outlet(points, What.CONTROL))
    wiring = RoomWiring(
        ceiling=revision.finished_height,
        rows_run=layout.inputs.orientation.rows_run,
        zones=tuple(
            _zone(letter, [mark for mark in marks if _lit(mark, letter)], drops, points, records.get(letter))
            for letter in dict.fromkeys(mark.zone for mark in marks if Kind(mark.kind) is Kind.LIGHT)
        ),
        speakers=() if line else speakers,
        panel=_outlet(points, What.PANEL),
        rack=_outlet(points, What.RACK),
        circuits=_circuits(room, records.values()),
        speaker_lines=(line,) if line else (),
        framing=_framing(layout),
        in_the_way=_in_the_way(layout),
        extent=_extent(layout),
    )
    by_hand = room.hand_runs.all()
    return replace(wiring, by_hand=tuple(hand_set(each, ends_of(wiring, drops)) for each in by_hand))


def drops_of(marks, layout: RoomLayout) -> dict[str, Drop]:
    """Every mark as something a cable reaches, by its ID."""
    turn, wide, deep = layout.inputs.orientation, layout.wide.datums.ceiling, layout.deep.datums.ceiling
    left, door = _low(layout, Axis.LEFT_RIGHT), _low(layout, Axis.DOOR_FAR)
    found = {}
    for mark in marks:
        x, y = turn.plan_xy(mark.along, mark.across, wide, deep)
        found[mark.ident] = Drop(mark.ident, Point((x + left).exact(), (y + door).exact()), mark.row)
    return found


def ends_of(wiring: RoomWiring, drops) -> dict[str, Point]:
    """Where every box, light and speaker stands, by its ID."""
    outlets = [wiring.panel, wiring.rack, *(line.control for line in wiring.speaker_lines)]
    outlets += [each for zone in wiring.zones for each in (zone.switch, zone.partner)]
    return {ident: drop.at for ident, drop in drops.items()} | {each.id: each.at for each in outlets if each}


def hand_set(record, ends) -> HandSet:
    """As a person set it. Its way is kept as bends, so that it still ends at boxes that were moved since."""
    bends = way_points(record.way)
    first, last = (ends.get(end) or ends.get(end.split("-")[0]) for end in (record.low_id, record.high_id))
    way = (first, *bends, last) if bends and first and last else ()
    return HandSet(RunKind(record.kind), record.low_id, record.high_id, record.length, way, record.circuit)


def way_points(text: str) -> tuple[Point, ...]:
    """As HandRun keeps the bends of a way: 'x,y' in nanometers, a point a line."""
    pairs = (line.split(",") for line in text.splitlines() if line)
    return tuple(Point(nanometers(int(x)), nanometers(int(y))) for x, y in pairs)


def _lit(mark, letter):
    return Kind(mark.kind) is Kind.LIGHT and mark.zone == letter


def _zone(letter, marks, drops, points, record):
    """A zone's own switch, else the room's. Two zones of one switch place share a box."""
    both_ends = record is not None and Control(record.control).from_two_places
    return Zone(
        letter,
        tuple(drops[mark.ident] for mark in marks),
        _outlet(points, What.SWITCH, letter) or _outlet(points, What.SWITCH),
        partner=(_outlet(points, What.THREE_WAY, letter) or _outlet(points, What.THREE_WAY)) if both_ends else None,
        circuit=record.circuit.number if record is not None and record.circuit else "",
        wired=Wired(record.hung) if record is not None else Wired.CHAIN,
        labels=tuple((mark.ident, label) for mark in marks if (label := _label(mark.fixture_type)) is not None),
    )


def _label(fixture_type):
    """What the fixture's own box may take. None: nobody has read its label."""
    if fixture_type.through_wiring == OnLabel.NO:
        return Through(cables=1)
    if fixture_type.through_wiring == OnLabel.YES and fixture_type.through_conductors:
        return Through(conductors=fixture_type.through_conductors)
    return None


def _circuits(room, zones):
    """Each circuit once, with its own cables where they are heavier than the room's, and the room that feeds it."""
    records = {zone.circuit_id: zone.circuit for zone in zones if zone.circuit}
    return tuple(
        Circuit(
            record.number,
            *((HEAVY_POWER, HEAVY_THREE_WAY) if _heavy(record) else ("", "")),
            fed_from=before.name if (before := record.fed_from(room)) else "",
        )
        for record in records.values()
    )


def _heavy(record):
    return record.awg == HEAVY_AWG if record.awg else record.breaker_amps >= HEAVY_AMPS


def _speaker_line(room, speakers, control):
    kept = getattr(room, "speaker_wiring", None)
    if kept is None or not speakers or kept.kind == SpeakerRun.HOME_RUN:
        return None
    return SpeakerLine("L1", WIRED[SpeakerRun(kept.kind)], speakers, control)


def _outlet(points, what, zone=""):
    point = points.get((what.value, zone))
    if point is None:
        return None
    name = f"{what.value} {zone}" if zone else what.value
    at = Point(point.from_left, point.from_door)
    return Outlet(name.replace("_", "-"), at, point.height, point.beyond, point.story)


# What stands in the way, turned to the plan


def _framing(layout):
    """Members that a cable across them is bored through, each run of joists with what stands out of its pattern."""
    found = []
    for joists in layout.inputs.overhead.joists:
        axis = joists.runs.other
        first = _place(layout, axis, joists.first, joists.first_from, joists.datum)
        others = tuple(
            _place(layout, axis, member.at, member.at_from, member.datum)
            for member in layout.inputs.overhead.members
            if member.runs is joists.runs
        )
        # Members out of the pattern stand once, with the first run of joists their way.
        known = any(framing.runs is joists.runs for framing in found)
        found.append(Framing(joists.runs, joists.spacing, first, joists.width, () if known else others))
    return tuple(found)


def _in_the_way(layout):
    """What stands above the drywall and leaves nothing to pull a cable through under it."""
    return tuple(
        InTheWay(thing.name, _area(layout, thing))
        for thing in layout.inputs.overhead.things
        if thing.above and not thing.leaves and thing.wide and thing.deep
    )


def _area(layout, thing):
    x = _place(layout, Axis.LEFT_RIGHT, thing.x, Side.LEFT, thing.datum)
    y = _place(layout, Axis.DOOR_FAR, thing.y, Side.DOOR, thing.datum)
    return Area(x - thing.wide / 2, y - thing.deep / 2, x + thing.wide / 2, y + thing.deep / 2)


def _extent(layout):
    wide, deep = (
        _low(layout, axis) + _on(layout, axis).datums.ceiling + _off(layout, axis, axis.sides[1]) for axis in Axis
    )
    return Area(ZERO, ZERO, wide, deep)


def _place(layout, axis, at: Distance, side: Side, datum: Datum) -> Distance:
    """A distance from a wall's face, on the plan."""
    datums, low = _on(layout, axis).datums, axis.sides[0]
    behind = {Datum.EDGE: lambda *_: ZERO, Datum.FINISHED: _gap, Datum.FRAMING: _off}[datum](layout, axis, side)
    from_edge = at - behind if side is low else datums.ceiling - (at - behind)
    return _low(layout, axis) + from_edge


def _low(layout, axis):
    return _off(layout, axis, axis.sides[0])


def _on(layout, axis):
    return layout.wide if axis is Axis.LEFT_RIGHT else layout.deep


def _starts(layout, axis, side):
    return layout.inputs.orientation.zero_side(axis) is side


def _gap(layout, axis, side):
    datums = _on(layout, axis).datums
    return datums.start_gap if _starts(layout, axis, side) else datums.end_gap


def _off(layout, axis, side):
    """From the framing in to the ceiling's edge; from the finish where the framing is not known."""
    datums = _on(layout, axis).datums
    offset = datums.start_offset if _starts(layout, axis, side) else datums.end_offset
    return _gap(layout, axis, side) if offset is None else offset or ZERO
