"""A room's photos and its punch list over the API: files as multipart/form-data, read by what is in them."""

from django.urls import path
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.files import store
from projects.files.answers import picture_answer
from projects.jobs.queries import room_of
from projects.photos import forms, queries, services
from projects.photos.models import Photo, PunchItem, Purpose
from projects.platform.api.bodies import Body
from projects.platform.api.files import FILES, FileView
from projects.platform.api.lists import Listing, choice, text, yes_no
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.uploads import UploadView, uploaded
from projects.platform.api.views import ApiView, Record, RecordView


class NewPhotosForm(forms.PhotosForm):
    key = None


PUNCH_DONE = Body("ClosePunchBody", forms.ClosePunchForm, kinds={"photos": FILES})
PHOTOS = Body("PhotosBody", NewPhotosForm, kinds={"photos": FILES})
ABOUT, PUNCH = Body("PhotoBody", forms.ChangePhotoForm), Body("PunchBody", forms.PunchForm)
JPEG = {(200, "image/jpeg"): OpenApiTypes.BINARY}


class PhotoOut(Record):
    taken_by = serializers.CharField(source="taken_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Photo
        fields = (
            "id", "room", "purpose", "mark", "bay", "caption", "wide", "high", "bytes", "taken_by", "taken_at",
            "trashed_at", "version",
        )  # fmt: skip
        read_only_fields = fields


class PunchOut(Record):
    found_by = serializers.CharField(source="found_by.user.name", allow_null=True, default=None, read_only=True)
    closed_by = serializers.CharField(source="closed_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = PunchItem
        fields = (
            "id", "room", "words", "mark", "found_by", "found_at", "closed_at", "closed_by", "closed_with",
            "closed_words", "version",
        )  # fmt: skip
        read_only_fields = fields


class PhotoSetOut(serializers.Serializer):
    purpose = serializers.CharField(source="asked.purpose")
    title = serializers.CharField(source="asked.title")
    have = serializers.IntegerField()
    need = serializers.IntegerField()
    bays = serializers.ListField(child=serializers.IntegerField(), help_text="Bays that none was taken of yet")


class PhotoSetsOut(serializers.Serializer):
    sets = PhotoSetOut(many=True)
    used_bytes = serializers.IntegerField(help_text="What the shop keeps in all")
    most_bytes = serializers.IntegerField(help_text="What it may keep")


class PhotosOut(serializers.Serializer):
    photos = PhotoOut(many=True)


def show_item(item):
    return PunchOut(item).data


def _kept(keep):
    """What the service gives. Raises CannotBeDone."""
    try:
        return keep()
    except services.CannotBeDone as refused:
        raise CannotBeDone(str(refused)) from refused


class Photos(UploadView):
    listing = Listing(
        Photo,
        filters={
            "purpose": choice("purpose", Purpose.values),
            "mark": text("mark"),
            "stands": yes_no("trashed_at__isnull", "false: what was taken back; left out, as true"),
        },
        ordering=("taken_at", "updated_at"),
        search=("caption", "mark"),
    )

    @extend_schema(operation_id="photos", responses=PhotoOut(many=True))
    def get(self, request, room_id):
        """The room's photos, the latest first; their pictures have addresses of their own."""
        room = room_of(request.shop, room_id)
        rows = Photo.objects.of(request.shop).filter(room=room).select_related("taken_by__user").order_by("-pk")
        return self.paged(rows if "stands" in request.query_params else rows.filter(trashed_at=None), PhotoOut)

    @extend_schema(
        operation_id="add_photos", request={"multipart/form-data": PHOTOS.schema()}, responses={201: PhotosOut}
    )
    def post(self, request, room_id):
        """Up to 12 photos, all of one kind. The same picture sent again is kept once, with what was said first."""
        room = room_of(request.shop, room_id)
        about = dict(uploaded(request, NewPhotosForm).cleaned_data)
        pictures, by = about.pop("photos"), request.member
        under = f"{by.pk} {about['purpose']}"
        kept = _kept(lambda: services.keep_all(room, pictures, by=by, under=under, **about))
        return Response(PhotosOut({"photos": kept}).data, status=201)


class PhotoSets(ApiView):
    pagination_class = None

    @extend_schema(operation_id="photo_sets", responses=PhotoSetsOut)
    def get(self, request, room_id):
        """The sets of photos that stages ask for: how many are there, and how many it takes."""
        room = room_of(request.shop, room_id)
        told = {
            "sets": queries.sets_of([room])[room.pk],
            "used_bytes": store.used_by(room.shop_id),
            "most_bytes": store.most_bytes(),
        }
        return Response(PhotoSetsOut(told).data)


class PhotoView(RecordView):
    out = PhotoOut

    @extend_schema(operation_id="photo", responses=PhotoOut)
    def get(self, request, shot_id):
        """One photo: what it shows, of which bay or mark."""
        return self.answer(queries.photo_of(request.shop, shot_id))

    @extend_schema(operation_id="change_photo", request=ABOUT.schema(partial=True), responses=PhotoOut)
    def patch(self, request, shot_id):
        """Say what it shows."""
        photo = queries.photo_of(request.shop, shot_id)
        return self.edit(
            photo, ABOUT, lambda form, seen: services.change(photo, seen, form.changes), start=vars(photo)
        )

    @extend_schema(operation_id="take_back_photo", responses={204: OpenApiResponse(description="Taken back")})
    def delete(self, request, shot_id):
        """Take it back. It can be put back for 30 days."""
        photo = queries.photo_of(request.shop, shot_id)
        return self.remove(photo, lambda seen: _kept(lambda: services.take_back(photo, request.member)))


class PutBackPhoto(RecordView):
    out = PhotoOut

    @extend_schema(operation_id="put_back_photo", request=None, responses=PhotoOut)
    def post(self, request, shot_id):
        """Put back what was taken back."""
        services.put_back(queries.photo_of(request.shop, shot_id))
        return self.answer(queries.photo_of(request.shop, shot_id))


class PhotoFile(FileView):
    @extend_schema(operation_id="photo_file", responses=JPEG)
    def get(self, request, shot_id):
        """The picture, at most 1600 pixels wide or high."""
        photo = queries.photo_of(request.shop, shot_id)
        return picture_answer(request, photo.shop_id, photo.file)


class PhotoSmall(FileView):
    @extend_schema(operation_id="photo_small", responses=JPEG)
    def get(self, request, shot_id):
        """The picture small, at most 400 pixels wide or high."""
        photo = queries.photo_of(request.shop, shot_id)
        return picture_answer(request, photo.shop_id, photo.small)


# The punch list


class Punch(ApiView):
    listing = Listing(
        PunchItem,
        filters={"open": yes_no("closed_at__isnull"), "mark": text("mark")},
        ordering=("found_at", "updated_at"),
        search=("words", "closed_words"),
    )

    @extend_schema(operation_id="punch", responses=PunchOut(many=True))
    def get(self, request, room_id):
        """The room's punch list, what is open first."""
        return self.paged(queries.punch_items(room_of(request.shop, room_id)), PunchOut)

    @extend_schema(operation_id="find_punch", request=PUNCH.schema(), responses={201: PunchOut})
    def post(self, request, room_id):
        """Put something that is left to do on the list."""
        room = room_of(request.shop, room_id)
        item = services.find(room, request.member, **PUNCH.fill(request.data).cleaned_data)
        return self.told(item, show_item(item), status=201)


class ClosePunch(UploadView):
    @extend_schema(
        operation_id="close_punch", request={"multipart/form-data": PUNCH_DONE.schema()}, responses=PunchOut
    )
    def post(self, request, punch_id):
        """Close an item: with a photo of it done, which becomes one of the room's, or with words why there is none."""
        item = queries.item_of(request.shop, punch_id)
        told = uploaded(request, forms.ClosePunchForm).cleaned_data
        pixels = told["photos"][0] if told["photos"] else None
        _kept(lambda: services.close_with(item, request.member, pixels=pixels, words=told["closed_words"]))
        stored = queries.item_of(request.shop, punch_id)
        return self.told(stored, show_item(stored))


class OpenPunch(ApiView):
    @extend_schema(operation_id="open_punch", request=None, responses=PunchOut)
    def post(self, request, punch_id):
        """Open a closed item again."""
        services.open_again(queries.item_of(request.shop, punch_id))
        stored = queries.item_of(request.shop, punch_id)
        return self.told(stored, show_item(stored))


ROOM, SHOT, ITEM = "rooms/<int:room_id>/", "photos/<int:shot_id>/", "punch/<int:punch_id>/"

urlpatterns = [
    path(ROOM + "photos/", Photos.as_view(), name="photos"),
    path(ROOM + "photo-sets/", PhotoSets.as_view(), name="photo_sets"),
    path(SHOT, PhotoView.as_view(), name="photo"),
    path(SHOT + "put-back/", PutBackPhoto.as_view(), name="put_back_photo"),
    path(SHOT + "file/", PhotoFile.as_view(), name="photo_file"),
    path(SHOT + "small/", PhotoSmall.as_view(), name="photo_small"),
    path(ROOM + "punch/", Punch.as_view(), name="punch"),
    path(ITEM + "close/", ClosePunch.as_view(), name="close_punch"),
    path(ITEM + "open/", OpenPunch.as_view(), name="open_punch"),
]
