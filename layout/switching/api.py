"""Switches, zones, loads and circuits over the API: the same forms, rules and services as the pages."""

from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.draft_api import DraftOut, draft_of, from_the_draft, told_draft
from layout.engine.lengths import LengthError
from layout.engine.room import lay_out
from layout.inputs import NotLaidOutYet, inputs_of
from layout.switching import loads, loads_words
from layout.switching.circuits_web import Shown
from layout.switching.forms import SuggestForm
from layout.switching.page import suggestion
from layout.switching.services import NothingToPutBack, put_switches_back
from layout.switching.words import WHYS
from projects.jobs import circuit_services
from projects.jobs.circuit_forms import (
    ZONE_FIELDS,
    ChangeCircuitForm,
    CircuitForm,
    SpeakerWiringForm,
    SwitchZoneForm,
    WirePointForm,
)
from projects.jobs.models import ROOM_POINTS, Circuit
from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lengths import LengthOut, shown
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import Rows, unknown, wrong
from projects.platform.api.views import ApiView, Record, RecordView, taken

MOST_ZONES, MOST_POINTS = 60, 130
CIRCUIT = Body("CircuitBody", CircuitForm)
CHANGED_CIRCUIT = Body("CircuitBody", ChangeCircuitForm, example=lambda: ChangeCircuitForm.base_fields)
CIRCUIT_STARTS = {"breaker_amps": 15, "volts": 120}
ZONE = Body("SwitchZoneBody", SwitchZoneForm, example=lambda: SwitchZoneForm.base_fields)
POINT = Body("SwitchPointBody", WirePointForm)
SPEAKERS = Body("SpeakerWiringBody", SpeakerWiringForm)


class SwitchingBody:
    """All of a room's zones, their points and the speakers' wiring: what is left out is not there."""

    parts = ("zones", "points", "speakers")

    def fill(self, given, *, room, tape, version=None, start=None):
        """Something with .zones, .points and .speakers. Raises Refused."""
        del version, start
        if not isinstance(given, dict):
            raise Refused([{"pointer": "", "detail": "Send one JSON object.", "code": "invalid"}])
        rows = Rows()
        rows.errors += [unknown((name,)) for name in given if name not in self.parts]
        zones = rows.forms(ZONE, given.get("zones"), ("zones",), MOST_ZONES, room=room, tape=tape)
        points = rows.forms(POINT, given.get("points"), ("points",), MOST_POINTS, tape=tape)
        speakers = None if given.get("speakers") is None else rows.form(SPEAKERS, given["speakers"], ("speakers",))
        for name, forms, same in (("zones", zones, ("letter",)), ("points", points, ("what", "zone"))):
            seen = set()
            for n, form in enumerate(forms):
                key = tuple(form.cleaned_data[part] for part in same)
                if key in seen:
                    rows.errors.append(wrong((name, n), "It stands twice.", "twice"))
                seen.add(key)
        rows.refuse()
        return _Filled([form.value for form in zones], [form.value for form in points], speakers and speakers.value)

    @staticmethod
    def schema():
        return type(
            "SwitchingBody",
            (serializers.Serializer,),
            {
                "zones": ZONE.schema(defaults={"control"})(many=True, required=False, max_length=MOST_ZONES),
                "points": POINT.schema()(many=True, required=False, max_length=MOST_POINTS),
                "speakers": SPEAKERS.schema()(required=False, allow_null=True),
            },
        )


class _Filled:
    def __init__(self, zones, points, speakers):
        self.zones, self.points, self.speakers = zones, points, speakers


SWITCHING = SwitchingBody()


# As it is read


class SwitchZoneOut(serializers.Serializer):
    letter = serializers.CharField()
    purpose = serializers.CharField(allow_blank=True)
    control = serializers.CharField()
    control_type = serializers.IntegerField(allow_null=True)
    box = serializers.CharField(allow_blank=True)
    place = serializers.IntegerField(allow_null=True)
    circuit = serializers.IntegerField(allow_null=True)
    hung = serializers.CharField()


class SwitchPointOut(serializers.Serializer):
    what = serializers.CharField()
    zone = serializers.CharField(allow_blank=True)
    from_left = LengthOut()
    from_door = LengthOut()
    height = LengthOut()
    beyond = LengthOut()


class SpeakerWiringOut(serializers.Serializer):
    kind = serializers.CharField()
    line_volts = serializers.DecimalField(max_digits=5, decimal_places=1, allow_null=True)
    tap_watts = serializers.DecimalField(max_digits=6, decimal_places=2, allow_null=True)
    amplifier_watts = serializers.DecimalField(max_digits=7, decimal_places=1, allow_null=True)


class SwitchingOut(serializers.Serializer):
    """What PUT takes is what GET gives."""

    zones = SwitchZoneOut(many=True)
    points = SwitchPointOut(many=True, help_text="Zones' own switches, 3-way partners, the speaker control")
    speakers = SpeakerWiringOut(allow_null=True, help_text="null: a run of its own from each speaker")


class SuggestedOut(serializers.Serializer):
    row = serializers.IntegerField()
    number = serializers.IntegerField()
    zone = serializers.CharField()
    purpose = serializers.CharField()
    why = serializers.CharField()


class SuggestionOut(serializers.Serializer):
    lights = SuggestedOut(many=True)


class SumOut(serializers.Serializer):
    lights = serializers.IntegerField()
    watts = serializers.FloatField(help_text="Of the lights whose watts are known")
    watts_unknown = serializers.IntegerField(help_text="Of how many they aren't")
    va = serializers.FloatField(help_text="At least: by the watts where no power factor is known")
    va_unknown = serializers.IntegerField()


class ToldOut(serializers.Serializer):
    tone = serializers.CharField(help_text="bad: a number is passed; warn: one isn't known; good otherwise")
    words = serializers.CharField()
    rule = serializers.CharField(allow_blank=True)


class ZoneSumOut(serializers.Serializer):
    letter = serializers.CharField()
    load = SumOut()


class SwitchBoxOut(serializers.Serializer):
    name = serializers.CharField(allow_blank=True)
    gangs = serializers.IntegerField()
    in3 = serializers.FloatField(source="fill.in3", help_text="Cubic inches it has to have")
    holds = serializers.SerializerMethodField(help_text="Boxes on file that are large enough")

    def get_holds(self, box) -> list[str]:
        return [one.name for one in box.choice]


class RoomLoadsOut(serializers.Serializer):
    """As the room is laid out now."""

    zones = ZoneSumOut(many=True)
    boxes = SwitchBoxOut(many=True)
    total = SumOut()
    on_no_circuit = serializers.ListField(source="loose", child=serializers.CharField())
    told = serializers.SerializerMethodField()
    cautions = serializers.SerializerMethodField()

    def get_told(self, room) -> list[dict[str, str]]:
        return ToldOut(self.context["told"], many=True).data

    def get_cautions(self, room) -> list[str]:
        return [str(one) for one in loads_words.CAUTIONS]


class CircuitOut(Record):
    class Meta:
        model = Circuit
        fields = (
            "id", "job", "number", "panel", "breaker_amps", "volts", "awg", "homerun_room", "note", "version",
            "updated_at",
        )  # fmt: skip
        read_only_fields = fields


class CircuitLoadOut(serializers.Serializer):
    circuit = serializers.IntegerField(source="circuit.pk")
    number = serializers.CharField(source="circuit.number")
    most_va = serializers.FloatField(source="on.most_va", help_text="80 % of the breaker")
    load = SumOut(source="on.load")
    not_issued = serializers.ListField(source="waiting", child=serializers.CharField())


def show_switching(room):
    tape, wiring = room.job.tape, getattr(room, "speaker_wiring", None)
    points = [one for one in room.wire_points.all() if one.zone or one.what not in ROOM_POINTS]
    lengths = ("from_left", "from_door", "height", "beyond")
    return {
        "zones": [
            {"letter": zone.letter}
            | {name: getattr(zone, name) for name in ZONE_FIELDS if name not in ("control_type", "circuit")}
            | {"control_type": zone.control_type_id, "circuit": zone.circuit_id}
            for zone in room.switch_zones.all()
        ],
        "points": [
            {"what": one.what, "zone": one.zone} | {name: shown(getattr(one, name), tape) for name in lengths}
            for one in points
        ],
        "speakers": SpeakerWiringOut(wiring).data if wiring else None,
    }


# Views


class Switching(RecordView):
    show = staticmethod(show_switching)

    @extend_schema(operation_id="switching", responses=SwitchingOut)
    def get(self, request, room_id):
        """A room's zones: what turns them on, in which box, on which circuit; and how its speakers are wired."""
        return self.answer(room_of(request.shop, room_id))

    @extend_schema(operation_id="set_switching", request=SWITCHING.schema(), responses=SwitchingOut)
    def put(self, request, room_id):
        """Set all of it at once: what is left out is not there. The room's own switch, panel and rack stay."""
        room = room_of(request.shop, room_id)
        return self.edit(
            room,
            SWITCHING,
            lambda form, seen: circuit_services.change_switching(room, seen, form.zones, form.points, form.speakers),
            room=room,
            tape=room.job.tape,
        )


class SuggestedSwitches(ApiView):
    questions = ("screen", "most_lights", "most_zones")

    @extend_schema(operation_id="suggested_switches", responses=SuggestionOut)
    def get(self, request, room_id):
        """Which lights might go together, with the reason for each. Send it as the draft's `switched` to take it."""
        self.refuse_unknown_questions(request.query_params)
        asked = SuggestForm(request.query_params)
        if not asked.is_valid():
            raise Refused(
                [
                    {"parameter": name, "detail": " ".join(errors), "code": "invalid"}
                    for name, errors in asked.errors.items()
                ]
            )
        room = room_of(request.shop, room_id)
        draft = draft_of(room)
        try:
            layout = lay_out(inputs_of(room, draft))
        except (LengthError, NotLaidOutYet) as error:
            raise CannotBeDone(str(error)) from error
        lights = [
            {"row": one.row, "number": one.number, "zone": one.zone, "purpose": one.purpose, "why": WHYS[one.why]}
            for one in suggestion(room, draft, layout, asked.asked)
        ]
        return Response(SuggestionOut({"lights": lights}).data)


class PutBackSwitches(ApiView):
    @extend_schema(operation_id="put_back_switches", request=None, responses=DraftOut)
    def post(self, request, room_id):
        """The lights' letters as before the last save; sent twice, the last save's. If-Match: the draft's ETag."""
        room = room_of(request.shop, room_id)
        try:
            with from_the_draft(self, room) as (draft, seen):
                put_switches_back(draft, seen)
        except NothingToPutBack as refused:
            raise CannotBeDone(str(refused)) from refused
        return told_draft(self, room)


class RoomLoads(ApiView):
    @extend_schema(operation_id="room_loads", responses=RoomLoadsOut)
    def get(self, request, room_id):
        """What hangs on each switch, in each box and on each circuit: sums and cautions, never a verdict."""
        room = Shown(room_of(request.shop, room_id))
        if room.loads is None:
            raise CannotBeDone(room.refused)
        return Response(RoomLoadsOut(room.loads, context={"told": room.told}).data)


class JobLoads(ApiView):
    listing = Listing()

    @extend_schema(operation_id="job_loads", responses=CircuitLoadOut(many=True))
    def get(self, request, job_id):
        """Each circuit's load from the rooms' latest revisions."""
        job = job_of(request.shop, job_id)
        circuits = list(Circuit.objects.of(request.shop).filter(job=job))
        return self.paged(list(loads.circuit_loads(circuits)), CircuitLoadOut)


def _number_free(change, *args):
    try:
        return change(*args)
    except circuit_services.NumberTaken as error:
        raise taken("/number", error) from error


class JobCircuits(RecordView):
    out = CircuitOut
    listing = Listing(Circuit, ordering=("number", "updated_at"), search=("number", "panel", "note"))

    @extend_schema(operation_id="circuits_of_job", responses=CircuitOut(many=True))
    def get(self, request, job_id):
        """The job's circuits."""
        job = job_of(request.shop, job_id)
        return self.paged(Circuit.objects.of(request.shop).filter(job=job), CircuitOut)

    @extend_schema(
        operation_id="add_circuit", request=CIRCUIT.schema(defaults=set(CIRCUIT_STARTS)), responses={201: CircuitOut}
    )
    def post(self, request, job_id):
        """Add a circuit. Its number is used once in a job."""
        job = job_of(request.shop, job_id)
        form = CIRCUIT.fill(request.data, start=CIRCUIT_STARTS)
        record = _number_free(lambda: circuit_services.add_circuit(job, **form.cleaned_data))
        return self.made(record, reverse("api:circuit", args=[record.pk]))


class CircuitView(RecordView):
    out = CircuitOut

    def stored(self, circuit_id):
        record = Circuit.objects.of(self.request.shop).filter(pk=circuit_id, job__trashed_at=None).first()
        if record is None:
            raise Http404
        return record

    @extend_schema(operation_id="circuit", responses=CircuitOut)
    def get(self, request, circuit_id):
        """One circuit."""
        return self.answer(self.stored(circuit_id))

    @extend_schema(operation_id="change_circuit", request=CHANGED_CIRCUIT.schema(partial=True), responses=CircuitOut)
    def patch(self, request, circuit_id):
        """Change what is given."""
        record = self.stored(circuit_id)
        return self.edit(
            record,
            CHANGED_CIRCUIT,
            lambda form, seen: _number_free(
                circuit_services.change_circuit,
                record,
                seen,
                {name: value for name, value in form.cleaned_data.items() if name != "version"},
            ),
            start=ChangeCircuitForm.start(record),
            circuit=record,
        )

    @extend_schema(operation_id="remove_circuit", responses={204: OpenApiResponse(description="Taken out")})
    def delete(self, request, circuit_id):
        """Take it out: its zones stay, on no circuit."""
        record = self.stored(circuit_id)
        return self.remove(record, lambda seen: circuit_services.remove_circuit(record, seen))


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "switching/", Switching.as_view(), name="switching"),
    path(ROOM + "switching/put-back/", PutBackSwitches.as_view(), name="put_back_switches"),
    path(ROOM + "suggested-switches/", SuggestedSwitches.as_view(), name="suggested_switches"),
    path(ROOM + "loads/", RoomLoads.as_view(), name="room_loads"),
    path("jobs/<int:job_id>/circuits/", JobCircuits.as_view(), name="job_circuits"),
    path("jobs/<int:job_id>/loads/", JobLoads.as_view(), name="job_loads"),
    path("circuits/<int:circuit_id>/", CircuitView.as_view(), name="circuit"),
]
