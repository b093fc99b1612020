"""Inspections over the API: visits, what each room came to, corrections and what was done about them."""

from django import forms
from django.urls import path, reverse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of, room_of
from projects.photos.services import NoPicture
from projects.platform.api.bodies import Body, Kind, Unfit
from projects.platform.api.lists import Listing
from projects.platform.api.money import MONEY_IN, MoneyOut, WithMoney
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import Rows, wrong
from projects.platform.api.uploads import UploadView, uploaded
from projects.platform.api.views import ApiView, Record
from projects.platform.permissions import may
from reports.inspections import queries, services
from reports.inspections.forms import MOST_CORRECTIONS, ChangeVisitForm, CorrectionForm, RoomForm, VisitForm
from reports.inspections.models import MOST_WORDS, Correction, RoomResult, Visit
from reports.inspections.models import Kind as VisitKind

MOST_ROOMS = 200  # of one visit, as on its page


def _lines(value, form):
    """A list of texts as the lines of the page's box."""
    if not isinstance(value, list):
        raise Unfit("Give a list of texts.")
    for n, line in enumerate(value):
        if not isinstance(line, str) or len(line.splitlines()) != 1 or not line.strip():
            raise Unfit("Give one line of text, in quotes.", at=(n,))
    return "\n".join(value)


def _lines_shape(form_field, options):
    text = serializers.CharField(max_length=MOST_WORDS)
    return serializers.ListField(child=text, max_length=MOST_CORRECTIONS, help_text=str(form_field.label), **options)


class ResultForm(RoomForm):
    """One room of a visit, by its id."""

    room = forms.IntegerField(min_value=1, max_value=2**63 - 1)

    def __init__(self, *args, **kwargs):
        forms.Form.__init__(self, *args, **kwargs)
        self.fields["outcome"].required = True


class WordsForm(CorrectionForm):
    photo = None


VISIT = Body("InspectionBody", VisitForm, kinds={"fee": MONEY_IN})
CHANGE = Body("InspectionBody", ChangeVisitForm, kinds={"fee": MONEY_IN})
RESULT = Body("InspectionRoomBody", ResultForm, kinds={"corrections": Kind(_lines, _lines_shape)})
ANSWER = Body("CorrectionAnswerBody", WordsForm)
LEFT_OUT = ("on", "tag", "again_on", "fee", "note")


def _visit_body():
    rooms = RESULT.schema(defaults=("corrections",))(many=True, max_length=MOST_ROOMS)
    return type("InspectionBody", (VISIT.schema(defaults=LEFT_OUT),), {"rooms": rooms})


class CorrectionOut(Record):
    answered_by = serializers.CharField(source="answered_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Correction
        fields = ("id", "words", "answer", "photo", "answered_by", "answered_at", "version")
        read_only_fields = fields


class RoomResultOut(Record):
    corrections = CorrectionOut(many=True)

    class Meta:
        model = RoomResult
        fields = ("id", "room", "outcome", "corrections")
        read_only_fields = fields


class RoomInspectionOut(RoomResultOut):
    kind = serializers.ChoiceField(source="visit.kind", choices=VisitKind.values, read_only=True)
    on = serializers.DateField(source="visit.on", read_only=True)
    inspector = serializers.CharField(source="visit.inspector", read_only=True)
    tag = serializers.CharField(source="visit.tag", read_only=True)

    class Meta(RoomResultOut.Meta):
        fields = ("id", "visit", "kind", "on", "inspector", "tag", "outcome", "corrections")
        read_only_fields = fields


class InspectionRow(WithMoney, Record):
    fee = MoneyOut(allow_null=True)

    class Meta:
        model = Visit
        fields = ("id", "job", "kind", "on", "inspector", "tag", "fee", "again_on", "note", "version", "updated_at")
        read_only_fields = fields


class CountedInspectionRow(InspectionRow):
    looked_at = serializers.IntegerField(read_only=True)
    passed = serializers.IntegerField(read_only=True)
    open = serializers.IntegerField(read_only=True, help_text="Corrections without an answer")

    class Meta(InspectionRow.Meta):
        fields = (*InspectionRow.Meta.fields, "looked_at", "passed", "open")
        read_only_fields = fields


class InspectionOut(InspectionRow):
    results = RoomResultOut(many=True)

    class Meta(InspectionRow.Meta):
        fields = (*InspectionRow.Meta.fields, "results")
        read_only_fields = fields


class FailedOut(serializers.Serializer):
    room_id = serializers.IntegerField()
    room = serializers.CharField()
    visit_id = serializers.IntegerField()
    kind = serializers.CharField()
    on = serializers.DateField()
    outcome = serializers.CharField()
    open = serializers.IntegerField(help_text="Corrections without an answer")
    again_on = serializers.DateField(allow_null=True)


class NotPassedOut(serializers.Serializer):
    """first_time: rooms that passed the first time they were looked at, of all that were."""

    failed = FailedOut(many=True)
    first_time_passed = serializers.IntegerField()
    first_time_looked_at = serializers.IntegerField()


class JobInspections(ApiView):
    listing = Listing()

    @extend_schema(operation_id="job_inspections", responses=CountedInspectionRow(many=True))
    def get(self, request, job_id):
        """A job's visits, the newest first, with how many rooms were looked at and passed."""
        rows = queries.visits_of(job_of(request.shop, job_id))
        return self.paged(rows, CountedInspectionRow, member=request.member)

    @extend_schema(operation_id="record_inspection", request=_visit_body(), responses={201: InspectionOut})
    def post(self, request, job_id):
        """Write down a visit: what was looked at, and how each room came out. What was found is never edited."""
        job = job_of(request.shop, job_id)
        given, rooms = _parted(request.data)
        found = Rows()
        visit = found.form(VISIT, given, (), see_money=may(request.member, "see prices"))
        rows = _results(job, found, rooms)
        found.refuse()
        try:
            made = services.record_visit(job, by=request.member, results=rows, **visit.cleaned_data)
        except services.CannotBeDone as refused:
            raise CannotBeDone(str(refused)) from refused
        stored = queries.visit_of(request.shop, made.pk)
        where = reverse("api:inspection", args=[made.pk])
        return self.told(stored, _told(request, stored), status=201, headers={"Location": where})


def _results(job, found, rooms):
    """(room, outcome, corrections) of each room that was said of; what is wrong is gathered in `found`."""
    known = {room.pk: room for room in job.rooms.filter(cancelled=False)}
    rows, seen = [], set()
    for n, one in found.listed(rooms, ("rooms",), MOST_ROOMS):
        form = found.form(RESULT, one, ("rooms", n))
        if form is None:
            continue
        said = form.cleaned_data
        room = known.get(said["room"])
        if room is None:
            found.errors.append(wrong(("rooms", n, "room"), "Not a room of this job.", "unknown"))
        elif room.pk in seen:
            found.errors.append(wrong(("rooms", n, "room"), "It stands twice. Say once how it went.", "twice"))
        else:
            seen.add(room.pk)
            rows.append((room, said["outcome"], said["corrections"]))
    return rows


def _parted(sent):
    """A visit's own fields, and its rooms."""
    if not isinstance(sent, dict):
        return sent, None
    if not isinstance(sent.get("rooms"), list):
        raise Refused([wrong(("rooms",), "Give a list of rooms, and how each went.", "required")])
    return {name: value for name, value in sent.items() if name != "rooms"}, sent["rooms"]


def _told(request, visit):
    return InspectionOut(visit, context={"member": request.member}).data


class JobNotPassed(ApiView):
    pagination_class = None

    @extend_schema(operation_id="not_passed", responses=NotPassedOut)
    def get(self, request, job_id):
        """What failed or passed in part and was not passed since, and how often rooms pass at first."""
        job = job_of(request.shop, job_id)
        rate = queries.first_time_pass_rate(job)
        told = {
            "failed": queries.failed_open(job),
            "first_time_passed": rate.passed,
            "first_time_looked_at": rate.looked_at,
        }
        return Response(NotPassedOut(told).data)


class InspectionView(ApiView):
    @extend_schema(operation_id="inspection", responses=InspectionOut)
    def get(self, request, visit_id):
        """One visit: each room's result, each correction and its answer."""
        visit = queries.visit_of(request.shop, visit_id)
        return self.told(visit, _told(request, visit))

    @extend_schema(operation_id="change_inspection", request=CHANGE.schema(partial=True), responses=InspectionOut)
    def patch(self, request, visit_id):
        """What is known later: the tag, the day it is looked at again, the note. Results stay as they were."""
        visit = queries.visit_of(request.shop, visit_id)
        self.change(
            visit,
            CHANGE,
            lambda one: InspectionRow(one, context={"member": request.member}).data,
            lambda form, seen: services.change_visit(visit, seen, form.changes),
            start={name: getattr(visit, name) for name in ("inspector", "tag", "again_on", "fee", "note")},
            visit=visit,
            see_money=may(request.member, "see prices"),
        )
        stored = queries.visit_of(request.shop, visit_id)
        return self.told(stored, _told(request, stored))


class RoomInspections(ApiView):
    listing = Listing()

    @extend_schema(operation_id="room_inspections", responses=RoomInspectionOut(many=True))
    def get(self, request, room_id):
        """What inspectors said of one room, the newest first."""
        return self.paged(queries.results_of(room_of(request.shop, room_id)), RoomInspectionOut)


def _answered(request, correction, words, upload=None):
    try:
        services.answer_correction(correction, by=request.member, words=words, upload=upload)
    except services.CannotBeDone as refused:
        raise CannotBeDone(str(refused)) from refused
    except NoPicture as refused:
        raise Refused([wrong(("photo",), str(refused))]) from refused
    return Response(CorrectionOut(queries.correction_of(request.shop, correction.pk)).data)


class AnswerCorrection(ApiView):
    pagination_class = None

    @extend_schema(operation_id="answer_correction", request=ANSWER.schema(), responses=CorrectionOut)
    def post(self, request, correction_id):
        """What was done about it. The room stays open until an inspector passes it."""
        correction = queries.correction_of(request.shop, correction_id)
        return _answered(request, correction, ANSWER.fill(request.data).cleaned_data["words"])


class CorrectionPhotoIn(serializers.Serializer):
    words = serializers.CharField(max_length=MOST_WORDS)
    photo = serializers.FileField(help_text="JPEG, PNG or WebP")


class AnswerCorrectionWithPhoto(UploadView):
    pagination_class = None

    @extend_schema(
        operation_id="answer_correction_with_photo",
        request={"multipart/form-data": CorrectionPhotoIn},
        responses=CorrectionOut,
    )
    def post(self, request, correction_id):
        """What was done about it, with a photo that is kept among the room's."""
        correction = queries.correction_of(request.shop, correction_id)
        said = uploaded(request, CorrectionForm).cleaned_data
        return _answered(request, correction, said["words"], said["photo"])


urlpatterns = [
    path("jobs/<int:job_id>/inspections/", JobInspections.as_view(), name="job_inspections"),
    path("jobs/<int:job_id>/inspections/not-passed/", JobNotPassed.as_view(), name="not_passed"),
    path("inspections/<int:visit_id>/", InspectionView.as_view(), name="inspection"),
    path("rooms/<int:room_id>/inspections/", RoomInspections.as_view(), name="room_inspections"),
    path("corrections/<int:correction_id>/answer/", AnswerCorrection.as_view(), name="answer_correction"),
    path(
        "corrections/<int:correction_id>/answer/photo/",
        AnswerCorrectionWithPhoto.as_view(),
        name="answer_correction_with_photo",
    ),
]
