"""The demo's checklists and inspections: answered in every room that was shown to an inspector. Knows no rules."""

import json
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from projects.catalogue.tables import FOLDER
from projects.jobs.models import Job, Room
from reports.checks import services
from reports.checks.models import Answer, OncePer
from reports.checks.queries import sheet_of
from reports.inspections import services as inspections
from reports.inspections.models import Correction

INSPECTION = 6


def enter_checks(shop, told):
    """told: the scenario, with its people and its days. The rooms stand at their stages by then."""
    data = json.loads((FOLDER / "demo_checks.json").read_text(encoding="utf-8"))
    for entry in data["known"]:
        room = _room(shop, entry.pop("job"), entry.pop("room"))
        services.tell(room, 0, entry, by=told.people["crew"])
    for room in Room.objects.of(shop).filter(stage__gte=INSPECTION).select_related("job").order_by("pk"):
        shown = room.stage_events.filter(went_to=INSPECTION).order_by("at").first()
        if shown:
            answer_all(room, data, told, shown.at - timedelta(hours=2))
    for entry in data["begun"]:
        room = _room(shop, entry["job"], entry["room"])
        at = min(room.stage_since + timedelta(days=1), timezone.now())
        answer_all(room, data, told, at, up_to=entry["up_to"], fails=entry["fails"])
    for entry in data["mended"]:
        _mended(_room(shop, entry["job"], entry["room"]), entry, told)
    _inspections(shop, told)


def _room(shop, number, name):
    return Room.objects.of(shop).select_related("job", "shop").get(job__number=number, name=name)


def answer_all(room, data, told, at, *, up_to=46, fails=None):
    """Every item that is asked and nobody answered: passed, failed as told, or n/a where it isn't so here."""
    fails = fails or {}
    rows, runs = [], {}
    for row in sheet_of(room).asked:
        item = row.item
        if row.answer or item.number > up_to:
            continue
        outcome, reason = "pass", data["words"].get(str(item.number), "")
        if row.bearing == "ask":
            outcome, reason = "n-a", data["not_here"][next(name for name in row.turns_on if name in data["not_here"])]
        if str(item.number) in fails:
            outcome, reason = "fail", fails[str(item.number)]
        if item.once_per not in runs:
            runs[item.once_per] = services.run_of(room.job, OncePer(item.once_per), room=room, level=room.level)
        by = told.people["lead" if item.caution or item.number == up_to else "crew"]
        rows.append(Answer(run=runs[item.once_per], number=item.number, outcome=outcome, reason=reason, by=by, at=at))
    Answer.objects.bulk_create(rows)


def _mended(room, entry, told):
    """It had failed first, and was passed the day after."""
    stands = Answer.objects.get(run__room=room, number=entry["number"], current=True)
    Answer.objects.filter(pk=stands.pk).update(
        outcome="fail", reason=entry["reason"], by=told.people["crew"], at=stands.at - timedelta(days=1)
    )
    services.answer(room, entry["number"], "pass", by=told.people["lead"], base=stands.version, at=stands.at)


def _inspections(shop, told):
    data = json.loads((FOLDER / "demo_inspections.json").read_text(encoding="utf-8"))
    jobs = {job.number: job for job in Job.objects.of(shop)}
    rooms = {(room.job_id, room.name): room for room in Room.objects.of(shop).select_related("job", "shop")}
    for entry in data["visits"]:
        job = jobs[entry["job"]]
        results = [
            (rooms[job.pk, name], outcome, [words for words, _answer in (more[0] if more else ())])
            for name, outcome, *more in entry["results"]
        ]
        visit = inspections.record_visit(
            job, by=told.people["lead"], results=results, kind=entry["kind"], on=told.day(entry["on"]),
            inspector=entry["inspector"], tag=entry["tag"], again_on=told.day(entry.get("again_on")),
            fee=Decimal(entry["fee"]) if "fee" in entry else None,
        )  # fmt: skip
        answers = dict(each for _name, _outcome, *more in entry["results"] for each in (more[0] if more else ()))
        for correction in Correction.objects.of(shop).filter(result__visit=visit):
            if answers[correction.words]:
                inspections.answer_correction(correction, by=told.people["crew"], words=answers[correction.words])
                answered = min(told.moment(entry["on"]) + timedelta(days=2), timezone.now())
                Correction.objects.of(shop).filter(pk=correction.pk).update(answered_at=answered)
