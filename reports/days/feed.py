"""A person's calendar as a file: what is due on the jobs they may see, and where they work on which day."""

from __future__ import annotations

import datetime as dt
from itertools import groupby

from django.urls import reverse
from django.utils.translation import gettext as _

from projects.crews.models import CrewDay
from reports.days import ics
from reports.days.dates import Due, due_between

BEHIND, AHEAD = dt.timedelta(days=60), dt.timedelta(days=365)  # what a calendar is told of, from today
MOST_EVENTS = 2_000


def calendar_of(member, address, *, today: dt.date) -> bytes:
    """address(path): the full address of a page. The same text until something changes."""
    first, last = today - BEHIND, today + AHEAD
    events = [_due(due, address) for due in due_between(member.shop, first, last)]
    events += _own_days(member, first, last, address)
    name = _("%(shop)s: days") % {"shop": member.shop}
    return ics.calendar(name, sorted(events, key=lambda event: (event.first, event.key))[:MOST_EVENTS])


def _due(due: Due, address) -> ics.Event:
    job = due.job
    return ics.Event(
        key=f"due {due.key}",
        first=due.on,
        summary=_("%(what)s: %(job)s") % {"what": due.what, "job": job},
        description=", ".join(due.rooms),
        location=job.site,
        url=address(reverse("job", args=[job.pk])),
        changed=job.updated_at,
        version=job.version,
    )


def _own_days(member, first, last, address) -> list[ics.Event]:
    """One event for each job and day, with the rooms of that day."""
    days = CrewDay.objects.of(member.shop_id).filter(member=member, on__gte=first, on__lte=last, job__trashed_at=None)
    days = days.select_related("job", "room").order_by("on", "job_id", "pk")[:MOST_EVENTS]
    events = []
    for (on, job), rows in groupby(days, key=lambda day: (day.on, day.job)):
        rows = list(rows)
        rooms = [row.room.name for row in rows if row.room and row.room.stands]
        where = ", ".join(rooms) or _("wherever the job needs it")
        events.append(
            ics.Event(
                key=f"crew {member.pk} {job.pk} {on:%Y%m%d}",
                first=on,
                summary=_("You: %(job)s") % {"job": job},
                description=where,
                location=job.site,
                url=address(reverse("job", args=[job.pk])),
                changed=max(row.updated_at for row in rows),
            )
        )
    return events
