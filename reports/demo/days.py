"""The demo's days: who works where, a helper who joined from a phone. Days count from today on."""

import json
from datetime import timedelta

from django.utils import timezone

from projects.catalogue.tables import FOLDER
from projects.crews.services import plan
from projects.jobs.models import Job
from projects.joining.services import join, show_code
from reports.days.services import want_letter


def enter_days(shop, people):
    """people: by their keys in fixtures/demo.json."""
    told = json.loads((FOLDER / "demo_days.json").read_text(encoding="utf-8"))
    today = timezone.localdate()
    jobs = {job.number: job for job in Job.objects.of(shop).select_related("shop")}
    for entry in told["crew"]:
        _plan(jobs[entry["job"]], people[entry["who"]], entry, today, people["owner"])
    joined = told["joined"]
    job, by = jobs[joined["job"]], people[joined["by"]]
    _code, digits = show_code(job, until=today + timedelta(joined["days"]), by=by)
    helper = join(digits, joined["name"], source="")
    plan(job, helper.member, today, today + timedelta(2), rooms=_rooms(job, joined["rooms"]), by=by)
    for who in told["letter"]:
        want_letter(people[who], True)


def _plan(job, member, entry, today, by):
    first, last = (today + timedelta(entry[name]) for name in ("from", "to"))
    plan(job, member, first, last, rooms=_rooms(job, entry["rooms"]), by=by)


def _rooms(job, names):
    return list(job.rooms.filter(name__in=names))
