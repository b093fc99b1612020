"""Backups, drills, and a shop's own file."""

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from projects.files import store
from projects.keeping.models import BackupMade, DrillMade, KnownAs, TakenOut
from tests.factories.base import NOON
from tests.factories.jobs import RoomFactory
from tests.factories.people import ShopFactory


class BackupMadeFactory(DjangoModelFactory):
    class Meta:
        model = BackupMade

    name = Sequence(lambda n: f"20260503-{n:06}Z")
    made_at = NOON
    seconds = 1.5
    bytes = 1000
    files = 2
    digest = "0" * 64


class DrillMadeFactory(DjangoModelFactory):
    class Meta:
        model = DrillMade

    backup = "20260503-120000Z"
    backup_made_at = NOON
    at = NOON
    seconds = 20.0
    held = True
    report = "{}"


class KnownAsFactory(DjangoModelFactory):
    class Meta:
        model = KnownAs

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    number = Sequence(lambda n: n + 1)


class TakenOutFactory(DjangoModelFactory):
    """A record alone: there is no file behind it."""

    class Meta:
        model = TakenOut

    shop = SubFactory(ShopFactory)
    file = Sequence(lambda n: f"shop-{n}.zip")
    bytes = 22
    digest = "0" * 64
    rows = 1
    made_at = NOON


def taken_out_on_file(shop, **fields):
    made = TakenOutFactory(shop=shop, **fields)
    store.put(shop.pk, {made.file: b"PK\x05\x06" + b"\0" * 18})
    return made
