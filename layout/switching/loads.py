"""From records to what hangs on a room's switches, boxes and circuits, and to what there is to say of it.

The room itself counts as it is laid out now; other rooms on its circuits as last issued. Sums and rules are the
engine's; the words stand in loads_words.
"""

import re
from collections import Counter
from dataclasses import dataclass

from django.db.models import Count, F, Max

from layout.engine.wiring import zone_loads
from layout.engine.wiring.boxes import LATEST_EDITION
from layout.engine.wiring.dimmers import DimmerProduct, Load
from layout.engine.wiring.zone_loads import InBox, LightLoad, OnCircuit, OnDimmer, Sum, SwitchBox, load_of
from layout.models import LayoutRevision, RevisionMark
from projects.catalogue.electrical import electrical
from projects.catalogue.models import FixtureType, SideSections
from projects.jobs.circuits import Control
from projects.jobs.models import SwitchZone

OWN_BOX = ""  # the box of zones whose switch is the room's


@dataclass(frozen=True, slots=True)
class ZoneLoad:
    """One letter: its record (None where none is kept), its lights' load, and how its dimmer takes it."""

    letter: str
    record: SwitchZone | None
    load: Sum
    dimmer: OnDimmer | None = None


@dataclass(frozen=True, slots=True)
class CircuitLoad:
    """A circuit: what is on it, room by room, against what may run on it for hours.

    rooms: (room's name, zone, load). waiting: rooms on it of which nothing was issued, whose lights aren't counted.
    home: the name of the room its homerun comes to. others: how many more rooms are on it, fed from there.
    """

    circuit: object
    on: OnCircuit
    awg: int | None
    rooms: tuple[tuple[str, str, Sum], ...]
    waiting: tuple[str, ...] = ()
    home: str = ""
    others: int = 0


@dataclass(frozen=True, slots=True)
class RoomLoads:
    zones: tuple[ZoneLoad, ...]
    boxes: tuple[SwitchBox, ...]
    circuits: tuple[CircuitLoad, ...]
    total: Sum
    loose: tuple[str, ...]  # letters on no circuit
    edition: int = LATEST_EDITION


def edition_of(job) -> int:
    """The year in the job's code edition, else the table's latest."""
    found = re.search(r"\b(?:19|20)\d\d\b", job.code_edition)
    return int(found[0]) if found else LATEST_EDITION


def lights_by_zone(marks) -> dict[str, int]:
    return dict(sorted(Counter(mark.zone for mark in marks if mark.kind == "light").items()))


def light_load(fixture_type, count) -> LightLoad:
    watts, va = fixture_type.watts, fixture_type.rated_va
    return LightLoad(count, None if watts is None else float(watts), None if va is None else float(va))


def room_loads(room, counts, light_type) -> RoomLoads:
    """counts: lights by letter, as laid out now; all of them are light_type."""
    records = {zone.letter: zone for zone in room.switch_zones.all()}
    loads = {letter: load_of([light_load(light_type, count)]) for letter, count in counts.items()}
    boxes = _boxes(room, records, counts)
    on_dimmers = {}
    for _name, devices in boxes:
        for at, one in enumerate(devices):
            record = records.get(one.letter)
            if record is not None and Control(record.control).dims and one.leg:
                on_dimmers[one.letter] = zone_loads.on_dimmer(devices, at, loads[one.letter])
    zones = tuple(ZoneLoad(letter, records.get(letter), loads[letter], on_dimmers.get(letter)) for letter in counts)
    chosen = {zone.record.circuit_id: zone.record.circuit for zone in zones if zone.record and zone.record.circuit_id}
    here = {(room.pk, zone.letter): (room.name, zone.load) for zone in zones}
    total = sum((zone.load for zone in zones), start=Sum())
    return RoomLoads(
        zones,
        tuple(_filled(boxes, edition_of(room.job))),
        tuple(circuit_loads(list(chosen.values()), here=here)),
        total,
        tuple(zone.letter for zone in zones if zone.record is None or zone.record.circuit_id is None),
        edition_of(room.job),
    )


# Boxes


def _boxes(room, records, counts):
    """(name, devices in order) of each switch box, those of 3-way partners after the others."""
    places = {(point.what, point.zone): point for point in room.wire_points.all()}
    boxes: dict[str, list[InBox]] = {}
    partners: list[tuple[str, InBox]] = []
    for letter in counts:
        record = records.get(letter)
        boxes.setdefault(_box_name(letter, record, places), []).append(_device(letter, record))
        if record is not None and Control(record.control).from_two_places:
            partners.append((letter, _device(letter, record, partner=True)))
    found = [(name, zone_loads.in_order(devices)) for name, devices in boxes.items()]
    shared: dict[tuple, list[InBox]] = {}
    for letter, device in partners:  # partners at one place share a box
        shared.setdefault(_where(places.get(("three_way", letter)) or places.get(("three_way", ""))), []).append(device)
    return [*found, *((f"3-way {devices[0].letter}", zone_loads.in_order(devices)) for devices in shared.values())]


def _box_name(letter, record, places):
    """A box by its name; without one by where its switch stands, the room's own where that isn't said."""
    if record is not None and record.box:
        return record.box
    point = places.get(("switch", letter))
    if point is None:
        return OWN_BOX
    same = [zone for (what, zone), one in places.items() if what == "switch" and _where(one) == _where(point)]
    return OWN_BOX if "" in same else f"switch {min(same)}"


def _where(point):
    return (point.from_left, point.from_door, point.height) if point else ()


def _device(letter, record, *, partner=False) -> InBox:
    if record is None:
        return InBox(letter, zone_loads.Control.SWITCH, _awg(None))
    control, product = Control(record.control), record.control_type
    dims = control.dims and not partner
    return InBox(
        letter,
        zone_loads.Control.DIMMER if dims else zone_loads.Control.SWITCH,
        _awg(record.circuit),
        circuit=record.circuit.number if record.circuit_id else "",
        place=None if partner else record.place,
        gangs=product.gangs if product and not partner else 1,
        product=_product(product) if product and dims else None,
        sections_come_off={SideSections.YES: True, SideSections.NO: False}.get(product.side_sections)
        if product
        else None,
        three_way=control.from_two_places,
        leg=not partner,
    )


def _awg(circuit) -> int:
    """Of the circuit's copper: as entered, else its breaker's usual; 14 where no circuit is known."""
    if circuit is not None and circuit.awg:
        return circuit.awg
    amps = circuit.breaker_amps if circuit is not None else 15
    usual = sorted(electrical().breakers, key=lambda one: one.amps)
    return next((one.copper_awg for one in usual if one.amps >= amps), usual[-1].copper_awg)


def _product(record) -> DimmerProduct:
    watts = tuple(
        None if one is None else float(one)
        for one in (record.led_watts, record.led_watts_one_off, record.led_watts_both_off)
    )
    least = {} if record.min_watts is None else {Load.LED: float(record.min_watts)}
    return DimmerProduct(record.key, record.name, {Load.LED: watts}, least, record.source)


def _filled(boxes, edition):
    """feeds go from box to box in order: each circuit's last box feeds none on."""
    last = {one.circuit: at for at, (_name, devices) in enumerate(boxes) for one in devices if one.leg}
    for at, (name, devices) in enumerate(boxes):
        on = {one.circuit for one in devices if one.leg and last[one.circuit] > at}
        yield zone_loads.switch_box(name, devices, electrical().boxes, feeds_on=on, edition=edition)


# Circuits


def circuit_loads(circuits, here=None):
    """Each circuit with what is on it, over all rooms of its job. here: {(room, letter): (name, load)} counted already.

    Three queries, however many there are.
    """
    here = here or {}
    if not circuits:
        return
    zones = list(
        SwitchZone.objects.filter(circuit__in=circuits, room__cancelled=False, room__trashed_at=None)
        .select_related("room")
        .order_by("room__name", "room_id", "letter")
    )
    elsewhere = {zone.room_id for zone in zones} - {room_id for room_id, _letter in here}
    issued, loads = issued_loads(circuits[0].shop_id, elsewhere)
    for circuit in sorted(circuits, key=lambda one: (len(one.number), one.number)):
        rows, waiting = [], []
        on_it = [zone for zone in zones if zone.circuit_id == circuit.pk]
        for zone in on_it:
            if (zone.room_id, zone.letter) in here:
                rows.append((zone.room.name, zone.letter, here[zone.room_id, zone.letter][1]))
            elif zone.room_id in issued:
                rows.append((zone.room.name, zone.letter, loads.get((zone.room_id, zone.letter), Sum())))
            elif zone.room_id in elsewhere and zone.room.name not in waiting:
                waiting.append(zone.room.name)
        total = sum((load for _name, _letter, load in rows), start=Sum())
        on = zone_loads.on_circuit(circuit.breaker_amps, circuit.volts, total)
        others = len({zone.room_id for zone in on_it}) - 1
        home = circuit.home_room(on_it)
        yield CircuitLoad(circuit, on, _awg(circuit), tuple(rows), tuple(waiting), home.name if home else "", others)


def issued_loads(shop, room_ids):
    """The rooms of which something was issued, and by (room, letter) the load of their latest revision's lights."""
    if not room_ids:
        return set(), {}
    latest = (
        LayoutRevision.objects.of(shop)
        .filter(room_id__in=room_ids)
        .annotate(last=Max("room__revisions__number"))
        .filter(number=F("last"))
    )
    of_room = dict(latest.values_list("pk", "room_id"))
    counted = (
        RevisionMark.objects.filter(revision_id__in=of_room, kind="light")
        .values("revision_id", "zone", "fixture_type_id")
        .annotate(lights=Count("pk"))
        .order_by("revision_id", "zone", "fixture_type_id")
    )
    rows = list(counted)
    types = FixtureType.objects.of(shop).in_bulk({row["fixture_type_id"] for row in rows})
    found: dict[tuple[int, str], Sum] = {}
    for row in rows:
        at = of_room[row["revision_id"]], row["zone"]
        load = load_of([light_load(types[row["fixture_type_id"]], row["lights"])])
        found[at] = found.get(at, Sum()) + load
    return set(of_room.values()), found
