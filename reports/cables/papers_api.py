"""Cables on paper and reels one by one over the API: schedule, pull list, labels, a room's routes, pulls taken back."""

from django.http import HttpResponse
from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.response import Response

from projects.catalogue.tables import label_sheets
from projects.jobs.queries import job_of, room_of
from projects.platform.api.files import FileView, saved_as
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView
from projects.platform.permissions import may
from reports.cables import papers
from reports.cables.api import CableOut, PullOut, ReelOut
from reports.cables.gather import job_cables, reel_plans, room_cables, without_costs
from reports.cables.labels import labels_pdf
from reports.cables.routes import room_plan
from reports.cables.sheet import cables_csv
from reports.cables.web import newest_revision
from reports.cables.words import Words
from reports.papers_api import Document, IssuedView, Pdf, Svg, described, pdf_answer
from reports.takeoffs.rules import rules_of
from reports.wiring import services
from reports.wiring.queries import pull_of, reel_of

ROOMS_PAGE = OpenApiParameter("rooms_page", int, description="100 rooms at a time, from 1 on")


class JobPaper(Document):
    renderer_classes = [Pdf]
    questions = ("paper", "rooms_page")

    def found(self, job_id):
        """(the job, its cables, words for them)."""
        self.refuse_unknown_questions(self.request.query_params)
        job = job_of(self.request.shop, job_id)
        cables = job_cables(job, self.request.query_params.get("rooms_page"))
        return job, cables, Words(job.tape, rules_of(self.request.shop))


class SchedulePaper(JobPaper):
    @described("cable_schedule_paper", more=[ROOMS_PAGE])
    def get(self, request, job_id):
        """The cable schedule on paper."""
        _job, found, words = self.found(job_id)
        return self.answer(lambda: papers.cable_schedule(found, words, on=timezone.localdate()), None)


class PullListPaper(JobPaper):
    @described("pull_list", more=[ROOMS_PAGE])
    def get(self, request, job_id):
        """What the crew pulls off which reel, on paper; no cost in it."""
        _job, found, words = self.found(job_id)
        plans = without_costs(reel_plans(found))
        return self.answer(lambda: papers.pull_list(found, plans, words, on=timezone.localdate()), None)


class ReelPlanPaper(JobPaper):
    @described("reel_plan_paper", more=[ROOMS_PAGE])
    def get(self, request, job_id):
        """Which packs to buy and what comes off which reel, on paper; costs for who may see them."""
        _job, found, words = self.found(job_id)
        plans, costs = reel_plans(found), may(request.member, "see prices")
        plans = plans if costs else without_costs(plans)
        on = timezone.localdate()
        return self.answer(lambda: papers.reel_plan(found, plans, words, on=on, costs=costs), None)


class ScheduleSheet(FileView, IssuedView):
    questions = ("rooms_page",)

    @extend_schema(
        operation_id="cable_schedule_sheet",
        responses={(200, "text/csv"): OpenApiTypes.BINARY},
        parameters=[ROOMS_PAGE],
    )
    def get(self, request, job_id):
        """The cable schedule as CSV."""
        self.refuse_unknown_questions(request.query_params)
        job = job_of(request.shop, job_id)
        found = job_cables(job, request.query_params.get("rooms_page"))
        content = cables_csv(found, Words(job.tape, rules_of(request.shop)))
        return saved_as(HttpResponse(content, content_type="text/csv; charset=utf-8"), "cables.csv")


class CableLabels(JobPaper):
    questions = ("sheet", "first", "rooms_page")

    @extend_schema(
        operation_id="cable_labels",
        responses={(200, Pdf.media_type): OpenApiTypes.BINARY},
        parameters=[
            OpenApiParameter("sheet", str, required=True, enum=list(label_sheets())),
            OpenApiParameter("first", int, description="The first free label of the sheet; 1 unless given"),
            ROOMS_PAGE,
        ],
    )
    def get(self, request, job_id):
        """A label for each end of each cable."""
        job, found, words = self.found(job_id)
        sheets = label_sheets()
        sheet = sheets[self.asked_one("sheet", sheets, "")]
        first, most = request.query_params.get("first", "1"), sheet.columns * sheet.rows
        if not (first.isascii() and first.isdecimal() and len(first) < 5 and 1 <= int(first) <= most):
            raise Refused([{"parameter": "first", "detail": f"From 1 to {most}.", "code": "invalid"}])
        if not found.cables:
            raise CannotBeDone("There is no cable to label yet: lay out a room and place its switch and panel.")
        ends = [end for cable in found.cables for end in words.ends(cable)]
        title, on = f"Cable labels, {job}", timezone.localdate()
        named = f"{title} {sheet.key} {on}"
        return pdf_answer(labels_pdf(ends, sheet, first=int(first), title=title, identifier=named, on=on))


# A room's own


class _Room(IssuedView):
    def found(self, room_id):
        """(the room, its newest revision, its cables)."""
        room = room_of(self.request.shop, room_id)
        revision = newest_revision(room)
        if revision is None:
            raise CannotBeDone("This room has no issued revision yet. Issue one first.")
        return room, revision, room_cables(room, revision)


class RoomCablesView(_Room):
    @extend_schema(operation_id="room_cables", responses=CableOut(many=True))
    def get(self, request, room_id):
        """Every run of a room, by its parts."""
        room, _revision, found = self.found(room_id)
        return Response(CableOut(found.cables, many=True, context={"tape": room.job.tape, "found": found}).data)


class RoomRoutes(_Room):
    renderer_classes = [Svg]

    @extend_schema(operation_id="room_routes", responses={(200, Svg.media_type): OpenApiTypes.BINARY})
    def get(self, request, room_id):
        """The routes on the plan."""
        drawn, _routes, _framed = room_plan(*self.found(room_id))
        return HttpResponse(drawn, content_type=Svg.media_type)


# One reel


class ReelView(ApiView):
    pagination_class = None

    @extend_schema(operation_id="reel", responses=ReelOut)
    def get(self, request, reel_id):
        """One opened reel."""
        return self.shown(reel_of(request.shop, reel_id))

    @extend_schema(operation_id="empty_reel", responses={200: ReelOut})
    def delete(self, request, reel_id):
        """Nothing is left on it: what was is thrown away or lost. Its pulls stay in the list."""
        reel = reel_of(request.shop, reel_id)
        seen = self.seen_version(reel, ReelOut(reel, context={"tape": request.shop.tape}).data)
        return self.shown(services.empty(reel, seen_version=seen))

    def shown(self, reel):
        return self.told(reel, ReelOut(reel, context={"tape": self.request.shop.tape}).data)


class TakeBackPull(ApiView):
    pagination_class = None

    @extend_schema(operation_id="take_back_pull", request=None, responses={201: PullOut})
    def post(self, request, reel_id, pull_id):
        """A pull entered wrongly: its cable is on the reel again, and both lines stay."""
        reel = reel_of(request.shop, reel_id)
        try:
            made = services.take_back(pull_of(reel, pull_id), by=request.member)
        except services.NotPulled as refused:
            raise CannotBeDone(str(refused)) from refused
        return Response(PullOut(made, context={"tape": request.shop.tape}).data, status=201)


JOB, ROOM = "jobs/<int:job_id>/cables/", "rooms/<int:room_id>/"

urlpatterns = [
    path(JOB + "paper/", SchedulePaper.as_view(), name="cable_schedule_paper"),
    path(JOB + "sheet/", ScheduleSheet.as_view(), name="cable_schedule_sheet"),
    path(JOB + "labels/", CableLabels.as_view(), name="cable_labels"),
    path(JOB + "pull/", PullListPaper.as_view(), name="pull_list"),
    path(JOB + "reels/paper/", ReelPlanPaper.as_view(), name="reel_plan_paper"),
    path(ROOM + "cables/", RoomCablesView.as_view(), name="room_cables"),
    path(ROOM + "cables/plan/", RoomRoutes.as_view(), name="room_routes"),
    path("reels/<int:reel_id>/", ReelView.as_view(), name="reel"),
    path("reels/<int:reel_id>/pulls/<int:pull_id>/take-back/", TakeBackPull.as_view(), name="take_back_pull"),
]
