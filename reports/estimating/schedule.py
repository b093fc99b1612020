"""The fixture schedule: what goes in the ceiling, by type and by room, and what it draws. Knows no prices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from layout.engine.lengths import Length
from layout.engine.marks import Kind
from layout.engine.wiring.chain import natural

KINDS = (Kind.LIGHT, Kind.SPEAKER, Kind.SUBWOOFER)


@dataclass(frozen=True, slots=True)
class FixtureFacts:
    """What the shop knows of a fixture type. None: not known, and printed as such, never as nothing."""

    key: str
    kind: Kind
    name: str
    cutout: Length
    verified: str = ""  # who measured the cutout on the bench; empty: do not cut yet
    aperture: Length | None = None
    depth: Length | None = None
    watts: Decimal | None = None
    lumens: int | None = None
    impedance_ohm: Decimal | None = None
    frame: tuple[Length, Length] | None = None  # a housing's or a bracket's, above the drywall; None: it has none


@dataclass(frozen=True, slots=True)
class Hole:
    """One mark as the schedule sees it."""

    id: str
    type_key: str
    zone: str = ""


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """One fixture type in one room, or over the job. letter is the job's own for this type: the same in every room."""

    letter: str
    facts: FixtureFacts
    count: int
    ids: tuple[str, ...]
    zones: tuple[tuple[str, int], ...]  # zone letter and how many of this type are on it

    @property
    def watts(self) -> Decimal | None:
        """What they draw together; None when it is not known, and for speakers, whose watts are a rating."""
        if self.facts.kind is not Kind.LIGHT or self.facts.watts is None:
            return None
        return self.facts.watts * self.count


@dataclass(frozen=True, slots=True)
class ZoneLoad:
    """What one switch carries. unknown: lights on it whose watts are not known, so the load is at least this."""

    letter: str
    lights: int
    watts: Decimal
    unknown: int


@dataclass(frozen=True, slots=True)
class RoomSchedule:
    room: str
    rows: tuple[ScheduleRow, ...]
    zones: tuple[ZoneLoad, ...]


@dataclass(frozen=True, slots=True)
class JobSchedule:
    rooms: tuple[RoomSchedule, ...]
    rows: tuple[ScheduleRow, ...]  # ids are left out: A1 is in every room

    @property
    def not_verified(self) -> tuple[ScheduleRow, ...]:
        """Types that may not be cut yet."""
        return tuple(row for row in self.rows if not row.facts.verified)


def job_schedule(rooms: Sequence[tuple[str, Sequence[Hole]]], types: Sequence[FixtureFacts]) -> JobSchedule:
    """The schedule of a job from its rooms' marks. Raises KeyError for a mark whose type is not among the types.

    Letters go lights first, then by cutout and name: A, B, … Z, AA. A type no room uses gets none.
    """
    facts = {kind.key: kind for kind in types}
    used = {hole.type_key for _, holes in rooms for hole in holes}
    in_order = sorted((facts[key] for key in used), key=_place)
    letters = {kind.key: type_letter(number) for number, kind in enumerate(in_order)}
    scheduled = tuple(
        RoomSchedule(room, _rows(holes, in_order, letters), _loads(holes, facts)) for room, holes in rooms
    )
    whole = [
        ScheduleRow(letters[kind.key], kind, sum(row.count for row in rows), (), ())
        for kind in in_order
        if (rows := [row for room in scheduled for row in room.rows if row.facts.key == kind.key])
    ]
    return JobSchedule(scheduled, tuple(whole))


def type_letter(number: int) -> str:
    """0 is A, 25 is Z, 26 is AA."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _rows(
    holes: Sequence[Hole], in_order: Sequence[FixtureFacts], letters: dict[str, str]
) -> tuple[ScheduleRow, ...]:
    rows = []
    for kind in in_order:
        mine = sorted((hole for hole in holes if hole.type_key == kind.key), key=lambda hole: natural(hole.id))
        if mine:
            zones = sorted({hole.zone for hole in mine if hole.zone}, key=natural)
            counts = tuple((zone, sum(hole.zone == zone for hole in mine)) for zone in zones)
            rows.append(ScheduleRow(letters[kind.key], kind, len(mine), tuple(hole.id for hole in mine), counts))
    return tuple(rows)


def _loads(holes: Sequence[Hole], facts: dict[str, FixtureFacts]) -> tuple[ZoneLoad, ...]:
    lights = [hole for hole in holes if facts[hole.type_key].kind is Kind.LIGHT]
    loads = []
    for letter in sorted({hole.zone for hole in lights}, key=natural):
        watts = [facts[hole.type_key].watts for hole in lights if hole.zone == letter]
        known = [each for each in watts if each is not None]
        loads.append(ZoneLoad(letter, len(watts), sum(known, start=Decimal(0)), len(watts) - len(known)))
    return tuple(loads)


def _place(kind: FixtureFacts) -> tuple[int, Length, str, str]:
    return KINDS.index(kind.kind), kind.cutout, kind.name, kind.key
