"""Bids."""

from decimal import Decimal

from factory import LazyAttribute, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from reports.bids.models import Bid, BidLine, BidRevision, ClientLink, ShopTexts, TrueUp
from tests.factories.base import DAY, NOON, Below
from tests.factories.jobs import JobFactory
from tests.factories.people import ShopFactory


class BidFactory(Below):
    class Meta:
        model = Bid

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = Sequence(lambda n: f"B-{n}")


class BidRevisionFactory(Below):
    """The bid's next letter, a draft that nobody has filled in."""

    class Meta:
        model = BidRevision

    _above = "bid__job"
    bid = SubFactory(BidFactory)
    shop = SelfAttribute("bid.shop")
    number = LazyAttribute(lambda revision: revision.bid.revisions.count() + 1)


class BidLineFactory(Below):
    class Meta:
        model = BidLine

    _above = "revision__bid__job"
    revision = SubFactory(BidRevisionFactory)
    shop = SelfAttribute("revision.shop")
    kind = "work"
    words = "Lights and cable"
    material = Decimal("6200.00")


class TrueUpFactory(Below):
    class Meta:
        model = TrueUp

    _above = "revision__bid__job"
    revision = SubFactory(BidRevisionFactory)
    shop = SelfAttribute("revision.shop")
    key = "fixtures"
    chosen = Decimal("45.50")
    at = NOON


class ClientLinkFactory(Below):
    """To a revision nobody has sent."""

    class Meta:
        model = ClientLink

    _above = "bid_revision__bid__job"
    bid_revision = SubFactory(BidRevisionFactory)
    shop = SelfAttribute("bid_revision.shop")
    digest = "0" * 64
    expires_on = DAY


class ShopTextsFactory(DjangoModelFactory):
    class Meta:
        model = ShopTexts

    shop = SubFactory(ShopFactory)
    exclusions = "Painting"
