"""A list of rooms pasted over the API: read first without keeping anything, then entered, all of them or none."""

from django.urls import path, reverse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of
from projects.pasting import services
from projects.pasting.reading import Unreadable
from projects.pasting.rows import rows_of, why_unreadable
from projects.pasting.web import AT_ONCE, PasteForm, enter_as_work
from projects.platform.api.bodies import Body
from projects.platform.api.problems import Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView

PASTE = Body("PasteRoomsBody", PasteForm)


class PastedRow(serializers.Serializer):
    line = serializers.IntegerField(source="number")
    cells = serializers.DictField(source="said", child=serializers.CharField(), help_text="By column, as understood")
    wrong = serializers.SerializerMethodField()

    def get_wrong(self, row) -> list[dict[str, str]]:
        return [{"column": column, "detail": detail} for column, detail in row.errors]


class PastedOut(serializers.Serializer):
    entered = serializers.BooleanField(help_text="false: only read, or on its way as long work")
    rows = PastedRow(many=True)
    rooms = serializers.ListField(child=serializers.IntegerField(), help_text="The new rooms' ids")
    work = serializers.IntegerField(allow_null=True, help_text="The long work that enters them, for a long list")


class Paste(ApiView):
    @extend_schema(
        operation_id="paste_rooms",
        parameters=[OpenApiParameter("dry_run", bool, description="true: read the list and keep nothing")],
        request=PASTE.schema(),
        responses={200: PastedOut, 201: PastedOut, 202: PastedOut},
    )
    def post(self, request, job_id):
        """Enter rooms from a table: a row each, known by its headings. One wrong row, and none is entered."""
        job = job_of(request.shop, job_id)
        dry = self.dry_run()
        form = PASTE.fill(request.data, start={"kind": "plan"}, tape=job.tape)
        try:
            rows = rows_of(form.cleaned_data["text"], job, services.names_in(job))
        except Unreadable as error:
            raise Refused([wrong(("text",), why_unreadable(error))]) from error
        if dry:
            return _told(rows)
        _refuse_wrong(rows)
        if len(rows) > AT_ONCE:
            return _told([], work=enter_as_work(job, form.cleaned_data, rows, request.member), status=202)
        try:
            rooms = services.enter(job, rows, kind=form.cleaned_data["kind"], by=request.member)
        except services.NotAllRight as told:
            _refuse_wrong(told.rows)
            raise
        return _told(rows, rooms=rooms, status=201)

    def dry_run(self):
        self.refuse_unknown_questions(self.request.query_params)
        asked = self.request.query_params.get("dry_run", "false")
        if asked not in ("true", "false"):
            raise Refused([{"parameter": "dry_run", "detail": "Give true or false.", "code": "invalid"}])
        return asked == "true"

    questions = ("dry_run",)


def _refuse_wrong(rows):
    errors = [wrong(("text",), f"Line {row.number}, {column or 'row'}: {detail}", "row")
              for row in rows for column, detail in row.errors]  # fmt: skip
    if errors:
        raise Refused(errors)


def _told(rows, *, rooms=(), work=None, status=200):
    value = {"entered": bool(rooms), "rows": rows, "rooms": [room.pk for room in rooms], "work": work and work.pk}
    headers = {"Location": reverse("api:work", args=[work.pk])} if work else {}
    return Response(PastedOut(value).data, status=status, headers=headers)


urlpatterns = [path("jobs/<int:job_id>/paste/", Paste.as_view(), name="paste_rooms")]
