"""A room's light."""

from decimal import Decimal

from factory import SelfAttribute, Sequence, SubFactory

from layout.engine.lengths import ZERO, inches
from layout.light.models import KeptLight, LightAim, LightSetup, LightTask, LightZone, MeterReading
from tests.factories.base import DAY, NOON, Below
from tests.factories.jobs import RoomFactory


class LightSetupFactory(Below):
    class Meta:
        model = LightSetup

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")


class LightZoneFactory(Below):
    class Meta:
        model = LightZone

    _above = "setup__room__job"
    setup = SubFactory(LightSetupFactory)
    letter = Sequence(lambda n: chr(ord("A") + n % 26))


class LightAimFactory(Below):
    class Meta:
        model = LightAim

    _above = "setup__room__job"
    setup = SubFactory(LightSetupFactory)
    row = 1
    number = Sequence(lambda n: n % 400 + 1)
    tilt_deg = Decimal(30)


class LightTaskFactory(Below):
    """A counter 24 in deep, 36 in up, in the door-left corner."""

    class Meta:
        model = LightTask

    _above = "setup__room__job"
    setup = SubFactory(LightSetupFactory)
    name = Sequence(lambda n: f"Counter {n}")
    kind = "flat"
    from_left = ZERO
    from_door = ZERO
    height = inches(36)
    wide = inches(72)
    deep = inches(24)


class MeterReadingFactory(Below):
    """20 fc on a desk, where 200 lx were predicted."""

    class Meta:
        model = MeterReading

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    on = "level"
    from_left = inches(40)
    from_door = inches(30)
    height = inches(30)
    value = Decimal(20)
    unit = "fc"
    instrument = "Meter 1"
    taken_by = "R."
    taken_on = DAY
    predicted_lx = 200
    entered_at = NOON


class KeptLightFactory(Below):
    class Meta:
        model = KeptLight

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    digest = "0" * 64
    grids = b""
    at = NOON
