"""A room's sound."""

from factory import SelfAttribute, Sequence, SubFactory

from layout.engine.lengths import inches
from layout.sound.models import Screen, Seat, SoundSetup, SpeakerRole, SubPlace, SurfaceMaterial
from tests.factories.base import Below
from tests.factories.jobs import RoomFactory


class SoundSetupFactory(Below):
    """A listening room nobody said more of."""

    class Meta:
        model = SoundSetup

    _above = "room__job"
    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")


class SeatFactory(Below):
    class Meta:
        model = Seat

    room = SubFactory(RoomFactory)
    number = Sequence(lambda n: n % 24 + 1)
    x = inches(90)
    y = inches(72)


class ScreenFactory(Below):
    class Meta:
        model = Screen

    room = SubFactory(RoomFactory)
    center = inches(90)
    width = inches(100)


class SpeakerRoleFactory(Below):
    class Meta:
        model = SpeakerRole

    room = SubFactory(RoomFactory)
    mark = Sequence(lambda n: f"SP{n % 400 + 1}")
    channel = "L"


class SubPlaceFactory(Below):
    class Meta:
        model = SubPlace

    room = SubFactory(RoomFactory)
    number = Sequence(lambda n: n % 24 + 1)
    x = inches(12)
    y = inches(12)


class SurfaceMaterialFactory(Below):
    class Meta:
        model = SurfaceMaterial

    room = SubFactory(RoomFactory)
    surface = "floor"
    material = "concrete"
