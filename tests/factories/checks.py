"""Checklist runs."""

from factory import LazyAttribute, SelfAttribute, SubFactory
from factory.django import DjangoModelFactory

from projects.catalogue.tables import checklist
from reports.checks.models import Answer, RoomKnown, Run
from reports.estimating.kept_text import canonical
from tests.factories.base import NOON, Below
from tests.factories.jobs import RoomFactory
from tests.factories.people import MemberFactory


class RunFactory(Below):
    """A room's own items, by the list of today."""

    class Meta:
        model = Run

    room = SubFactory(RoomFactory)
    job = SelfAttribute("room.job")
    shop = SelfAttribute("room.shop")
    once_per = "room"
    list_version = LazyAttribute(lambda _run: checklist().version)
    contents = LazyAttribute(
        lambda run: canonical(
            [
                {name: getattr(item, name) for name in item.__slots__} | {"applies": list(item.applies)}
                for item in checklist().items
                if item.once_per == run.once_per
            ]
        )
    )


class AnswerFactory(DjangoModelFactory):
    class Meta:
        model = Answer

    run = SubFactory(RunFactory)
    number = 13
    outcome = "pass"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..run.shop"))
    at = NOON


class RoomKnownFactory(Below):
    class Meta:
        model = RoomKnown

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
