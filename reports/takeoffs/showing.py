"""What the pages of a takeoff show, as plain rows: figures already written for people. Nothing is counted here."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from layout.engine.lengths import Distance
from reports.documents.head import amount, cable_unit
from reports.documents.takeoff import CATEGORIES
from reports.estimating.labor_book import Phase
from reports.takeoffs.purchase import packs_of

PHASES = (Phase.ROUGH, Phase.TRIM, Phase.DIAL_IN, Phase.JOB)


@dataclass(frozen=True, slots=True)
class MatrixRow:
    name: str
    unit: str
    cells: tuple[str, ...]  # one for each room shown; empty where the room takes none
    total: str
    counted: bool


@dataclass(frozen=True, slots=True)
class Matrix:
    rooms: tuple  # CountedRooms, as columns
    rows: tuple[MatrixRow, ...]


@dataclass(frozen=True, slots=True)
class ToPurchase:
    name: str
    order: str
    unit: str
    packs: tuple[str, ...]  # '2 × 250 ft'; empty: bought one by one
    over: str  # what the packs hold beyond the order
    spares: int
    counted: bool


@dataclass(frozen=True, slots=True)
class LaborRow:
    name: str
    hours: tuple[Decimal, ...]  # by phase
    total: Decimal


@dataclass(frozen=True, slots=True)
class Labor:
    phases: tuple[str, ...]
    items: tuple[LaborRow, ...]
    rooms: tuple[LaborRow, ...]
    total: LaborRow


def unit_of(unit, shop_unit):
    return cable_unit(shop_unit) if unit == "length" else unit


def matrix(job, rooms, unit):
    """Every item of the job in these rooms. job: a JobTakeoff; the total is over all its rooms."""
    found = []
    here = [{line.key: line.quantity for line in room.takeoff.lines} for room in rooms]
    for line in job.lines:
        cells = tuple(amount(lines[line.key], unit) if line.key in lines else "" for lines in here)
        found.append(
            MatrixRow(
                line.name,
                unit_of(line.unit, unit),
                cells,
                amount(line.quantity, unit),
                bool(job.counted_in(line)),
            )
        )
    return Matrix(tuple(rooms), tuple(found))


def purchase(job, rules, unit):
    """[(category's name, its lines)] in the order of a supplier's list."""
    groups = {}
    for line in job.lines:
        packs = packs_of(line, rules, unit)
        over = sum((size * count for size, count in packs), start=0) - line.order if packs else 0
        name = unit_of(line.unit, unit)
        groups.setdefault(line.category, []).append(
            ToPurchase(
                line.name,
                str(line.order),
                name,
                tuple(f"{count} × {amount(size, unit)} {name}" for size, count in packs),
                amount(over, unit) if over else "",
                line.spares,
                bool(job.counted_in(line)),
            )
        )
    order = [*CATEGORIES, *(category for category in groups if category not in CATEGORIES)]
    return [(str(CATEGORIES.get(key, key)), groups[key]) for key in order if key in groups]


def labor(priced):
    """Hours by phase: item by item, room by room, and in all. A sum of hours is the sum of those shown."""
    items = [
        _row(line.name, [each for room in line.rooms for each in room.hours]) for line in priced.lines if line.hours
    ]
    by_room = {}
    for line in priced.lines:
        for room in line.rooms:
            by_room.setdefault(room.room, []).extend(room.hours)
    rooms = [_row(name or _("the job's own"), told) for name, told in by_room.items() if told]
    total = _row(_("In all"), [each for told in by_room.values() for each in told])
    return Labor(tuple(_phase(phase) for phase in PHASES), tuple(items), tuple(rooms), total)


def _row(name, told):
    hours = tuple(sum((each.hours for each in told if each.unit.phase is phase), start=Decimal(0)) for phase in PHASES)
    return LaborRow(name, hours, sum(hours, start=Decimal(0)))


def _phase(phase):
    return {
        Phase.ROUGH: _("Rough-in"),
        Phase.TRIM: _("Trim"),
        Phase.DIAL_IN: _("Dial-in"),
        Phase.JOB: _("Job"),
    }[phase]


# Differences


@dataclass(frozen=True, slots=True)
class Changed:
    name: str
    unit: str
    before: str
    added: str
    taken_out: str
    after: str
    order: str  # '40 → 44', where it is known


@dataclass(frozen=True, slots=True)
class ChangedRoom:
    name: str
    before: str  # what it rested on
    after: str
    measured_since: bool
    items: tuple[Changed, ...]
    moved: tuple[tuple[str, str], ...]  # (which, how far)
    added: tuple[str, ...]
    taken_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Differences:
    items: tuple[Changed, ...]
    cables: tuple[Changed, ...]
    rooms: tuple[ChangedRoom, ...]
    changed_rooms: int
    moved: int


def difference(found, rooms, tape):
    """rooms: the RoomDifferences to write out."""
    unit = tape.unit
    cables = [each for each in found.cables if each.item.changed]
    items = [each for each in found.items if each.item.changed and not each.item.key.startswith("cable:")]
    return Differences(
        tuple(_changed(each.item, unit, each) for each in items),
        tuple(_changed(each.item, unit, each) for each in cables),
        tuple(_room(room, tape) for room in rooms),
        len(found.changed_rooms),
        len(found.moved),
    )


def difference_of_room(room, tape):
    return _room(room, tape)


def _changed(item, unit, job=None):
    return Changed(
        item.name,
        unit_of(item.unit, unit),
        amount(item.before, unit),
        amount(item.added, unit) if item.added else "",
        amount(item.taken_out, unit) if item.taken_out else "",
        amount(item.after, unit),
        f"{job.order_before} → {job.order_after}" if job and job.order_before != job.order_after else "",
    )


def _room(room, tape):
    return ChangedRoom(
        room.name,
        basis(room.before),
        basis(room.after),
        room.measured_since,
        tuple(_changed(item, tape.unit) for item in room.items if item.changed),
        tuple((_mark(mark), how_far(mark, tape)) for mark in room.moved),
        tuple(mark.ident for mark in room.added),
        tuple(mark.ident for mark in room.taken_out),
    )


def basis(room):
    if room is None:
        return _("not in it")
    return _("counted") if room.revision is None else _("laid out, rev %(number)s") % {"number": room.revision}


def _mark(moved):
    was, now = moved.before.ident, moved.after.ident
    return now if was == now else f"{was} → {now}"


def how_far(moved, tape):
    """'2 in right, 1 in toward the far wall'."""
    parts = []
    for step, more, less in (
        (moved.dx, _("%(length)s right"), _("%(length)s left")),
        (moved.dy, _("%(length)s toward the far wall"), _("%(length)s toward the door wall")),
    ):
        if step:
            parts.append((more if step > _NOTHING else less) % {"length": tape.show(abs(step))})
    return ", ".join(parts)


_NOTHING = Distance(0)
