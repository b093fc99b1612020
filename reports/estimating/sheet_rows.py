"""A takeoff as rows of a spreadsheet: the same columns in the same order, whatever is written with them.

Room rows add up to the job: their costs are each room's part of the line. Item rows say what is bought. Numbers are
raw. Knows no file format, no records. Whoever may not see prices gets rows without those columns, not empty ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from layout.engine.lengths import Distance, Unit, feet, mm
from reports.estimating.counted import CountedRoom
from reports.estimating.frozen_takeoff import FrozenTakeoff
from reports.estimating.money import spread
from reports.estimating.priced import Bought, Hours, Priced, PricedLine, PricedRoomLine
from reports.estimating.takeoff import Basis, JobLine, Line, Quantity, Why

Cell = str | int | Fraction | Decimal | None
Row = Mapping[str, Cell]


@dataclass(frozen=True, slots=True)
class Column:
    """kind: text, number or money. office: only for people who may see prices: money, and the hours behind it."""

    name: str
    kind: str = "text"
    office: bool = False


COLUMNS = (
    Column("job_no"), Column("job_name"), Column("bid_rev"), Column("room_id", "number"), Column("room_name"),
    Column("stage", "number"), Column("category"), Column("item_code"), Column("description"), Column("spec"),
    Column("unit"), Column("qty_net", "number"), Column("waste_pct", "number"), Column("qty_gross", "number"),
    Column("pack_size", "number"), Column("packs", "number"), Column("qty_order", "number"),
    Column("unit_cost", "money", True), Column("ext_cost", "money", True), Column("taxable", "text", True),
    Column("tax", "money", True), Column("labor_class", "text", True), Column("unit_hours", "number", True),
    Column("factor", "number", True), Column("hours", "number", True), Column("wage", "money", True),
    Column("burden_pct", "number", True), Column("labor_cost", "money", True), Column("ext_total", "money", True),
    Column("zone"), Column("cable_type"), Column("alternate"), Column("co_no"), Column("source"), Column("note"),
)  # fmt: skip
COUNTED = "counted, not laid out"
NO_PRICE = "no price"
ADDED = ("ext_cost", "tax", "labor_cost")  # ext_total is their sum, row by row


def columns(*, office: bool) -> tuple[Column, ...]:
    return tuple(column for column in COLUMNS if office or not column.office)


def room_rows(
    taken: FrozenTakeoff, *, office: bool, stages: Mapping[int, int] | None = None, bid_rev: str = ""
) -> tuple[Row, ...]:
    """Every line of every room, then what the job takes once. stages: a room's stage by its id, where known."""
    priced = taken.priced if office else None
    parts = _parts(priced)
    found: list[Row] = []
    for room in taken.rooms:
        for line in room.takeoff.lines:
            start = _start(taken, bid_rev) | _of_room(room, stages or {}) | _of_line(line, taken.unit)
            found += _with_labor(start, priced, parts.get((room.name, line.key)))
    listed = {(room.name, line.key) for room in taken.rooms for line in room.takeoff.lines}
    for job_line in taken.job.lines:
        if not job_line.by_room:
            start = _start(taken, bid_rev) | _of_job_line(job_line, taken.unit)
            found += _with_labor(start, priced, parts.get(("", job_line.key)))
    for key, part in parts.items():
        if key not in listed and key[0]:  # hours alone: laying out a room
            found += _with_labor(_start(taken, bid_rev) | _labor_alone(priced, key), priced, part)
    return _cut(found, office)


def item_rows(
    taken: FrozenTakeoff,
    *,
    office: bool,
    packs: Mapping[str, Sequence[tuple[Fraction, int]]] | None = None,
    bid_rev: str = "",
) -> tuple[Row, ...]:
    """Every item over the job, with what is ordered. A line bought in packs of two sizes has two rows.

    packs: (size, how many) by item where no price says which; with prices, what was priced stands.
    """
    priced = {line.key: line for line in taken.priced.lines} if office and taken.priced else {}
    found: list[Row] = []
    for line in taken.job.lines:
        counted = taken.job.counted_in(line)
        start = _start(taken, bid_rev) | _of_job_line(line, taken.unit)
        if counted:
            start["note"] = _said(start["note"], f"{COUNTED}: {', '.join(counted)}")
        found += _with_packs(start, priced.get(line.key), (packs or {}).get(line.key, ()), taken.priced)
    for key, bought in priced.items():
        if not bought.order:
            start = _start(taken, bid_rev) | {"item_code": key, "category": bought.category, "description": bought.name}
            found += _with_packs(start, bought, (), taken.priced)
    return _cut(found, office)


def number_in(quantity: Quantity, unit: Unit) -> Fraction:
    """Pieces as they are, cable in feet (meters), exactly."""
    if isinstance(quantity, Distance):
        return quantity.nm / (feet(1) if unit is Unit.INCH else mm(1000)).nm
    return quantity


def _start(taken: FrozenTakeoff, bid_rev: str) -> dict[str, Cell]:
    empty: dict[str, Cell] = dict.fromkeys(column.name for column in COLUMNS)
    return empty | {"job_no": taken.job_number, "job_name": taken.job_name, "bid_rev": bid_rev or None, "note": ""}


def _of_room(room: CountedRoom, stages: Mapping[int, int]) -> dict[str, Cell]:
    note = COUNTED if room.basis is Basis.COUNTED else f"rev {room.revision}"
    return {"room_id": room.room_id, "room_name": room.name, "stage": stages.get(room.room_id), "note": note}


def _of_line(line: Line, unit: Unit) -> dict[str, Cell]:
    waste = [value for why in line.why for name, value in why.inputs if name == "waste_percent"]
    percent = waste[0] if waste and isinstance(waste[0], Fraction) else Fraction(0)
    return _item(line, unit) | {
        "qty_net": number_in(line.net, unit),
        "waste_pct": percent,
        "qty_gross": number_in(line.quantity, unit),
        "source": _sources(line.why),
    }


def _of_job_line(line: JobLine, unit: Unit) -> dict[str, Cell]:
    return _item(line, unit) | {
        "qty_gross": number_in(line.quantity, unit),
        "qty_order": line.order,
        "source": _sources(line.why),
        "note": f"{line.spares} spare" if line.spares else "",
    }


def _item(line: Line | JobLine, unit: Unit) -> dict[str, Cell]:
    item, _, spec = line.key.partition(":")
    length = "ft" if unit is Unit.INCH else "m"
    return {
        "category": line.category,
        "item_code": line.key,
        "description": line.name,
        "spec": None if item == "cable" else spec or None,
        "unit": length if line.unit == "length" else line.unit,
        "cable_type": spec if item == "cable" else None,
    }


def _parts(priced: Priced | None) -> dict[tuple[str, str], tuple[PricedLine, PricedRoomLine]]:
    if priced is None:
        return {}
    return {(room.room, line.key): (line, room) for line in priced.lines for room in line.rooms}


def _labor_alone(priced: Priced | None, key: tuple[str, str]) -> dict[str, Cell]:
    line = next(line for line in priced.lines if line.key == key[1]) if priced else None
    return {
        "room_name": key[0],
        "item_code": key[1],
        "category": line.category if line else None,
        "description": line.name if line else None,
    }


def _with_labor(
    start: dict[str, Cell], priced: Priced | None, part: tuple[PricedLine, PricedRoomLine] | None
) -> Iterator[Row]:
    """One row, or one for each kind of hours: the first carries the quantity and the material."""
    if priced is None or part is None:
        yield start
        return
    line, room = part
    start = start | {"ext_cost": room.cost, "tax": room.tax, "taxable": _yes(line.taxable)}
    start["note"] = _said(start["note"], _price_note(line))
    yield from _hour_rows(start, priced, room.hours, room.labor)


def _hour_rows(start: dict[str, Cell], priced: Priced, told: Sequence[Hours], labor: Decimal) -> Iterator[Row]:
    if not told:
        yield _totaled(start)
        return
    costs = spread(labor, [each.hours for each in told])
    for place, (each, cost) in enumerate(zip(told, costs, strict=True)):
        row = start if place == 0 else _follows(start)
        factor = Decimal(1)
        for one in each.factors:
            factor *= one.times
        yield _totaled(
            row
            | {
                "labor_class": each.unit.phase.value,
                "unit_hours": Fraction(each.unit.hours) / Fraction(each.unit.per),
                "factor": factor,
                "hours": each.hours,
                "wage": priced.rates.wage,
                "burden_pct": priced.rates.burden_pct,
                "labor_cost": cost,
            }
        )


def _with_packs(
    start: dict[str, Cell],
    line: PricedLine | None,
    packs: Sequence[tuple[Fraction, int]],
    priced: Priced | None,
) -> Iterator[Row]:
    if line is None or priced is None:
        sizes: list[dict[str, Cell]] = [{"pack_size": size, "packs": count} for size, count in packs]
        for place, more in enumerate(sizes or [{}]):
            yield (start if place == 0 else _follows(start)) | more
        return
    shared: dict[str, Cell] = {
        "tax": line.tax,
        "taxable": _yes(line.taxable),
        "hours": line.hours,
        "wage": priced.rates.wage,
        "burden_pct": priced.rates.burden_pct,
        "labor_cost": line.labor,
        "note": _said(start["note"], _price_note(line)),
    }
    bought: Sequence[Bought | None] = line.bought or (None,)
    for place, pack in enumerate(bought):
        row = start | shared if place == 0 else _follows(start)
        if pack is not None:
            row = row | {
                "pack_size": pack.size,
                "packs": pack.packs,
                "unit_cost": pack.price,
                "ext_cost": pack.cost,
                "taxable": _yes(line.taxable),
            }
        yield _totaled(row)


def _follows(start: dict[str, Cell]) -> dict[str, Cell]:
    """A further row of the same item: it says whose it is and adds no quantity of its own."""
    kept = ("job_no", "job_name", "bid_rev", "room_id", "room_name", "stage", "category", "item_code", "description",
            "spec", "unit", "cable_type")  # fmt: skip
    return {name: value if name in kept else None for name, value in start.items()}


def _totaled(row: dict[str, Cell]) -> Row:
    parts = [value for name in ADDED if isinstance(value := row[name], Decimal)]
    return row | {"ext_total": sum(parts, start=Decimal("0.00")) if parts else None}


def _price_note(line: PricedLine) -> str:
    if line.plugged_by:
        return f"allowance, {line.plugged_by}"
    return NO_PRICE if line.order and not line.price_source else ""


def _said(*notes: Cell) -> str:
    return "; ".join(str(note) for note in notes if note)


def _sources(whys: Iterable[Why]) -> str:
    return "; ".join(dict.fromkeys(why.source for why in whys if why.source))


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _cut(rows: Iterable[Row], office: bool) -> tuple[Row, ...]:
    names = [column.name for column in columns(office=office)]
    return tuple({name: row[name] for name in names} for row in rows)
