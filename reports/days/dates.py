"""What is due on which day: rough-in, inspections, drywall, trim of every job, and the rooms they are for."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from projects.jobs.models import Job, Room
from reports.inspections.queries import failed_open

MOST_JOBS = 1_000  # with a day between the two that are asked for
MOST_NAMED = 12  # rooms of a job, on one day

# A job's days: the record's field, what it is, and the stage its rooms have then behind them (fixtures/stages.json).
JOB_DAYS = (
    ("survey_on", _("Survey"), 1),
    ("rough_in_on", _("Rough-in"), 5),
    ("inspection_on", _("Inspection"), 6),
    ("drywall_on", _("Drywall"), 8),
    ("trim_on", _("Trim"), 9),
)
AGAIN = _("Inspection again")


@dataclass(frozen=True, slots=True)
class Due:
    """Something of a job on a day. rooms: those it is still to be done in, by name. key: the same at every reading."""

    on: dt.date
    key: str
    what: str
    job: Job
    rooms: list[str] = field(default_factory=list)

    @property
    def named(self) -> str:
        return ", ".join(self.rooms[:MOST_NAMED])

    @property
    def not_named(self) -> int:
        return max(0, len(self.rooms) - MOST_NAMED)


def due_between(shop, first: dt.date, last: dt.date) -> list[Due]:
    """What is due from one day to another, both included, by day and job. Three queries. Closed jobs are left out."""
    asked = Q()
    for name, _words, _stage in JOB_DAYS:
        asked |= Q(**{f"{name}__gte": first, f"{name}__lte": last})
    again = [one for one in failed_open(shop) if one.again_on and first <= one.again_on <= last]
    asked |= Q(pk__in={one.job_id for one in again})
    jobs = {job.pk: job for job in Job.objects.of(shop).filter(asked, closed_on=None).order_by("-pk")[:MOST_JOBS]}
    rooms = _rooms_by_job(shop, jobs)
    found = []
    for job in jobs.values():
        for name, words, stage in JOB_DAYS:
            on = getattr(job, name)
            if on and first <= on <= last:
                left = [room for at, room in rooms.get(job.pk, ()) if at <= stage]
                found.append(Due(on, f"{job.pk} {name}", str(words), job, left))
    found += _again(again, jobs)
    return sorted(found, key=lambda due: (due.on, due.job.number, due.key))


def _rooms_by_job(shop, jobs) -> dict[int, list[tuple[int, str]]]:
    rows = Room.objects.of(shop).filter(job__in=list(jobs), cancelled=False).order_by("level", "name", "pk")
    found: dict[int, list[tuple[int, str]]] = {}
    for job_id, stage, name in rows.values_list("job_id", "stage", "name"):
        found.setdefault(job_id, []).append((stage, name))
    return found


def _again(failed, jobs) -> list[Due]:
    """One due for each visit that is to be made again, with its rooms."""
    visits: dict[tuple[int, int, dt.date], list[str]] = {}
    for one in failed:
        visits.setdefault((one.visit_id, one.job_id, one.again_on), []).append(one.room)
    return [
        Due(on, f"{job_id} visit {visit_id}", str(AGAIN), jobs[job_id], sorted(rooms))
        for (visit_id, job_id, on), rooms in visits.items()
        if job_id in jobs
    ]
