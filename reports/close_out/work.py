"""Making packets as long work: a room at a time, with real progress. Begun again, it is made anew and kept once."""

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.services import NotAsIssued
from projects.files.store import QuotaFull
from projects.jobs.models import Job
from projects.work.kinds import kind
from projects.work.running import WorkFailed
from reports import queries
from reports.close_out import made
from reports.close_out.models import What
from reports.close_out.services import KINDS, digest_of, keep, kept_by
from reports.documents.head import PAPERS
from reports.documents.pdf import CannotPrint


def _page(work):
    return reverse("packets", args=[work.asked_for["job_id"]])


@kind(KINDS[What.JOB], may="print cards", where=_page)
def job_packet(work, progress):
    return _made(work, progress, What.JOB, made.job_packet)


@kind(KINDS[What.CLOSE_OUT], may="print cards", where=_page)
def close_out_packet(work, progress):
    return _made(work, progress, What.CLOSE_OUT, made.close_out_packet)


def _made(work, progress, what, make):
    if found := kept_by(work):  # it was kept, and the worker ended before it could say so
        return {"packet": found.pk}
    paper = work.asked_for["paper"]
    job = Job.objects.of(work.shop).filter(pk=work.asked_for["job_id"]).select_related("shop").first()
    if job is None:
        raise WorkFailed(_("The job is not there any more."))
    laid = queries.laid_rooms(job)
    if refused := cannot_be_made(laid):
        raise WorkFailed(refused)
    try:
        content = make(job, laid, on=timezone.localdate(), paper=PAPERS[paper], step=progress.at)
        packet = keep(job, what, paper, content, stands_on=digest_of(laid), work=work)
    except (CannotPrint, NotAsIssued, QuotaFull) as refused:
        raise WorkFailed(str(refused)) from refused
    return {"packet": packet.pk, "pages": packet.pages}


def cannot_be_made(laid):
    """Why there is no packet of these rooms, in words; empty when there is."""
    if not laid:
        return _("No room of this job has an issued revision yet. Issue one, then print.")
    if len(laid) > queries.MOST_ROOMS:
        words = _("%(rooms)s rooms are too many for one packet; it takes %(most)s. Print their cards room by room.")
        return words % {"rooms": len(laid), "most": queries.MOST_ROOMS}
    return ""
