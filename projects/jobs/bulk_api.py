"""Many rooms, or many rooms' readings, in one request: all of them or none."""

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from projects.jobs import queries, services
from projects.jobs.api import NEW_ROOM, ROOM_STARTS, RoomOut, name_free
from projects.jobs.survey_api import VISIT
from projects.platform.api.bulk import ITEMS, many
from projects.platform.api.problems import Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, etag

VisitItem = type(
    "JobVisitBody", (VISIT.schema(),), {"room": serializers.IntegerField(help_text="One of this job's rooms")}
)


class RoomMade(RoomOut):
    """With the tag to edit it by."""

    etag = serializers.SerializerMethodField()

    def get_etag(self, room) -> str:
        return etag(room)

    class Meta(RoomOut.Meta):
        fields = (*RoomOut.Meta.fields, "etag")
        read_only_fields = fields


class VisitMade(serializers.Serializer):
    room = serializers.IntegerField(source="room_id")
    id = serializers.IntegerField()
    kind = serializers.CharField()
    taken_on = serializers.DateField()


class JobRoomsBulk(ApiView):
    key_required = True

    @extend_schema(
        operation_id="add_rooms",
        request=many(NEW_ROOM.schema(defaults=ROOM_STARTS)),
        responses={201: many(RoomMade)},
    )
    def post(self, request, job_id):
        """Add several rooms, each as one would be added by itself: all of them or none."""
        job = queries.job_of(request.shop, job_id)

        def add(item):
            form = NEW_ROOM.fill(item, start=ROOM_STARTS)
            room = name_free(lambda: services.add_room(job, **form.cleaned_data))
            return RoomOut(room).data | {"etag": etag(room)}

        return self.bulk(add)


class JobMeasurementsBulk(ApiView):
    key_required = True

    @extend_schema(operation_id="record_visits", request=many(VisitItem), responses={201: many(VisitMade)})
    def post(self, request, job_id):
        """Add readings of several of the job's rooms: all of them or none. Each says its room."""
        job = queries.job_of(request.shop, job_id)
        rooms = job.rooms.in_bulk(_asked_for(request.data))
        tape = job.tape

        def record(item):
            if not isinstance(item, dict):
                raise Refused([wrong((), "Give an object with a room and its readings.")])
            room = rooms.get(item["room"]) if _is_id(item.get("room")) else None
            if room is None:
                raise Refused([wrong(("room",), "This job has no such room. Give the id of one of its rooms.")])
            form = VISIT.fill({name: value for name, value in item.items() if name != "room"}, tape=tape)
            visit = services.record_measurements(room, form.readings, by=request.member, **form.visit)
            return VisitMade(visit).data

        return self.bulk(record)


def _asked_for(given):
    items = given.get(ITEMS) if isinstance(given, dict) else None
    rooms = [item.get("room") for item in items if isinstance(item, dict)] if isinstance(items, list) else []
    return [room for room in rooms if _is_id(room)]


def _is_id(value):
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value < 2**63


urlpatterns = [
    path("jobs/<int:job_id>/rooms/bulk/", JobRoomsBulk.as_view(), name="job_rooms_bulk"),
    path("jobs/<int:job_id>/measurements/bulk/", JobMeasurementsBulk.as_view(), name="job_measurements_bulk"),
]
