"""Counting a job of thousands of rooms as work: some rooms at a time, each kept when it is counted. No page waits.

It may be stopped and begun again anywhere: what was kept under its key is not counted twice.
"""

from django.urls import reverse

from layout.services import NotAsIssued
from projects.jobs.models import Job
from projects.work.kinds import kind
from projects.work.running import WorkFailed
from reports.takeoffs.counting import count_again, stale_rooms

STEP = 50  # rooms


@kind("count job", may="count takeoffs", where=lambda work: reverse("job_takeoff", args=[work.asked_for["job_id"]]))
def count(work, progress):
    job = Job.objects.of(work.shop).select_related("shop").get(pk=work.asked_for["job_id"])
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
