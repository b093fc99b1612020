"""Papers for marking and cutting over the API, and finding a covered box again. The same papers as on their pages."""

from django.http import Http404, HttpResponse
from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.as_built.queries import marks_of
from layout.drawing.plan import plan_svg
from projects.catalogue.models import FixtureType
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.languages import printed_in
from reports import queries
from reports.documents.card import card_pdf
from reports.documents.head import PAPERS
from reports.marking import papers
from reports.marking.box_web import NUMBER_PT, PLAN_HIGH, PLAN_WIDE, built_plan
from reports.marking.boxes import box_of, boxes_of, found
from reports.marking.hole import HoleSheet, template_pdf
from reports.marking.labels import labels_pdf
from reports.marking.web import CARDS, MarkingCardForm
from reports.papers_api import LANGUAGE, Document, IssuedView, PaperAlone, Pdf, Svg, described, pdf_answer
from reports.services import log_copy

CARD = Body("MarkingCardBody", MarkingCardForm, example=lambda: MarkingCardForm().fields)


class FromWallOut(serializers.Serializer):
    wall = serializers.CharField()
    far = serializers.CharField(help_text="As the tape shows it, from the finished wall")


class BoxOut(serializers.Serializer):
    """first: from the walls the zero corner stands between; other: from those across. known: the last step entered."""

    mark = serializers.CharField(source="ident")
    what = serializers.CharField()
    hole = serializers.CharField()
    first = FromWallOut(many=True)
    other = FromWallOut(many=True)
    known = serializers.CharField()
    by = serializers.CharField()
    at = serializers.DateTimeField(allow_null=True)
    covered = serializers.BooleanField()


class LabelSheetOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    columns = serializers.IntegerField()
    rows = serializers.IntegerField()


class MarkingOut(serializers.Serializer):
    """What there is to print: the revision it is of, its fixture types (for hole templates), sheets of labels."""

    revision = serializers.IntegerField()
    types = serializers.ListField(child=serializers.IntegerField())
    label_sheets = LabelSheetOut(many=True)


def _marks(request, room_id):
    room = room_of(request.shop, room_id)
    now = marks_of(room)
    if now.revision is None:
        raise CannotBeDone("No revision is issued yet, so there is no mark. Issue one first.")
    return room, now


class Marking(IssuedView):
    @extend_schema(operation_id="marking_papers", responses=MarkingOut)
    def get(self, request, room_id):
        """What can be printed for marking out and cutting."""
        _room, now = _marks(request, room_id)
        told = {
            "revision": now.revision.number,
            "types": sorted({mark.mark.fixture_type_id for mark in now.marks}),
            "label_sheets": list(papers.sheets_for_marks().values()),
        }
        return Response(MarkingOut(told).data)


class MarkingCards(IssuedView):
    renderer_classes = [Pdf]

    @extend_schema(
        operation_id="print_marking_card",
        request=CARD.schema(defaults=("paper", "language")),
        responses={(200, "application/pdf"): OpenApiTypes.BINARY},
    )
    def post(self, request, room_id):
        """Print the card for the floor, or the one after drywall, and write down who has it."""
        room, now = _marks(request, room_id)
        start = {name: field.initial for name, field in MarkingCardForm().fields.items() if field.initial}
        said = CARD.fill(request.data, start={"paper": "letter", **start}).cleaned_data
        revision = queries.revision_with_marks(room, now.revision.number)
        with printed_in(said["language"]):
            sheet = CARDS[said["card"]](revision, room, now)
            content = card_pdf(sheet, PAPERS[said["paper"]])
        log_copy(
            revision, how="printed", held_by=said["held_by"], datum=sheet.datum.value, by=request.member,
            language=said["language"],
        )  # fmt: skip
        return pdf_answer(content)


class HoleList(PaperAlone):
    @described("hole_list", more=[LANGUAGE])
    def get(self, request, room_id):
        """For the board crew: how many holes of which size, and where each is."""
        room, now = _marks(request, room_id)
        return self.printed(lambda: papers.hole_list(room, now, on=timezone.localdate()))


class AsBuiltPaper(PaperAlone):
    @described("as_built_paper", more=[LANGUAGE])
    def get(self, request, room_id):
        """The plan as it was built."""
        room, now = _marks(request, room_id)
        return self.printed(lambda: papers.as_built_paper(room, now, on=timezone.localdate()))


class MarkLabels(IssuedView):
    renderer_classes = [Pdf]
    questions = ("sheet", "first")

    @extend_schema(
        operation_id="mark_labels",
        parameters=[
            OpenApiParameter("sheet", str, required=True, description="A sheet's key, from the room's marking papers"),
            OpenApiParameter("first", int, description="The first free label of the sheet; 1 unless given"),
        ],
        responses={(200, "application/pdf"): OpenApiTypes.BINARY},
    )
    def get(self, request, room_id):
        """A label for each mark."""
        self.refuse_unknown_questions(request.query_params)
        room, now = _marks(request, room_id)
        sheets = papers.sheets_for_marks()
        sheet = sheets[self.asked_one("sheet", sheets, "")]
        first, most = request.query_params.get("first", "1"), sheet.columns * sheet.rows
        if not (first.isascii() and first.isdecimal() and len(first) < 5 and 1 <= int(first) <= most):
            raise Refused([{"parameter": "first", "detail": f"From 1 to {most}.", "code": "invalid"}])
        title = f"Mark labels, {room.job.number} {room.name}"
        on = timezone.localdate()
        return pdf_answer(labels_pdf(papers.mark_labels(room, now), sheet, first=int(first), title=title, on=on))


class HoleTemplate(Document):
    renderer_classes = [Pdf]

    @described("hole_template")
    def get(self, request, type_id):
        """One type's hole at full size."""
        kind = FixtureType.objects.of(request.shop).filter(pk=type_id).first()
        if kind is None:
            raise Http404
        sheet = HoleSheet(
            kind.name, kind.cutout, kind.shape == "square", request.shop.tape, request.shop.name, timezone.localdate(),
            kind.cutout_verified_by or None,
        )  # fmt: skip
        return pdf_answer(template_pdf(sheet, self.paper()))


# Finding a box that is covered


class Boxes(IssuedView):
    @extend_schema(operation_id="boxes", responses=BoxOut(many=True))
    def get(self, request, room_id):
        """Where each box of a room is, from two finished walls and the two across."""
        room = room_of(request.shop, room_id)
        now, layout = found(room)
        return Response(BoxOut(boxes_of(now, layout, room) if layout else [], many=True).data)


class BoxView(IssuedView):
    @extend_schema(operation_id="box", responses=BoxOut)
    def get(self, request, room_id, mark):
        """Where one box is."""
        room = room_of(request.shop, room_id)
        now, layout = found(room)
        box = box_of(now, layout, room, mark) if layout else None
        if box is None:
            raise Http404
        return Response(BoxOut(box).data)


class BoxesPlan(IssuedView):
    renderer_classes = [Svg]

    @extend_schema(operation_id="boxes_plan", responses={(200, Svg.media_type): OpenApiTypes.BINARY})
    def get(self, request, room_id):
        """The room's marks as a picture."""
        room = room_of(request.shop, room_id)
        now, layout = found(room)
        if layout is None:
            raise CannotBeDone("No revision is issued yet, so there is no mark. Issue one first.")
        plan = built_plan(now, layout, room, room.job.tape, title=f"Marks of {room.name}", key="find")
        drawn = plan_svg(plan, width_mm=PLAN_WIDE, height_mm=PLAN_HIGH, number_pt=NUMBER_PT, interactive=False)
        return HttpResponse(drawn, content_type=Svg.media_type)


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "marking/", Marking.as_view(), name="marking_papers"),
    path(ROOM + "marking/cards/", MarkingCards.as_view(), name="marking_cards"),
    path(ROOM + "marking/holes/", HoleList.as_view(), name="hole_list"),
    path(ROOM + "marking/labels/", MarkLabels.as_view(), name="mark_labels"),
    path(ROOM + "marking/as-built/", AsBuiltPaper.as_view(), name="as_built_paper"),
    path(ROOM + "boxes/", Boxes.as_view(), name="boxes"),
    path(ROOM + "boxes/plan/", BoxesPlan.as_view(), name="boxes_plan"),
    path(ROOM + "boxes/<slug:mark>/", BoxView.as_view(), name="box"),
    path("fixture-types/<int:type_id>/hole/", HoleTemplate.as_view(), name="hole_template"),
]
