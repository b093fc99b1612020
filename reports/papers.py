"""Each document of a room or a job, put together from records: what pages show, PDFs print and the demo writes."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from projects.catalogue.tables import checklist
from reports.checks.paper import RoomRun, runs_for_paper
from reports.contents import conditions, facts, head_of, holes, room_ref
from reports.documents import checklist as checklist_paper
from reports.documents import packet
from reports.documents import schedule as schedule_paper
from reports.documents import takeoff as takeoff_paper
from reports.documents.head import Head, Paper, RoomRef
from reports.estimating.schedule import job_schedule
from reports.queries import Laid
from reports.takeoffs import counting
from reports.takeoffs.rules import rules_of


@dataclass(frozen=True, slots=True)
class Document:
    """A document as a piece of HTML, under whose head it stands, and what its file is called."""

    title: str
    body: str
    head: Head
    name: str

    def pdf(self, paper: Paper = Paper.LETTER) -> bytes:
        return packet.alone(self.title, self.body, self.head, paper)


def _head(subject, laid, on):
    """One room's own head, or the job's."""
    if len(laid) == 1 and not hasattr(subject, "number"):
        return head_of(subject, on=on, ref=room_ref(subject, laid[0].revision))
    return head_of(subject, on=on)


def schedule(subject, laid: list[Laid], *, on) -> Document:
    """subject: the room, or the job whose rooms these are."""
    head = _head(subject, laid, on)
    counted = job_schedule(
        [(one.room.name, holes(one.revision)) for one in laid], facts([one.revision for one in laid])
    )
    refs = tuple(room_ref(one.room, one.revision) for one in laid)
    tape = laid[0].room.job.tape
    body = schedule_paper.body(schedule_paper.SchedulePaper(head, counted, refs, tape))
    return Document(_("Fixture schedule"), body, head, "fixture-schedule")


def takeoff(room, one: Laid, *, on) -> Document:
    """One room by one of its revisions, by the shop's rules."""
    head = head_of(room, on=on, ref=room_ref(room, one.revision))
    counted = counting.count_revision(one.room, one.revision, rules_of(room.shop))
    paper = takeoff_paper.TakeoffPaper(head, None, ((head.room, counted.takeoff),), room.job.tape.unit)
    return Document(_("Takeoff"), takeoff_paper.body(paper), head, "takeoff")


def job_takeoff(job, *, on, counted=None, shown=None) -> Document:
    """A whole job: its sums, and its rooms line by line.

    counted: the job as counted already. shown: the CountedRooms to write out, instead of all.
    """
    counted = counted or counting.count_job(job)
    rooms = counted.rooms if shown is None else shown
    refs = counted_refs(job, rooms)
    paper = takeoff_paper.TakeoffPaper(
        head_of(job, on=on),
        counted.job,
        tuple(zip(refs, [room.takeoff for room in rooms], strict=True)),
        job.tape.unit,
        counted.left_out,
    )
    return Document(_("Takeoff"), takeoff_paper.body(paper), paper.head, "takeoff")


def kept_takeoff(job, kept, *, shown=None) -> Document:
    """A takeoff as it was kept, under the day it was. shown: the rooms to write out, instead of all."""
    rooms = kept.rooms if shown is None else shown
    lines = tuple(zip(counted_refs(job, rooms), [room.takeoff for room in rooms], strict=True))
    head = Head(job.shop.name, kept.job_number, kept.job_name, kept.on)
    body = takeoff_paper.body(takeoff_paper.TakeoffPaper(head, kept.job, lines, kept.unit, kept.left_out))
    return Document(_("Takeoff %(number)s") % {"number": kept.number}, body, head, f"takeoff-{kept.number}")


def counted_refs(job, rooms) -> list[RoomRef]:
    """Counted rooms as paper names them."""
    told = dict(job.rooms.values_list("pk", "level"))
    return [
        RoomRef(
            room.name,
            told.get(room.room_id, ""),
            room.revision,
            room.digest[:6].upper(),
            counted=room.revision is None,
        )
        for room in rooms
    ]


def rough_in_checklist(one: Laid, *, on, run: RoomRun | None = None) -> Document:
    """Empty to fill in by hand, or with what was answered. run: the room's, where many rooms' were read at once."""
    run = run or runs_for_paper([one.room])[one.room.pk]
    head = head_of(one.room, on=on, ref=room_ref(one.room, one.revision))
    known = conditions(one.room, one.revision)
    paper = checklist_paper.ChecklistPaper(head, run.checklist, known, run.answers)
    return Document(_("Rough-in checklist"), checklist_paper.body(paper), head, "rough-in-checklist")


def job_checklist(job, laid: list[Laid], *, on) -> Document:
    """One checklist for the job: an item bears on it when it bears on any of its rooms."""
    known: dict[str, bool] = {}
    for one in laid:
        for name, value in conditions(one.room, one.revision).items():
            known[name] = known.get(name, False) or value
    head = head_of(job, on=on)
    body = checklist_paper.body(checklist_paper.ChecklistPaper(head, checklist(), known))
    return Document(_("Rough-in checklist"), body, head, "rough-in-checklist")
