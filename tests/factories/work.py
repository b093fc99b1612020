"""Long work."""

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from projects.work.models import Work, Worker
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


class WorkerFactory(DjangoModelFactory):
    class Meta:
        model = Worker

    name = Sequence(lambda n: f"worker-{n}")
    started_at = beat = NOON
