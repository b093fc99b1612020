"""A shop with its people, one room laid out, and a bid typed in by hand: 6,200.00 of material, 86 hours, a lift."""

from decimal import Decimal

import pytest

from projects.platform.permissions import Role
from reports.bids import services
from reports.bids.queries import revision_of
from tests.factories import MemberFactory, ShopFactory
from tests.shops import issue, people_of, practice_room, send_bid, sign_in

# Summed by hand in tests/outside/test_bid_sums.py.
TERMS = {
    "tax_pct": Decimal("8.25"), "wage": Decimal(34), "burden_pct": Decimal(38), "contingency_pct": Decimal(4),
    "overhead_pct": Decimal(22), "profit_pct": Decimal(10), "profit_basis": "of_price",
}  # fmt: skip


@pytest.fixture
def shop(db):
    return ShopFactory(name="Ridge Lighting")


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def office(people):
    return people[Role.ESTIMATOR]


@pytest.fixture
def room(shop, office):
    room = practice_room(shop)
    issue(room, by=office)
    return room


@pytest.fixture
def draft(room, office):
    """15,784.74 at 10 % of price."""
    revision = services.open_bid(room.job, by=office, client="Reyes")
    services.change_terms(revision, 1, TERMS)
    services.add_line(revision, "work", words="Lights and cable", material=Decimal("6200.00"), hours=Decimal(86))
    services.add_line(revision, "equipment", words="Lift, one week", amount=Decimal("450.00"))
    return revision_of(shop_of(room), revision.pk)


def shop_of(room):
    return room.job.shop


@pytest.fixture
def sent(draft, office):
    return revision_of(draft.shop, send_bid(draft, office).pk)


@pytest.fixture
def desk(client, office):
    """The estimator, signed in."""
    return sign_in(client, office)


@pytest.fixture
def stranger(db):
    return MemberFactory()
