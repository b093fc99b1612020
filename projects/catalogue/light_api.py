"""Levels and photometric files over the API: the same forms and services as their pages."""

from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from layout.engine.light.values import LightError
from projects.catalogue import photometric, targets
from projects.catalogue.light_forms import ChangeFileForm, ChangeTargetForm, LightTargetForm, PhotometricTextForm
from projects.catalogue.models import PhotometricFile
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, text, yes_no
from projects.platform.api.problems import Refused
from projects.platform.api.views import Record, RecordView, taken

TARGET = Body("LightTargetBody", LightTargetForm)
CHANGED_TARGET = Body("LightTargetBody", ChangeTargetForm)
FILE = Body("PhotometricFileBody", PhotometricTextForm)
CHANGED_FILE = Body("PhotometricNameBody", ChangeFileForm)
START = {"kind": "practice"}


class LightTargetOut(serializers.Serializer):
    key = serializers.CharField()
    group = serializers.CharField()
    space = serializers.CharField()
    kind = serializers.CharField(help_text="standard or practice")
    document = serializers.CharField()
    edition = serializers.CharField()
    lux = serializers.FloatField()
    footcandles = serializers.FloatField()
    low_lux = serializers.FloatField(allow_null=True)
    high_lux = serializers.FloatField(allow_null=True)
    uniformity = serializers.FloatField(allow_null=True)
    glare_ugr = serializers.FloatField(allow_null=True)
    color_ra = serializers.FloatField(allow_null=True)
    wall_lux = serializers.FloatField(allow_null=True)
    ceiling_lux = serializers.FloatField(allow_null=True)
    known = serializers.CharField(help_text="seen, partly, memory, or shop: the shop's own number")
    source = serializers.CharField()
    own = serializers.BooleanField()
    changed = serializers.BooleanField(help_text="It differs from the table's row.")
    retired = serializers.BooleanField()


class TargetView(RecordView):
    def stored(self, key):
        record = targets.record_of(self.request.shop, key)
        if record is None:
            raise Http404
        return record

    def show(self, record):
        return LightTargetOut(targets.target_of(record.shop_id, record.key)).data


class LightTargets(TargetView):
    listing = Listing()

    @extend_schema(operation_id="light_targets", responses=LightTargetOut(many=True))
    def get(self, request):
        """Levels rooms are lit to: the table's with the shop's changes over them, then the shop's own."""
        return self.paged(targets.targets_of(request.shop), LightTargetOut)

    @extend_schema(
        operation_id="add_light_target", request=TARGET.schema(defaults={"kind"}), responses={201: LightTargetOut}
    )
    def post(self, request):
        """Add a level of the shop's own."""
        form = TARGET.fill(request.data, start=START)
        try:
            record = targets.add_target(request.shop, **form.cleaned_data)
        except targets.KeyTaken as error:
            raise taken("/space", "There is a level of this name. Change that one.") from error
        return self.made(record, reverse("api:light_target", args=[record.key]))


class LightTargetView(TargetView):
    @extend_schema(operation_id="light_target", responses=LightTargetOut)
    def get(self, request, target_key):
        """One level."""
        return self.answer(self.stored(target_key))

    @extend_schema(
        operation_id="change_light_target", request=CHANGED_TARGET.schema(partial=True), responses=LightTargetOut
    )
    def patch(self, request, target_key):
        """Change what is given. A row of the table becomes the shop's; the table's own stays, to be put back."""
        record = self.stored(target_key)
        return self.edit(
            record,
            CHANGED_TARGET,
            lambda form, seen: targets.change_target(record, seen, form.changes),
            start=vars(record),
        )


class PutBackTarget(TargetView):
    @extend_schema(operation_id="put_back_light_target", request=None, responses=LightTargetOut)
    def post(self, request, target_key):
        """The table's row again. A level of the shop's own, or one nobody changed, stays as it is."""
        record = self.stored(target_key)
        targets.put_back(request.shop, record.key)
        return self.answer(self.stored(target_key))


class PhotometricFileOut(Record):
    class Meta:
        model = PhotometricFile
        fields = (
            "id", "name", "file_name", "format", "flux_lm", "beam_deg", "watts", "digest", "retired", "version",
            "updated_at",
        )  # fmt: skip
        read_only_fields = fields


class PhotometricTextOut(serializers.Serializer):
    file_name = serializers.CharField()
    format = serializers.CharField()
    text = serializers.CharField()


class PhotometricFiles(RecordView):
    out = PhotometricFileOut
    listing = Listing(
        PhotometricFile,
        filters={"retired": yes_no("retired"), "layout": text("format", "As its first line names it, like LM-63-2002")},
        ordering=("name", "flux_lm", "updated_at"),
        search=("name", "file_name"),
    )

    @extend_schema(operation_id="photometric_files", responses=PhotometricFileOut(many=True))
    def get(self, request):
        """The shop's photometric files, without their text."""
        return self.paged(PhotometricFile.objects.of(request.shop).defer("text"), PhotometricFileOut)

    @extend_schema(
        operation_id="add_photometric_file",
        request=FILE.schema(),
        responses={200: PhotometricFileOut, 201: PhotometricFileOut},
    )
    def post(self, request):
        """Read a file's text and keep it: refused by line when it can't be read, answered when it is kept already.

        A body holds 1,000,000 bytes at most; a larger file, up to 2 MB, is put in on its page.
        """
        data = FILE.fill(request.data).cleaned_data
        try:
            record = photometric.keep_file(
                request.shop, data["text"], name=data["name"], file_name=data["file_name"]
            )
        except photometric.AlreadyKept as kept:
            return self.answer(kept.record)
        except LightError as error:
            raise Refused([_refusal(error)]) from error
        return self.made(record, reverse("api:photometric_file", args=[record.pk]))


def _refusal(error):
    said = {"pointer": "/text", "detail": str(error), "code": "unreadable"}
    line = getattr(error, "line", None)
    if line:
        said |= {"line": line, "token": photometric.visible(str(error.token)), "expected": str(error.expected)}
    return said


class StoredFile(RecordView):
    out = PhotometricFileOut

    def stored(self, file_id):
        record = PhotometricFile.objects.of(self.request.shop).filter(pk=file_id).first()
        if record is None:
            raise Http404
        return record


class PhotometricFileView(StoredFile):
    @extend_schema(operation_id="photometric_file", responses=PhotometricFileOut)
    def get(self, request, file_id):
        """One photometric file, without its text."""
        return self.answer(self.stored(file_id))

    @extend_schema(
        operation_id="change_photometric_file",
        request=CHANGED_FILE.schema(partial=True),
        responses=PhotometricFileOut,
    )
    def patch(self, request, file_id):
        """Its name, or that it is no longer offered. What it says of its light never changes."""
        record = self.stored(file_id)
        return self.edit(
            record,
            CHANGED_FILE,
            lambda form, seen: photometric.change_file(record, seen, form.changes),
            start=vars(record),
        )


class PhotometricText(StoredFile):
    @extend_schema(operation_id="photometric_text", responses=PhotometricTextOut)
    def get(self, request, file_id):
        """The file's text as it was given."""
        record = self.stored(file_id)
        said = {"file_name": photometric.download_name(record), "format": record.format, "text": record.text}
        return self.told(record, said)


urlpatterns = [
    path("light-levels/", LightTargets.as_view(), name="light_targets"),
    path("light-levels/<slug:target_key>/", LightTargetView.as_view(), name="light_target"),
    path("light-levels/<slug:target_key>/put-back/", PutBackTarget.as_view(), name="put_back_target"),
    path("photometric-files/", PhotometricFiles.as_view(), name="photometric_files"),
    path("photometric-files/<int:file_id>/", PhotometricFileView.as_view(), name="photometric_file"),
    path("photometric-files/<int:file_id>/text/", PhotometricText.as_view(), name="photometric_text"),
]
