"""The demo's marks: set in every room that was shown to an inspector, begun in those in hand. Knows no rules."""

import json
from datetime import timedelta

from django.utils import timezone

from layout.as_built import services
from layout.as_built.models import AsBuilt, Step
from layout.as_built.queries import marks_now, marks_of
from projects.catalogue.tables import FOLDER, read_length
from projects.jobs.models import Room

INSPECTION, TRIM = 6, 9


def enter_marks(shop, told):
    """told: the scenario, with its people. The rooms stand at their stages, with their revisions, by then."""
    data = json.loads((FOLDER / "demo_marks.json").read_text(encoding="utf-8"))
    rooms = list(Room.objects.of(shop).filter(stage__gte=INSPECTION, cancelled=False).select_related("job", "shop"))
    rows = []
    for room_id, now in marks_now(rooms).items():
        room = next(one for one in rooms if one.pk == room_id)
        hidden = data["hidden"].get(f"{room.job.number} {room.name}", 0)
        rows += _passed(room, now, hidden, told.people)
    AsBuilt.objects.bulk_create(rows)
    for entry in data["begun"]:
        room = _room(shop, entry)
        idents = [mark.ident for mark in marks_of(room).marks if mark.mark.row <= entry["rows"]]
        services.record_all(room, idents, step=entry["step"], by=told.people[entry["by"]], at=_lately(room))
    for entry in data["moved"]:
        _moved(_room(shop, entry), entry, told.people)


def _passed(room, now, hidden, people):
    """Every mark where the revision has it; cut from trim on, before that all but the hidden ones."""
    shown = room.stage_events.filter(went_to=INSPECTION).order_by("at").first()
    at = shown.at - timedelta(hours=3) if shown else room.stage_since
    for number, one in enumerate(now.marks, 1):
        steps = [Step.FLOOR, Step.FRAMING, Step.ROUGHED]
        if room.stage >= TRIM or (room.stage == TRIM - 1 and hidden and number <= len(now.marks) - hidden):
            steps.append(Step.CUT)
        for step in steps:
            mark = one.mark
            yield AsBuilt(
                shop_id=room.shop_id, room=room, mark=mark, ident=mark.ident, step=step.value, along=mark.along,
                across=mark.across, to_along=mark.along, to_across=mark.across, by=people["crew"], at=at,
            )  # fmt: skip


def _moved(room, entry, people):
    """The room's first mark, put off along or across."""
    first = marks_of(room).marks[0]
    off = read_length(entry["off"])
    along, across = first.place
    if entry["way"] == "along":
        along += off
    else:
        across += off
    there = room.as_built.filter(ident=first.ident, step=entry["step"], current=True).first()
    services.record(
        room, first.ident, step=entry["step"], along=along, across=across, reason=entry["reason"],
        words=entry["words"], by=people[entry["by"]], base=there.version if there else 0, at=_lately(room),
    )  # fmt: skip


def _room(shop, entry):
    found = Room.objects.of(shop).select_related("job", "shop")
    return found.get(job__number=entry["job"], name=entry["room"])


def _lately(room):
    return min(room.stage_since + timedelta(hours=4), timezone.now())
