"""Which jobs are short of material, for many jobs at once: what was counted last, less what came and what is coming.

Counts are those that were kept last: a job's own page counts anew, this one never does. Knows no prices.
"""

from __future__ import annotations

import json
from collections import defaultdict

from django.db.models import Q, Sum

from projects.jobs.models import Job
from reports.estimating.frozen_takeoff import quantity
from reports.purchasing.models import Kind, Movement, OrderLine
from reports.purchasing.queries import NOT_MATERIAL, whole
from reports.purchasing.services import became
from reports.rooms.facts import Material
from reports.takeoffs.models import RoomLines


def material_short(shop, job_ids) -> dict[int, Material]:
    """By job: how many items are neither on hand nor in the rooms, and how many of them are on order. 5 queries."""
    if not job_ids:
        return {}
    need, came, coming = _needed(shop, job_ids), _came(shop, job_ids), _on_order(shop, job_ids)
    found = {}
    for job_id in job_ids:
        lines = need.get(job_id)
        short = [key for key, wanted in (lines or {}).items() if came[job_id, key] < wanted]
        found[job_id] = Material(len(short), sum((job_id, key) in coming for key in short), lines is not None)
    return found


def _needed(shop, job_ids) -> dict[int, dict[str, int]]:
    """By job and item, whole pieces, feet or meters over the job's rooms, as they were last counted."""
    tapes = {job.pk: job.tape for job in Job.objects.of(shop).filter(pk__in=job_ids).select_related("shop")}
    rows = RoomLines.objects.filter(room__job__in=job_ids, room__cancelled=False, room__trashed_at=None)
    sums: dict[int, dict] = {}
    for job_id, brief in rows.exclude(brief="").values_list("room__job_id", "brief"):
        lines = sums.setdefault(job_id, {})
        for key, _name, category, _unit, _net, wanted in json.loads(brief)[6]:
            if category not in NOT_MATERIAL:
                amount = quantity(wanted)
                lines[key] = lines[key] + amount if key in lines else amount
    return {
        job_id: {key: whole(total, tapes[job_id]) for key, total in lines.items()} for job_id, lines in sums.items()
    }


def _came(shop, job_ids):
    """By job and item, what came for the job and has not left it again."""
    moved = Movement.objects.of(shop).filter(job__in=job_ids).exclude(kind=Kind.NOT_COMING).order_by()
    into, out = Sum("quantity", filter=Q(came_from="")), Sum("quantity", filter=Q(went_to=""))
    found = defaultdict(int)
    for job_id, key, came, left in moved.values_list("job_id", "key").annotate(into=into, out=out):
        found[job_id, key] = (came or 0) - (left or 0)
    return found


def _on_order(shop, job_ids) -> set[tuple[int, str]]:
    """The items of a job that something is still to come of."""
    rows = OrderLine.objects.of(shop).filter(order__job__in=job_ids).order_by()
    lines = list(rows.values_list("pk", "order__job_id", "key", "quantity"))
    fates = became(shop.pk, [line[0] for line in lines])
    return {(job_id, key) for pk, job_id, key, ordered in lines if ordered > sum(fates[pk])}
