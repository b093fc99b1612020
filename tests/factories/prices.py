"""Prices and labor."""

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from layout.engine.lengths import inches
from reports.prices.models import (
    ColumnMeaning,
    Conditions,
    Item,
    ItemPack,
    JobRates,
    LaborEdit,
    LoggedFeet,
    LoggedHours,
    Price,
    PriceImport,
)
from tests.factories.base import DAY, Below
from tests.factories.jobs import JobFactory, RoomFactory
from tests.factories.people import ShopFactory


class ItemFactory(DjangoModelFactory):
    """A wire connector, bought by the piece."""

    class Meta:
        model = Item

    shop = SubFactory(ShopFactory)
    key = Sequence(lambda n: f"own:part-{n}")
    name = Sequence(lambda n: f"Part {n}")
    category = "connectors"


class ItemPackFactory(Below):
    class Meta:
        model = ItemPack

    _above = "item"
    item = SubFactory(ItemFactory)
    shop = SelfAttribute("item.shop")
    pieces = 1


class PriceFactory(Below):
    class Meta:
        model = Price

    _above = "pack__item"
    pack = SubFactory(ItemPackFactory)
    shop = SelfAttribute("pack.shop")
    amount = "2.50"
    on = DAY
    source = "counter"


class PriceImportFactory(DjangoModelFactory):
    class Meta:
        model = PriceImport

    shop = SubFactory(ShopFactory)
    file_name = "prices.csv"
    rows = '[[1, ["Code", "Price"]], [2, ["plate", "2.50"]]]'
    on = DAY
    source = "spring list"


class ColumnMeaningFactory(DjangoModelFactory):
    class Meta:
        model = ColumnMeaning

    shop = SubFactory(ShopFactory)
    header = Sequence(lambda n: f"column {n}")
    means = "price"


class JobRatesFactory(Below):
    """34 an hour, 38 percent burden, 8.25 percent tax; of the shop where no job is given."""

    class Meta:
        model = JobRates

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    wage = "34.00"
    burden_pct = "38.00"
    tax_pct = "8.250"


class ConditionsFactory(Below):
    class Meta:
        model = Conditions

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    keys = "plaster"


class LaborEditFactory(DjangoModelFactory):
    class Meta:
        model = LaborEdit

    shop = SubFactory(ShopFactory)
    what = LaborEdit.What.UNIT.value
    key = "light_rough"
    value = "0.4"
    rooms_behind = None


class LoggedHoursFactory(Below):
    class Meta:
        model = LoggedHours

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    on = DAY
    phase = "rough"
    who = "M., crew"
    hours = "4.00"


class LoggedFeetFactory(Below):
    class Meta:
        model = LoggedFeet

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    on = DAY
    phase = "rough"
    who = "M., crew"
    cable = "14/2"
    length = inches(12 * 140)
