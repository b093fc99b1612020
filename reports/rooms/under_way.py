"""Which jobs are under way. A shop's finished jobs pile up for years: nothing here walks through them.

A job is under way until somebody closes it. One whose rooms are all done and that nobody touched for a season is not
looked at every morning either; it is found under every job ever.
"""

import datetime as dt

from django.db.models import Q
from django.utils import timezone

from projects.jobs.models import LAST_STAGE, Job, Room

UNTOUCHED = dt.timedelta(days=90)
WEEK = dt.timedelta(days=6)  # after today: seven days with it


def jobs_under_way(shop, now=None):
    """A queryset of jobs. Both lists of rooms behind it come from an index: open ones, and those touched lately."""
    since = (now or timezone.now()) - UNTOUCHED
    rooms = Room.objects.of(shop).order_by()
    still_open = rooms.filter(stage__lt=LAST_STAGE, cancelled=False).values("job")
    touched = rooms.filter(updated_at__gte=since).values("job")
    begun = Q(created_at__gte=since)
    return Job.objects.of(shop).filter(Q(pk__in=still_open) | Q(pk__in=touched) | begun, closed_on=None)
