"""Long work."""

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from projects.work.models import Work
from tests.factories.base import NOON
from tests.factories.people import MemberFactory, ShopFactory


class WorkFactory(DjangoModelFactory):
    class Meta:
        model = Work

    shop = SubFactory(ShopFactory)
    kind = "practice"
    title = Sequence(lambda n: f"Practice {n}")
    beat = NOON
    given = Sequence(lambda n: f"{n:064}")
    asked_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
