"""Start, cancel and resume long work, and take up again what lost its worker. Knows no kind of work by name.

Each change of state is one UPDATE that says what it expects to find, so that of two who try, one does.
"""

import datetime as dt
import hashlib

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from projects.work.kinds import KINDS
from projects.work.models import LONGEST_WORDS, UNDER_WAY, State, Work, canonical
from projects.work.tasks import queued

STALE = dt.timedelta(seconds=60)  # without a sign of life for so long, a worker is taken to be gone
MOST_TIMES = 5  # a piece of work that ends its worker so often is not begun again


class CannotBeDone(Exception):
    """The work can't be started, cancelled or resumed as it stands. The message says why."""


def start(shop, kind, arguments, by, *, title=""):
    """Put work in the queue; the same work already waiting or running is given back instead. One transaction.

    arguments: plain values (they become JSON). title: what people read; the kind's name unless given.
    """
    if kind not in KINDS:
        raise LookupError(f"No kind of work is called {kind!r}.")
    words = canonical(arguments)
    if len(words) > LONGEST_WORDS:
        raise ValueError("The arguments of a piece of work are too long. Keep them in a record, and give its id.")
    given = hashlib.sha256(words.encode()).hexdigest()
    try:
        with transaction.atomic():
            work = Work.objects.create(
                shop=shop, kind=kind, title=title[:200] or kind.capitalize(), arguments=words, given=given,
                asked_by=by, beat=timezone.now(),
            )  # fmt: skip
            return queued(work)
    except IntegrityError:
        found = Work.objects.of(shop).filter(kind=kind, given=given, state__in=UNDER_WAY).first()
        if found is None:
            raise
        return found


def cancel(work):
    """What waits is cancelled at once; what runs stops at its next step. Raises CannotBeDone when it has ended."""
    now, rows = timezone.now(), Work.objects.of(work.shop_id).filter(pk=work.pk)
    ended = {"state": State.CANCELLED, "ended_at": now, "task": None, "version": F("version") + 1, "updated_at": now}
    if not rows.filter(state=State.WAITING).update(**ended) and not rows.filter(state=State.RUNNING).update(
        cancel_asked=True, version=F("version") + 1, updated_at=now
    ):
        raise CannotBeDone(_("It has ended already: there is nothing to cancel."))
    return rows.get()


def resume(work):
    """Put failed or cancelled work back in the queue; it goes on from where it was. Raises CannotBeDone."""
    now, rows = timezone.now(), Work.objects.of(work.shop_id).filter(pk=work.pk)
    try:
        with transaction.atomic():
            again = rows.filter(state__in=(State.FAILED, State.CANCELLED)).update(
                state=State.WAITING, cancel_asked=False, error="", taken_up_again=0, ended_at=None, beat=now,
                version=F("version") + 1, updated_at=now,
            )  # fmt: skip
            if not again:
                raise CannotBeDone(_("Only work that failed or was cancelled can be resumed."))
            return queued(rows.get())
    except IntegrityError as same:
        raise CannotBeDone(_("The same work is waiting or running already. See the list.")) from same


def take_up_again(now=None):
    """Put back in the queue what has lost its worker, and end what can't go on. Returns how many were put back.

    Lost is: running without a sign of life for STALE; or waiting so long while its task is no longer in the queue
    (a worker that ended between taking the task and beginning the work).
    """
    now = now or timezone.now()
    silent = Work.objects.every_shop().filter(state__in=UNDER_WAY, beat__lt=now - STALE).order_by("pk")
    return sum(_taken_up(work, now) for work in list(silent[:200]))


@transaction.atomic
def _taken_up(work, now):
    if work.state == State.WAITING and _in_queue(work.task):
        return False
    as_seen = Work.objects.of(work.shop_id).filter(pk=work.pk, state=work.state, task=work.task, beat=work.beat)
    seen = {"version": F("version") + 1, "updated_at": now}
    if work.cancel_asked:
        as_seen.update(state=State.CANCELLED, ended_at=now, task=None, **seen)
        return False
    if work.taken_up_again >= MOST_TIMES:
        said = _("The program ended %(times)s times while doing this; it was not begun again. See the server's log.")
        as_seen.update(state=State.FAILED, ended_at=now, task=None, error=said % {"times": MOST_TIMES + 1}, **seen)
        return False
    again = as_seen.update(state=State.WAITING, beat=now, taken_up_again=F("taken_up_again") + 1, **seen)
    if not again:
        return False
    DBTaskResult.objects.filter(pk=work.task, status=TaskResultStatus.RUNNING).update(
        status=TaskResultStatus.FAILED, finished_at=now, exception_class_path="builtins.RuntimeError",
        traceback="The worker ended while doing this; it was put in the queue again.",
    )  # fmt: skip
    queued(work)
    return True


def _in_queue(task):
    return task is not None and DBTaskResult.objects.filter(pk=task, status=TaskResultStatus.READY).exists()
