"""Jobs, rooms and stages over the API: the same forms and services as their pages."""

from django.urls import path, reverse
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.catalogue.tables import stages
from projects.jobs import queries, services, survey_api
from projects.jobs.forms import ChangeJobForm, CopyForm, JobForm, NewRoomForm, RoomForm
from projects.jobs.models import HeldUp, Job, JobRuns, Room
from projects.platform.api.bodies import Body
from projects.platform.api.lengths import LengthOut, shown
from projects.platform.api.lists import Listing, choice, text, yes_no
from projects.platform.api.problems import Refused
from projects.platform.api.views import ApiView, Record, RecordView, taken
from projects.trash import services as trash


class NewRoomFormHere(RoomForm):
    """A room before anyone taped it: its words and its ceiling. Readings follow as a measurement set."""

    version = None
    name = NewRoomForm.base_fields["name"]
    ceiling_system = NewRoomForm.base_fields["ceiling_system"]


JOB = Body("JobBody", JobForm)
CHANGED_JOB = Body("JobBody", ChangeJobForm)
NEW_ROOM = Body("NewRoomBody", NewRoomFormHere)
ROOM_STARTS = {"ceiling_system": "board", "zero_x": "left", "zero_y": "door"}
CHANGED_ROOM = Body("RoomBody", RoomForm)
COPIES = Body("CopiesBody", CopyForm)


class CrewMayMove(LengthOut):
    """In the job's own tape."""

    def get_attribute(self, job):
        return job

    def to_representation(self, job):
        return shown(job.crew_may_move, job.tape)


class JobOut(Record):
    crew_may_move = CrewMayMove()

    class Meta:
        model = Job
        fields = (
            "id", "number", "name", "client", "site", "style", "code_edition", "survey_on", "rough_in_on",
            "inspection_on", "drywall_on", "trim_on", "runs_as", "year_built", "crew_may_move", "closed_on", "note",
            "version", "created_at", "updated_at",
        )  # fmt: skip
        read_only_fields = fields


class JobRow(JobOut):
    rooms = serializers.IntegerField(source="room_count", read_only=True)

    class Meta(JobOut.Meta):
        fields = (*JobOut.Meta.fields, "rooms")
        read_only_fields = fields


class RoomOut(Record):
    class Meta:
        model = Room
        fields = (
            "id", "job", "name", "level", "note", "stage", "stage_since", "held_up", "held_up_why", "waits_for",
            "door_name", "door_wall", "left_wall", "far_wall", "right_wall", "north", "zero_x", "zero_y", "rows_run",
            "ceiling_system", "cancelled", "version", "created_at", "updated_at",
        )  # fmt: skip
        read_only_fields = fields


class RoomsOut(serializers.Serializer):
    rooms = RoomOut(many=True)


def name_free(change, *args):
    """What the service gives. Raises Refused when a name is used already, or rooms in the field forbid it."""
    try:
        return change(*args)
    except services.NameTaken as error:
        raise taken(f"/{error.field}", error) from error
    except services.InTheField as error:
        raise Refused([{"pointer": f"/{error.field}", "detail": str(error), "code": "in_the_field"}]) from error


IN_THE_TRASH = OpenApiResponse(description="In the trash")


class Jobs(RecordView):
    out = JobOut
    listing = Listing(
        Job,
        filters={
            "number": text("number"),
            "runs_as": choice("runs_as", JobRuns.values),
            "under_way": yes_no("closed_on__isnull"),
        },
        ordering=("name", "number", "rough_in_on", "trim_on", "updated_at"),
        search=("number", "name", "client", "site"),
    )

    @extend_schema(operation_id="jobs", responses=JobRow(many=True))
    def get(self, request):
        """The shop's jobs, the newest first."""
        jobs = queries.jobs_of(request.shop)
        return self.paged(jobs, JobRow)

    @extend_schema(operation_id="open_job", request=JOB.schema(), responses={201: JobOut})
    def post(self, request):
        """Open a job. Its number is used once in a shop."""
        form = JOB.fill(request.data, start={"runs_as": "new_work"}, tape=request.shop.tape)
        job = name_free(lambda: services.open_job(request.shop, **form.cleaned_data))
        return self.made(job, reverse("api:job", args=[job.pk]))


class JobView(RecordView):
    out = JobOut

    @extend_schema(operation_id="job", responses=JobOut)
    def get(self, request, job_id):
        """One job."""
        return self.answer(queries.job_of(request.shop, job_id))

    @extend_schema(operation_id="change_job", request=CHANGED_JOB.schema(partial=True), responses=JobOut)
    def patch(self, request, job_id):
        """Change what is given."""
        job = queries.job_of(request.shop, job_id)
        return self.edit(
            job,
            CHANGED_JOB,
            lambda form, seen: name_free(services.change_job, job, seen, form.changes),
            start=vars(job),
            tape=job.tape,
        )

    @extend_schema(operation_id="trash_job", responses={204: IN_THE_TRASH})
    def delete(self, request, job_id):
        """Put the job in the trash with all its rooms, for 30 days."""
        job = queries.job_of(request.shop, job_id)
        return self.remove(job, lambda seen: trash.trash_job(job, seen, by=request.member))


class JobRooms(RecordView):
    out = RoomOut
    listing = Listing(
        Room,
        filters={
            "stage": choice("stage", [stage.number for stage in stages()]),
            "level": text("level"),
            "held_up": choice("held_up", HeldUp.values),
            "cancelled": yes_no("cancelled"),
        },
        ordering=("name", "stage", "stage_since", "updated_at"),
        search=("name", "level", "waits_for"),
    )

    @extend_schema(operation_id="rooms_of_job", responses=RoomOut(many=True))
    def get(self, request, job_id):
        """The job's rooms, in the order they were added."""
        return self.paged(queries.job_of(request.shop, job_id).rooms.order_by("pk"), RoomOut)

    @extend_schema(
        operation_id="add_room", request=NEW_ROOM.schema(defaults=ROOM_STARTS), responses={201: RoomOut}
    )
    def post(self, request, job_id):
        """Add a room with its ceiling's usual build-up. Without a name it is Room 1, Room 2, and so on."""
        job = queries.job_of(request.shop, job_id)
        form = NEW_ROOM.fill(request.data, start=ROOM_STARTS)
        room = name_free(lambda: services.add_room(job, **form.cleaned_data))
        return self.made(room, reverse("api:room", args=[room.pk]))


class RoomView(RecordView):
    out = RoomOut

    @extend_schema(operation_id="room", responses=RoomOut)
    def get(self, request, room_id):
        """One room: its words, its stage, its zero corner."""
        return self.answer(queries.room_at(request.shop, room_id))

    @extend_schema(operation_id="change_room", request=CHANGED_ROOM.schema(partial=True), responses=RoomOut)
    def patch(self, request, room_id):
        """Change what is given. Build-up, counts, readings and stage have addresses of their own."""
        room = queries.room_at(request.shop, room_id)
        return self.edit(
            room,
            CHANGED_ROOM,
            lambda form, seen: name_free(services.change_room, room, seen, form.changes),
            start=vars(room),
        )

    @extend_schema(operation_id="trash_room", responses={204: IN_THE_TRASH})
    def delete(self, request, room_id):
        """Put the room in the trash, for 30 days."""
        room = queries.room_at(request.shop, room_id)
        return self.remove(room, lambda seen: trash.trash_room(room, seen, by=request.member))


class RoomCopies(ApiView):
    @extend_schema(operation_id="copy_room", request=COPIES.schema(), responses={201: RoomsOut})
    def post(self, request, room_id):
        """Copy a room: its sizes come along as from a plan, for each copy still has to be taped."""
        room = queries.room_of(request.shop, room_id)
        form = COPIES.fill(request.data)
        copies = services.copy_room(room, form.cleaned_data["times"])
        return Response(RoomsOut({"rooms": copies}).data, status=201)


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path("jobs/", Jobs.as_view(), name="jobs"),
    path("jobs/<int:job_id>/", JobView.as_view(), name="job"),
    path("jobs/<int:job_id>/rooms/", JobRooms.as_view(), name="job_rooms"),
    path(ROOM, RoomView.as_view(), name="room"),
    path(ROOM + "copies/", RoomCopies.as_view(), name="copy_room"),
    path(ROOM + "build-up/", survey_api.BuildUp.as_view(), name="build_up"),
    path(ROOM + "measurements/", survey_api.Measurements.as_view(), name="measurements"),
    path(ROOM + "counts/", survey_api.Counts.as_view(), name="counts"),
]
