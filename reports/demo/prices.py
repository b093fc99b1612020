"""The demo's prices, rates, conditions and logged hours, through the services that pages use. Knows no sums."""

import json
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from projects.catalogue.tables import FOLDER, read_length
from projects.jobs.models import Room
from reports.prices import services
from reports.prices.models import Item
from reports.takeoffs.rules import rules_of


def enter_prices(shop, by, field):
    """by: who keeps prices; field: who logs hours. One price stays missing and one is plugged, as on any list."""
    told = json.loads((FOLDER / "demo_money.json").read_text(encoding="utf-8"))
    services.list_lines(shop, rules_of(shop))
    for key, name, unit, category in told["also"]:
        services.item_for_line(shop, key, name, unit, category)
    items = {item.key: item for item in Item.objects.of(shop)}
    missing = set(told["missing_on_purpose"])
    coils = {key: [(read_length(size), price) for size, price in packs] for key, packs in told["coils"].items()}
    for rows, days in (
        (told["earlier"]["prices"], told["earlier"]["days_ago"]), ({**told["prices"], **coils}, told["days_ago"]),
    ):  # fmt: skip
        for key, packs in rows.items():
            if key not in missing and key in items:
                _set(items[key], packs, _day(days), told["prices_from"], by)
    plugged = told["plugged"]
    services.set_price(
        items[plugged["key"]], 1, Decimal(plugged["amount"]), on=_day(0), source=plugged["why"], by=by,
        plugged_by=by.user.name,
    )  # fmt: skip
    services.set_rates(shop, None, 0, {name: Decimal(text) for name, text in told["rates"].items()})
    rooms = {(room.job.number, room.name): room for room in Room.objects.of(shop).select_related("job")}
    for entry in told["conditions"]:
        services.set_conditions(shop, entry["keys"], 0, room=rooms[entry["job"], entry["room"]])
    for entry in told["hours"]:
        services.log_visit(
            rooms[entry["job"], entry["room"]], on=_day(entry["days_ago"]), phase=entry["phase"], who=field.user.name,
            note="", hours=Decimal(entry["hours"]), by=field,
            feet=[(cable, read_length(text)) for cable, text in entry["feet"]],
        )  # fmt: skip


def _set(item, packs, on, source, by):
    for size, amount in packs:
        services.set_price(item, size, Decimal(amount), on=on, source=source, by=by)


def _day(days_ago):
    return timezone.localdate() - timedelta(days_ago)
