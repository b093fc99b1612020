"""A room's checklist as it was answered, for paper: the list as it was kept, and the answers in print."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.utils import timezone
from django.utils.formats import date_format

from projects.catalogue.table_values import Checklist
from projects.catalogue.tables import checklist
from reports.checks.models import Answer
from reports.checks.queries import runs_of_rooms
from reports.documents.checklist import Answered


@dataclass(frozen=True, slots=True)
class RoomRun:
    """The list a room is answered by, and what was answered, by item number."""

    checklist: Checklist
    answers: Mapping[int, Answered]


def runs_for_paper(rooms):
    """{room id: RoomRun}. Two queries, however many rooms."""
    found = runs_of_rooms(rooms)
    begun = {run.pk for runs in found.values() for run in runs.begun}
    said = defaultdict(dict)
    for answer in Answer.objects.filter(run__in=begun, current=True).select_related("by__user"):
        said[answer.run_id][answer.number] = _printed(answer)
    return {room.pk: _run(found[room.pk], said) for room in rooms}


def _run(runs, said):
    now = checklist()
    versions = sorted({run.list_version for run in runs.begun} or {now.version})
    answers = {number: each for run in runs.begun for number, each in said[run.pk].items()}
    return RoomRun(replace(now, version=", ".join(versions), items=runs.items), answers)


def _printed(answer):
    who = answer.by.user.name if answer.by else ""
    return Answered(
        answer.outcome, answer.reason, who, date_format(timezone.localtime(answer.at), "SHORT_DATE_FORMAT")
    )
