"""The shop's history over the API, as it is kept: lengths as whole nanometers, ids as numbers."""

import json

from django.urls import path
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers

from projects.history.models import Did, Entry
from projects.history.queries import Asked, of_shop
from projects.history.showing import model_of
from projects.platform.api.lists import Listing, by_id, choice, text
from projects.platform.api.views import ApiView


class HistoryEntryOut(serializers.Serializer):
    id = serializers.IntegerField(source="pk")
    at = serializers.DateTimeField()
    did = serializers.ChoiceField(choices=Did.choices)
    what = serializers.SerializerMethodField(help_text="The kind of record")
    table = serializers.CharField(source="what")
    record = serializers.CharField(help_text="Its id")
    job = serializers.IntegerField(source="job_id", allow_null=True)
    room = serializers.IntegerField(source="room_id", allow_null=True)
    before = serializers.SerializerMethodField(help_text="Columns as they were; null where it was added")
    after = serializers.SerializerMethodField(help_text="Columns as they became; null where it was removed")
    member = serializers.IntegerField(source="member_id", allow_null=True)
    via = serializers.CharField()
    request = serializers.CharField(help_text="The id of the request that did it")
    digest = serializers.CharField()

    def get_what(self, entry) -> str:
        model = model_of(entry.what)
        return model._meta.label if model else entry.what

    @extend_schema_field({"type": ["object", "null"], "additionalProperties": True})
    def get_before(self, entry):
        return json.loads(entry.before) if entry.before else None

    @extend_schema_field({"type": ["object", "null"], "additionalProperties": True})
    def get_after(self, entry):
        return json.loads(entry.after) if entry.after else None


class Changes(ApiView):
    listing = Listing(
        Entry,
        filters={
            "table": text("what"), "record": text("record"), "member": by_id("member_id"), "job": by_id("job_id"),
            "room": by_id("room_id"), "did": choice("did", Did.values),
        },
    )  # fmt: skip

    @extend_schema(operation_id="history", responses=HistoryEntryOut(many=True))
    def get(self, request):
        """Every change in the shop, the newest first. Secrets are never in it, long texts by their digest."""
        return self.paged(of_shop(request.shop, Asked()), HistoryEntryOut)


urlpatterns = [path("history/", Changes.as_view(), name="history")]
