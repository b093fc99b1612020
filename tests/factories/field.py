"""The crew's phones."""

from factory import LazyAttribute, LazyFunction, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from reports.field.models import EntryKept, Phone, SiteNote
from tests.factories.base import NOON
from tests.factories.jobs import RoomFactory
from tests.factories.people import MemberFactory


class PhoneFactory(DjangoModelFactory):
    """A phone that has nothing waiting."""

    class Meta:
        model = Phone

    member = SubFactory(MemberFactory)
    shop = SelfAttribute("member.shop")
    ident = Sequence(lambda n: f"{n:032x}")
    last_seen = NOON


class SiteNoteFactory(DjangoModelFactory):
    class Meta:
        model = SiteNote

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    text = "The key is with the neighbor."
    at = NOON


class EntryKeptFactory(DjangoModelFactory):
    """A note that another person's note stands against."""

    class Meta:
        model = EntryKept

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    member = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    key = Sequence(lambda n: f"{n:032x}")
    digest = "0" * 64
    kind = "note"
    room_name = SelfAttribute("room.name")
    data = LazyAttribute(lambda kept: {"room": kept.room.pk, "text": "Left the saw in the hall."})
    entered_at = NOON
    at = NOON
    outcome = "conflict"
    words = "Somebody wrote another note here."
    answer = LazyFunction(
        lambda: {"theirs": {"Note": "Key with the neighbor.", "version": 1}, "mine": {"Note": "Left the saw."}}
    )
