"""A room to listen in, whose angles and levels are summed by hand in the tests. No expectation stands here.

The finished ceiling is 180 by 144 in, 105 in up. Two rows of three lights, 30 in from the ends, 36 in off the wall; a
speaker in each gap: SP1 at 60 and SP2 at 120 in from the left, 36 in from the door; SP3 and SP4 the same at 108 in.
"""

from decimal import Decimal

from layout.engine.lengths import inches
from layout.sound.models import SoundSetup
from layout.sound.services import Entered, change_sound
from tests.factories import FixtureTypeFactory, JobFactory, ShopFactory
from tests.shops import build_room, draft_room, fresh, tape_room

SETUP = {
    "use": "listening", "system": "BS.775 3/2", "leeway_deg": 5, "ear_height": inches(45), "temperature_c": Decimal(20),
    "band_hz": 2000, "target_db": None, "low_decay_s": None,
}  # fmt: skip
SEAT = {"x": inches(90), "y": inches(72), "ear_height": None, "main": True}
SCREEN = {"wall": "far", "center": inches(90), "width": inches(100), "height": None}


def role(mark, channel):
    return {"mark": mark, "channel": channel, "x": None, "y": None}


ROLES = (role("SP3", "L"), role("SP4", "R"))


def speaker(shop, **fields):
    known = {
        "kind": "speaker", "name": "6 in speaker", "cutout": inches(8), "coverage_deg": 90, "sensitivity_db": 88,
        "power_watts": 50, "tap_watts": "2.5, 5, 10",
    }  # fmt: skip
    return FixtureTypeFactory(shop=shop, **known | fields)


def listening_room(shop=None, *, height="105", kind=None, **fields):
    shop = shop or ShopFactory()
    room = build_room(
        JobFactory(shop=shop), furring="", gap="0", framing=None, finished=None, ceiling_system="board", name="Den"
    )
    tape_room(room, "finished", "180", "144", **{"height": height} if height else {})
    numbers = {"end_setback": inches(30), "row_setback": inches(36), "speaker_type": kind or speaker(shop)}
    draft_room(room, **numbers | fields)
    return fresh(room)


def enter(room, **changes):
    """Enter the seat, the screen and two channels; setup: columns that differ."""
    setup = SETUP | changes.pop("setup", {})
    parts = {"seats": (SEAT,), "screen": SCREEN, "roles": ROLES} | changes
    kept = SoundSetup.objects.of(room.shop).filter(room=room).first()
    return change_sound(room, kept.version if kept else 1, Entered(setup, **parts))
