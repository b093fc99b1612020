"""A room's light over the API: what is set, what is computed, what was read. The same forms, rules and services."""

import json
import re

from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.engine.light import patterns
from layout.engine.light.measures import measure
from layout.engine.light.values import Dims
from layout.light import services, work
from layout.light.adding import add_reading
from layout.light.forms import AimForm, ReadingForm, SetupForm, TaskForm, ZoneForm
from layout.light.kept import face_lux
from layout.light.models import LightAim, LightTask, LightZone, MeterReading
from layout.light.pictures.values import Told
from layout.light.queries import light_of
from layout.light.words import pattern_words
from projects.catalogue.targets import targets_of
from projects.jobs.queries import room_of
from projects.platform.api.bodies import TEXT, Body, Kind
from projects.platform.api.lengths import LengthOut, shown
from projects.platform.api.lists import Listing, day
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import Rows, wrong
from projects.platform.api.views import ApiView, Record
from projects.work.api import WorkOut

MOST_ZONES, MOST_AIMS, MOST_TASKS = 60, 2400, 40
KEY = Kind(TEXT.read, lambda form_field, options: serializers.CharField(max_length=60, allow_blank=True, **options))
USUAL = {name: services.LightSetup._meta.get_field(name).get_default() for name in services.COLUMNS}
SETUP = Body("LightSetupBody", SetupForm, kinds={"target_key": KEY})
ZONE = Body("LightZoneBody", ZoneForm)
AIM = Body("LightAimBody", AimForm)
TASK = Body("LightTaskBody", TaskForm)
READING = Body("MeterReadingBody", ReadingForm)
ASKED = re.compile(r"([A-Z]{1,2})=(\d{1,3})")


class LightBody:
    """A setup's columns with its zones, aims and tasks: what is left out is as usual, or not there."""

    parts = ("zones", "aims", "tasks")

    def fill(self, given, *, room, tape, targets, version=None, start=None):
        """Something with .columns and .rows. Raises Refused."""
        del version, start
        if not isinstance(given, dict):
            raise Refused([{"pointer": "", "detail": "Send one JSON object.", "code": "invalid"}])
        rows = Rows()
        columns = None
        try:
            bare = {name: value for name, value in given.items() if name not in self.parts}
            usual = USUAL | {"target_unit": services.unit_of(tape)}
            columns = SETUP.fill(bare, start=usual, tape=tape, targets=targets)
        except Refused as refused:
            rows.errors += refused.more["errors"]
        zones = rows.forms(ZONE, given.get("zones"), ("zones",), MOST_ZONES, shop_id=room.shop_id)
        aims = rows.forms(AIM, given.get("aims"), ("aims",), MOST_AIMS)
        tasks = rows.forms(TASK, given.get("tasks"), ("tasks",), MOST_TASKS, tape=tape)
        same = (("zones", zones, ("letter",)), ("aims", aims, ("row", "number")), ("tasks", tasks, ("name",)))
        for name, forms, key in same:
            seen = set()
            for n, form in enumerate(forms):
                one = tuple(form.cleaned_data[part] for part in key)
                if one in seen:
                    rows.errors.append(wrong((name, n), "It stands twice.", "twice"))
                seen.add(one)
        rows.refuse()
        return _Filled(
            columns.value,
            {"zones": [f.value for f in zones], "aims": [f.value for f in aims], "tasks": [f.value for f in tasks]},
        )

    @staticmethod
    def schema():
        told = SETUP.schema(defaults=set(USUAL))
        rows = {
            "zones": ZONE.schema(defaults={"dim_percent"})(many=True, required=False, max_length=MOST_ZONES),
            "aims": AIM.schema(defaults={"tilt_deg", "toward_deg", "spin_deg"})(
                many=True, required=False, max_length=MOST_AIMS
            ),
            "tasks": TASK.schema(defaults={"kind"})(many=True, required=False, max_length=MOST_TASKS),
        }
        return type("LightBody", (told,), rows)


class _Filled:
    def __init__(self, columns, rows):
        self.columns, self.rows = columns, rows


LIGHT = LightBody()


# As it is read


class LightZoneOut(Record):
    class Meta:
        model = LightZone
        fields = ("letter", "dim_percent", "light_type")
        read_only_fields = fields


class LightAimOut(Record):
    class Meta:
        model = LightAim
        fields = ("row", "number", "tilt_deg", "toward_deg", "spin_deg")
        read_only_fields = fields


class LightTaskOut(Record):
    class Meta:
        model = LightTask
        fields = ("name", "kind", "wall", "along", "from_left", "from_door", "height", "wide", "deep", "facing_deg")
        read_only_fields = fields


class LightSetupOut(Record):
    """What PUT takes is what GET gives."""

    zones = LightZoneOut(many=True)
    aims = LightAimOut(many=True)
    tasks = LightTaskOut(many=True)

    class Meta:
        model = services.LightSetup
        fields = (*services.COLUMNS, "zones", "aims", "tasks")
        read_only_fields = fields


def show_setup(setup, tape):
    context = {"tape": tape}
    told = {
        name: shown(setup.plane, tape) if name == "plane" else _bare(getattr(setup, name)) for name in services.COLUMNS
    }
    outs = (("zones", LightZoneOut), ("aims", LightAimOut), ("tasks", LightTaskOut))
    return told | {name: out(setup.rows(name), many=True, context=context).data for name, out in outs}


def _bare(value):
    return value if value is None or isinstance(value, (int, str)) else str(value)


class BandOut(serializers.Serializer):
    low_m = serializers.FloatField()
    high_m = serializers.FloatField()
    average_lx = serializers.FloatField()
    least_lx = serializers.FloatField()


class WallLightOut(serializers.Serializer):
    name = serializers.CharField()
    average_lx = serializers.FloatField()
    least_lx = serializers.FloatField()
    most_lx = serializers.FloatField()
    bands = BandOut(many=True)


class StripOut(serializers.Serializer):
    wall = serializers.CharField()
    from_m = serializers.FloatField()
    to_m = serializers.FloatField()
    low_m = serializers.FloatField()
    high_m = serializers.FloatField()
    lx = serializers.FloatField()


class TaskLightOut(serializers.Serializer):
    name = serializers.CharField()
    average_lx = serializers.FloatField()
    least_lx = serializers.FloatField()


class FaceLightOut(serializers.Serializer):
    name = serializers.CharField()
    lx = serializers.FloatField(help_text="Upright as the face looks; the mean all round where it looks nowhere")


class RoomLightOut(serializers.Serializer):
    """Computed as the room is laid out and set now: matte surfaces, no furniture, no daylight. Lux."""

    plane_m = serializers.FloatField(help_text="The work plane above the floor")
    plane_avg_lx = serializers.FloatField()
    plane_min_lx = serializers.FloatField()
    plane_max_lx = serializers.FloatField()
    min_over_avg = serializers.FloatField(allow_null=True)
    max_over_min = serializers.FloatField(allow_null=True)
    floor_avg_lx = serializers.FloatField()
    ceiling_avg_lx = serializers.FloatField()
    walls_avg_lx = serializers.FloatField()
    wall_over_plane = serializers.FloatField(allow_null=True)
    walls = WallLightOut(many=True, source="wall_bands")
    worst_strip = StripOut(allow_null=True)
    tasks = TaskLightOut(many=True)
    faces = FaceLightOut(many=True)
    watts = serializers.FloatField(allow_null=True, help_text="Undimmed, of the lights whose watts are known")
    w_per_m2 = serializers.FloatField(allow_null=True)
    w_per_ft2 = serializers.FloatField(allow_null=True)
    lobes = serializers.ListField(child=serializers.CharField(), help_text="Light types with no photometric file")
    told = serializers.ListField(child=serializers.CharField(), help_text="Scallops, caves, hot walls: in words")
    digest = serializers.CharField(help_text="The same inputs give the same digest")


class MeterReadingOut(Record):
    predicted_lx = serializers.FloatField(allow_null=True)
    dims = serializers.SerializerMethodField(help_text="Percent by zone")
    from_left = LengthOut()
    from_door = LengthOut()
    along = LengthOut()
    height = LengthOut()

    class Meta:
        model = MeterReading
        fields = (
            "id", "room", "on", "from_left", "from_door", "along", "height", "value", "dark", "unit", "instrument",
            "taken_by", "taken_on", "dims", "note", "predicted_lx", "digest", "entered_at",
        )  # fmt: skip
        read_only_fields = fields

    def get_dims(self, reading) -> dict[str, int]:
        return json.loads(reading.dims)


class DimIn(serializers.Serializer):
    zone = serializers.RegexField(r"^[A-Z]{1,2}$")
    percent = serializers.IntegerField(min_value=0, max_value=100)


class ReadingBody:
    """A reading and, in `dims`, the levels it was read at: what is left out is as it is set."""

    @staticmethod
    def fill(given, tape, zones):
        if not isinstance(given, dict):
            raise Refused([{"pointer": "", "detail": "Send one JSON object.", "code": "invalid"}])
        rows = Rows()
        percents = dict(zones)
        for n, one in rows.listed(given.get("dims"), ("dims",), MOST_ZONES):
            told = DimIn(data=one) if isinstance(one, dict) else None
            if told is None or not told.is_valid() or told.validated_data["zone"] not in percents:
                rows.errors.append(wrong(("dims", n), "Give a zone that has a light, and a percent, 0 to 100."))
            else:
                percents[told.validated_data["zone"]] = told.validated_data["percent"]
        bare = {name: value for name, value in given.items() if name != "dims"}
        form = rows.form(READING, bare, (), tape=tape)
        rows.refuse()
        return form.fields_of_record, percents

    @staticmethod
    def schema():
        told = READING.schema(defaults={"height"})
        return type("ReadingBody", (told,), {"dims": DimIn(many=True, required=False, max_length=MOST_ZONES)})


# Views


class LightSetupView(ApiView):
    @extend_schema(operation_id="light_setup", responses=LightSetupOut)
    def get(self, request, room_id):
        """What is set for a room's light: surfaces, losses, what is wanted, zones' levels, aims, tasks."""
        room = room_of(request.shop, room_id)
        setup = services.setup_of(room)
        return self.told(setup, show_setup(setup, room.job.tape))

    @extend_schema(operation_id="set_light_setup", request=LightBody.schema(), responses=LightSetupOut)
    def put(self, request, room_id):
        """Set all of it at once: what is left out is as usual, or not there."""
        room = room_of(request.shop, room_id)
        tape, setup = room.job.tape, services.setup_of(room)
        targets = [(row.key, row.space) for row in targets_of(request.shop)]
        self.change(
            setup,
            LIGHT,
            lambda stored: show_setup(services.setup_of(room), tape),
            lambda form, seen: services.change_setup(setup, seen, form.columns, **form.rows),
            room=room,
            tape=tape,
            targets=targets,
        )
        stored = services.setup_of(room)
        return self.told(stored, show_setup(stored, tape))


class RoomLightView(ApiView):
    questions = ("dims",)

    @extend_schema(
        operation_id="room_light",
        parameters=[OpenApiParameter("dims", str, description="Levels in percent: A=50,B=0. As set where left out")],
        responses=RoomLightOut,
    )
    def get(self, request, room_id):
        """How bright the room gets: plane, walls, floor, ceiling, tasks and faces, and the power it takes."""
        self.refuse_unknown_questions(request.query_params)
        room = room_of(request.shop, room_id)
        light = light_of(room)
        if light.solved is None:
            raise CannotBeDone(_why(light))
        dims = _dims(request.query_params.get("dims", ""), light)
        return Response(RoomLightOut(_figures(light, dims)).data)


class WorkOutLight(ApiView):
    @extend_schema(operation_id="work_out_light", request=None, responses={202: WorkOut})
    def post(self, request, room_id):
        """Work out the light of a room with many lights, as long work. Ask for the room's light when it is done."""
        room = room_of(request.shop, room_id)
        light = light_of(room)
        if not light.waits:
            raise CannotBeDone(
                "Nothing to work out: the light is there to be read." if light.solved is not None else _why(light)
            )
        return Response(WorkOut(work.start(room, request.member)).data, status=202)


def _why(light):
    if light.waits:
        return "So many lights are worked out as long work. Start it on the room's page of light, then ask again."
    return light.refused or " ".join(f"{one.words} {one.remedy}" for one in light.missing)


def _dims(text, light):
    if not text:
        return None
    zones = {one.zone for one in light.made.scene.lights}
    levels = {}
    for part in text.split(","):
        found = ASKED.fullmatch(part.strip())
        if not found or found[1] not in zones or int(found[2]) > 100:
            said = "Give zones that have a light with a percent each, as A=50,B=0."
            raise Refused([{"parameter": "dims", "detail": said, "code": "invalid"}])
        levels[found[1]] = int(found[2]) / 100
    return Dims(zones=levels)


def _figures(light, dims):
    measures = measure(light.solved, dims)
    told = Told(light.room.job.tape)
    names = [name for name in RoomLightOut().fields if hasattr(measures, name)]
    return {name: getattr(measures, name) for name in names} | {
        "wall_bands": measures.wall_bands,
        "plane_m": light.made.scene.plane_m,
        "faces": [{"name": face.name, "lx": face_lux(light.solved, face, dims)} for face in light.made.faces],
        "lobes": light.made.lobes,
        "told": [pattern_words(one, told) for one in patterns.told(light.solved, dims)],
        "digest": light.made.digest,
    }


class MeterReadings(ApiView):
    listing = Listing(
        MeterReading,
        filters={"from": day("taken_on__gte"), "to": day("taken_on__lte")},
        ordering=("taken_on", "updated_at"),
        search=("instrument", "taken_by", "note"),
    )

    @extend_schema(operation_id="meter_readings", responses=MeterReadingOut(many=True))
    def get(self, request, room_id):
        """The room's meter log, the newest first, each reading beside what was predicted when it was entered."""
        room = room_of(request.shop, room_id)
        rows = MeterReading.objects.of(request.shop).filter(room=room).order_by("-pk")
        return self.paged(rows, MeterReadingOut, tape=room.job.tape)

    @extend_schema(
        operation_id="add_meter_reading", request=ReadingBody.schema(), responses={201: MeterReadingOut}
    )
    def post(self, request, room_id):
        """Add one. Readings are never changed: a wrong one is read again."""
        room = room_of(request.shop, room_id)
        light = light_of(room)
        fields, percents = ReadingBody.fill(request.data, room.job.tape, light.zones)
        record = add_reading(light, fields, percents, by=request.member)
        return Response(MeterReadingOut(record, context={"tape": room.job.tape}).data, status=201)


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "light-setup/", LightSetupView.as_view(), name="light_setup"),
    path(ROOM + "light/", RoomLightView.as_view(), name="room_light"),
    path(ROOM + "light/work-out/", WorkOutLight.as_view(), name="work_out_light"),
    path(ROOM + "meter-readings/", MeterReadings.as_view(), name="meter_readings"),
]
