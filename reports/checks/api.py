"""Checklists over the API: what is asked of a room, a floor, a job; answers; what the room has. As on their pages."""

from django import forms
from django.http import Http404
from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of, room_of
from projects.photos.services import NoPicture
from projects.platform.api.bodies import Body, Kind, Unfit
from projects.platform.api.lists import Listing
from projects.platform.api.problems import Refused
from projects.platform.api.rows import wrong
from projects.platform.api.uploads import UploadView, uploaded
from projects.platform.api.views import ApiView, RecordView, Stale
from reports.checks import services
from reports.checks.forms import NO, YES, KnownForm, SaidForm
from reports.checks.models import Outcome, RoomKnown
from reports.checks.queries import progress, sheet_of, sheet_of_job
from reports.estimating.checklist import ASKED_ON_SITE, Bearing

WORDS = {None: "", True: YES, False: NO}


class GroupForm(forms.Form):
    group = forms.CharField(max_length=120, label="The group's name, as on the list")


class PhotoSaidForm(SaidForm):
    photo = forms.FileField()


SAID = Body("ChecklistAnswerBody", SaidForm)
SAID_BODY = SAID.schema(defaults=("reason", "base"))
GROUP = Body("ChecklistGroupBody", GroupForm)



def _yes_or_no(value, form):
    if not isinstance(value, bool):
        raise Unfit("Give true or false, or null while nobody knows.")
    return WORDS[value]


TOLD = Kind(_yes_or_no, lambda box, options: serializers.BooleanField(help_text=str(box.label), **options))
KNOWN = Body(
    "RoomKnownBody", KnownForm, kinds=dict.fromkeys(ASKED_ON_SITE, TOLD), example=lambda: KnownForm().fields
)


class CheckAnswerOut(serializers.Serializer):
    version = serializers.IntegerField()
    outcome = serializers.ChoiceField(choices=Outcome.values)
    reason = serializers.CharField()
    photo = serializers.IntegerField(source="photo_id", allow_null=True)
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None)
    at = serializers.DateTimeField()


class CheckItemOut(serializers.Serializer):
    """bears: whether it concerns this room; ask: nobody has said what turns_on asks. before: earlier answers."""

    number = serializers.IntegerField(source="item.number")
    group = serializers.CharField(source="item.group")
    text = serializers.CharField(source="item.text")
    once_per = serializers.CharField(source="item.once_per")
    caution = serializers.BooleanField(source="item.caution")
    holds = serializers.CharField(source="item.holds", allow_null=True)
    photo = serializers.BooleanField(source="item.photo", help_text="A photo is wanted with it")
    bears = serializers.ChoiceField(source="bearing", choices=[each.value for each in Bearing])
    turns_on = serializers.ListField(child=serializers.CharField())
    answer = CheckAnswerOut(allow_null=True)
    before = CheckAnswerOut(many=True)


class CheckSheetOut(serializers.Serializer):
    """holding: numbers of the items that keep the room from its inspection. It says of nothing that it complies."""

    versions = serializers.ListField(child=serializers.CharField(), help_text="Editions of the list")
    closing = serializers.CharField()
    items = CheckItemOut(source="rows", many=True)
    holding = serializers.SerializerMethodField()

    def get_holding(self, sheet) -> list[int]:
        return [row.item.number for row in sheet.holding]


class JobChecksOut(serializers.Serializer):
    levels = serializers.ListField(child=serializers.CharField())
    level = serializers.CharField(allow_null=True, help_text="The floor that `floor` is of")
    job = CheckSheetOut()
    floor = CheckSheetOut(allow_null=True)


class CheckProgressOut(serializers.Serializer):
    room = serializers.IntegerField()
    name = serializers.CharField()
    answered = serializers.IntegerField()
    asked = serializers.IntegerField()
    failed = serializers.IntegerField()


RoomKnownOut = type(
    "RoomKnownOut",
    (serializers.Serializer,),
    {
        "__doc__": "What a person in the room said of it; null: nobody knows yet.",
        **{name: serializers.BooleanField(allow_null=True) for name in ASKED_ON_SITE},
        "version": serializers.IntegerField(),
    },
)


def _kept(keep):
    """What the service keeps. Raises Refused, Stale with both answers."""
    try:
        return keep()
    except services.NotAnswered as refused:
        raise Refused([wrong((refused.field,), str(refused))]) from refused
    except services.AnsweredOtherwise as other:
        theirs = CheckAnswerOut(other.theirs).data
        yours = {"outcome": str(other.mine), "reason": other.reason}
        raise Stale(yours, theirs, str(other.theirs.version)) from other
    except NoPicture as refused:
        raise Refused([wrong(("photo",), str(refused))]) from refused


class RoomChecks(ApiView):
    pagination_class = None

    @extend_schema(operation_id="room_checks", responses=CheckSheetOut)
    def get(self, request, room_id):
        """A room's checklist: what is asked of it, and every answer."""
        return Response(CheckSheetOut(sheet_of(room_of(request.shop, room_id))).data)

    @extend_schema(operation_id="answer_check", request=SAID_BODY, responses={201: CheckAnswerOut})
    def post(self, request, room_id):
        """Answer one item. `base` is the version of the answer you saw; answered otherwise since, 412 with both."""
        room = room_of(request.shop, room_id)
        said = SAID.fill(request.data).cleaned_data
        kept = _kept(lambda: services.answer(room, by=request.member, **_answer(said)))
        return Response(CheckAnswerOut(kept).data, status=201)


def _answer(said):
    return {name: said[name] for name in ("number", "outcome", "reason")} | {"base": said["base"] or 0}


class CheckPhotoIn(serializers.Serializer):
    number = serializers.IntegerField()
    outcome = serializers.ChoiceField(choices=Outcome.values)
    reason = serializers.CharField(required=False)
    base = serializers.IntegerField(required=False)
    photo = serializers.FileField(help_text="JPEG, PNG or WebP")


class RoomChecksPhoto(UploadView):
    pagination_class = None

    @extend_schema(
        operation_id="answer_check_with_photo",
        request={"multipart/form-data": CheckPhotoIn},
        responses={201: CheckAnswerOut},
    )
    def post(self, request, room_id):
        """Answer one item with a photo, which is kept among the room's."""
        room = room_of(request.shop, room_id)
        said = uploaded(request, PhotoSaidForm).cleaned_data

        def keep():
            photo = services.photo_of_item(room, said["number"], said["photo"], by=request.member)
            return services.answer(room, by=request.member, photo=photo, **_answer(said))

        return Response(CheckAnswerOut(_kept(keep)).data, status=201)


class PassRest(ApiView):
    pagination_class = None

    @extend_schema(operation_id="pass_rest", request=GROUP.schema(), responses=CheckSheetOut)
    def post(self, request, room_id):
        """Pass what is left of a group. A caution, or what the inspection waits for, is never among it."""
        room = room_of(request.shop, room_id)
        group = GROUP.fill(request.data).cleaned_data["group"]
        if group not in {row.item.group for row in sheet_of(room).rows}:
            raise Refused([wrong(("group",), "No group of this list is called so.", "unknown")])
        services.pass_rest(room, group, by=request.member)
        return Response(CheckSheetOut(sheet_of(room)).data)


class RoomKnownView(RecordView):
    pagination_class = None
    out = RoomKnownOut

    @extend_schema(operation_id="room_known", responses=RoomKnownOut)
    def get(self, request, room_id):
        """What somebody in the room said of it that no drawing tells."""
        return self.answer(_known(room_of(request.shop, room_id)))

    @extend_schema(operation_id="tell_room_known", request=KNOWN.schema(partial=True), responses=RoomKnownOut)
    def patch(self, request, room_id):
        """Say yes, no, or nothing known; it decides what the checklist asks."""
        room = room_of(request.shop, room_id)
        known = _known(room)
        return self.edit(
            known,
            KNOWN,
            lambda form, seen: services.tell(room, seen, form.changes, by=request.member),
            start={name: WORDS[getattr(known, name)] for name in ASKED_ON_SITE},
        )


def _known(room):
    """What is kept, or a record of nothing, at version 0."""
    found = RoomKnown.objects.of(room.shop_id).filter(room=room).first()
    return found or RoomKnown(shop_id=room.shop_id, room=room, version=0)


class JobChecks(ApiView):
    pagination_class = None
    questions = ("level",)

    @extend_schema(operation_id="job_checks", responses=JobChecksOut, parameters=[OpenApiParameter("level", str)])
    def get(self, request, job_id):
        """What is asked once for the job, and for one of its floors: the first, or the one asked for."""
        self.refuse_unknown_questions(request.query_params)
        job = job_of(request.shop, job_id)
        levels = _levels(job)
        level = request.query_params.get("level", levels[0] if levels else None)
        if level is not None and level not in levels:
            said = "No room of this job is on that floor."
            raise Refused([{"parameter": "level", "detail": said, "code": "unknown"}])
        floor = sheet_of_job(job, level) if level is not None else None
        told = {"levels": levels, "level": level, "job": sheet_of_job(job), "floor": floor}
        return Response(JobChecksOut(told).data)

    @extend_schema(
        operation_id="answer_job_check",
        request=SAID_BODY,
        responses={201: CheckAnswerOut},
        parameters=[OpenApiParameter("level", str, description="The floor, for an item asked once for each")],
    )
    def post(self, request, job_id):
        """Answer an item of the job, or of one of its floors."""
        self.refuse_unknown_questions(request.query_params)
        job = job_of(request.shop, job_id)
        said = SAID.fill(request.data).cleaned_data
        level = request.query_params.get("level", "")
        if level and level not in _levels(job):
            raise Http404
        kept = _kept(lambda: services.answer_for(job, level=level, by=request.member, **_answer(said)))
        return Response(CheckAnswerOut(kept).data, status=201)


def _levels(job):
    return list(job.rooms.filter(cancelled=False).order_by("level").values_list("level", flat=True).distinct())


class JobChecksProgress(ApiView):
    listing = Listing()

    @extend_schema(operation_id="job_checks_progress", responses=CheckProgressOut(many=True))
    def get(self, request, job_id):
        """How far each room's checklist is."""
        rooms = job_of(request.shop, job_id).rooms.filter(cancelled=False).order_by("pk")
        return self.paged(rooms, _progress_rows)


def _progress_rows(page, **_more):
    how_far = progress(list(page))
    names = ("answered", "asked", "failed")
    rows = [{"room": room.pk, "name": room.name, **dict(zip(names, how_far[room.pk], strict=True))} for room in page]
    return CheckProgressOut(rows, many=True)


ROOM, JOB = "rooms/<int:room_id>/checks/", "jobs/<int:job_id>/checks/"

urlpatterns = [
    path(ROOM, RoomChecks.as_view(), name="room_checks"),
    path(ROOM + "photo/", RoomChecksPhoto.as_view(), name="room_checks_photo"),
    path(ROOM + "rest/", PassRest.as_view(), name="pass_rest"),
    path(ROOM + "known/", RoomKnownView.as_view(), name="room_known"),
    path(JOB, JobChecks.as_view(), name="job_checks"),
    path(JOB + "progress/", JobChecksProgress.as_view(), name="job_checks_progress"),
]
