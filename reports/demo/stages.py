"""The demo's stages: how its jobs run, who is held up and why, and one room that the owner let past."""

import json
from datetime import timedelta

from django.utils import timezone

from projects.catalogue.tables import FOLDER
from projects.jobs.models import Job, Room
from projects.stages.queries import asked_of
from projects.stages.services import hold_all, move


def enter_stages(shop, told):
    table = json.loads((FOLDER / "demo_stages.json").read_text(encoding="utf-8"))
    for row in table["jobs"]:
        Job.objects.of(shop).filter(number=row.pop("number")).update(**row)
    for row in table["held"]:
        at = timezone.now() - timedelta(days=row["days_ago"])
        hold_all(
            shop, [_room(shop, row).pk], row["kind"], who=row["who"], why=row["why"], by=told.people[row["by"]], at=at
        )
    for row in table["passed"]:
        _pass(shop, row, told)


def _pass(shop, row, told):
    """The room goes as its page would let it: what is missing is passed with the row's reason."""
    room = _room(shop, row)
    passes = {one.guard.key: row["why"] for one in asked_of(room, row["to"]) if one.missing}
    at = timezone.now() - timedelta(hours=row["hours_ago"])
    move(room, row["to"], by=told.people[row["by"]], note=row["note"], passes=passes, at=at)


def _room(shop, row):
    return Room.objects.of(shop).select_related("job__shop", "shop").get(name=row["room"])
