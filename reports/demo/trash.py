"""The demo's trash: a room that was entered twice, to be looked at and put back."""

import json

from projects.catalogue.tables import FOLDER
from projects.jobs.models import Job, Room
from projects.jobs.services import add_room
from projects.trash.services import trash_room


def enter_trash(shop, people):
    """people: by their keys in fixtures/demo.json."""
    told = json.loads((FOLDER / "demo_trash.json").read_text(encoding="utf-8"))
    for entry in told["rooms"]:
        job = Job.objects.of(shop).select_related("shop").get(number=entry["job"])
        made = add_room(job, name=entry["name"])
        trash_room(made, Room.objects.of(shop).get(pk=made.pk).version, by=people[entry["by"]])
