"""A job's own papers over the API that are papers alone: its checklist, its packet, a room's light."""

from django.urls import path
from django.utils import timezone

from layout.light.queries import light_of
from projects.catalogue.targets import target_of
from projects.jobs.queries import job_of, room_of
from projects.platform.api.problems import CannotBeDone
from reports import light_papers, papers, queries
from reports.close_out import made
from reports.close_out.work import cannot_be_made
from reports.papers_api import LANGUAGE, Document, PaperAlone, Pdf, described, pdf_answer
from reports.web import AT_ONCE


def _laid(request, job_id):
    job = job_of(request.shop, job_id)
    laid = queries.laid_rooms(job)
    if refused := cannot_be_made(laid):
        raise CannotBeDone(refused)
    return job, laid


class JobChecklist(PaperAlone):
    @described("job_checklist", more=[LANGUAGE])
    def get(self, request, job_id):
        """One checklist for the job: an item bears on it when it bears on any of its rooms."""
        job, laid = _laid(request, job_id)
        return self.printed(lambda: papers.job_checklist(job, laid, on=timezone.localdate()))


class JobPacket(Document):
    renderer_classes = [Pdf]

    @described("job_packet")
    def get(self, request, job_id):
        """A small job's packet at once; a larger one is made as long work, under packets."""
        paper = self.paper()
        job, laid = _laid(request, job_id)
        if len(laid) > AT_ONCE:
            raise CannotBeDone(f"At once for {AT_ONCE} rooms at most. Ask for it under packets.")
        return pdf_answer(made.job_packet(job, laid, on=timezone.localdate(), paper=paper))


class LightReport(Document):
    renderer_classes = [Pdf]

    @described("light_report")
    def get(self, request, room_id):
        """What the room's light comes to, on paper."""
        room = room_of(request.shop, room_id)
        light = light_of(room)
        if light.solved is None:
            raise CannotBeDone("There is no computed light to report yet. The room's light says what it takes.")
        wanted = light.setup.target_key
        row = target_of(request.shop, wanted) if wanted else None
        return self.answer(lambda: light_papers.light_report(light, row, on=timezone.localdate()), None)


urlpatterns = [
    path("jobs/<int:job_id>/checklist/", JobChecklist.as_view(), name="job_checklist"),
    path("jobs/<int:job_id>/packet/", JobPacket.as_view(), name="job_packet"),
    path("rooms/<int:room_id>/light/report/", LightReport.as_view(), name="light_report"),
]
