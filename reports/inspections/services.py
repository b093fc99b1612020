"""Writing down a visit, and answering what it asked for. Each in one transaction."""

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.photos import services as photos
from projects.photos.models import Purpose
from projects.platform.tenancy import save_from
from reports.inspections.models import Correction, Outcome, RoomResult, Visit


class CannotBeDone(Exception):
    """It can't be done as it stands. The message says why, and what to do."""


@transaction.atomic
def record_visit(job, *, by, results, **fields):
    """A visit and its results. results: (room, outcome, corrections as a list of words); rooms are the job's own.

    Raises CannotBeDone when no room was looked at, or one that didn't pass has no correction.
    """
    if not results:
        raise CannotBeDone(_("Say for at least one room how it went."))
    visit = Visit(shop_id=job.shop_id, job=job, by=by, **fields)
    visit.clean_fields()
    visit.save()
    for room, outcome, corrections in results:
        _record(visit, room, outcome, corrections)
    return visit


def _record(visit, room, outcome, corrections):
    if room.job_id != visit.job_id:
        raise CannotBeDone(_("%(room)s is a room of another job.") % {"room": room})
    if outcome != Outcome.PASS and not corrections:
        raise CannotBeDone(
            _("%(room)s did not pass: write what has to be put right, one thing a line.") % {"room": room}
        )
    result = RoomResult.objects.create(visit=visit, room=room, outcome=outcome)
    for words in corrections:
        asked = Correction(shop_id=visit.shop_id, result=result, words=words)
        asked.clean_fields(exclude=["shop"])
        asked.save()


def change_visit(visit, seen_version, changes):
    """The tag, the day it is looked at again and so on. Results stay what they were. Raises StaleVersion."""
    return save_from(visit, seen_version, changes, at=timezone.now())


def answer_correction(correction, *, by, words, upload=None):
    """What was done, with a photo where there is one. Raises CannotBeDone, NoPicture, QuotaFull.

    The room stays failed until an inspector passes it.
    """
    if not words.strip():
        raise CannotBeDone(_("Say what was done about it."))
    photo = None
    if upload:
        photo = photos.keep(
            correction.result.room, upload, by=by, purpose=Purpose.CORRECTION, caption=correction.words[:200]
        )
    now = timezone.now()
    rows = Correction.objects.of(correction.shop_id).filter(pk=correction.pk, answered_at=None)
    if not rows.update(
        answer=words, photo=photo, answered_by=by, answered_at=now, version=F("version") + 1, updated_at=now
    ):
        raise CannotBeDone(_("Somebody has answered this one already. Look at the answer first."))


def stands_on_it(photo):
    """Why a photo can't be taken back: a correction was answered with it. Words, or nothing."""
    answered = Correction.objects.of(photo.shop_id).filter(photo=photo).exists()
    return _("An inspector's correction was answered with this photo.") if answered else ""
