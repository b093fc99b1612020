"""A price file over the API: read in, tried against the price list, applied whole or dropped. As on its pages."""

from django import forms
from django.urls import path, reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.engine.lengths import Length
from projects.platform.api.bodies import Body, Kind, Unfit
from projects.platform.api.files import FILE
from projects.platform.api.lengths import shown
from projects.platform.api.lists import Listing, choice
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.uploads import UploadView, uploaded
from projects.platform.api.views import ApiView, Record
from reports.estimating.price_import import MEANINGS
from reports.prices import imports
from reports.prices.files import CannotRead, read_file
from reports.prices.forms import UploadForm
from reports.prices.import_web import SHOWN, file_name
from reports.prices.lines import rules_for
from reports.prices.models import PriceImport

MOST_COLUMNS = 200


class SentForm(UploadForm):
    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].required = False


class ColumnsForm(forms.Form):
    columns = forms.CharField(required=False, label="What each column holds, in order; empty for one left out")
    digest = forms.CharField(required=False, max_length=64, label="The digest of the dry run that was looked at")


def _columns(value, form):
    if not isinstance(value, list) or len(value) > MOST_COLUMNS:
        raise Unfit("Give a list, one text for each column.")
    for n, one in enumerate(value):
        if one not in ("", *MEANINGS):
            raise Unfit(f"One of: {', '.join(MEANINGS)}; or empty.", at=(n,))
    return ",".join(value) or " "


def _columns_shape(box, options):
    child = serializers.ChoiceField(choices=["", *MEANINGS])
    return serializers.ListField(child=child, max_length=MOST_COLUMNS, help_text=str(box.label), **options)


FILE_BODY = Body("PriceFileBody", SentForm, kinds={"file": FILE})
COLUMNS = Body("PriceColumnsBody", ColumnsForm, kinds={"columns": Kind(_columns, _columns_shape)})
COLUMNS_BODY = COLUMNS.schema(defaults=("columns", "digest"))


class PriceFileRow(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = PriceImport
        fields = ("id", "file_name", "sheet", "state", "on", "source", "outcome", "by", "created_at", "applied_at",
                  "version")  # fmt: skip
        read_only_fields = fields


class ColumnOut(serializers.Serializer):
    name = serializers.CharField()
    means = serializers.CharField(help_text="As it is taken now; empty: left out")
    sample = serializers.ListField(child=serializers.CharField())


class PriceFileOut(PriceFileRow):
    columns = serializers.SerializerMethodField()
    lines = serializers.SerializerMethodField()

    class Meta(PriceFileRow.Meta):
        fields = (*PriceFileRow.Meta.fields, "columns", "lines")
        read_only_fields = fields

    def get_columns(self, record) -> list[dict]:
        header, rows = imports.rows_of(record)
        taken = imports.columns_of(record)
        return [
            {"name": name, "means": taken[n],
             "sample": [row.cells[n] if n < len(row.cells) else "" for row in rows[:3]]}
            for n, name in enumerate(header)
        ]  # fmt: skip

    def get_lines(self, record) -> int:
        return len(imports.rows_of(record)[1])


PriceFileOut.get_columns.__annotations__["return"] = ColumnOut(many=True)


class FileErrorOut(serializers.Serializer):
    line = serializers.IntegerField()
    column = serializers.CharField()
    message = serializers.CharField()


class FileEntryOut(serializers.Serializer):
    line = serializers.IntegerField()
    key = serializers.CharField(source="item.key")
    name = serializers.CharField(source="item.name")
    new_item = serializers.BooleanField()
    pack = serializers.SerializerMethodField(help_text="Pieces, or a length")
    amount = serializers.DecimalField(12, 2)
    before = serializers.DecimalField(12, 2, source="before.amount", allow_null=True, default=None)
    on = serializers.DateField()
    source = serializers.CharField()

    def get_pack(self, entry) -> str:
        size = entry.size
        return shown(size, self.context["tape"])["text"] if isinstance(size, Length) else str(size)


class DryRunOut(serializers.Serializer):
    """counts are of all; of each part the first lines are told. digest: what apply asks for."""

    digest = serializers.CharField()
    new = FileEntryOut(many=True)
    changed = FileEntryOut(many=True)
    unchanged = serializers.IntegerField()
    new_count = serializers.IntegerField()
    changed_count = serializers.IntegerField()
    untouched = serializers.IntegerField(help_text="Packs the file has nothing of; they stay as they are")
    errors = FileErrorOut(many=True)


class PriceFiles(UploadView):
    listing = Listing(PriceImport, filters={"state": choice("state", PriceImport.State.values)}, search=("file_name",))

    @extend_schema(operation_id="price_files", responses=PriceFileRow(many=True))
    def get(self, request):
        """Price files that were read, the newest first."""
        files = PriceImport.objects.of(request.shop).defer("rows").select_related("by__user")
        return self.paged(files.order_by("-pk"), PriceFileRow)

    @extend_schema(
        operation_id="read_price_file",
        request={"multipart/form-data": FILE_BODY.schema(defaults=("on",))},
        responses={201: PriceFileOut},
    )
    def post(self, request):
        """Read a file, CSV or XLSX. Nothing of the price list changes before it is applied."""
        said = uploaded(request, SentForm).cleaned_data
        try:
            sheet = read_file(said["file"].name, said["file"].read())
            record = imports.keep_file(
                request.shop, file_name(said["file"].name), sheet, on=said["on"] or timezone.localdate(),
                source=said["source"], by=request.member,
            )  # fmt: skip
        except CannotRead as refused:
            raise Refused([wrong(("file",), str(refused))]) from refused
        where = reverse("api:price_file", args=[record.pk])
        return self.told(record, PriceFileOut(record).data, status=201, headers={"Location": where})


class PriceFile(ApiView):
    pagination_class = None

    @extend_schema(operation_id="price_file", responses=PriceFileOut)
    def get(self, request, import_id):
        """One file: its columns, and what each is taken for."""
        record = imports.import_of(request.shop, import_id)
        return self.told(record, PriceFileOut(record).data)

    @extend_schema(operation_id="drop_price_file", responses={204: None})
    def delete(self, request, import_id):
        """Drop a file that was only read. Nothing of the price list was changed by it."""
        record = imports.import_of(request.shop, import_id)
        self.seen_version(record, PriceFileRow(record).data)
        _done(lambda: imports.drop(record))
        return Response(status=204)


def _done(change):
    try:
        return change()
    except (imports.StaleDryRun, imports.HasErrors, imports.NotOpen) as refused:
        raise CannotBeDone(str(refused)) from refused


class _Tried(ApiView):
    pagination_class = None

    def tried(self, request, import_id):
        """(the file, what its columns hold, the digest that was sent). Raises Refused, CannotBeDone."""
        record = imports.import_of(request.shop, import_id)
        said = COLUMNS.fill(request.data).cleaned_data
        if record.state != PriceImport.State.READ:
            raise CannotBeDone(str(imports.NotOpen()))
        columns = imports.columns_of(record)
        if "columns" in (request.data if isinstance(request.data, dict) else {}):
            given = said["columns"].split(",")
            columns = {n: given[n].strip() if n < len(given) else "" for n in columns}
        if refused := imports.wrong_columns(columns):
            raise Refused([wrong(("columns",), str(refused))])
        return record, columns, said["digest"]


def _told(found, tape):
    told = {
        "digest": found.digest, "new": found.new[:SHOWN], "changed": found.changed[:SHOWN],
        "unchanged": len(found.unchanged), "new_count": len(found.new), "changed_count": len(found.changed),
        "untouched": len(found.untouched), "errors": found.errors[:SHOWN],
    }  # fmt: skip
    return DryRunOut(told, context={"tape": tape}).data


class TryPriceFile(_Tried):
    @extend_schema(
        operation_id="try_price_file",
        request=COLUMNS_BODY,
        responses=DryRunOut,
    )
    def post(self, request, import_id):
        """The file held against the price list as it is now. Writes nothing."""
        record, columns, _digest = self.tried(request, import_id)
        return Response(_told(imports.dry_run(record, columns, rules_for(request.shop)), request.shop.tape))


class ApplyPriceFile(_Tried):
    @extend_schema(
        operation_id="apply_price_file", request=COLUMNS_BODY, responses=DryRunOut
    )
    def post(self, request, import_id):
        """Every price of the file, or none, as the dry run of this `digest` showed it."""
        record, columns, digest = self.tried(request, import_id)
        rules = rules_for(request.shop)
        found = _done(lambda: imports.apply(record, columns, rules, digest=digest, by=request.member))
        return Response(_told(found, request.shop.tape))


ONE = "price-files/<int:import_id>/"

urlpatterns = [
    path("price-files/", PriceFiles.as_view(), name="price_files"),
    path(ONE, PriceFile.as_view(), name="price_file"),
    path(ONE + "dry-run/", TryPriceFile.as_view(), name="try_price_file"),
    path(ONE + "apply/", ApplyPriceFile.as_view(), name="apply_price_file"),
]
