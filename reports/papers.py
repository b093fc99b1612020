"""Each document of a room or a job, put together from records: what pages show, PDFs print and the demo writes."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from projects.catalogue.tables import checklist, takeoff_rules
from reports.contents import conditions, facts, head_of, holes, room_contents, room_ref
from reports.documents import card, packet
from reports.documents import checklist as checklist_paper
from reports.documents import schedule as schedule_paper
from reports.documents import takeoff as takeoff_paper
from reports.documents.head import Head, Paper
from reports.estimating.schedule import job_schedule
from reports.estimating.takeoff import job_takeoff, room_takeoff
from reports.queries import Laid
from reports.sheets import card_sheet


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


def takeoff(subject, laid: list[Laid], *, on) -> Document:
    rules = takeoff_rules()
    head = _head(subject, laid, on)
    rooms = [room_takeoff(room_contents(one.room, one.revision), rules) for one in laid]
    unit = laid[0].room.job.tape.unit
    job = job_takeoff(rooms, rules, unit) if head.room is None else None
    refs = [room_ref(one.room, one.revision) for one in laid]
    paper = takeoff_paper.TakeoffPaper(head, job, tuple(zip(refs, rooms, strict=True)), unit)
    return Document(_("Takeoff"), takeoff_paper.body(paper), head, "takeoff")


def rough_in_checklist(one: Laid, *, on) -> Document:
    head = head_of(one.room, on=on, ref=room_ref(one.room, one.revision))
    paper = checklist_paper.ChecklistPaper(head, checklist(), conditions(one.room, one.revision))
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


def job_packet(job, laid: list[Laid], *, on, paper: Paper = Paper.LETTER) -> bytes:
    """Cards, schedule, takeoff and checklists of a job, pages numbered through. Raises pdf.CannotPrint."""
    documents = [card.laid_out(card_sheet(one.revision, one.room, on=on), paper) for one in laid]
    records = [schedule(job, laid, on=on), takeoff(job, laid, on=on)]
    records += [rough_in_checklist(one, on=on) for one in laid]
    documents += [packet.laid_out(record.title, record.body, paper) for record in records]
    return packet.job_packet(documents, head_of(job, on=on), paper)
