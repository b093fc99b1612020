"""Changes to who works where. Each is one transaction; a plan made twice is one plan."""

from datetime import timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.crews.models import CrewDay
from projects.joining.queries import the_one_job
from projects.platform.permissions import FIELD
from projects.platform.tenancy import StaleVersion, save_from

LONGEST = 31  # days planned at once
MOST_ROWS = 1_000  # days times rooms, planned at once


class NotPlanned(Exception):
    """The plan can't stand so. The message says why, and what to do."""


def _check(member, job):
    if member.shop_id != job.shop_id or not member.active or member.role not in FIELD:
        raise NotPlanned(_("%(name)s doesn't work on site. Choose somebody who does.") % {"name": member.user})
    one_job = the_one_job(member)
    if one_job and one_job != job.pk:
        raise NotPlanned(_("%(name)s joined another job by a code, and sees no other.") % {"name": member.user})


@transaction.atomic
def plan(job, member, first, last, *, rooms=(), by=None):
    """Plan a person for rooms of a job, or for the whole job, on each day from first to last. Returns how many are new.

    rooms: of this job. Raises NotPlanned.
    """
    _check(member, job)
    days = (last - first).days + 1
    if not 1 <= days <= LONGEST:
        raise NotPlanned(_("From the first day to the last: 1 to %(most)s days at once.") % {"most": LONGEST})
    places = list(rooms) or [None]
    if days * len(places) > MOST_ROWS:
        raise NotPlanned(_("That is more than %(most)s rooms and days at once. Plan fewer days.") % {"most": MOST_ROWS})
    dates = [first + timedelta(n) for n in range(days)]
    before = _count(job, member, dates)
    rows = [CrewDay(shop=job.shop, job=job, member=member, room=room, on=on, by=by) for on in dates for room in places]
    CrewDay.objects.bulk_create(rows, ignore_conflicts=True)  # who is planned already stays planned
    return _count(job, member, dates) - before


def _count(job, member, dates):
    return CrewDay.objects.of(job.shop_id).filter(job=job, member=member, on__in=dates).count()


@transaction.atomic
def give_to(day, seen_version, member, *, by=None):
    """Somebody else goes there instead; one planned for it already keeps it. Raises StaleVersion, NotPlanned."""
    _check(member, day.job)
    try:
        with transaction.atomic():
            return save_from(day, seen_version, {"member": member, "by": by}, at=timezone.now())
    except IntegrityError:  # they have it already
        stored = CrewDay.objects.of(day.shop_id).get(pk=day.pk)
        if stored.version != seen_version:
            raise StaleVersion(stored, {"member": member}) from None
        stored.delete()
        return CrewDay.objects.of(day.shop_id).get(member=member, on=stored.on, room=stored.room, job=stored.job)


def take_off(day):
    """Nobody goes there then. False when it was taken off already."""
    return bool(CrewDay.objects.of(day.shop_id).filter(pk=day.pk).delete()[0])
