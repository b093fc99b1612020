"""Handing a job over: what stands on floor, framing and in the holes, from which corner, by which card, and who must
answer what. From records to values; the sheet is the same on screen and on paper.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from django.template.loader import render_to_string
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout import frozen
from layout.as_built.models import Step
from layout.as_built.queries import marks_now
from layout.engine.marks import Axis, Orientation, Side
from layout.models import Answer, LayoutRevision, SiteMove
from projects.crews.queries import crew_on
from projects.jobs.models import HeldUp, Room
from projects.stages.order import name_of
from projects.stages.queries import open_passes
from reports.contents import head_of
from reports.documents.sheet import in_ranges
from reports.inspections.queries import failed_open
from reports.models import CardCopy
from reports.papers import Document
from reports.sheets import zero_said

MOST_ROOMS = 300
MOST_HOLDERS = 4  # of a room's cards, the latest first
MOST_COPIES = 5_000
DAYS_AHEAD = dt.timedelta(days=7)
STEPS = (Step.CUT, Step.ROUGHED, Step.FRAMING, Step.FLOOR)  # the furthest first


@dataclass(frozen=True, slots=True)
class Held:
    """A card somebody has. stale: a newer revision was issued since."""

    revision: int
    by: str
    on: str
    stale: bool


@dataclass(slots=True)
class RoomSheet:
    """One room's part. steps: (step in words, marks that came so far and no farther, in ranges)."""

    name: str
    level: str
    stage: str
    zero: str = ""
    revision: int | None = None
    marks: int = 0
    steps: list[tuple[str, str]] = field(default_factory=list)
    not_begun: str = ""
    astray: str = ""
    held: list[Held] = field(default_factory=list)
    questions: list[str] = field(default_factory=list)
    crew: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Handover:
    """A job as it is handed to the next crew.

    anywhere: who is planned for the whole job. left_out: how many rooms are over the most.
    """

    on: dt.date
    rooms: list[RoomSheet]
    anywhere: list[str]
    left_out: int

    @property
    def open(self) -> int:
        return sum(len(room.questions) for room in self.rooms)


def handover_of(job, on: dt.date) -> Handover:
    """As many queries for three hundred rooms as for one."""
    every = list(job.rooms.filter(cancelled=False).select_related("job", "shop").order_by("level", "name", "pk"))
    rooms = every[:MOST_ROOMS]
    sheets = {
        room.pk: RoomSheet(
            room.name, room.level, f"{room.stage} {name_of(room.stage, job)}", zero_said(room, _turn(room))
        )
        for room in rooms
    }
    now = marks_now(rooms)
    _marks(job, rooms, sheets, now)
    _cards(job, sheets)
    _questions(job, rooms, sheets, now)
    anywhere = _crew(job, sheets, on)
    return Handover(on, list(sheets.values()), anywhere, len(every) - len(rooms))


def _turn(room: Room) -> Orientation:
    """As the room's own record says; an issued revision's corner takes its place."""
    return Orientation(Axis.LEFT_RIGHT, Side(room.zero_x), Side(room.zero_y))  # which way rows run is not said here


def _marks(job, rooms, sheets, now) -> None:
    """Each mark at the furthest step where it stands as it should; those set elsewhere are named apart."""
    revisions = {one.revision.pk: room_id for room_id, one in now.items() if one.revision}
    by_id = {room.pk: room for room in rooms}
    inputs = LayoutRevision.objects.of(job.shop_id).filter(pk__in=revisions).values_list("pk", "inputs")
    for pk, text in inputs:
        room_id = revisions[pk]
        sheets[room_id].zero = zero_said(by_id[room_id], frozen.thaw_inputs(text).orientation)
    for room_id, found in now.items():
        sheet = sheets[room_id]
        if found.revision is None:
            continue
        sheet.revision, sheet.marks = found.revision.number, len(found.marks)
        at: dict[str, list[str]] = {step.value: [] for step in STEPS}
        left = []
        for mark in found.marks:
            step = next((step.value for step in STEPS if mark.stands(step.value)), None)
            (at[step] if step else left).append(mark.ident)
        sheet.steps = [(str(step.label), in_ranges(at[step.value])) for step in STEPS if at[step.value]]
        sheet.not_begun = in_ranges(left)
        sheet.astray = in_ranges([mark.ident for mark in found.marks if mark.astray])


def _cards(job, sheets) -> None:
    """The last card of each person who has one."""
    copies = CardCopy.objects.of(job.shop_id).filter(revision__room__in=list(sheets)).order_by("-pk")
    seen = set()
    rows = copies.values_list("revision__room_id", "revision__number", "held_by", "at")[:MOST_COPIES]
    for room_id, number, by, at in rows:
        sheet = sheets[room_id]
        if (room_id, by) not in seen and len(sheet.held) < MOST_HOLDERS:
            seen.add((room_id, by))
            sheet.held.append(Held(number, by, date_format(at, "M j"), number != sheet.revision))


def _questions(job, rooms, sheets, now) -> None:
    for room in rooms:
        if room.held_up:
            words = _("%(how)s: %(why)s") % {"how": HeldUp(room.held_up).label, "why": room.held_up_why or "—"}
            sheets[room.pk].questions.append(words)
        if room.waits_for:
            sheets[room.pk].questions.append(_("Waits for: %(who)s") % {"who": room.waits_for})
    waiting = SiteMove.objects.of(job.shop_id).filter(room__in=list(sheets), state=Answer.WAITS).order_by("pk")
    for room_id, found, words in waiting.values_list("room_id", "found", "words"):
        told = {"found": found, "words": words}
        sheets[room_id].questions.append(_("Found on site, no answer yet: %(found)s %(words)s Do not mark.") % told)
    for room_id, marks in now.items():
        for move in marks.waits:
            told = {"mark": move.ident, "words": move.why or move.words or "—"}
            sheets[room_id].questions.append(_("Mark %(mark)s waits for a yes to be moved: %(words)s") % told)
    for passed in open_passes(job.shop).filter(room__in=list(sheets)):
        told = {"who": passed.by.user, "why": passed.why, "what": passed.title}
        sheets[passed.room_id].questions.append(_("Passed over by %(who)s, still open: %(what)s (%(why)s)") % told)
    for failed in failed_open(job):
        if failed.room_id in sheets:
            told = {"kind": failed.kind_words, "day": date_format(failed.on, "M j"), "open": failed.open}
            said = ngettext(
                "Inspection (%(kind)s) of %(day)s did not pass: %(open)s correction without an answer",
                "Inspection (%(kind)s) of %(day)s did not pass: %(open)s corrections without an answer",
                failed.open,
            )
            sheets[failed.room_id].questions.append(said % told)


def _crew(job, sheets, on) -> list[str]:
    """Who is planned in the week ahead: in a room, or for the whole job."""
    anywhere: dict[str, None] = {}
    for day in crew_on(job.shop, on, on + DAYS_AHEAD, job):
        name = str(day.member.user)
        if day.room_id is None:
            anywhere[name] = None
        elif day.room_id in sheets and name not in sheets[day.room_id].crew:
            sheets[day.room_id].crew.append(name)
    return list(anywhere)


def document(job, told: Handover) -> Document:
    head = head_of(job, on=told.on)
    title = _("Handover sheet")
    body = render_to_string("days/handover.html", {"head": head, "title": title, "told": told})
    return Document(title, body, head, "handover")
