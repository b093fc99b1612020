"""A schedule, a takeoff and a checklist as JSON: the very values the papers are drawn from. Nothing is counted here."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from layout.engine.lengths import Distance
from projects.platform.api.lengths import LengthOut, shown
from reports.documents.head import amount, cable_unit


class Pair(serializers.Serializer):
    """A tuple's parts under its fields' names, in order."""

    def to_representation(self, pair):
        return super().to_representation(dict(zip(self.fields, pair, strict=True)))


class ZoneCountOut(Pair):
    zone = serializers.CharField()
    count = serializers.IntegerField()


class ScheduleRowOut(serializers.Serializer):
    letter = serializers.CharField()
    type = serializers.CharField(source="facts.key")
    kind = serializers.CharField(source="facts.kind")
    name = serializers.CharField(source="facts.name")
    cutout = LengthOut(source="facts.cutout")
    cutout_verified_by = serializers.CharField(source="facts.verified", help_text="Empty: do not cut yet")
    count = serializers.IntegerField()
    ids = serializers.ListField(child=serializers.CharField())
    zones = ZoneCountOut(many=True)
    watts = serializers.DecimalField(max_digits=12, decimal_places=2, allow_null=True, help_text="Together")


class ZoneLoadOut(serializers.Serializer):
    zone = serializers.CharField(source="letter")
    lights = serializers.IntegerField()
    watts = serializers.DecimalField(max_digits=12, decimal_places=2)
    unknown = serializers.IntegerField(help_text="Lights whose watts are not known: the load is at least this")


class RoomScheduleOut(serializers.Serializer):
    room = serializers.CharField()
    rows = ScheduleRowOut(many=True)
    zones = ZoneLoadOut(many=True)


class ScheduleOut(serializers.Serializer):
    rooms = RoomScheduleOut(many=True)
    rows = ScheduleRowOut(many=True, help_text="Over all rooms")


@extend_schema_field(
    {
        "type": "object",
        "description": "Cable as a length, pieces as an exact number.",
        "properties": {
            "text": {"type": "string"},
            "nm": {"type": ["integer", "null"]},
            "pieces": {"type": ["string", "null"]},
        },
        "required": ["text", "nm", "pieces"],
    }
)
class QuantityOut(serializers.Field):
    """Pieces or cable, as the papers write it. Needs the tape in the serializer's context."""

    def __init__(self, **kwargs):
        super().__init__(**{**kwargs, "read_only": True})

    def to_representation(self, value):
        unit = self.context["tape"].unit
        text = amount(value, unit, 2)
        if isinstance(value, Distance):
            return {"text": f"{text} {cable_unit(unit)}", "nm": round(value.nm), "pieces": None}
        return {"text": text, "nm": None, "pieces": str(value)}


class FigureOut(Pair):
    what = serializers.CharField()
    amount = QuantityOut()


class WhyOut(serializers.Serializer):
    rule = serializers.CharField(allow_blank=True)
    inputs = FigureOut(many=True)
    source = serializers.CharField()


class PartOut(Pair):
    what = serializers.CharField()
    length = LengthOut()


class RunOut(serializers.Serializer):
    kind = serializers.CharField()
    cable = serializers.CharField()
    zone = serializers.CharField(allow_blank=True)
    start = serializers.CharField(source="from_id")
    end = serializers.CharField(source="to_id")
    length = LengthOut()
    parts = PartOut(many=True)


class LineOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    category = serializers.CharField()
    unit = serializers.CharField()
    quantity = QuantityOut()
    why = WhyOut(many=True)


class RoomLineOut(LineOut):
    net = QuantityOut(help_text="Before waste")
    runs = RunOut(many=True)


class ByRoomOut(Pair):
    room = serializers.CharField()
    quantity = QuantityOut()


class JobLineOut(LineOut):
    spares = serializers.IntegerField()
    order = serializers.IntegerField(help_text="Rounded up once, with the spares")
    by_room = ByRoomOut(many=True)


class MissingOut(serializers.Serializer):
    lacks = serializers.CharField(help_text="switch, panel, rack or height: enter it")
    waits = serializers.ListField(child=serializers.CharField(), help_text="Zones or speakers that wait for it")


class RoomTakeoffOut(serializers.Serializer):
    room = serializers.CharField()
    basis = serializers.ChoiceField(choices=["laid_out", "counted"], help_text="counted: nobody has measured the room")
    lines = RoomLineOut(many=True)
    missing = MissingOut(many=True)


class JobMissingOut(Pair):
    room = serializers.CharField()
    missing = MissingOut()


class JobTakeoffOut(serializers.Serializer):
    lines = JobLineOut(many=True)
    missing = JobMissingOut(many=True)
    counted = serializers.ListField(
        child=serializers.CharField(), help_text="Rooms that rest on counts alone: sums they are in may change"
    )
    left_out = serializers.ListField(
        child=serializers.CharField(), read_only=True, default=(), help_text="Rooms with neither layout nor counts"
    )
    rounding = serializers.ChoiceField(choices=["room", "job", "order"])


class ItemOut(serializers.Serializer):
    number = serializers.IntegerField(source="item.number")
    group = serializers.CharField(source="item.group")
    text = serializers.CharField(source="item.text")
    caution = serializers.BooleanField(source="item.caution")
    once_per = serializers.CharField(source="item.once_per")
    source = serializers.CharField(source="item.source")
    bearing = serializers.ChoiceField(choices=["yes", "ask", "no"], help_text="ask: decide it on site")
    turns_on = serializers.ListField(child=serializers.CharField())


class AnsweredOut(serializers.Serializer):
    """What stands as an item's answer: pass, fail or n-a, with its words."""

    number = serializers.IntegerField()
    outcome = serializers.CharField()
    words = serializers.CharField()
    who = serializers.CharField()


class ChecklistOut(serializers.Serializer):
    version = serializers.CharField()
    closing = serializers.CharField()
    items = ItemOut(many=True)
    answers = AnsweredOut(many=True)


class SizeOut(serializers.Serializer):
    """For the schema: each room is written in its own job's tape."""

    left_to_right = LengthOut(allow_null=True)
    door_to_far = LengthOut(allow_null=True)
    kind = serializers.CharField()


class RoomRow(serializers.Serializer):
    """A room as on the Rooms screen. Numbers of a layout are those of its newest revision."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    level = serializers.CharField(allow_blank=True)
    job = serializers.IntegerField(source="job.id")
    job_number = serializers.CharField(source="job.number")
    job_name = serializers.CharField(source="job.name")
    stage = serializers.IntegerField()
    stage_name = serializers.CharField()
    state = serializers.CharField(source="fill", allow_blank=True)
    waits_for = serializers.CharField(allow_blank=True)
    cancelled = serializers.BooleanField()
    revision = serializers.IntegerField(allow_null=True)
    lights = serializers.IntegerField(allow_null=True)
    speakers = serializers.IntegerField(allow_null=True)
    card = serializers.IntegerField(allow_null=True, help_text="The revision of the card printed or sent last")
    old_card = serializers.BooleanField()
    unverified = serializers.BooleanField()
    updated_at = serializers.DateTimeField()
    size = serializers.SerializerMethodField()

    @extend_schema_field(SizeOut(allow_null=True))
    def get_size(self, room):
        size = room.size
        return size and {
            "left_to_right": shown(size.left_to_right, room.tape),
            "door_to_far": shown(size.door_to_far, room.tape),
            "kind": size.kind,
        }
