"""Photos and what is kept."""

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from projects.files.models import KeptBytes
from projects.photos.models import Photo, PunchItem
from tests.factories.base import NOON, Below
from tests.factories.jobs import RoomFactory
from tests.factories.people import MemberFactory, ShopFactory


class KeptBytesFactory(DjangoModelFactory):
    class Meta:
        model = KeptBytes

    shop = SubFactory(ShopFactory)


class PhotoFactory(Below):
    """A record alone: there is no file behind it."""

    class Meta:
        model = Photo

    _above = "room__job"
    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    file = Sequence(lambda n: f"photo-{n}.jpg")
    small = Sequence(lambda n: f"photo-{n}-small.jpg")
    wide = 800
    high = 600
    bytes = 100_000
    taken_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    taken_at = NOON


class PunchItemFactory(Below):
    class Meta:
        model = PunchItem

    _above = "room__job"
    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    words = "Trim of A3 does not sit flat"
    found_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    found_at = NOON
