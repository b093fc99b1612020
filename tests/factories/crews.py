"""Who works where, and phones that joined a job."""

from factory import LazyAttribute, SubFactory

from projects.crews.models import CrewDay
from projects.platform.permissions import Role
from tests.factories.base import DAY, Below
from tests.factories.jobs import RoomFactory
from tests.factories.people import MemberFactory


class CrewDayFactory(Below):
    class Meta:
        model = CrewDay

    room = SubFactory(RoomFactory)
    job = LazyAttribute(lambda day: day.room.job)
    shop = LazyAttribute(lambda day: day.room.shop)
    member = LazyAttribute(lambda day: MemberFactory(shop=day.room.shop, role=Role.CREW.value))
    on = DAY
