"""The demo's orders, receipts, a pick list and leftovers, through the services that pages use. Knows no counting."""

import json
import uuid
from datetime import timedelta

from django.utils import timezone

from projects.catalogue.tables import FOLDER
from projects.jobs.models import Job
from reports.purchasing import queries, services
from reports.purchasing.services import Item


def enter_material(shop, orders_by, receives):
    """orders_by: who writes orders; receives: who books what came and picks it."""
    told = json.loads((FOLDER / "demo_material.json").read_text(encoding="utf-8"))
    job = Job.objects.of(shop).get(number=told["job"])
    lines = queries.job_material(job).lines
    for entry in told["orders"]:
        _order(job, entry, [line for line in lines if line.category in entry["categories"]], orders_by, receives)
    for room in list(job.rooms.order_by("pk"))[: told["pick_for_rooms"]]:
        _pick(room, receives)
    for row in told["shelf"]:
        item = Item(row["key"], row["name"], row["unit"], abs(row["change"]))
        services.count_shelf(shop, item, row["change"], lies=row["lies"], slip=_slip(), by=receives)


def _order(job, entry, lines, orders_by, receives):
    wanted = [Item(line.key, line.name, line.unit, line.standing.to_buy) for line in lines if line.standing.to_buy]
    if not wanted:
        return
    order = services.place_order(
        job, wanted, from_whom=entry["from_whom"], note=entry["note"], slip=_slip(), by=orders_by,
        promised_on=timezone.localdate() + timedelta(entry["promised_in_days"]),
    )  # fmt: skip
    came = [(line.pk, line.quantity * entry["came_percent"] // 100, entry["put"]) for line in order.lines.all()]
    if came := [row for row in came if row[1]]:
        services.receive(order, came, slip=_slip(), by=receives)


def _pick(room, by):
    """What lies ready for the room is picked, the rest stays on its list."""
    wanted = [line for line in queries.room_material(room).lines if line.to_pick]
    if not wanted:
        return
    made = services.write_pick_list(
        room, [Item(line.key, line.name, line.unit, line.to_pick) for line in wanted], slip=_slip(), by=by
    )
    lies = {line.key: line.lies for line in wanted}
    rows = []
    for line in made.lines.all():
        place = max(lies[line.key].places, key=lies[line.key].places.get)
        if there := min(line.quantity, lies[line.key].places[place]):
            rows.append((line.pk, there, place))
    if rows:
        services.pick(made, rows, slip=_slip(), by=by)


def _slip():
    return str(uuid.uuid4())
