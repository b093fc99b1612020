"""The fixture schedule on screen and on paper. Knows no counting: reports/estimating/schedule.py has counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.engine.lengths import Distance, Tape
from layout.engine.marks import Kind
from reports.documents.head import Head, RoomRef, plain
from reports.estimating.schedule import FixtureFacts, JobSchedule, RoomSchedule, ScheduleRow, ZoneLoad


@dataclass(frozen=True, slots=True)
class SchedulePaper:
    """A schedule ready to be drawn. rooms stand in the schedule's own order."""

    head: Head
    schedule: JobSchedule
    rooms: tuple[RoomRef, ...]
    tape: Tape


@dataclass(frozen=True, slots=True)
class TypeRow:
    letter: str
    name: str
    count: int
    aperture: str
    cutout: str
    verified: str
    depth: str
    frame: str
    watts_each: str
    watts: str
    lumens: str
    ohms: str


@dataclass(frozen=True, slots=True)
class RoomRow:
    letter: str
    name: str
    count: int
    ids: str
    zones: str
    watts: str


@dataclass(frozen=True, slots=True)
class RoomPart:
    ref: RoomRef
    rows: tuple[RoomRow, ...]
    loads: tuple[str, ...]


def body(paper: SchedulePaper) -> str:
    """The schedule as a piece of HTML: a section for a page, or for the packet."""
    parts = zip(paper.rooms, paper.schedule.rooms, strict=True)
    return render_to_string(
        "reports/schedule.html",
        {
            "head": paper.head,
            "title": _("Fixture schedule"),
            "types": [_type_row(row, paper.tape) for row in paper.schedule.rows],
            "rooms": [_room_part(ref, room) for ref, room in parts],
            "total": _total(paper.schedule.rows),
            "not_verified": [row.letter for row in paper.schedule.not_verified],
        },
    )


def _type_row(row: ScheduleRow, tape: Tape) -> TypeRow:
    facts = row.facts
    return TypeRow(
        letter=row.letter,
        name=facts.name,
        count=row.count,
        aperture=_length(facts.aperture, tape),
        cutout=_length(facts.cutout, tape),
        verified=_("verified: %(by)s") % {"by": facts.verified} if facts.verified else "",
        depth=_length(facts.depth, tape),
        frame=" × ".join(tape.show(side) for side in facts.frame) if facts.frame else "",
        watts_each=_watts(facts.watts, facts),
        watts=_watts(row.watts, facts),
        lumens=_known(facts.lumens) if facts.kind is Kind.LIGHT else "",
        ohms="" if facts.kind is Kind.LIGHT else _known(facts.impedance_ohm),
    )


def _room_part(ref: RoomRef, room: RoomSchedule) -> RoomPart:
    rows = tuple(
        RoomRow(
            letter=row.letter,
            name=row.facts.name,
            count=row.count,
            ids=", ".join(row.ids),
            zones=", ".join(f"{zone} × {count}" for zone, count in row.zones),
            watts=_watts(row.watts, row.facts),
        )
        for row in room.rows
    )
    lid = ngettext("%(count)s hole through the isolated lid", "%(count)s holes through the isolated lid", ref.lid_holes)
    loads = tuple(_load(load) for load in room.zones)
    return RoomPart(ref, rows, (*loads, lid % {"count": ref.lid_holes}) if ref.lid_holes else loads)


def _load(load: ZoneLoad) -> str:
    lights = ngettext("%(count)s light", "%(count)s lights", load.lights) % {"count": load.lights}
    zone = _("Zone %(letter)s") % {"letter": load.letter} if load.letter else _("No zone")
    if load.unknown == load.lights:
        return _("%(zone)s: %(lights)s, watts not known") % {"zone": zone, "lights": lights}
    said = _("%(zone)s: %(lights)s, %(watts)s W") % {"zone": zone, "lights": lights, "watts": plain(load.watts)}
    if not load.unknown:
        return said
    more = ngettext("%(count)s light of unknown watts", "%(count)s lights of unknown watts", load.unknown)
    return f"{said} + {more % {'count': load.unknown}}"


def _total(rows: Sequence[ScheduleRow]) -> str:
    lights = sum(row.count for row in rows if row.facts.kind is Kind.LIGHT)
    speakers = sum(row.count for row in rows if row.facts.kind is Kind.SPEAKER)
    subs = sum(row.count for row in rows if row.facts.kind is Kind.SUBWOOFER)
    watts = sum((row.watts for row in rows if row.watts is not None), start=Decimal(0))
    parts = [
        ngettext("%(count)s light", "%(count)s lights", lights) % {"count": lights},
        ngettext("%(count)s speaker", "%(count)s speakers", speakers) % {"count": speakers},
    ]
    if subs:
        parts.append(ngettext("%(count)s subwoofer", "%(count)s subwoofers", subs) % {"count": subs})
    unknown = any(row.watts is None and row.facts.kind is Kind.LIGHT for row in rows)
    load = _("at least %(watts)s W of lights") if unknown else _("%(watts)s W of lights")
    return " · ".join([*parts, load % {"watts": plain(watts)}])


def _watts(value: Decimal | None, facts: FixtureFacts) -> str:
    """A speaker's watts are a rating, not a load, and have no place beside what a dimmer carries."""
    return _known(value) if facts.kind is Kind.LIGHT else ""


def _known(value: Decimal | int | None) -> str:
    return _("not known") if value is None else plain(value)


def _length(length: Distance | None, tape: Tape) -> str:
    return _("not known") if length is None else tape.show(length)
