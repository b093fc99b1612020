"""Into the trash and out of it again. Nothing is deleted here; what goes for good is purging.py.

A job takes its rooms along: they bear the same moment, and those come back with it. A room that lay in the trash
before keeps its own moment and stays there.
"""

from django.db import IntegrityError, transaction
from django.db.models import F
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.jobs.models import Job, Room
from projects.jobs.services import NameTaken
from projects.platform.tenancy import StaleVersion


class JobInTheTrash(Exception):
    """A room can't come back before its job does."""


@transaction.atomic
def trash_room(room, seen_version, *, by):
    """Raises StaleVersion when somebody changed the room since; Http404 when it is in the trash already."""
    return _put_away(room, seen_version, by, timezone.now())


@transaction.atomic
def trash_job(job, seen_version, *, by):
    """The job and every room of it. Raises as trash_room."""
    at = timezone.now()
    stored = _put_away(job, seen_version, by, at)
    Room.objects.of(job.shop_id).filter(job=job).update(**_changed(at, by))
    return stored


def _put_away(record, seen_version, by, at):
    rows = type(record).objects.of(record.shop_id).filter(pk=record.pk)
    if not rows.filter(version=seen_version).update(**_changed(at, by)):
        stored = rows.first()
        if stored is None:
            raise Http404
        raise StaleVersion(stored, {})
    return type(record).everything.of(record.shop_id).get(pk=record.pk)


def _changed(at, by):
    return {"trashed_at": at, "trashed_by": by, "version": F("version") + 1, "updated_at": timezone.now()}


@transaction.atomic
def restore_room(room, *, name=""):
    """Back into its job, under another name where one is given. Raises JobInTheTrash, NameTaken, Http404."""
    job = Job.everything.of(room.shop_id).select_for_update().get(pk=room.job_id)
    if job.trashed_at is not None:
        raise JobInTheTrash(_("Its job, %(job)s, is in the trash. Take that out first.") % {"job": job})
    kept = _taken_out(room, at=room.trashed_at, name=name or room.name)
    if not kept:
        raise Http404
    return Room.objects.of(room.shop_id).get(pk=room.pk)


@transaction.atomic
def restore_job(job, *, number=""):
    """The job with the rooms that went with it. Raises NameTaken, Http404."""
    at = job.trashed_at
    if at is None or not _taken_out(job, at=at, number=number or job.number):
        raise Http404
    Room.everything.of(job.shop_id).filter(job=job, trashed_at=at).update(**_changed(None, None))
    return Job.objects.of(job.shop_id).get(pk=job.pk)


def _taken_out(record, *, at, **named):
    for field, value in named.items():
        record._meta.get_field(field).clean(value, record)
    rows = type(record).everything.of(record.shop_id).filter(pk=record.pk, trashed_at=at, trashed_at__isnull=False)
    try:
        with transaction.atomic():
            return rows.update(**_changed(None, None), **named)
    except IntegrityError as error:
        raise _told(record, named) from error


def _told(record, named):
    if isinstance(record, Job):
        words = _("Another job has number %(number)s now. Give this one a different number.")
        return NameTaken("number", words % named)
    words = _("Another room of this job is called %(name)s now. Give this one a different name.")
    return NameTaken("name", words % named)
