"""What stands overhead."""

from factory import SelfAttribute, Sequence, SubFactory

from layout.engine.lengths import ZERO, inches
from projects.ceilings.models import Ceiling, JoistRun, OddMember, OutlineCorner, Region, RegionCorner, Thing
from tests.factories.base import Below
from tests.factories.jobs import RoomFactory


class CeilingFactory(Below):
    """Of a room where nobody has looked yet."""

    class Meta:
        model = Ceiling

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")


class JoistRunFactory(Below):
    """Sawn joists at 16 in, the first one 11 in from the left wall's framing."""

    class Meta:
        model = JoistRun

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    runs = "door_far"
    spacing = inches(16)
    width = inches("1 1/2")
    first = inches(11)
    first_from = "left"


class OddMemberFactory(Below):
    class Meta:
        model = OddMember

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    name = "header"
    runs = "left_right"
    at = inches(40)
    at_from = "door"
    width = inches(3)


class ThingFactory(Below):
    class Meta:
        model = Thing

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    what = "register"
    name = "supply register"
    x = inches(60)
    y = inches(40)
    wide = inches(14)
    deep = inches(8)


class OutlineCornerFactory(Below):
    class Meta:
        model = OutlineCorner

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    x = ZERO
    y = ZERO


class RegionFactory(Below):
    class Meta:
        model = Region

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    name = Sequence(lambda n: f"tray {n}")
    rise = inches(8)


class RegionCornerFactory(Below):
    class Meta:
        model = RegionCorner

    _above = "region__ceiling__room__job"
    region = SubFactory(RegionFactory)
    x = ZERO
    y = ZERO
