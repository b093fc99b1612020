"""The demo's field extras and change orders, through the services that pages use. Knows no sums."""

import json
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from projects.catalogue.tables import FOLDER
from projects.jobs.models import Job
from reports.changes import ink, services
from reports.changes.models import FieldExtra


def enter_changes(shop, by, field):
    """by: who writes change orders; field: who writes extras on a phone. The job's bid is accepted by then."""
    told = json.loads((FOLDER / "demo_changes.json").read_text(encoding="utf-8"))
    job = Job.objects.of(shop).get(number=told["job"])
    rooms = {room.name: room for room in job.rooms.all()}
    for entry in told["extras"]:
        _extra(job, rooms.get(entry.get("room")), entry, by, field)
    for entry in told["changes"]:
        _change(job, rooms, entry, by)


def _extra(job, room, entry, by, field):
    extra = services.write_extra(
        job, field, room=room, words=entry["words"], hours=Decimal(entry["hours"]), material=entry["material"],
        asked_by=entry["asked_by"], signed_name=entry.get("signed_name", ""),
        ink=ink.path_of(json.dumps(entry["strokes"])) if "strokes" in entry else "",
    )  # fmt: skip
    days = timedelta(entry["days_ago"])
    FieldExtra.objects.of(job.shop_id).filter(pk=extra.pk).update(at=timezone.now() - days)
    if entry.get("charged"):
        services.send(services.open_from_extra(extra, by), by)


def _change(job, rooms, entry, by):
    today = timezone.localdate()
    change = services.open_change(job, by, title=entry["title"], reason=entry["reason"], asked_by=entry["asked_by"])
    for line in entry["lines"]:
        services.add_line(
            change, words=line["words"], room=rooms.get(line.get("room")), hours=Decimal(line["hours"]),
            material=Decimal(line["material"]),
        )  # fmt: skip
    if entry["ends"] == "draft":
        return
    sent = services.send(change, by)
    if entry["ends"] == "spoken":
        services.said_yes(sent, name=entry["asked_by"], on=today)
    if entry["ends"] == "signed":
        services.approve(sent, by, name=entry["asked_by"], on=today)
