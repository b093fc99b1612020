"""Wiring."""

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from layout.engine.lengths import feet
from reports.wiring.models import HandRun, Pull, Reel
from tests.factories.base import NOON, Below
from tests.factories.jobs import RoomFactory
from tests.factories.people import MemberFactory, ShopFactory


class HandRunFactory(Below):
    """A homerun somebody taped at 40 ft."""

    class Meta:
        model = HandRun

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    kind = "homerun"
    low_id = "panel"
    high_id = "switch"
    length = feet(40)
    why = "taped along the way it really goes"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON


class ReelFactory(DjangoModelFactory):
    """250 ft of 14/2, all of it still there."""

    class Meta:
        model = Reel

    shop = SubFactory(ShopFactory)
    cable = "14/2"
    name = Sequence(lambda n: f"reel {n}")
    full = feet(250)
    left = feet(250)


class PullFactory(Below):
    class Meta:
        model = Pull

    _above = "reel"
    reel = SubFactory(ReelFactory)
    shop = SelfAttribute("reel.shop")
    start_mark = 500
    end_mark = 540
    used = feet(40)
    left_after = feet(210)
    by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON
