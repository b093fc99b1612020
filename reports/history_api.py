"""A room's revisions over the API: what changed between two, and an older one's numbers back into the draft."""

from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.draft_api import DraftOut, from_the_draft, told_draft
from layout.offers.restoring import CannotRestore, restore
from layout.queries import revision_of
from layout.services import NoLightType, NotAsIssued
from projects.jobs.queries import room_of
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView
from reports.marking.since import changed_since
from reports.queries import revision_with_marks


class MovedMarkOut(serializers.Serializer):
    mark = serializers.CharField(source="ident")
    what = serializers.CharField()
    was = serializers.ListField(child=serializers.CharField(), help_text="As printed; empty where there was none")
    now = serializers.ListField(child=serializers.CharField(), help_text="As printed; empty where there is none")
    by = serializers.CharField(allow_blank=True)


class RevisionDifferenceOut(serializers.Serializer):
    face = serializers.CharField(help_text="The face whose numbers are compared")
    zero = serializers.CharField()
    marks = MovedMarkOut(source="changes", many=True)
    other = serializers.ListField(child=serializers.CharField())


class RevisionDifference(ApiView):
    pagination_class = None
    questions = ("since",)

    @extend_schema(
        operation_id="revision_difference",
        parameters=[OpenApiParameter("since", int, description="The older revision; left out: the one before")],
        responses=RevisionDifferenceOut,
    )
    def get(self, request, room_id, number):
        """What changed between an older revision and this one, as their cards print it."""
        self.refuse_unknown_questions(request.query_params)
        room = room_of(request.shop, room_id)
        new = revision_of(room, number)
        older = room.revisions.filter(number__lt=new.number).order_by("-number").values_list("number", flat=True)
        if "since" in request.query_params:
            older = [one for one in older if str(one) == request.query_params["since"]]
        if not older:
            detail = "There is no such older revision of this room."
            raise Refused([{"parameter": "since", "detail": detail, "code": "unknown"}])
        try:
            since = changed_since(*(revision_with_marks(room, one) for one in (older[0], new.number)), room)
        except NotAsIssued as refused:
            raise CannotBeDone(str(refused)) from refused
        return Response(RevisionDifferenceOut(since).data)


class RestoreRevision(ApiView):
    @extend_schema(operation_id="restore_revision", request=None, responses=DraftOut)
    def post(self, request, room_id, number):
        """The revision's numbers into the draft; taken back as a way is. If-Match: the draft's ETag."""
        room = room_of(request.shop, room_id)
        revision = revision_of(room, number)
        try:
            with from_the_draft(self, room) as (_draft, seen):
                restore(room, revision, seen, by=request.member)
        except (CannotRestore, NoLightType) as refused:
            raise CannotBeDone(str(refused)) from refused
        return told_draft(self, room)


REVISION = "rooms/<int:room_id>/revisions/<int:number>/"

urlpatterns = [
    path(REVISION + "difference/", RevisionDifference.as_view(), name="revision_difference"),
    path(REVISION + "restore/", RestoreRevision.as_view(), name="restore_revision"),
]
