"""What a shop sets for its overview, and what it billed."""

from decimal import Decimal

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from reports.rooms.models import Billed, RedRule, SavedView
from tests.factories.base import DAY, NOON, Below
from tests.factories.jobs import JobFactory
from tests.factories.people import MemberFactory, ShopFactory


class RedRuleFactory(DjangoModelFactory):
    class Meta:
        model = RedRule

    shop = SubFactory(ShopFactory)
    key = "waits"
    days = 7


class SavedViewFactory(DjangoModelFactory):
    class Meta:
        model = SavedView

    member = SubFactory(MemberFactory)
    shop = SelfAttribute("member.shop")
    name = Sequence(lambda n: f"View {n}")
    query = "view=wall"

    @classmethod
    def _generate(cls, strategy, params):
        if "shop" in params and "member" not in params:
            params["member__shop"] = params.pop("shop")
        return super()._generate(strategy, params)


class BilledFactory(Below):
    class Meta:
        model = Billed

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    on = DAY
    amount = Decimal("1200.00")
    slip = Sequence(lambda n: f"slip-{n}")
    at = NOON
