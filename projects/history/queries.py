"""Reads of the history: a shop's, newest first, by what was asked. Bounded, and always through the shop."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Q
from django.http import Http404
from django.utils import timezone

from projects.history.models import Entry

PAGE = 50


@dataclass(frozen=True, slots=True)
class Asked:
    """Which entries: of one table, one row of it, one person, one job, one room, from one day to another."""

    what: str = ""
    record: str = ""
    member: int | None = None
    job: int | None = None
    room: int | None = None
    since: dt.date | None = None
    until: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Page:
    entries: list[Entry]
    older: int | None  # the id to go on from; None: there are no more


def of_shop(shop, asked: Asked):
    same = {"what": asked.what, "record": asked.record, "member_id": asked.member, "job_id": asked.job,
            "room_id": asked.room}  # fmt: skip
    rows = Entry.objects.of(shop).filter(**{name: value for name, value in same.items() if value})
    if asked.since:
        rows = rows.filter(at__gte=_midnight(asked.since))
    if asked.until:
        rows = rows.filter(at__lt=_midnight(asked.until + dt.timedelta(days=1)))
    return rows.order_by("-at", "-pk")


def _midnight(day):
    return timezone.make_aware(dt.datetime.combine(day, dt.time.min))


def page_of(shop, rows, before=None) -> Page:
    """The newest, or those older than one entry. Raises Http404 for an entry of no such shop."""
    if before is not None:
        last = Entry.objects.of(shop).filter(pk=before).first()
        if last is None:
            raise Http404
        rows = rows.filter(Q(at__lt=last.at) | Q(at=last.at, pk__lt=last.pk))
    found = list(rows[: PAGE + 1])
    return Page(found[:PAGE], found[PAGE - 1].pk if len(found) > PAGE else None)
