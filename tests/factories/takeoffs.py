"""Takeoffs."""

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from layout.engine.lengths import inches
from reports.takeoffs.models import AskedItem, DeviceFeet, RoomLines, RulesVersion, Takeoff
from tests.factories.base import NOON, Below
from tests.factories.jobs import JobFactory, RoomFactory
from tests.factories.people import ShopFactory


class RulesVersionFactory(DjangoModelFactory):
    class Meta:
        model = RulesVersion

    shop = SubFactory(ShopFactory)
    number = Sequence(lambda n: n + 1)
    body = "{}"
    digest = "0" * 64
    why = "We take four connectors."
    at = NOON


class AskedItemFactory(Below):
    class Meta:
        model = AskedItem

    _above = "job"
    job = SubFactory(JobFactory)
    item = "light_gasket"


class DeviceFeetFactory(Below):
    class Meta:
        model = DeviceFeet

    room = SubFactory(RoomFactory)
    device = "light"
    each = inches(120)


class RoomLinesFactory(Below):
    class Meta:
        model = RoomLines

    room = SubFactory(RoomFactory)
    key = "0" * 64
    brief = body = ""


class TakeoffFactory(Below):
    class Meta:
        model = Takeoff

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = Sequence(lambda n: n + 1)
    body = "{}"
    rules = "{}"
    digest = "0" * 64
    rooms = 1
    at = NOON
