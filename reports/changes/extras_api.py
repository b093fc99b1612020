"""Field extras over the API beyond their words: photos, and what the office does with them."""

from django import forms as plain
from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema

from projects.files.answers import picture_answer
from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import ID, Body
from projects.platform.api.files import FILES, FileView
from projects.platform.api.problems import Refused
from projects.platform.api.rows import wrong
from projects.platform.api.uploads import UploadView, uploaded
from reports.changes import forms, queries, services
from reports.changes.actions_api import WHY
from reports.changes.api import ChangeRow, ExtraOut, Refusing
from reports.changes.models import new_once


class PhotoExtraForm(forms.ExtraForm):
    """As on the phone, without a drawn signature."""

    ink = once = None


class ChargeForm(plain.Form):
    change = plain.IntegerField(
        required=False, min_value=1, max_value=2**63 - 1, label="A draft of the job, by id; a new one when left out"
    )


PHOTO_EXTRA = Body("FieldExtraPhotosBody", PhotoExtraForm, kinds={"photos": FILES})
CHARGE = Body("ChargeExtraBody", ChargeForm, kinds={"change": ID})


class _Write(UploadView, Refusing):
    pagination_class = None

    def written(self, request, job, room=None):
        given = dict(uploaded(request, PhotoExtraForm).cleaned_data)
        pictures = given.pop("photos")
        extra = services.write_extra(job, request.member, room=room, pictures=pictures, once=new_once(), **given)
        stored = queries.extra_of(request.shop, extra.pk)
        where = reverse("api:extra", args=[extra.pk])
        return self.told(stored, ExtraOut(stored).data, status=201, headers={"Location": where})


SENT = {"multipart/form-data": PHOTO_EXTRA.schema()}


class JobExtraPhotos(_Write):
    @extend_schema(operation_id="write_extra_with_photos", request=SENT, responses={201: ExtraOut})
    def post(self, request, job_id):
        """What was asked for on site, with photos."""
        return self.written(request, job_of(request.shop, job_id))


class RoomExtraPhotos(_Write):
    @extend_schema(operation_id="write_room_extra_with_photos", request=SENT, responses={201: ExtraOut})
    def post(self, request, room_id):
        """What was asked for in a room, with photos."""
        room = room_of(request.shop, room_id)
        return self.written(request, room.job, room)


class ExtraPhoto(FileView):
    @extend_schema(operation_id="extra_photo", responses={(200, "image/jpeg"): OpenApiTypes.BINARY})
    def get(self, request, extra_id, photo_id):
        """One of its photos."""
        found = queries.extra_of(request.shop, extra_id)
        photo = next((photo for photo in found.photos.all() if photo.pk == photo_id), None)
        if photo is None:
            raise Http404
        return picture_answer(request, found.shop_id, photo.file)


class ChargeExtra(Refusing):
    pagination_class = None

    @extend_schema(operation_id="charge_extra", request=CHARGE.schema(), responses=ChangeRow)
    def post(self, request, extra_id):
        """The extra as a line of a change order, a new one or a draft of the same job. Twice, it is one line."""
        found = queries.extra_of(request.shop, extra_id)
        asked = CHARGE.fill(request.data).cleaned_data["change"]
        into = found.job.changes.filter(pk=asked).first() if asked else None
        if asked and into is None:
            raise Refused([wrong(("change",), "Not a change order of this job.", "unknown")])
        change = services.open_from_extra(found, request.member, into)
        stored = queries.change_of(request.shop, change.pk)
        return self.told(stored, ChangeRow(stored).data)


class CloseExtra(Refusing):
    pagination_class = None

    @extend_schema(operation_id="close_extra", request=WHY.schema(), responses=ExtraOut)
    def post(self, request, extra_id):
        """It isn't charged, and why."""
        found = queries.extra_of(request.shop, extra_id)
        services.close_extra(found, **WHY.fill(request.data).cleaned_data)
        stored = queries.extra_of(request.shop, extra_id)
        return self.told(stored, ExtraOut(stored).data)


EXTRA = "extras/<int:extra_id>/"

urlpatterns = [
    path("jobs/<int:job_id>/extras/photos/", JobExtraPhotos.as_view(), name="job_extra_photos"),
    path("rooms/<int:room_id>/extras/photos/", RoomExtraPhotos.as_view(), name="room_extra_photos"),
    path(EXTRA + "photos/<int:photo_id>/", ExtraPhoto.as_view(), name="extra_photo"),
    path(EXTRA + "charge/", ChargeExtra.as_view(), name="charge_extra"),
    path(EXTRA + "close/", CloseExtra.as_view(), name="close_extra"),
]
