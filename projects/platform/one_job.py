"""While a phone that joined one job asks, the rows of other jobs are not there: of no list, count, page or answer.

The door says which job (`keep_to`); every query on a shop's records begins with `within`. What belongs to a job is
read off the records themselves: whatever names a job, or names what names one. Knows no particular record but the job.
"""

from contextvars import ContextVar
from functools import cache

from django.apps import apps
from django.db.models import Q

from projects.platform.ways_up import JOB, foreign_keys, shortest_way

_ONLY: ContextVar[int | None] = ContextVar("the one job that is asked about", default=None)


def keep_to(job_id):
    """From now on, in this request, only this job's rows. None: all of the shop's. Returns what `undo` takes."""
    return _ONLY.set(job_id)


def undo(token):
    _ONLY.reset(token)


def only_job():
    return _ONLY.get()


def within(model):
    """What a row has to be to belong to the one job, as a Q; None where nothing is kept back.

    A row that names no job at all (a fixture type, the shop's rates) is the shop's, and everyone's who works there.
    """
    job_id = _ONLY.get()
    return None if job_id is None else _of_job(model, job_id)


def _of_job(model, job_id):
    if model._meta.label == JOB:
        return Q(pk=job_id)
    ways = ways_to_job(model)
    if not ways:
        return None
    wanted = Q()
    for field in ways:
        wanted &= _by(field, job_id)
    return wanted


def _by(field, job_id):
    if field.related_model._meta.label == JOB:
        there = Q(**{field.attname: job_id})
    else:
        # A subquery, never a join: such rows can still be locked, changed and deleted.
        rows = field.related_model._base_manager.filter(_of_job(field.related_model, job_id))
        there = Q(**{f"{field.name}__in": rows.values("pk")})
    return there | Q(**{f"{field.name}__isnull": True}) if field.null else there


@cache
def ways_to_job(model):
    """The fields by which a model's rows belong to a job: one that is always filled in, else all that may be.

    Unlike what a row is written down under, every way counts here: what may belong to another job is held back. A
    ledger across jobs belongs to none, and leads to none.
    """
    if getattr(model, "across_jobs", False):
        return ()
    around = {model, *(each for each in apps.get_models() if getattr(each, "across_jobs", False))}
    leading = [
        key
        for key in foreign_keys(model)
        if shortest_way(key.related_model, JOB, may_be_empty=True, around=around) is not None
    ]
    sure = [key for key in leading if not key.null]
    return tuple(sorted(sure, key=_nearest)[:1] or leading)


def _nearest(field):
    return field.related_model._meta.label != JOB
