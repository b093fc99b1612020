"""Doing one piece of work: taking it up, telling how far it is, and how it ended. Knows no kind of work by name."""

import logging
import threading
import time

from django.db import close_old_connections, connection
from django.db.models import F
from django.db.utils import DatabaseError
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.platform.speaking import speaking
from projects.work.kinds import KINDS
from projects.work.models import LONGEST_WORDS, State, Work, canonical

log = logging.getLogger(__name__)


class WorkFailed(Exception):
    """Raised by a kind of work that can't go on, with the reason in words for the person who asked."""


class Cancelled(Exception):
    """Somebody cancelled the work. Raised by Progress.at; a kind lets it pass."""


class TakenAway(Cancelled):
    """The work is another worker's now: this one was silent for too long."""


class PutBack(Cancelled):
    """This worker is asked to end: the work goes back into the queue, to go on from here. Carries the work."""


class Progress:
    """How far a piece of work is. `done` is where it was when it was taken up."""

    EVERY = 0.2  # seconds between two writes; the first and the last are always written

    def __init__(self, work, ending=lambda: False):
        self.done, self.total = work.done, work.total
        self._rows = Work.objects.of(work.shop_id).filter(pk=work.pk, task=work.task, state=State.RUNNING)
        self._ending, self._written = ending, 0.0

    def at(self, done, total):
        """So many of so many steps are done. Raises Cancelled. Call it between transactions, not inside one."""
        self.done, self.total = done, total
        ending = self._ending()
        if not ending and done < total and time.monotonic() - self._written < self.EVERY:
            return
        now = timezone.now()
        if not self._rows.filter(cancel_asked=False).update(done=done, total=total, beat=now, updated_at=now):
            raise Cancelled if self._rows.exists() else TakenAway
        self._written = time.monotonic()
        if ending:
            raise PutBack


class Heart:
    """Beats for the work of one task, and for its worker, while it runs: a long step is not a worker that is gone."""

    EVERY = 5.0  # seconds

    def __init__(self, task, sign):
        self._task, self._sign, self._still = task, sign, threading.Event()
        self._thread = threading.Thread(target=self._beat, daemon=True)

    def __enter__(self):
        self._thread.start()
        return self

    def __exit__(self, *raised):
        self._still.set()
        self._thread.join()

    def _beat(self):
        while not self._still.wait(self.EVERY):
            try:
                close_old_connections()
                rows = Work.objects.every_shop().filter(task=self._task, state=State.RUNNING)
                rows.update(beat=timezone.now())
                self._sign.give()
            except DatabaseError:  # locked for long, or gone for a moment: the next beat tries again
                log.warning("A sign of life could not be written.", exc_info=True)
        connection.close()


def do_work(work_id, task, ending=lambda: False):
    """Carry out the work if it waits for this very task. Returns the work as it then stands, None when it did not.

    Raises PutBack when this worker was asked to end meanwhile: whoever keeps the queue puts the work back.
    """
    now = timezone.now()
    rows = Work.objects.every_shop().filter(pk=work_id, task=task)
    if not rows.filter(state=State.WAITING).update(
        state=State.RUNNING, beat=now, updated_at=now, version=F("version") + 1
    ):
        return None
    rows.filter(started_at=None).update(started_at=now)
    work = rows.select_related("shop", "asked_by").get()
    try:
        with speaking(shop=work.shop_id, member=work.asked_by_id, user=_user_of(work), via="work"):
            words = canonical(_run(work, Progress(work, ending)) or {})
        if len(words) > LONGEST_WORDS:
            raise ValueError("The outcome of a piece of work is too long. Keep it in a record, and give its id.")
        _ended(work, State.DONE, result=words)
    except TakenAway:
        return None
    except PutBack:
        raise PutBack(work) from None
    except Cancelled:
        _ended(work, State.CANCELLED)
    except WorkFailed as failed:
        _ended(work, State.FAILED, error=str(failed)[:4000])
    except Exception as error:
        log.exception("Work %s (%s) failed", work.pk, work.kind)
        said = _("The program made a mistake (%(kind)s). It is written in the server's log. Resume goes on from here.")
        _ended(work, State.FAILED, error=said % {"kind": type(error).__name__})
    return Work.objects.of(work.shop_id).get(pk=work.pk)


def _user_of(work):
    return work.asked_by.user_id if work.asked_by else None


def _run(work, progress):
    if work.kind not in KINDS:
        raise WorkFailed(_("This version of the program knows no such work. Start it anew from its own page."))
    return KINDS[work.kind].run(work, progress)


def _mine(work):
    return Work.objects.of(work.shop_id).filter(pk=work.pk, task=work.task, state=State.RUNNING)


def _ended(work, state, **more):
    now = timezone.now()
    _mine(work).update(
        state=state, ended_at=now, beat=now, updated_at=now, cancel_asked=False, task=None,
        version=F("version") + 1, **more,
    )  # fmt: skip
