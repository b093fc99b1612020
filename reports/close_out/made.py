"""A job's packets put together from records: documents in order, one step of progress each. Keeps nothing.

Makers' sheets are bound behind our own numbered pages, as they are.
"""

from collections.abc import Callable

from projects.catalogue.labels import content_of
from reports import papers
from reports.checks.paper import runs_for_paper
from reports.close_out import documents
from reports.close_out.gather import handed_over
from reports.close_out.queries import models_of
from reports.contents import head_of
from reports.documents import card, packet
from reports.documents.head import Paper
from reports.sheets import card_sheet

Step = Callable[[int, int], None]


def _quietly(done, total):
    pass


def job_packet(job, laid, *, on, paper=Paper.LETTER, cards=(), step: Step = _quietly) -> bytes:
    """Cards, schedule, takeoff, labels, checklists, and the makers' sheets. Raises pdf.CannotPrint, NotAsIssued.

    cards: those of these rooms on this paper where they are set already; their corners become the packet's.
    """
    models, runs = models_of(laid), runs_for_paper([one.room for one in laid])
    makes = [lambda set_out=set_out: set_out for set_out in cards] or [
        lambda one=one: card.laid_out(card_sheet(one.revision, one.room, on=on), paper) for one in laid
    ]
    makes += [
        _record(lambda: papers.schedule(job, laid, on=on), paper),
        _record(lambda: papers.job_takeoff(job, on=on), paper),
        _record(lambda: documents.labels(job, models, on=on), paper),
    ]
    for one in laid:
        makes.append(_record(lambda one=one: papers.rough_in_checklist(one, on=on, run=runs[one.room.pk]), paper))
    return _bound(job, makes, models, on, paper, step)


def close_out_packet(job, laid, *, on, paper=Paper.LETTER, step: Step = _quietly) -> bytes:
    """What was built, as it is handed over. Raises pdf.CannotPrint, NotAsIssued."""
    models, found = models_of(laid), handed_over(job, laid)
    runs = runs_for_paper([one.room for one in laid])
    makes = [_record(lambda: documents.cover(job, found, on=on), paper)]
    for one in laid:
        makes.append(_record(lambda one=one: documents.as_built(one, found, on=on), paper))
        makes.append(_record(lambda one=one: papers.rough_in_checklist(one, on=on, run=runs[one.room.pk]), paper))
        makes.append(_record(lambda one=one: documents.photos(one, found, on=on), paper))
    makes.append(_record(lambda: documents.labels(job, models, on=on), paper))
    return _bound(job, makes, models, on, paper, step)


def _record(make, paper):
    def laid_out():
        record = make()
        return record and packet.laid_out(record.title, record.body, paper)

    return laid_out


def _bound(job, makes, models, on, paper, step):
    set_out, total = [], len(makes) + 1  # writing them is a step too
    step(0, total)
    for done, make in enumerate(makes, 1):
        if (document := make()) is not None:
            set_out.append(document)
        step(done, total)
    sheets = [content_of(facts.sheet) for facts, _rooms in models if facts.sheet]
    content = packet.job_packet(set_out, head_of(job, on=on), paper, behind=[sheet for sheet in sheets if sheet])
    step(total, total)
    return content
