"""Who works where, phones that joined a job, and what people are told of their days."""

import datetime as dt

from factory import LazyAttribute, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from projects.crews.models import CrewDay
from projects.joining.models import JoinCode, Joined
from projects.platform.permissions import Role
from reports.days.models import CalendarFeed, MorningLetter
from tests.factories.base import DAY, Below
from tests.factories.jobs import JobFactory, RoomFactory
from tests.factories.people import MemberFactory, ShopFactory


class CrewDayFactory(Below):
    class Meta:
        model = CrewDay

    room = SubFactory(RoomFactory)
    job = LazyAttribute(lambda day: day.room.job)
    shop = LazyAttribute(lambda day: day.room.shop)
    member = LazyAttribute(lambda day: MemberFactory(shop=day.room.shop, role=Role.CREW.value))
    on = DAY


class JoinedFactory(Below):
    """Somebody who joined by a code: a person without an e-mail or a password."""

    class Meta:
        model = Joined

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    member = SubFactory(MemberFactory, shop=SelfAttribute("..shop"), role=Role.CREW.value, user__email=None)
    until = dt.date(2099, 12, 31)
    let_in_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))


class JoinCodeFactory(Below):
    class Meta:
        model = JoinCode

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    place = Sequence(lambda n: f"{n % 10_000:04}")
    digest = "0" * 64
    until = dt.date(2099, 12, 31)
    made_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    ends_at = dt.datetime(2099, 12, 31, tzinfo=dt.UTC)


class CalendarFeedFactory(DjangoModelFactory):
    class Meta:
        model = CalendarFeed

    shop = SubFactory(ShopFactory)
    member = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    digest = Sequence(lambda n: f"{n:064}")


class MorningLetterFactory(DjangoModelFactory):
    class Meta:
        model = MorningLetter

    shop = SubFactory(ShopFactory)
    member = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
