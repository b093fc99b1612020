"""The trash over the API: what lies in it and for how long, and the way back. Into it: DELETE of the room or job."""

from django.http import Http404
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from projects.jobs.api import JobOut, RoomOut, name_free
from projects.jobs.models import Job, Room
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, by_id
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, RecordView
from projects.trash import queries, services
from projects.trash.forms import RestoreJobForm, RestoreRoomForm

BACK_ROOM = Body("RestoreRoomBody", RestoreRoomForm)
BACK_JOB = Body("RestoreJobBody", RestoreJobForm)


class TrashedOut(serializers.Serializer):
    id = serializers.IntegerField(source="pk")
    trashed_at = serializers.DateTimeField()
    trashed_by = serializers.CharField(source="trashed_by.user.name", default=None, allow_null=True)
    days_left = serializers.SerializerMethodField()

    def get_days_left(self, record) -> int:
        return queries.days_of(record).left


class TrashedRoomOut(TrashedOut):
    name = serializers.CharField()
    job = serializers.IntegerField(source="job_id")


class TrashedJobOut(TrashedOut):
    number = serializers.CharField()
    name = serializers.CharField()
    rooms = serializers.IntegerField(source="with_it", help_text="That went along, and come back with it")


class TrashedRooms(ApiView):
    listing = Listing(Room, filters={"job": by_id("job_id")}, ordering=("trashed_at",), search=("name",))

    @extend_schema(operation_id="trashed_rooms", responses=TrashedRoomOut(many=True))
    def get(self, request):
        """Rooms that were put in the trash by themselves, the latest first."""
        return self.paged(queries.rooms_in_the_trash(request.shop), TrashedRoomOut)


class TrashedJobs(ApiView):
    listing = Listing(Job, ordering=("trashed_at",), search=("number", "name"))

    @extend_schema(operation_id="trashed_jobs", responses=TrashedJobOut(many=True))
    def get(self, request):
        """Jobs in the trash, the latest first."""
        return self.paged(queries.jobs_in_the_trash(request.shop), TrashedJobOut)


class RestoreRoom(RecordView):
    out = RoomOut

    @extend_schema(operation_id="restore_room", request=BACK_ROOM.schema(), responses=RoomOut)
    def post(self, request, room_id):
        """Take a room out of the trash, under another name where its own is used meanwhile."""
        room = queries.any_room(request.shop, room_id)
        form = BACK_ROOM.fill(request.data)
        return self.answer(_taken_out(room, lambda: services.restore_room(room, **form.cleaned_data)))


class RestoreJob(RecordView):
    out = JobOut

    @extend_schema(operation_id="restore_job", request=BACK_JOB.schema(), responses=JobOut)
    def post(self, request, job_id):
        """Take a job out of the trash with the rooms that went along, under another number where its own is used."""
        job = queries.any_job(request.shop, job_id)
        form = BACK_JOB.fill(request.data)
        return self.answer(_taken_out(job, lambda: services.restore_job(job, **form.cleaned_data)))


def _taken_out(record, restore):
    if record.trashed_at is None:
        raise CannotBeDone("It is not in the trash.")
    try:
        return name_free(restore)
    except services.JobInTheTrash as first:
        raise CannotBeDone(str(first)) from first
    except Http404 as gone:  # somebody was first
        raise CannotBeDone("It is not in the trash any more.") from gone


urlpatterns = [
    path("trash/rooms/", TrashedRooms.as_view(), name="trashed_rooms"),
    path("trash/rooms/<int:room_id>/restore/", RestoreRoom.as_view(), name="restore_room"),
    path("trash/jobs/", TrashedJobs.as_view(), name="trashed_jobs"),
    path("trash/jobs/<int:job_id>/restore/", RestoreJob.as_view(), name="restore_job"),
]
