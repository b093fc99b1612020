"""Counting a job of thousands of rooms as work: some rooms at a time, each kept when it is counted. No page waits.

It may be stopped and begun again anywhere: what was kept under its key is not counted twice.
"""

from django.urls import reverse

from layout.services import NotAsIssued
from projects.jobs.models import Job
from projects.work.kinds import kind
from projects.work.running import WorkFailed
from reports.takeoffs.counting import count_again, stale_rooms
from reports.takeoffs.services import freeze

STEP = 50  # rooms


def _page(work):
    return reverse("job_takeoff", args=[work.asked_for["job_id"]])


def _kept(work):
    return reverse("kept_takeoffs", args=[work.asked_for["job_id"]])


@kind("count job", may="count takeoffs", where=_page)
def count(work, progress):
    job = _job(work)
    return _count(job, progress)


@kind("keep takeoff", may="count takeoffs", where=_kept)
def keep(work, progress):
    """Count what is not counted yet, then keep all of it. Begun again after it was kept, it is not kept twice."""
    job, label = _job(work), work.asked_for["label"]
    kept = job.takeoffs.filter(by=work.asked_by, label=label, at__gte=work.created_at).defer("body", "prices").first()
    if kept is None:
        _count(job, progress)
        kept = freeze(job, by=work.asked_by, label=label)
    return {"takeoff": kept.number}


def _job(work):
    return Job.objects.of(work.shop).select_related("shop").get(pk=work.asked_for["job_id"])


def _count(job, progress):
    stale, keys = stale_rooms(job)
    done = len(keys) - len(stale)
    for start in range(0, len(stale), STEP):
        some = stale[start : start + STEP]
        try:
            count_again(job, some, keys)
        except NotAsIssued as refused:
            raise WorkFailed(str(refused)) from refused
        progress.at(done + start + len(some), len(keys))
    return {"rooms": len(keys), "counted": len(stale)}
