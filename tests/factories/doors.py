"""Ways in: tries that were counted, and invitations."""

import datetime as dt

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from projects.doors.models import Invitation, Tried
from tests.factories.people import MemberFactory, ShopFactory


class TriedFactory(DjangoModelFactory):
    class Meta:
        model = Tried

    what = "sign in"
    key = Sequence(lambda n: f"{n:064}")
    due = 1_780_000_000_000


class InvitationFactory(DjangoModelFactory):
    class Meta:
        model = Invitation

    shop = SubFactory(ShopFactory)
    email = Sequence(lambda n: f"asked{n}@shop.example")
    name = Sequence(lambda n: f"Asked {n}")
    role = "crew"
    made_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    ends_at = dt.datetime(2099, 12, 31, tzinfo=dt.UTC)
