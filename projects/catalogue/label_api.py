"""What a fixture's label says and its maker's installation sheet, over the API."""

from django.http import FileResponse, Http404
from django.urls import path, reverse
from django.utils.text import slugify
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.catalogue import labels
from projects.catalogue.label_forms import LabelForm, SheetForm
from projects.catalogue.label_web import type_of
from projects.catalogue.models import InstallSheet
from projects.files import store
from projects.platform.api.bodies import Body
from projects.platform.api.files import FILE, FileView, saved_as
from projects.platform.api.uploads import UploadView, uploaded
from projects.platform.api.views import Record, RecordView

LABEL = Body("FixtureLabelBody", LabelForm)
SHEET = Body("InstallSheetBody", SheetForm, kinds={"sheet": FILE})


class SheetOut(Record):
    added_by = serializers.CharField(source="added_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = InstallSheet
        fields = ("title", "pages", "bytes", "digest", "added_by", "added_at")
        read_only_fields = fields


class LabelOut(serializers.Serializer):
    listing = serializers.CharField(allow_blank=True)
    rated_ic = serializers.CharField(allow_blank=True)
    air_sealed = serializers.CharField(allow_blank=True)
    place = serializers.CharField(allow_blank=True)
    through_wiring = serializers.CharField(allow_blank=True)
    label_read_by = serializers.CharField(allow_blank=True)
    label_read_on = serializers.DateField(allow_null=True)
    missing = serializers.SerializerMethodField(help_text="What to read or hand in")
    sheet = serializers.SerializerMethodField()

    def get_missing(self, record) -> list[str]:
        return list(labels.facts_of(record).missing)

    def get_sheet(self, record) -> SheetOut(allow_null=True):  # type: ignore[valid-type]
        sheet = getattr(record, "sheet", None)
        return SheetOut(sheet).data if sheet else None


class FixtureLabel(RecordView):
    out = LabelOut

    @extend_schema(operation_id="fixture_label", responses=LabelOut)
    def get(self, request, type_id):
        """What its label says, its sheet, and what of both is missing."""
        return self.answer(type_of(request.shop, type_id))

    @extend_schema(operation_id="say_label", request=LABEL.schema(partial=True), responses=LabelOut)
    def patch(self, request, type_id):
        """Write down what the label says, and who read it when."""
        record = type_of(request.shop, type_id)
        return self.edit(
            record, LABEL, lambda form, seen: labels.say_label(record, seen, form.changes), start=vars(record)
        )


class Sheet(UploadView, FileView):
    @extend_schema(operation_id="sheet_file", responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    def get(self, request, type_id):
        """The maker's sheet as it is kept."""
        record = type_of(request.shop, type_id)
        sheet = getattr(record, "sheet", None)
        if sheet is None or not store.path_of(sheet.shop_id, sheet.file).exists():
            raise Http404
        content = store.path_of(sheet.shop_id, sheet.file).open("rb")
        return saved_as(FileResponse(content, content_type="application/pdf"), f"{slugify(record.name) or 'sheet'}.pdf")

    @extend_schema(
        operation_id="add_sheet", request={"multipart/form-data": SHEET.schema()}, responses={201: SheetOut}
    )
    def post(self, request, type_id):
        """Hand in the maker's sheet, as PDF up to 20 MB and 60 pages; it takes the place of an earlier one."""
        record = type_of(request.shop, type_id)
        told = uploaded(request, SheetForm).cleaned_data
        sheet = labels.add_sheet(record, told["sheet"], request.member, title=told["title"])
        where = reverse("api:sheet", args=[record.pk])
        return Response(SheetOut(sheet).data, status=201, headers={"Location": where})

    @extend_schema(operation_id="remove_sheet", responses={204: OpenApiResponse(description="Taken away")})
    def delete(self, request, type_id):
        """Take the sheet away. Packets name it as missing from then on. If-Match: the label's ETag."""
        record = type_of(request.shop, type_id)
        return self.take_away(record, lambda one: LabelOut(one).data, lambda seen: labels.remove_sheet(record))


urlpatterns = [
    path("fixture-types/<int:type_id>/label/", FixtureLabel.as_view(), name="fixture_label"),
    path("fixture-types/<int:type_id>/sheet/", Sheet.as_view(), name="sheet"),
]
