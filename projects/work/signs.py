"""A worker's sign of life: what health tells of who works, and of what waits for them."""

import datetime as dt
import time

from django.db.models import Count, Min, Q
from django.utils import timezone

from projects.platform.health import Standing, told
from projects.work.models import State, Work, Worker

EVERY = 10.0  # seconds between two signs
ALIVE = dt.timedelta(seconds=60)  # without one for so long, a worker is taken to be gone
FORGOTTEN = dt.timedelta(days=1)
LONG_WAIT = 15 * 60  # seconds after which what waits is told as a warning


class Sign:
    """The row of one worker: there from its first sign, gone when it ends by itself."""

    def __init__(self, name):
        self.name, self._given = name, None

    def __enter__(self):
        return self

    def __exit__(self, *raised):
        if self._given is not None:
            Worker.objects.filter(name=self.name).delete()

    def give(self):
        """Write the sign, if the last one is some seconds old."""
        if self._given is not None and time.monotonic() - self._given < EVERY:
            return
        now = timezone.now()
        if self._given is None or not Worker.objects.filter(name=self.name).update(beat=now):
            Worker.objects.filter(beat__lt=now - FORGOTTEN).delete()
            Worker.objects.create(name=self.name, started_at=now, beat=now)
        self._given = time.monotonic()


@told("long work")
def standing():
    """How much waits, since when, and how many work. It fails where something waits and nobody does it."""
    now = timezone.now()
    alive = Worker.objects.filter(beat__gt=now - ALIVE).count()
    rows = Work.objects.every_shop().filter(state__in=(State.WAITING, State.RUNNING))
    seen = rows.aggregate(
        waiting=Count("pk", filter=Q(state=State.WAITING)),
        running=Count("pk", filter=Q(state=State.RUNNING)),
        since=Min("beat", filter=Q(state=State.WAITING)),
    )
    waited = round((now - seen["since"]).total_seconds()) if seen["since"] else 0
    facts = {"workers": alive, "waiting": seen["waiting"], "running": seen["running"], "longest_wait_s": waited}
    if seen["waiting"] and not alive and waited > ALIVE.total_seconds():
        return Standing("failing", facts)
    return Standing("warn" if waited > LONG_WAIT or not alive else "ok", facts)
