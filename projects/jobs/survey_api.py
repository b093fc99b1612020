"""What a room is built of, what was read in it and what it is to have, over the API. No sums here."""

from django import forms
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs import queries, services
from projects.jobs.counts_form import MOST_COUNTS, POINT_PARTS, CountsForm, parts_of
from projects.jobs.models import ROOM_POINTS, Held, Instrument, LaserEdge, SideChoice, Subject, Surface, SurveyKind
from projects.jobs.survey_forms import MOST_LAYERS, BuildUpForm, MeasurementForm
from projects.jobs.tape_words import all_visits
from projects.platform.api.bodies import ID, Body, Path
from projects.platform.api.lengths import LengthOut, shown
from projects.platform.api.lists import Listing
from projects.platform.api.views import ApiView, RecordView
from projects.platform.forms import LengthFormField

# Where a form's boxes stand in the JSON


def _layer_paths() -> dict[str, Path]:
    paths: dict[str, Path] = {f"gap_{side.value}": ("gaps", side.value) for side in SideChoice}
    for surface in Surface:
        for n in range(MOST_LAYERS):
            for what in ("name", "thickness"):
                paths[f"{surface.value}_{n + 1}_{what}"] = ("layers", surface.value, n, what)
    return paths


def _reading_paths() -> dict[str, Path]:
    paths: dict[str, Path] = {}
    for subject in Subject:
        for n in range(MeasurementForm.most(subject)):
            paths[f"{subject.value}_{n + 1}"] = ("readings", subject.value, n, "value")
            paths[f"{subject.value}_{n + 1}_at"] = ("readings", subject.value, n, "taken_at_height")
    return paths


def _count_paths() -> dict[str, Path]:
    paths: dict[str, Path] = {}
    for n in range(MOST_COUNTS):
        for box, what in (("type", "fixture_type"), ("zone", "zone"), ("count", "count")):
            paths[f"{box}_{n + 1}"] = ("counts", n, what)
    for point in ROOM_POINTS:
        for what in POINT_PARTS:
            paths[f"{point.value}_{what}"] = ("wire_points", point.value, what)
    return paths


def _count_needs():
    needs = {f"{box}_{n}": f"type_{n}" for box in ("zone", "count") for n in range(1, MOST_COUNTS + 1)}
    past = ("beyond", "below", "above")
    return needs | {f"{point.value}_{part}": f"{point.value}_height" for point in ROOM_POINTS for part in past}


def _count_fields():
    """Like the form's own boxes, which can't be had without a shop's catalog."""
    fields: dict[str, forms.Field] = {}
    for n in range(1, MOST_COUNTS + 1):
        fields[f"type_{n}"] = forms.IntegerField(label="Fixture type's id")
        fields[f"zone_{n}"] = forms.CharField(label="Zone", max_length=2, required=False)
        fields[f"count_{n}"] = forms.IntegerField(
            label="How many; none: as the spacing limit asks", required=False, min_value=0, max_value=400
        )
    for point in ROOM_POINTS:
        for what in POINT_PARTS:
            fields[f"{point.value}_{what}"] = LengthFormField(required=False)
    return fields


BUILD_UP = Body("BuildUpBody", BuildUpForm, paths=_layer_paths(), example=lambda: BuildUpForm().fields)
VISIT = Body(
    "MeasurementSetBody",
    MeasurementForm,
    paths=_reading_paths(),
    needs={name: name.removesuffix("_at") for name in _reading_paths() if name.endswith("_at")},
    example=lambda: MeasurementForm().fields,
)
COUNTS = Body(
    "CountsBody",
    CountsForm,
    paths=_count_paths(),
    kinds={f"type_{n}": ID for n in range(1, MOST_COUNTS + 1)},
    needs=_count_needs(),
    example=_count_fields,
)


# As it is read


class LayerOut(serializers.Serializer):
    name = serializers.CharField()
    thickness = LengthOut()


class BuildUpOut(serializers.Serializer):
    """What PUT takes is what GET gives."""

    ceiling_system = serializers.CharField()
    held_left_right = serializers.ChoiceField(choices=Held.choices)
    held_door_far = serializers.ChoiceField(choices=Held.choices)
    gaps = serializers.DictField(child=LengthOut(), help_text="By side: door, left, far, right")
    layers = serializers.DictField(child=LayerOut(many=True), help_text="By surface, from the framing inward")


class ReadingOut(serializers.Serializer):
    value = LengthOut()
    taken_at_height = LengthOut(allow_null=True)


class NoteOut(serializers.Serializer):
    tone = serializers.CharField(help_text="good, warn, or quiet where there is nothing to compare yet")
    words = serializers.CharField()


class MeasurementSetOut(serializers.Serializer):
    id = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=SurveyKind.choices)
    taken_on = serializers.DateField()
    taken_by = serializers.CharField()
    instrument = serializers.ChoiceField(choices=Instrument.choices)
    laser_edge = serializers.ChoiceField(choices=LaserEdge.choices, allow_blank=True)
    note = serializers.CharField(allow_blank=True)
    entered_at = serializers.DateTimeField()
    readings = serializers.DictField(child=ReadingOut(many=True), help_text="By what was read: door, far, d1, …")
    notes = NoteOut(many=True, help_text="What the readings make of each other")
    candidates = serializers.ListField(child=serializers.CharField(), help_text="Which reading may be off")


class CountOut(serializers.Serializer):
    fixture_type = serializers.IntegerField()
    zone = serializers.CharField(allow_blank=True)
    count = serializers.IntegerField(allow_null=True)


class WirePointOut(serializers.Serializer):
    from_left = LengthOut()
    from_door = LengthOut()
    height = LengthOut()
    beyond = LengthOut()
    below = LengthOut(allow_null=True, help_text="Its floor lies lower than the room's by so much")
    above = LengthOut(allow_null=True)


class CountsOut(serializers.Serializer):
    """What PUT takes is what GET gives."""

    counts = CountOut(many=True)
    wire_points = serializers.DictField(child=WirePointOut(), help_text="By what it is: switch, panel, rack")


def show_build_up(room):
    tape = room.job.tape
    layers = {surface.value: [] for surface in Surface}
    for layer in room.layers.all():
        layers[layer.surface].append({"name": layer.name, "thickness": shown(layer.thickness, tape)})
    return {
        "ceiling_system": room.ceiling_system,
        "held_left_right": room.held_left_right,
        "held_door_far": room.held_door_far,
        "gaps": {side.value: shown(room.gap(side), tape) for side in SideChoice},
        "layers": layers,
    }


def show_visit(said, tape):
    visit = said.visit
    readings: dict[str, list] = {}
    for reading in visit.readings.all():
        entry = {"value": shown(reading.value, tape), "taken_at_height": shown(reading.taken_at_height, tape)}
        readings.setdefault(reading.subject, []).append(entry)
    names = ("id", "kind", "taken_on", "taken_by", "instrument", "laser_edge", "note", "entered_at")
    return {
        **{name: getattr(visit, name) for name in names},
        "readings": readings,
        "notes": [{"tone": note.tone, "words": note.words} for note in said.notes],
        "candidates": list(said.candidates),
    }


def show_counts(room):
    tape = room.job.tape
    return {
        "counts": [
            {"fixture_type": count.fixture_type_id, "zone": count.zone, "count": count.count}
            for count in room.counts.all()
        ],
        "wire_points": {
            point.what: {part: shown(value, tape) for part, value in parts_of(point).items()}
            for point in room.wire_points.all()
            if point.what in ROOM_POINTS and not point.zone
        },
    }


# Views


class BuildUp(RecordView):
    show = staticmethod(show_build_up)

    @extend_schema(operation_id="build_up", responses=BuildUpOut)
    def get(self, request, room_id):
        """Layers on each surface from the framing inward, the gap at each side, who holds the difference."""
        return self.answer(queries.room_of(request.shop, room_id))

    @extend_schema(operation_id="set_build_up", request=BUILD_UP.schema(), responses=BuildUpOut)
    def put(self, request, room_id):
        """Set all of it at once: what is left out is not there."""
        room = queries.room_of(request.shop, room_id)
        return self.edit(
            room,
            BUILD_UP,
            lambda form, seen: services.change_build_up(room, seen, form.placed, form.room_changes),
            tape=room.job.tape,
        )


class Measurements(ApiView):
    listing = Listing()

    @extend_schema(operation_id="measurements", responses=MeasurementSetOut(many=True))
    def get(self, request, room_id):
        """What was read on each visit, the latest first, and what the readings make of each other."""
        room = queries.room_of(request.shop, room_id)
        tape = room.job.tape
        return self.paged([show_visit(said, tape) for said in all_visits(room, tape)])

    @extend_schema(operation_id="record_measurements", request=VISIT.schema(), responses={201: MeasurementSetOut})
    def post(self, request, room_id):
        """Add a visit's readings. A set is never changed or removed: a later one takes its place."""
        room = queries.room_of(request.shop, room_id)
        tape = room.job.tape
        form = VISIT.fill(request.data, tape=tape)
        visit = services.record_measurements(room, form.readings, by=request.member, **form.visit)
        said = all_visits(queries.room_of(request.shop, room_id), tape)
        return Response(show_visit(next(each for each in said if each.visit == visit), tape), status=201)


class Counts(RecordView):
    show = staticmethod(show_counts)

    @extend_schema(operation_id="counts", responses=CountsOut)
    def get(self, request, room_id):
        """What the room is to have, and where its switch, panel and rack are."""
        return self.answer(queries.room_of(request.shop, room_id))

    @extend_schema(operation_id="set_counts", request=COUNTS.schema(), responses=CountsOut)
    def put(self, request, room_id):
        """Set all of it at once: what is left out is not there."""
        room = queries.room_of(request.shop, room_id)
        return self.edit(
            room,
            COUNTS,
            lambda form, seen: services.change_counts(room, seen, form.counts, form.points),
            shop=request.shop,
            tape=room.job.tape,
        )
