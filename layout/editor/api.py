"""A room's plan over the API: ceiling and held lines tried or kept together, the picture under it, and its files."""

from dataclasses import replace

from django import forms
from django.http import FileResponse, Http404, HttpResponse
from django.urls import path
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.response import Response

from layout import exports
from layout.draft_api import LISTS as DRAFT_LISTS
from layout.draft_api import ROWS_IN, SAME, MovedOut, PinOut, draft_of
from layout.editor import pictures
from layout.editor.files import written
from layout.editor.keep import keep_plan
from layout.editor.picture_forms import ScaleForm, UploadForm
from layout.engine.lengths import LengthError
from layout.engine.room import lay_out
from layout.inputs import NotLaidOutYet, inputs_of
from layout.layout_out import LayoutOut
from layout.models import PlanPicture
from projects.ceilings import api as ceiling_api
from projects.ceilings.services import TooMany, ceiling_of
from projects.ceilings.values import entered
from projects.files.pictures import NoPicture
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.files import FILE, FileView, saved_as
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import Rows, unknown, wrong
from projects.platform.api.uploads import UploadView, uploaded
from projects.platform.api.views import ApiView, Record, Stale
from projects.platform.tenancy import StaleVersion

HELD = ("pins", "moved")


class VersionsForm(forms.Form):
    draft_version = forms.IntegerField(label="Of the draft, as it was read", min_value=0)
    ceiling_version = forms.IntegerField(label="Of what stands overhead, as it was read", min_value=0)


VERSIONS = Body("PlanVersionsBody", VersionsForm)
UPLOAD = Body("PlanPictureBody", UploadForm, kinds={"picture": FILE})
SCALE = Body("PictureScaleBody", ScaleForm)


def _parts():
    held = {name: ROWS_IN[name](many=True, required=False, max_length=DRAFT_LISTS[name][1]) for name in HELD}
    return held | {"ceiling": ceiling_api.CEILING(required=False)}


TryIn = type("PlanTryBody", (serializers.Serializer,), {"__doc__": "What is left out is as it is kept.", **_parts()})
KeepIn = type("PlanBody", (VERSIONS.schema(),), {"__doc__": "What is left out stays as it is kept.", **_parts()})


class PlanOut(serializers.Serializer):
    draft_version = serializers.IntegerField()
    ceiling_version = serializers.IntegerField()
    pins = PinOut(many=True)
    moved = MovedOut(many=True)
    ceiling = serializers.SerializerMethodField()
    layout = LayoutOut(allow_null=True)
    refused = serializers.CharField(allow_blank=True, help_text="Why nothing can be laid out")


    @extend_schema_field(ceiling_api.CeilingOut())
    def get_ceiling(self, plan):
        return plan["ceiling"]  # as ceiling_api shows it


class PictureOut(Record):
    class Meta:
        model = PlanPicture
        fields = ("wide", "high", *ScaleForm.POINTS, "length", "at_left", "at_far", "opacity", "version")
        read_only_fields = fields


class _Desk:
    """The room with its draft and ceiling as kept, and what was sent over them."""

    def __init__(self, request, room_id):
        self.room = room_of(request.shop, room_id)
        self.tape, self.member = self.room.job.tape, request.member
        self.draft, self.ceiling = draft_of(self.room), ceiling_of(self.room)
        self.entry = entered(self.ceiling)
        self.pins, self.moved = self.draft.held()

    def take(self, given, *, besides=()):
        """Raises Refused, naming each row and field that is wrong."""
        if not isinstance(given, dict):
            raise Refused([wrong((), "Send one JSON object.")])
        rows = Rows(tape=self.tape)
        rows.errors += [unknown((name,)) for name in given if name not in (*HELD, "ceiling", *besides)]
        for name in HELD:
            if name in given:
                setattr(self, name, self._held(rows, name, given[name]))
        if "ceiling" in given:
            try:
                self.entry = ceiling_api.read(given["ceiling"], tape=self.tape, member=self.member)
            except Refused as refused:
                rows.errors += [
                    one | {"pointer": "/ceiling" + one.get("pointer", "")} for one in refused.more["errors"]
                ]
        return rows

    @staticmethod
    def _held(rows, name, given):
        body, most = DRAFT_LISTS[name]
        found = rows.forms(body, given, (name,), most)
        seen = set()
        for n, form in enumerate(found):
            same = tuple(form.cleaned_data[part] for part in SAME[name])
            if same in seen:
                rows.errors.append(wrong((name, n), "It stands twice.", "twice"))
            seen.add(same)
        return tuple(form.value for form in found)

    def lay_out(self):
        """Raises CannotBeDone."""
        try:
            inputs = inputs_of(self.room, self.draft, self.entry)
            return lay_out(replace(inputs, pins=tuple(self.pins), moved=tuple(self.moved)))
        except (LengthError, NotLaidOutYet) as error:
            raise CannotBeDone(str(error)) from error

    def told(self):
        layout, refused = None, ""
        try:
            layout = self.lay_out()
        except CannotBeDone as error:
            refused = str(error.detail)
        value = {
            "draft_version": self.draft.version, "ceiling_version": self.ceiling.version, "pins": self.pins,
            "moved": self.moved, "ceiling": ceiling_api.show(self.entry, self.tape), "layout": layout,
            "refused": refused,
        }  # fmt: skip
        return PlanOut(value, context={"tape": self.tape, "room": self.room}).data


class Plan(ApiView):
    pagination_class = None

    @extend_schema(operation_id="plan", responses=PlanOut)
    def get(self, request, room_id):
        """The plan as it is kept: ceiling, what is held of the lights, and the layout that comes of both."""
        return Response(_Desk(request, room_id).told())

    @extend_schema(operation_id="keep_plan", request=KeepIn, responses=PlanOut)
    def post(self, request, room_id):
        """Keep ceiling and held lines together, from the versions that were read; 412 when either changed since."""
        desk = _Desk(request, room_id)
        rows = desk.take(request.data, besides=VersionsForm.base_fields)
        seen = _versions_in(request.data, rows)
        rows.refuse()
        try:
            keep_plan(
                desk.draft, desk.ceiling, **seen.cleaned_data, entry=desk.entry, pins=desk.pins, moved=desk.moved,
                by=request.member,
            )  # fmt: skip
        except StaleVersion as stale:
            theirs = _Desk(request, room_id)
            raise Stale(request.data, theirs.told(), _versions(theirs)) from stale
        except TooMany as error:
            raise CannotBeDone(str(error)) from error
        return Response(_Desk(request, room_id).told())


def _versions_in(given, rows):
    """What was wrong is added to the rows' errors."""
    try:
        return VERSIONS.fill({name: given[name] for name in VersionsForm.base_fields if name in given})
    except Refused as refused:
        rows.errors += refused.more["errors"]
        return None


def ceiling_told(room):
    """What stands overhead as it is kept."""
    return ceiling_api.show(entered(ceiling_of(room)), room.job.tape)


def _versions(desk):
    return f"{desk.draft.version}, {desk.ceiling.version}"


class TryPlan(ApiView):
    keyed = False

    @extend_schema(operation_id="try_plan", request=TryIn, responses=LayoutOut)
    def post(self, request, room_id):
        """The layout that would come of another ceiling or other held lines. Nothing is kept."""
        desk = _Desk(request, room_id)
        desk.take(request.data).refuse()
        return Response(LayoutOut(desk.lay_out(), context={"tape": desk.tape, "room": desk.room}).data)


# Files


class PlanFile(FileView):
    ending, content_type = "", ""

    def given(self, request, room_id, write):
        file = written(room_of(request.shop, room_id), write)
        if file is None:
            raise CannotBeDone("The room can't be laid out yet: there is no plan to take along.")
        content, name = file
        return saved_as(HttpResponse(content, content_type=self.content_type), f"{name}.{self.ending}")


class PlanDxf(PlanFile):
    ending, content_type = "dxf", "image/vnd.dxf"

    @extend_schema(operation_id="plan_dxf", responses={(200, "image/vnd.dxf"): OpenApiTypes.BINARY})
    def get(self, request, room_id):
        """The plan for drawing programs, in layers and real units."""
        return self.given(request, room_id, exports.dxf_bytes)


class PlanSvg(PlanFile):
    ending, content_type = "svg", "image/svg+xml"

    @extend_schema(operation_id="plan_svg", responses={(200, "image/svg+xml"): OpenApiTypes.STR})
    def get(self, request, room_id):
        """The plan as a drawing, to scale."""
        return self.given(request, room_id, exports.svg_text)


# The picture under the plan


def show_picture(picture):
    return PictureOut(picture, context={"tape": picture.room.job.tape}).data


def _picture_of(room):
    found = pictures.picture_of(room)
    if found is None:
        raise Http404
    found.room = room
    return found


class Picture(ApiView):
    @extend_schema(operation_id="plan_picture", responses=PictureOut)
    def get(self, request, room_id):
        """The picture that lies under the plan, and how it was set to scale."""
        picture = _picture_of(room_of(request.shop, room_id))
        return self.told(picture, show_picture(picture))

    @extend_schema(operation_id="scale_picture", request=SCALE.schema(partial=True), responses=PictureOut)
    def patch(self, request, room_id):
        """Set it to scale: two of its points, and the length between them."""
        room = room_of(request.shop, room_id)
        picture = _picture_of(room)
        self.change(
            picture, SCALE, lambda record: show_picture(_picture_of(room)),
            lambda form, seen: pictures.set_to_scale(picture, seen, form.changes),
            start=ScaleForm.start_from(picture), tape=room.job.tape, picture=picture,
        )  # fmt: skip
        stored = _picture_of(room)
        return self.told(stored, show_picture(stored))

    @extend_schema(operation_id="remove_picture", responses={204: OpenApiResponse(description="Taken away")})
    def delete(self, request, room_id):
        """Take the picture away."""
        room = room_of(request.shop, room_id)
        picture = _picture_of(room)
        return self.take_away(picture, show_picture, lambda seen: pictures.remove_picture(room))


class PictureFile(UploadView, FileView):
    @extend_schema(operation_id="plan_picture_file", responses={(200, "image/jpeg"): OpenApiTypes.BINARY})
    def get(self, request, room_id):
        """The picture itself."""
        picture = _picture_of(room_of(request.shop, room_id))
        if not pictures.path_of(picture).exists():
            raise Http404
        return FileResponse(pictures.path_of(picture).open("rb"), content_type="image/jpeg", filename="plan.jpg")

    @extend_schema(
        operation_id="upload_picture", request={"multipart/form-data": UPLOAD.schema()}, responses={201: PictureOut}
    )
    def post(self, request, room_id):
        """Hand in a picture to trace over: PNG, JPEG or WebP, at most 10 MB. It takes the place of an earlier one."""
        room = room_of(request.shop, room_id)
        upload = uploaded(request, UploadForm).cleaned_data["picture"]
        try:
            pictures.keep_picture(room, upload)
        except NoPicture as refused:
            raise Refused([wrong(("picture",), str(refused), "picture")]) from refused
        picture = _picture_of(room)
        return self.told(picture, show_picture(picture), status=201)


ROOM = "rooms/<int:room_id>/plan/"

urlpatterns = [
    path(ROOM, Plan.as_view(), name="plan"),
    path(ROOM + "try/", TryPlan.as_view(), name="try_plan"),
    path(ROOM + "plan.dxf", PlanDxf.as_view(), name="plan_dxf"),
    path(ROOM + "plan.svg", PlanSvg.as_view(), name="plan_svg"),
    path(ROOM + "picture/", Picture.as_view(), name="plan_picture"),
    path(ROOM + "picture/file/", PictureFile.as_view(), name="plan_picture_file"),
]
