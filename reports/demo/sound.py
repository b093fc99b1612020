"""The demo's seats, screen, roles, subs and materials, through the services that pages use. Knows no sum."""

import json
from decimal import Decimal

from layout.queries import layout_now
from layout.sound.following import with_places
from layout.sound.models import SubPlace
from layout.sound.services import Entered, change_sound
from projects.catalogue.models import FixtureType
from projects.catalogue.services import change_type
from projects.catalogue.tables import FOLDER
from projects.jobs.models import Job
from projects.jobs.queries import room_of
from reports.demo.rows import row_of

LENGTHS = {"x", "y", "ear_height", "height", "center", "width"}
NUMBERS = {"temperature_c", "target_db", "low_decay_s"}


def enter_sound(shop):
    """What the sheets of speakers say, and two rooms to listen in. After the rooms are laid out."""
    told = json.loads((FOLDER / "demo_sound.json").read_text(encoding="utf-8"))
    for record in FixtureType.objects.of(shop).filter(key__in=told["labels"]):
        change_type(record, record.version, {name: Decimal(one) for name, one in told["labels"][record.key].items()})
    job = Job.objects.of(shop).get(number=told["job"])
    for entry in told["rooms"]:
        room = room_of(shop, job.rooms.get(name=entry["room"]).pk)
        change_sound(room, 1, with_places(_entered(entry), layout_now(room)))


def _entered(entry):
    height = SubPlace._meta.get_field("height")
    usual = {"height": height.to_python(height.default), "placed": False}
    return Entered(
        _row(entry["setup"]),
        seats=tuple({"ear_height": None, "main": False} | _row(one) for one in entry["seats"]),
        screen=_row(entry["screen"]) if entry["screen"] else None,
        roles=tuple(
            {"mark": mark, "channel": channel, "x": None, "y": None} for mark, channel in entry["roles"].items()
        ),
        subs=tuple(usual | _row(one) for one in entry["subs"]),
        materials=tuple(
            {"surface": surface, "material": material, "percent": percent}
            for surface, material, percent in entry["materials"]
        ),
    )


def _row(told):
    return row_of(told, LENGTHS, NUMBERS)
