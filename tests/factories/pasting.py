"""Lists of rooms as they were pasted."""

from factory import SelfAttribute, SubFactory

from projects.pasting.models import RoomList
from tests.factories.base import Below
from tests.factories.jobs import JobFactory


class RoomListFactory(Below):
    class Meta:
        model = RoomList

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    text = "Den\t1"
    kind = "plan"
