"""Layouts."""

import hashlib

from factory import LazyAttribute, SelfAttribute, Sequence, SubFactory

from layout.engine.lengths import inches
from layout.models import (
    Draft,
    DraftPin,
    LayoutRevision,
    MovedMark,
    PlanPicture,
    RevisionMark,
    SiteMove,
    SwitchedLight,
    TypedPosition,
    WayTaken,
    ZoneNumbers,
)
from projects.catalogue.models import KindChoice
from tests.factories.base import NOON, Below
from tests.factories.catalogue import FixtureTypeFactory
from tests.factories.jobs import RoomFactory
from tests.factories.people import MemberFactory


class DraftFactory(Below):
    class Meta:
        model = Draft

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    end_setback = inches(24)
    row_setback = inches(24)
    spacing_limit = inches(72)
    light_type = SubFactory(FixtureTypeFactory, shop=SelfAttribute("..shop"))


class TypedPositionFactory(Below):
    class Meta:
        model = TypedPosition

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    axis = TypedPosition.Along.ALONG.value
    position = inches(20)


class DraftPinFactory(Below):
    class Meta:
        model = DraftPin

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    line = "column"
    number = 1
    at = inches(20)


class MovedMarkFactory(Below):
    class Meta:
        model = MovedMark

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    kind = KindChoice.LIGHT.value
    row = 1
    number = 1
    along = inches(20)
    across = inches(20)


class SwitchedLightFactory(Below):
    class Meta:
        model = SwitchedLight

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    row = 1
    number = 2
    zone = "B"


class ZoneNumbersFactory(Below):
    class Meta:
        model = ZoneNumbers

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    name = "tray"
    rows = 1


class WayTakenFactory(Below):
    class Meta:
        model = WayTaken

    room = SubFactory(RoomFactory)
    draft_version = 2
    kind = "pairs"
    words = "The outer pair moves in by 2 in."
    reason = "keeps the middle"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    at = NOON


class SiteMoveFactory(Below):
    class Meta:
        model = SiteMove

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    found = "first joist at 11 in"
    words = "Columns move by 5 in."
    draft_version = 1
    ceiling_version = 2
    change = "{}"
    asked_by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))


class PlanPictureFactory(Below):
    """Not to scale yet; its file isn't there."""

    class Meta:
        model = PlanPicture

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    file = Sequence(lambda n: f"plan-{n}.png")
    wide = 800
    high = 600


class LayoutRevisionFactory(Below):
    """The room's next revision number, over empty inputs and an empty result."""

    class Meta:
        model = LayoutRevision

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    number = LazyAttribute(lambda revision: revision.room.revisions.count() + 1)
    inputs = "{}"
    result = "{}"
    digest = LazyAttribute(lambda revision: hashlib.sha256(revision.inputs.encode()).hexdigest())
    issued_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    issued_at = NOON


class RevisionMarkFactory(Below):
    class Meta:
        model = RevisionMark

    _above = "revision__room__job"
    revision = SubFactory(LayoutRevisionFactory)
    ident = Sequence(lambda n: f"A{n}")
    kind = KindChoice.LIGHT.value
    fixture_type = SubFactory(FixtureTypeFactory, shop=SelfAttribute("..revision.shop"))
    along = inches(24)
    across = inches(24)
    row = 1
    zone = "A"
