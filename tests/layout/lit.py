"""A lit room for tests of light: the practice room, 96 in high, with lights of known lumens and beam."""

from layout.services import draft_of
from projects.catalogue.models import FixtureType
from tests.factories import ShopFactory
from tests.shops import fresh, practice_room, tape_room


def lit_room(shop=None, *, height="96", **light):
    """Finished walls 162 by 89 in; six lights of 800 lm and 60 degrees in two rows. Other **light: of their type."""
    room = practice_room(shop or ShopFactory())
    if height:
        tape_room(room, "framing", "166", "93", height=height)
    lights = FixtureType.objects.of(room.shop).filter(pk=draft_of(room).light_type_id)
    lights.update(**{"lumens": 800, "beam_deg": 60} | light)
    return fresh(room)
