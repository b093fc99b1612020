"""What was marked, set and cut."""

from factory import SelfAttribute, SubFactory

from layout.as_built.models import AsBuilt, MarkMove, MoveState, Reason, Step
from layout.engine.lengths import inches
from tests.factories.base import NOON, Below
from tests.factories.layout import LayoutRevisionFactory, RevisionMarkFactory
from tests.factories.people import MemberFactory


class AsBuiltFactory(Below):
    """On the floor, where its revision has it."""

    class Meta:
        model = AsBuilt

    _above = "mark__revision__room__job"
    mark = SubFactory(RevisionMarkFactory)
    room = SelfAttribute("mark.revision.room")
    shop = SelfAttribute("room.shop")
    ident = SelfAttribute("mark.ident")
    step = Step.FLOOR.value
    along = SelfAttribute("mark.along")
    across = SelfAttribute("mark.across")
    to_along = SelfAttribute("mark.along")
    to_across = SelfAttribute("mark.across")
    by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON


class MarkMoveFactory(Below):
    """A light 6 in off because of a duct: it waits for a yes."""

    class Meta:
        model = MarkMove

    _above = "revision__room__job"
    revision = SubFactory(LayoutRevisionFactory)
    room = SelfAttribute("revision.room")
    shop = SelfAttribute("revision.shop")
    ident = "A1"
    step = Step.FLOOR.value
    along = inches(30)
    across = inches(24)
    state = MoveState.WAITS.value
    reason = Reason.DUCT.value
    moves = "{}"
    far = inches(6)
    why = "A1 would stand 3 in farther off than may be moved without asking."
    asked_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON
