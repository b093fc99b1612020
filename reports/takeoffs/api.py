"""Kept takeoffs, what differs between two, and the rules they are counted by, over the API. No prices anywhere here."""

from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.response import Response

from layout.services import NotAsIssued
from projects.jobs.queries import job_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView, Record
from reports.document_values import JobTakeoffOut, QuantityOut
from reports.estimating.difference import difference
from reports.estimating.frozen_takeoff import NotAsKept
from reports.takeoffs.counting import MOST_FOR_A_PAGE, MustBeCounted
from reports.takeoffs.forms import KeepForm
from reports.takeoffs.models import Takeoff
from reports.takeoffs.services import freeze, thaw
from reports.takeoffs.web import kept_of, side_of

KEEP = Body("KeepBody", KeepForm)
SIDES = [
    OpenApiParameter("before", str, required=True, description="A kept takeoff's number, or now"),
    OpenApiParameter("after", str, description="A kept takeoff's number; now unless given"),
]


class KeptOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Takeoff
        fields = ("number", "label", "digest", "rooms", "rooms_counted", "by", "at")
        read_only_fields = fields


class KeptRoomOut(serializers.Serializer):
    id = serializers.IntegerField(source="room_id")
    room = serializers.CharField(source="name")
    basis = serializers.ChoiceField(choices=["laid_out", "counted"])
    revision = serializers.IntegerField(allow_null=True)


class KeptWholeOut(serializers.Serializer):
    number = serializers.IntegerField()
    label = serializers.CharField(allow_blank=True)
    on = serializers.DateField()
    rules_version = serializers.CharField()
    rooms = KeptRoomOut(many=True)
    job = JobTakeoffOut()
    left_out = serializers.ListField(child=serializers.CharField())


class ItemChangeOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    category = serializers.CharField()
    unit = serializers.CharField()
    before = QuantityOut()
    added = QuantityOut()
    taken_out = QuantityOut()
    after = QuantityOut()


class JobItemChangeOut(serializers.Serializer):
    item = ItemChangeOut()
    order_before = serializers.IntegerField()
    order_after = serializers.IntegerField()


class MarkMovedOut(serializers.Serializer):
    before = serializers.CharField(source="before.ident")
    after = serializers.CharField(source="after.ident")
    right_nm = serializers.SerializerMethodField()
    far_nm = serializers.SerializerMethodField()

    def get_right_nm(self, moved) -> int:
        return round(moved.dx.nm)

    def get_far_nm(self, moved) -> int:
        return round(moved.dy.nm)


class RoomDifferenceOut(serializers.Serializer):
    id = serializers.IntegerField(source="room_id")
    room = serializers.CharField(source="name")
    measured_since = serializers.BooleanField(help_text="It was counted, and now is laid out")
    items = serializers.SerializerMethodField()
    moved = MarkMovedOut(many=True, help_text="To the left, or toward the door wall, is negative")
    added = serializers.ListField(child=serializers.CharField(), help_text="Marks")
    taken_out = serializers.ListField(child=serializers.CharField(), help_text="Marks")

    @extend_schema_field(ItemChangeOut(many=True))
    def get_items(self, room):
        return ItemChangeOut([item for item in room.items if item.changed], many=True, context=self.context).data

    def to_representation(self, room):
        told = super().to_representation(room)
        return told | {name: [mark.ident for mark in getattr(room, name)] for name in ("added", "taken_out")}


class DifferenceOut(serializers.Serializer):
    items = JobItemChangeOut(many=True)
    rooms = RoomDifferenceOut(many=True)


class RulesOut(serializers.Serializer):
    number = serializers.IntegerField(help_text="0: as the program came with them")
    rules = serializers.DictField(help_text="In the shape of fixtures/takeoff_rules.json")


class CountedView(ApiView):
    """What can't be counted now is refused with the reason."""

    def handle_exception(self, exc):
        told = isinstance(exc, (NotAsIssued, NotAsKept, MustBeCounted))
        return super().handle_exception(CannotBeDone(str(exc)) if told else exc)


class KeptTakeoffs(CountedView):
    listing = Listing(Takeoff, ordering=("number", "at", "updated_at"), search=("label",))

    @extend_schema(operation_id="kept_takeoffs", responses=KeptOut(many=True))
    def get(self, request, job_id):
        """The job's kept takeoffs, the newest first."""
        rows = job_of(request.shop, job_id).takeoffs.defer("body", "prices", "rules").select_related("by__user")
        return self.paged(rows, KeptOut)

    @extend_schema(operation_id="keep_takeoff", request=KEEP.schema(), responses={201: KeptOut})
    def post(self, request, job_id):
        """Keep the job's takeoff as it is now, with its layouts and rules."""
        job = job_of(request.shop, job_id)
        label = KEEP.fill(request.data).cleaned_data["label"]
        kept = freeze(job, by=request.member, label=label, at_most=MOST_FOR_A_PAGE)
        return Response(KeptOut(kept).data, status=201)


class KeptTakeoff(CountedView):
    pagination_class = None

    @extend_schema(operation_id="kept_takeoff", responses=KeptWholeOut)
    def get(self, request, job_id, taken):
        """One kept takeoff: its rooms and what they rest on, and the job's lines."""
        job = job_of(request.shop, job_id)
        kept = thaw(kept_of(job, taken))
        return Response(KeptWholeOut(kept, context={"tape": job.tape}).data)


class Difference(CountedView):
    pagination_class = None
    questions = ("before", "after")

    @extend_schema(operation_id="takeoff_difference", responses=DifferenceOut, parameters=SIDES)
    def get(self, request, job_id):
        """What changed from one takeoff to another: by item, by room, mark by mark. Adds and what is taken out are
        never set off against each other.
        """
        self.refuse_unknown_questions(request.query_params)
        job = job_of(request.shop, job_id)
        asked = {"before": request.query_params.get("before", ""), "after": request.query_params.get("after", "now")}
        sides = {name: side_of(job, number) for name, number in asked.items()}
        if wrong := [name for name, side in sides.items() if side is None]:
            words = "The number of a kept takeoff of this job, or now."
            raise Refused([{"parameter": name, "detail": words, "code": "invalid"} for name in wrong])
        found = difference(sides["before"], sides["after"])
        told = {"items": [item for item in found.items if item.item.changed], "rooms": found.changed_rooms}
        return Response(DifferenceOut(told, context={"tape": job.tape}).data)


TAKEOFF = "jobs/<int:job_id>/takeoff/"

urlpatterns = [
    path(TAKEOFF + "kept/", KeptTakeoffs.as_view(), name="kept_takeoffs"),
    path(TAKEOFF + "kept/<int:taken>/", KeptTakeoff.as_view(), name="kept_takeoff"),
    path(TAKEOFF + "difference/", Difference.as_view(), name="takeoff_difference"),
]
