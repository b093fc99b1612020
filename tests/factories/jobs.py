"""Jobs, rooms, readings."""

from decimal import Decimal

from factory import LazyAttribute, SelfAttribute, Sequence, SubFactory, post_generation
from factory.django import DjangoModelFactory

from layout.engine.lengths import ZERO, inches
from projects.jobs.models import (
    Circuit,
    FixtureCount,
    Job,
    MeasurementSet,
    Reading,
    Room,
    SpeakerWiring,
    StageEvent,
    Subject,
    Surface,
    SurfaceLayer,
    SurveyKind,
    SwitchZone,
    WirePoint,
)
from tests.factories.base import DAY, NOON, Below
from tests.factories.catalogue import FixtureTypeFactory
from tests.factories.people import MemberFactory, ShopFactory


class JobFactory(DjangoModelFactory):
    class Meta:
        model = Job

    shop = SubFactory(ShopFactory)
    number = Sequence(lambda n: f"J-{n:04}")
    name = Sequence(lambda n: f"House {n}")


class RoomFactory(Below):
    class Meta:
        model = Room

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    name = Sequence(lambda n: f"Room {n}")


class StageEventFactory(Below):
    class Meta:
        model = StageEvent

    room = SubFactory(RoomFactory)
    came_from = 0
    went_to = 1
    by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    at = NOON


class MeasurementSetFactory(Below):
    """Empty unless told: MeasurementSetFactory(room=room, readings={Subject.DOOR: inches(202)})."""

    class Meta:
        model = MeasurementSet
        skip_postgeneration_save = True

    room = SubFactory(RoomFactory)
    kind = SurveyKind.FRAMING.value
    taken_on = DAY
    taken_by = "R."
    entered_by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    entered_at = NOON

    @post_generation
    def readings(self, create, lengths, **kwargs):
        for subject, value in (lengths or {}).items():
            ReadingFactory(measurement_set=self, subject=subject, value=value)


class ReadingFactory(Below):
    class Meta:
        model = Reading

    _above = "measurement_set__room__job"
    measurement_set = SubFactory(MeasurementSetFactory)
    subject = Subject.DOOR.value
    value = inches("148 1/2")


class SurfaceLayerFactory(Below):
    """One layer of 5/8 in drywall."""

    class Meta:
        model = SurfaceLayer

    room = SubFactory(RoomFactory)
    surface = Surface.LEFT.value
    position = LazyAttribute(lambda layer: layer.room.layers.filter(surface=layer.surface).count() + 1)
    name = "drywall"
    thickness = inches("5/8")


class FixtureCountFactory(Below):
    class Meta:
        model = FixtureCount

    room = SubFactory(RoomFactory)
    fixture_type = SubFactory(FixtureTypeFactory, shop=SelfAttribute("..room.shop"))
    count = 4


class WirePointFactory(Below):
    class Meta:
        model = WirePoint

    room = SubFactory(RoomFactory)
    what = WirePoint.What.SWITCH.value
    from_left = inches(6)
    from_door = ZERO
    height = inches(48)


class CircuitFactory(Below):
    class Meta:
        model = Circuit

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = Sequence(lambda n: str(n + 1))
    awg = 14


class SwitchZoneFactory(Below):
    class Meta:
        model = SwitchZone

    room = SubFactory(RoomFactory)
    letter = "A"
    place = 1


class SpeakerWiringFactory(Below):
    class Meta:
        model = SpeakerWiring

    room = SubFactory(RoomFactory)
    line_volts = Decimal("70.7")
    tap_watts = 5
    amplifier_watts = 120
