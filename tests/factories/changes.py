"""Changes."""

from factory import LazyAttribute, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from reports.changes.models import (
    ChangedRoom,
    ChangeOrder,
    ContractTerms,
    ExtraPhoto,
    FieldExtra,
    GoodsSaid,
    MovedLight,
    TypedLine,
)
from tests.factories.base import NOON, Below
from tests.factories.jobs import JobFactory, RoomFactory
from tests.factories.layout import LayoutRevisionFactory
from tests.factories.people import MemberFactory


class ContractTermsFactory(Below):
    class Meta:
        model = ContractTerms

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    add_times = "1.25"
    restock_pct = "20"
    least_hours = "1.5"
    overhead_pct = "15"
    profit_pct = "10"
    patch_each = "150.00"
    hours_a_day = "8"
    most_markup_pct = "25"


class ChangeOrderFactory(Below):
    """A draft under the job's next number."""

    class Meta:
        model = ChangeOrder

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = LazyAttribute(lambda change: change.job.changes.count() + 1)
    title = "Two lights more"
    days = "0.5"


class ChangedRoomFactory(DjangoModelFactory):
    class Meta:
        model = ChangedRoom

    change = SubFactory(ChangeOrderFactory)
    room = SubFactory(RoomFactory, job=SelfAttribute("..change.job"))
    after = SubFactory(LayoutRevisionFactory, room=SelfAttribute("..room"))


class MovedLightFactory(DjangoModelFactory):
    class Meta:
        model = MovedLight

    change = SubFactory(ChangeOrderFactory)
    room = SubFactory(RoomFactory, job=SelfAttribute("..change.job"))
    revision = SubFactory(LayoutRevisionFactory, room=SelfAttribute("..room"))
    ident = "A1"


class TypedLineFactory(DjangoModelFactory):
    class Meta:
        model = TypedLine

    change = SubFactory(ChangeOrderFactory)
    words = "Move the switch box"
    hours = "2"
    material = "40.00"


class GoodsSaidFactory(DjangoModelFactory):
    class Meta:
        model = GoodsSaid

    change = SubFactory(ChangeOrderFactory)
    room = SubFactory(RoomFactory, job=SelfAttribute("..change.job"))
    key = "plate"
    goods = "kept"


class FieldExtraFactory(Below):
    class Meta:
        model = FieldExtra

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    words = "Moved a switch box after drywall"
    hours = "2"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON


class ExtraPhotoFactory(DjangoModelFactory):
    class Meta:
        model = ExtraPhoto

    extra = SubFactory(FieldExtraFactory)
    file = Sequence(lambda n: f"extra-{n}.jpg")
    wide = 800
    high = 600
