"""Material."""

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from reports.purchasing.models import Leftover, Movement, Order, OrderLine, PickLine, PickList
from tests.factories.base import NOON, Below
from tests.factories.jobs import JobFactory, RoomFactory
from tests.factories.people import ShopFactory


class OrderFactory(Below):
    class Meta:
        model = Order

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = Sequence(lambda n: n + 1)
    from_whom = "The supply house"
    slip = Sequence(lambda n: f"order-{n}")
    at = NOON


class OrderLineFactory(Below):
    class Meta:
        model = OrderLine

    _above = "order__job"
    order = SubFactory(OrderFactory)
    shop = SelfAttribute("order.shop")
    key = "switch_box"
    name = "Switch box"
    unit = "each"
    quantity = 10


class PickListFactory(Below):
    class Meta:
        model = PickList

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    number = Sequence(lambda n: n + 1)
    slip = Sequence(lambda n: f"list-{n}")
    at = NOON


class PickLineFactory(DjangoModelFactory):
    class Meta:
        model = PickLine

    pick_list = SubFactory(PickListFactory)
    key = "switch_box"
    name = "Switch box"
    unit = "each"
    quantity = 4


class MovementFactory(Below):
    """So many switch boxes that came to the site."""

    class Meta:
        model = Movement

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    kind = "received"
    key = "switch_box"
    name = "Switch box"
    unit = "each"
    quantity = 10
    went_to = "site"
    slip = Sequence(lambda n: f"movement-{n}")
    at = NOON


class LeftoverFactory(DjangoModelFactory):
    class Meta:
        model = Leftover

    shop = SubFactory(ShopFactory)
    key = "switch_box"
    name = "Switch box"
    unit = "each"
    change = 3
    slip = Sequence(lambda n: f"leftover-{n}")
    at = NOON
