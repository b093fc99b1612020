"""From the history to messages: each entry is looked at once, after it was committed, by whoever works.

What a transaction takes back leaves no entry, and so is told to nobody. On PostgreSQL an entry may appear after one
with a higher number; those who were still writing are waited for by the next round.
"""

import datetime as dt
import json
import uuid
from collections import defaultdict

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Max
from django.urls import reverse
from django.utils import timezone

from projects.history import writers
from projects.history.models import Entry
from projects.webhooks.events import EVENTS, PING, Event
from projects.webhooks.models import Delivery, ReadUpTo, Webhook

ROUND = 2000  # entries looked at in one transaction
_noted = (0, 0)  # on PostgreSQL: an entry's id, and a mark set after it was given


def read() -> int:
    """Make messages of what happened since the last round. Returns how many."""
    from_entry, seen = begin()
    last = _settled()
    if last <= from_entry:
        return 0
    wanted = _wanted()
    upto = min(last, from_entry + ROUND) if wanted else last
    messages = list(_messages(wanted, from_entry, upto)) if wanted else []
    with transaction.atomic():
        # Whoever moves the mark makes the messages: two workers that read the same entries make them once.
        if not ReadUpTo.objects.filter(pk=seen, entry=from_entry).update(entry=upto):
            return 0
        Delivery.objects.bulk_create(messages)
    return len(messages)


def begin() -> tuple[int, int]:
    """(the last entry looked at, the key of its row); from now on, where none was looked at before."""
    row, _made = ReadUpTo.objects.get_or_create(pk=1, defaults={"entry": _last()})
    return row.entry, row.pk


def _last() -> int:
    return Entry.objects.every_shop().aggregate(last=Max("pk"))["last"] or 0


def _settled() -> int:
    """The id up to which no entry can appear any more; 0 when that can't be told yet. Waits for nobody."""
    global _noted
    last = _last()
    if connection.vendor != "postgresql" or connection.in_atomic_block:
        return last
    # Whoever was given a number up to `last` had begun by this mark.
    begun = writers.mark()
    oldest = writers.oldest()
    if oldest > begun:
        return last
    before, noted_at = _noted
    if oldest <= noted_at:
        return 0
    _noted = (last, begun)
    return before


def _wanted() -> dict[tuple[int, str], list[Webhook]]:
    """Who is told what: by shop and event."""
    told = defaultdict(list)
    for webhook in Webhook.objects.every_shop().filter(on=True):
        for name in webhook.event_names:
            told[webhook.shop_id, name].append(webhook)
    return told


def _messages(wanted, after: int, upto: int):
    shops = {shop for shop, _name in wanted}
    by_table = defaultdict(list)
    for name in {name for _shop, name in wanted} & set(EVENTS):
        by_table[EVENTS[name].table].append(EVENTS[name])
    rows = Entry.objects.every_shop().filter(pk__gt=after, pk__lte=upto, shop__in=shops, what__in=by_table)
    for entry in rows.order_by("pk"):
        for each in by_table[entry.what]:
            if each.did == entry.did and each.when(_row(entry.before), _row(entry.after)):
                for webhook in wanted.get((entry.shop_id, each.name), ()):
                    yield message(webhook, each.name, entry.at, data_of(each, entry))


def _row(text: str) -> dict:
    return json.loads(text) if text else {}


def data_of(told: Event, entry: Entry) -> dict:
    """Numbers and an address; nothing that anybody typed. version: of the record, where it has one and it changed."""
    ids = {"record": int(entry.record) if entry.record.isdecimal() else entry.record, "job": entry.job_id,
           "room": entry.room_id}  # fmt: skip
    parts = {name: ids[column] for name, column in told.ids.items()}
    data = {name: value for name, value in ids.items() if value is not None}
    if (version := _row(entry.after).get("version")) is not None:
        data["version"] = version
    if None not in parts.values():
        data["url"] = settings.PUBLIC_URL + reverse(f"api:{told.where}", kwargs=parts)
    return data


def message(webhook: Webhook, name: str, at: dt.datetime, data: dict) -> Delivery:
    """A message that waits, unsaved."""
    body = {"type": name, "timestamp": at.isoformat(), "shop": webhook.shop_id, "data": data}
    return Delivery(
        shop_id=webhook.shop_id, webhook=webhook, event=name, said_id=f"msg_{uuid.uuid4().hex}",
        body=json.dumps(body, separators=(",", ":")), due=timezone.now(),
    )  # fmt: skip


def ping(webhook: Webhook) -> Delivery:
    made = message(webhook, PING, timezone.now(), {"webhook": webhook.pk})
    made.save()
    return made
