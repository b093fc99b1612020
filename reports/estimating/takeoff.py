"""What a room takes, and what a job orders: counted piece by piece, each line with the rule behind it.

Rooms are exact; a job's line is the sum of its rooms' lines, rounded up once. Knows no prices and no Django.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from math import ceil

from layout.engine.lengths import ZERO, Distance, Length, Unit, feet, mm
from layout.engine.marks import Kind
from layout.engine.wiring.chain import Point
from layout.engine.wiring.runs import Missing, Run, RunKind, Wiring
from projects.catalogue.table_values import SpareRule, TakeoffItem, TakeoffRules

Quantity = Fraction | Distance

OPEN_FRAMING = "open"
FISHED = "remodel"
BY_MODEL = "fixtures"  # items of this category are bought by model, so each fixture type has a line of its own
KINDS = {kind.value for kind in Kind}
ADDED_UP = {
    "job": "Rooms are added up exactly and the sum is rounded up once, for the whole job.",
    "room": "Each room is rounded up to whole pieces, feet or meters, and the rooms are added up.",
    "order": "Rooms are added up exactly; it is rounded up when it is ordered.",
}
PRACTICE = "common practice, no source"


class Basis(StrEnum):
    """What a room's quantities rest on: an issued layout, or counts alone because nobody has measured it."""

    LAID_OUT = "laid_out"
    COUNTED = "counted"


class Rounding(StrEnum):
    """When a quantity becomes whole pieces, feet or meters."""

    ROOM = "room"
    JOB = "job"
    ORDER = "order"


@dataclass(frozen=True, slots=True)
class Fixture:
    """One hole and what goes into it. install: new_work, old_work or tbar. asked: optional items its type takes.

    at: where it stands, from the left and the door framing; None in a room that is counted and not laid out.
    """

    id: str
    kind: Kind
    type_key: str
    name: str
    install: str
    zone: str = ""
    asked: frozenset[str] = frozenset()
    at: Point | None = None


@dataclass(frozen=True, slots=True)
class CableByCount:
    """Cable reckoned at so many feet for each device, before anyone has measured. source: whose figure it is."""

    device: str  # light, speaker, subwoofer
    cable: str
    count: int
    each: Length
    source: str


@dataclass(frozen=True, slots=True)
class RoomContents:
    """A room as the takeoff sees it.

    pull: how its cable is installed, a key of the waste rules (open, remodel, many_corners).
    asked: optional items the whole room takes (light_cover, speaker_back_box, putty_pad).
    by_count: its cable, when the room is counted and not laid out; it has no runs then.
    boxes: (zone, the box its switch is recorded in), where somebody said so.
    fed: its zones whose circuit has its homerun, breaker and connector in another room.
    """

    name: str
    fixtures: tuple[Fixture, ...]
    wiring: Wiring
    pull: str = OPEN_FRAMING
    asked: frozenset[str] = frozenset()
    basis: Basis = Basis.LAID_OUT
    by_count: tuple[CableByCount, ...] = ()
    boxes: tuple[tuple[str, str], ...] = ()
    fed: frozenset[str] = frozenset()

    @property
    def zones(self) -> frozenset[str]:
        return frozenset(fixture.zone for fixture in self.fixtures if fixture.kind is Kind.LIGHT)

    @property
    def gangs(self) -> tuple[int, ...]:
        """How many switches share each box: those recorded in one, else those whose legs start at one outlet.

        A zone of which nothing is known stands alone. The second switch of a 3-way pair stands where its run ends.
        """
        legs = {run.zone: run.from_id for run in self.wiring.runs if run.kind is RunKind.SWITCH_LEG}
        recorded = {zone: f"box {box}" for zone, box in self.boxes}
        boxes = Counter(recorded.get(zone) or f"at {legs.get(zone, f'zone {zone}')}" for zone in self.zones)
        for run in self._pairs:
            boxes[f"at {run.from_id if run.to_id == legs.get(run.zone) else run.to_id}"] += 1
        return tuple(sorted(boxes.values()))

    @property
    def switches(self) -> int:
        """One for each zone, and one more for each 3-way pair."""
        return len(self.zones) + len(self._pairs)

    @property
    def _pairs(self) -> tuple[Run, ...]:
        return tuple(run for run in self.wiring.runs if run.kind is RunKind.THREE_WAY)

    @property
    def home_runs(self) -> int:
        """Those that are routed; one where no panel is placed yet and are lights that no other room feeds."""
        routed = sum(run.kind is RunKind.HOMERUN for run in self.wiring.runs)
        return max(routed, int(bool(self.zones - self.fed)))


@dataclass(frozen=True, slots=True)
class Why:
    """One reason for a quantity: the rule, the numbers that went in, and where the rule is from."""

    rule: str
    inputs: tuple[tuple[str, Quantity], ...]
    source: str


@dataclass(frozen=True, slots=True)
class Line:
    """So much of one item. net is before waste; quantity is exact: pieces as a Fraction, cable as a Distance."""

    key: str
    name: str
    category: str
    unit: str
    net: Quantity
    quantity: Quantity
    why: tuple[Why, ...]
    runs: tuple[Run, ...] = ()


@dataclass(frozen=True, slots=True)
class RoomTakeoff:
    room: str
    lines: tuple[Line, ...]
    missing: tuple[Missing, ...]
    basis: Basis = Basis.LAID_OUT


@dataclass(frozen=True, slots=True)
class JobLine:
    """One item over the whole job.

    quantity: the rooms' exact sum. order: whole pieces, feet or meters, with the spares: what is bought, at the least.
    """

    key: str
    name: str
    category: str
    unit: str
    quantity: Quantity
    spares: int
    order: int
    by_room: tuple[tuple[str, Quantity], ...]
    why: tuple[Why, ...]


@dataclass(frozen=True, slots=True)
class JobTakeoff:
    """counted: the rooms that rest on counts alone; every sum that has one of them in it has to say so."""

    lines: tuple[JobLine, ...]
    missing: tuple[tuple[str, Missing], ...]  # with the room's name
    counted: tuple[str, ...] = ()
    rounding: Rounding = Rounding.JOB

    def counted_in(self, line: JobLine) -> tuple[str, ...]:
        """The rooms in a line's sum that nobody has measured."""
        return tuple(room for room, _ in line.by_room if room in self.counted)


def room_takeoff(room: RoomContents, rules: TakeoffRules) -> RoomTakeoff:
    """Every line of a room in the table's order, cable last. Raises KeyError for a cable or a pull the table lacks."""
    pieces = [line for item in rules.items.values() for line in _piece_lines(item, room, rules)]
    return RoomTakeoff(room.name, (*pieces, *_cable_lines(room, rules)), room.wiring.missing, room.basis)


def job_takeoff(
    rooms: Sequence[RoomTakeoff], rules: TakeoffRules, unit: Unit = Unit.INCH, asked: frozenset[str] = frozenset()
) -> JobTakeoff:
    """The rooms' lines added up exactly, then made whole as the shop's rules say (once, unless changed), then spares.

    Args: unit: cable is ordered by the whole foot (inch shops) or meter. asked: optional items of the job (permit).
    """
    found: dict[str, list[tuple[str, Line]]] = {}
    for room in rooms:
        for line in room.lines:
            found.setdefault(line.key, []).append((room.room, line))
    rounding = Rounding(rules.rounding)
    lines = [_job_line(parts, unit, rounding) for parts in found.values()]
    if any(room.lines for room in rooms):
        once = [item for item in rules.items.values() if item.per == "job" and item.quantity]
        lines += [_once(item) for item in once if _wanted(item, asked)]
    for spare in rules.spares:
        lines = _with_spares(lines, spare)
    places = {key: place for place, key in enumerate((*rules.items, "cable"))}
    lines.sort(key=lambda line: (places[item_of(line.key)], line.key))
    return JobTakeoff(
        tuple(lines),
        tuple((room.room, missing) for room in rooms for missing in room.missing),
        tuple(room.room for room in rooms if room.basis is Basis.COUNTED),
        rounding,
    )


def item_of(key: str) -> str:
    """The table's item behind a line's key: housing for housing:light_6_new, cable for cable:14/2."""
    return key.split(":")[0]


def staples(run: Run, item: TakeoffItem, rules: TakeoffRules) -> Fraction:
    """How often a run is held: near both boxes and once each whole step between, never less than the item says."""
    return _staples(run.length, item, rules)


def _staples(length: Distance, item: TakeoffItem, rules: TakeoffRules) -> Fraction:
    return max(item.quantity, Fraction(2 + length.nm // rules.wire["staple_step"].length.nm))


def _piece_lines(item: TakeoffItem, room: RoomContents, rules: TakeoffRules) -> list[Line]:
    """An item of which nothing is taken is how a shop leaves it out."""
    if not item.quantity:
        return []
    if item.per in KINDS:
        return _fixture_lines(item, room)
    if not _wanted(item, room.asked):
        return []
    if item.per == "hop":
        return _staple_lines(item, room, rules)
    if item.per == "gang_box":
        return _gang_lines(item, room)
    count = {
        "zone": room.switches,
        "home_run": room.home_runs,
        "separate_box": room.wiring.boxes_counted,
        "room": int(bool(room.fixtures)),
    }
    return _counted(item, item.key, item.name, count.get(item.per, 0))


def _gang_lines(item: TakeoffItem, room: RoomContents) -> list[Line]:
    """One line for each size of box; a single gang goes by the item's own key."""
    boxes = Counter(room.gangs)
    return [
        line
        for gangs in sorted(boxes)
        for line in _counted(
            item,
            item.key if gangs == 1 else f"{item.key}:{gangs}_gang",
            item.name if gangs == 1 else f"{item.name}, {gangs}-gang",
            boxes[gangs],
        )
    ]


def _fixture_lines(item: TakeoffItem, room: RoomContents) -> list[Line]:
    takes = [fixture for fixture in room.fixtures if _takes(item, fixture, room.asked)]
    if item.category != BY_MODEL:
        return _counted(item, item.key, item.name, len(takes))
    models = {fixture.type_key: fixture.name for fixture in takes}
    return [
        line
        for key in sorted(models)
        for line in _counted(
            item, f"{item.key}:{key}", f"{models[key]}: {item.name}", sum(each.type_key == key for each in takes)
        )
    ]


def _takes(item: TakeoffItem, fixture: Fixture, asked: frozenset[str]) -> bool:
    return (
        fixture.kind == item.per
        and (not item.kinds or fixture.kind in item.kinds)
        and (not item.installs or fixture.install in item.installs)
        and _wanted(item, asked | fixture.asked)
    )


def _wanted(item: TakeoffItem, asked: frozenset[str]) -> bool:
    return not item.optional or item.key in asked


def _staple_lines(item: TakeoffItem, room: RoomContents, rules: TakeoffRules) -> list[Line]:
    """Fished cable is not stapled. Cable that is counted by devices is held as one run to each."""
    lengths = [(run.length, 1) for run in room.wiring.runs] + [(each.each, each.count) for each in room.by_count]
    runs = sum(count for _, count in lengths)
    if room.pull == FISHED or not runs:
        return []
    total = sum((count * _staples(length, item, rules) for length, count in lengths), start=Fraction(0))
    inputs = (("runs", Fraction(runs)), ("staple_step", rules.wire["staple_step"].length))
    return [Line(item.key, item.name, item.category, item.unit, total, total, (Why(item.note, inputs, item.source),))]


def _counted(item: TakeoffItem, key: str, name: str, count: int) -> list[Line]:
    if not count:
        return []
    quantity = count * item.quantity
    why = Why(item.note, ((item.per, Fraction(count)), ("each", item.quantity)), item.source)
    return [Line(key, name, item.category, item.unit, quantity, quantity, (why,))]


def _cable_lines(room: RoomContents, rules: TakeoffRules) -> list[Line]:
    used = {run.cable for run in room.wiring.runs} | {each.cable for each in room.by_count}
    if unknown := used - rules.cables.keys():
        raise KeyError(min(unknown))
    return [_cable_line(key, room, rules) for key in rules.cables if key in used]


def _cable_line(key: str, room: RoomContents, rules: TakeoffRules) -> Line:
    """Waste once, on the sum of what is pulled of one kind."""
    cable = rules.cables[key]
    waste = rules.waste[cable.waste if room.pull == OPEN_FRAMING else room.pull]
    runs = tuple(run for run in room.wiring.runs if run.cable == key)
    by_count = tuple(each for each in room.by_count if each.cable == key)
    net = sum((run.length for run in runs), start=ZERO) + sum((each.count * each.each for each in by_count), start=ZERO)
    why = [Why(cable.use, (("runs", Fraction(len(runs))), ("net", net)), cable.source)] if runs else []
    why += [Why("", ((each.device, Fraction(each.count)), ("each", each.each)), each.source) for each in by_count]
    why.append(Why(waste.name, (("net", net), ("waste_percent", waste.percent)), waste.source))
    return Line(f"cable:{key}", cable.name, "cable", "length", net, net * (1 + waste.percent / 100), tuple(why), runs)


def _job_line(parts: list[tuple[str, Line]], unit: Unit, rounding: Rounding) -> JobLine:
    first = parts[0][1]
    quantity = _total(line.quantity for _, line in parts)
    why = Why(ADDED_UP[rounding], (("rooms", Fraction(len(parts))), ("sum", quantity)), PRACTICE)
    by_room = tuple((room, line.quantity) for room, line in parts)
    each_room = rounding is Rounding.ROOM
    order = sum(_rounded_up(room, unit) for _, room in by_room) if each_room else _rounded_up(quantity, unit)
    return JobLine(first.key, first.name, first.category, first.unit, quantity, 0, order, by_room, (why,))


def _once(item: TakeoffItem) -> JobLine:
    why = Why(item.note, (("job", Fraction(1)), ("each", item.quantity)), item.source)
    count = item.quantity
    return JobLine(item.key, item.name, item.category, item.unit, count, 0, ceil(count), (), (why,))


def _with_spares(lines: list[JobLine], spare: SpareRule) -> list[JobLine]:
    """Spares go on each model or color; one rule counts over the job, and its spares go on the commonest model."""
    mine = [line for line in lines if item_of(line.key) in spare.items]
    if spare.per == "job" and mine:
        commonest = max(mine, key=lambda line: (line.order, line.key))
        extra = {commonest.key: _spares(sum(line.order for line in mine), spare)}
    else:
        extra = {line.key: _spares(line.order, spare) for line in mine}
    return [_spared(line, extra[line.key], spare) if extra.get(line.key) else line for line in lines]


def _spares(pieces: int, spare: SpareRule) -> int:
    return max(spare.minimum, ceil(pieces * spare.percent / 100)) if pieces > spare.above else 0


def _spared(line: JobLine, spares: int, spare: SpareRule) -> JobLine:
    above = (("above", Fraction(spare.above)),) if spare.above else ()
    inputs = (("spare_percent", spare.percent), ("at_least", Fraction(spare.minimum)), *above)
    why = Why("", (*inputs, ("spares", Fraction(spares))), spare.source)
    return replace(line, spares=line.spares + spares, order=line.order + spares, why=(*line.why, why))


def _total(quantities: Iterable[Quantity]) -> Quantity:
    first, *others = quantities
    for other in others:
        first = first + other  # type: ignore[operator]  # one item is either all pieces or all cable
    return first


def _rounded_up(quantity: Quantity, unit: Unit) -> int:
    if isinstance(quantity, Distance):
        return ceil(quantity.nm / (feet(1) if unit is Unit.INCH else mm(1000)).nm)
    return ceil(quantity)
