"""What is done with change orders over the API: written line by line, answered, printed; a job's terms."""

from django import forms
from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import ID, Body, Kind, Unfit
from projects.platform.api.lists import Listing, choice
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import Record, RecordView
from reports.changes import forms as boxes
from reports.changes import paper, queries, services
from reports.changes.api import ChangeOut, ChangeRow, Refusing
from reports.changes.contents import contents_of, kept, moved_words
from reports.changes.models import ChangeOrder, ContractTerms, State, TypedLine
from reports.changes.pricing import TERM_FIELDS, price_moves, price_of
from reports.changes.rules import default_terms
from reports.papers_api import Document, Pdf, described, pdf_answer

MOST_LIGHTS = 200
WAITING = (State.DRAFT, State.SENT)


def _names(value, form):
    if not isinstance(value, list) or any(not isinstance(one, str) for one in value):
        raise Unfit("Give a list of lights' names, like [\"A1\"].")
    return value


def _names_shape(box, options):
    child = serializers.CharField(max_length=8)
    return serializers.ListField(child=child, max_length=MOST_LIGHTS, help_text=str(box.label), **options)


class MovedBodyForm(boxes.MovedLightsForm):
    """Without a drawn signature. seen: the sum that was read to who signs."""

    ink = None
    seen = forms.CharField(max_length=20, label="The sum as it was read")
    field_order = ("marks", "reason", "name", "on", "seen")


LINE = Body("ChangeLineBody", boxes.LineForm, kinds={"room": ID}, example=lambda: boxes.LineForm.base_fields)
GOODS = Body("ChangeGoodsBody", boxes.GoodsForm, paths={"room_id": ("room",)}, kinds={"room_id": ID})
EDIT = Body("ChangeOrderBody", boxes.ChangeForm)
SPOKEN = Body("SpokenBody", boxes.SpokenForm)
WHY = Body("ChangeWhyBody", boxes.WhyForm)
TERMS = Body("ContractTermsBody", boxes.TermsForm)
PAIR = Body(
    "ChangedRevisionsBody", boxes.FromRevisionsForm, kinds={"before": ID, "after": ID},
    example=lambda: boxes.FromRevisionsForm.base_fields,
)  # fmt: skip
MOVED = Body(
    "MovedLightsBody", MovedBodyForm, kinds={"marks": Kind(_names, _names_shape)},
    example=lambda: MovedBodyForm.base_fields,
)  # fmt: skip


class TypedLineOut(Record):
    class Meta:
        model = TypedLine
        fields = ("id", "words", "room", "hours", "material", "taxable")
        read_only_fields = fields


class ContractTermsOut(Record):
    """Every percentage says what it is of, in the body's description. entered: not the shop's usual ones."""

    entered = serializers.SerializerMethodField()

    class Meta:
        model = ContractTerms
        fields = (*TERM_FIELDS, "entered", "version")
        read_only_fields = fields

    def get_entered(self, terms) -> bool:
        return terms.pk is not None


class MovedPriceOut(serializers.Serializer):
    """What moving these lights comes to at the room's stage today."""

    revision = serializers.IntegerField()
    marks = serializers.ListField(child=serializers.CharField())
    said = serializers.ListField(child=serializers.CharField())
    price = serializers.DecimalField(13, 2)
    days = serializers.DecimalField(7, 1)
    no_wage = serializers.BooleanField(help_text="No wage is entered: labor comes to nothing")


def _told(view, change_id, **more):
    stored = queries.change_of(view.request.shop, change_id)
    return view.told(stored, ChangeOut(stored).data, **more)


# A draft


class Unsigned(Refusing):
    listing = Listing(ChangeOrder, filters={"state": choice("state", WAITING)}, search=("title", "asked_by"))

    @extend_schema(operation_id="unsigned_changes", responses=ChangeRow(many=True))
    def get(self, request):
        """Every change order of the shop that somebody has to send or sign, the oldest first."""
        rows = ChangeOrder.objects.of(request.shop).filter(state__in=WAITING, job__trashed_at=None)
        return self.paged(rows.defer("contents", "ink").order_by("created_at", "pk"), ChangeRow)


class RoomChanges(Refusing):
    pagination_class = None

    @extend_schema(operation_id="change_from_revisions", request=PAIR.schema(), responses={201: ChangeRow})
    def post(self, request, room_id):
        """Open a draft of what changed from one revision of a room to a later one. before, after: revisions' ids."""
        room = room_of(request.shop, room_id)
        said = PAIR.fill(request.data, revisions=room.revisions.order_by("-number")).cleaned_data
        pair = (room, said["before"], said["after"])
        made = services.open_from_layouts(room.job, [pair], request.member)
        where = reverse("api:change", args=[made.pk])
        return self.told(made, ChangeRow(made).data, status=201, headers={"Location": where})


class EditChange(Refusing):
    pagination_class = None

    @extend_schema(operation_id="edit_change", request=EDIT.schema(partial=True), responses=ChangeOut)
    def patch(self, request, change_id):
        """Its title, reason, who asked, the days added; while it is a draft."""
        found = queries.change_of(request.shop, change_id)
        self.change(
            found,
            EDIT,
            lambda one: ChangeRow(one).data,
            lambda form, seen: services.change_draft(found, seen, form.changes),
            start={name: getattr(found, name) for name in ("title", "reason", "asked_by", "days")},
        )
        return _told(self, change_id)


class ChangeLines(Refusing):
    pagination_class = None

    @extend_schema(operation_id="change_lines", responses=TypedLineOut(many=True))
    def get(self, request, change_id):
        """The lines that were typed."""
        return Response(TypedLineOut(queries.change_of(request.shop, change_id).typed_lines.all(), many=True).data)

    @extend_schema(
        operation_id="add_change_line",
        request=LINE.schema(defaults=("taxable",)),
        responses={201: TypedLineOut},
    )
    def post(self, request, change_id):
        """Add a line to a draft: hours, material at cost, or both."""
        found = queries.change_of(request.shop, change_id)
        said = LINE.fill(request.data, rooms=found.job.rooms.all(), start={"taxable": True}).cleaned_data
        line = services.add_line(found, **said)
        where = reverse("api:change_lines", args=[found.pk])
        return Response(TypedLineOut(line).data, status=201, headers={"Location": where})


class ChangeLine(Refusing):
    pagination_class = None

    @extend_schema(operation_id="remove_change_line", responses={204: None})
    def delete(self, request, change_id, typed_line_id):
        """Take a typed line out of a draft. If-Match is the change order's own."""
        found = queries.change_of(request.shop, change_id)
        if all(line.pk != typed_line_id for line in found.typed_lines.all()):
            raise Http404
        self.seen_version(found, ChangeRow(found).data)
        services.remove_line(found, typed_line_id)
        return Response(status=204)


class ChangeGoods(Refusing):
    pagination_class = None

    @extend_schema(operation_id="say_change_goods", request=GOODS.schema(), responses=ChangeOut)
    def post(self, request, change_id):
        """Where goods are that a draft takes out of a room: it decides what is given back for them."""
        found = queries.change_of(request.shop, change_id)
        said = GOODS.fill(request.data).cleaned_data
        if not found.rooms.filter(room_id=said["room_id"]).exists():
            raise Refused([wrong(("room",), "That room isn't in this change order.", "unknown")])
        services.say_goods(found, **said)
        return _told(self, change_id)


# Its answers


class _Answer(Refusing):
    pagination_class = None

    def answered(self, request, change_id, body, service, *by):
        found = queries.change_of(request.shop, change_id)
        service(found, *by, **body.fill(request.data).cleaned_data)
        return _told(self, change_id)


class SpokenChange(_Answer):
    @extend_schema(operation_id="say_yes_to_change", request=SPOKEN.schema(), responses=ChangeOut)
    def post(self, request, change_id):
        """A yes that was only spoken. It stays open until somebody signs."""
        return self.answered(request, change_id, SPOKEN, services.said_yes)


class RejectChange(_Answer):
    @extend_schema(operation_id="reject_change", request=WHY.schema(), responses=ChangeOut)
    def post(self, request, change_id):
        """It was turned down, and why."""
        return self.answered(request, change_id, WHY, services.reject, request.member)


class VoidChange(_Answer):
    @extend_schema(operation_id="void_change", request=WHY.schema(), responses=ChangeOut)
    def post(self, request, change_id):
        """A draft or an unsigned one that is not wanted. Its field extras are open again."""
        return self.answered(request, change_id, WHY, services.void, request.member)


class ChangePaper(Refusing, Document):
    renderer_classes = [Pdf]

    @described("change_paper")
    def get(self, request, change_id):
        """The change order for a signature. A draft prints as one."""
        found = queries.change_of(request.shop, change_id)
        contents = contents_of(found, price_of(found)) if found.is_draft or not found.contents else kept(found)
        return pdf_answer(paper.change_pdf(found, contents, self.paper()))


class JobTerms(Refusing, RecordView):
    pagination_class = None
    out = ContractTermsOut

    @extend_schema(operation_id="contract_terms", responses=ContractTermsOut)
    def get(self, request, job_id):
        """What a job's contract says of changes, or the shop's usual terms."""
        return self.answer(_terms(job_of(request.shop, job_id)))

    @extend_schema(operation_id="set_contract_terms", request=TERMS.schema(partial=True), responses=ContractTermsOut)
    def patch(self, request, job_id):
        """Enter what the contract says. Changes that were sent stay as they are."""
        job = job_of(request.shop, job_id)
        terms = _terms(job)
        return self.edit(
            terms,
            TERMS,
            lambda form, seen: services.set_terms(job, seen, form.changes),
            start={name: getattr(terms, name) for name in TERM_FIELDS},
        )


def _terms(job):
    own = ContractTerms.objects.of(job.shop_id).filter(job=job).first()
    usual = {name: getattr(default_terms(), name) for name in TERM_FIELDS}
    return own or ContractTerms(shop_id=job.shop_id, job=job, version=0, **usual)


# Lights that somebody wants elsewhere


class MovedLights(Refusing):
    pagination_class = None
    questions = ("marks",)

    @extend_schema(
        operation_id="price_moved_lights",
        responses=MovedPriceOut,
        parameters=[OpenApiParameter("marks", str, required=True, description="Lights by name, with commas: A1,A2")],
    )
    def get(self, request, room_id):
        """What moving lights comes to at the room's stage today, before anything moves."""
        self.refuse_unknown_questions(request.query_params)
        room = room_of(request.shop, room_id)
        revision, known = _marks(room)
        asked = [name.strip() for name in request.query_params.get("marks", "").split(",") if name.strip()]
        if not asked or len(asked) > MOST_LIGHTS or set(asked) - set(known):
            said = f"Lights of the newest revision, with commas between: {', '.join(known[:12])}."
            raise Refused([{"parameter": "marks", "detail": said, "code": "invalid"}])
        priced = price_moves(room, revision, list(dict.fromkeys(asked)))
        told = {
            "revision": revision.number, "marks": list(dict.fromkeys(asked)), "price": priced.change.price,
            "said": [moved_words(mark, room.job.tape) for _room, mark in priced.moved], "days": priced.change.days,
            "no_wage": not priced.books.rates.entered,
        }  # fmt: skip
        return Response(MovedPriceOut(told).data)

    @extend_schema(operation_id="sign_moved_lights", request=MOVED.schema(), responses={201: ChangeRow})
    def post(self, request, room_id):
        """A change order, sent and signed at once, for the sum that was read (`seen`). Twice is once."""
        room = room_of(request.shop, room_id)
        revision, known = _marks(room)
        said = MOVED.fill(request.data, marks=[(ident, ident) for ident in known]).cleaned_data
        change = services.sign_moved_lights(
            room, revision, said["marks"], request.member, reason=said["reason"], name=said["name"], on=said["on"],
            seen_price=said["seen"],
        )  # fmt: skip
        return Response(ChangeRow(change).data, status=201)


def _marks(room):
    revision = room.revisions.order_by("-number").first()
    if revision is None:
        raise CannotBeDone("No revision is issued yet, so there is no light to move. Issue one first.")
    return revision, list(revision.marks.order_by("pk").values_list("ident", flat=True))


ONE = "changes/<int:change_id>/"

urlpatterns = [
    path("changes/", Unsigned.as_view(), name="unsigned_changes"),
    path("rooms/<int:room_id>/changes/", RoomChanges.as_view(), name="room_changes"),
    path("jobs/<int:job_id>/contract-terms/", JobTerms.as_view(), name="contract_terms"),
    path(ONE + "edit/", EditChange.as_view(), name="edit_change"),
    path(ONE + "lines/", ChangeLines.as_view(), name="change_lines"),
    path(ONE + "lines/<int:typed_line_id>/", ChangeLine.as_view(), name="change_line"),
    path(ONE + "goods/", ChangeGoods.as_view(), name="change_goods"),
    path(ONE + "spoken/", SpokenChange.as_view(), name="spoken_change"),
    path(ONE + "reject/", RejectChange.as_view(), name="reject_change"),
    path(ONE + "void/", VoidChange.as_view(), name="void_change"),
    path(ONE + "paper/", ChangePaper.as_view(), name="change_paper"),
    path("rooms/<int:room_id>/moved-lights/", MovedLights.as_view(), name="moved_lights"),
]
