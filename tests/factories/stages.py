"""What was asked at a move, what was passed, what was said, what held a room up."""

from factory import SelfAttribute, SubFactory

from projects.stages.models import GuardResult, Pass, Said, SideEvent
from tests.factories.base import NOON, Below
from tests.factories.jobs import RoomFactory, StageEventFactory
from tests.factories.people import MemberFactory


class GuardResultFactory(Below):
    class Meta:
        model = GuardResult

    _above = "event__room__job"
    event = SubFactory(StageEventFactory)
    guard = "measured"
    title = "The room taped both ways"
    outcome = "met"


class PassFactory(Below):
    """Open, of the room its event is of."""

    class Meta:
        model = Pass

    _above = "event__room__job"
    event = SubFactory(StageEventFactory)
    room = SelfAttribute("event.room")
    shop = SelfAttribute("room.shop")
    guard = "measured"
    title = "The room taped both ways"
    missing = "Nobody has taped it."
    why = "The client's drawing is enough."
    by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    at = NOON


class SaidFactory(Below):
    class Meta:
        model = Said

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    question = "framing_done"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    at = NOON


class SideEventFactory(Below):
    class Meta:
        model = SideEvent

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    what = "on_hold"
    who = "Client"
    why = "chooses the trim"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    at = NOON
