"""Reads of checklists: what is asked of rooms and what was answered. Many rooms cost as many queries as one."""

import json
from collections import defaultdict
from dataclasses import dataclass, field
from functools import lru_cache

from django.db.models import Max, Q

from layout.models import LayoutRevision, RevisionMark
from projects.catalogue.table_values import ChecklistItem
from projects.catalogue.tables import checklist
from projects.jobs.models import FixtureCount, Job, JobRuns
from reports.checks.models import Answer, OncePer, RoomKnown, Run
from reports.estimating.checklist import Bearing, RoomParts, Tailored, known_of, tailored

# What is known of rooms


def known_of_rooms(rooms):
    """{room id: the conditions known of it}, by its newest revision's marks, else what is counted for it. 5 queries."""
    if not rooms:
        return {}
    shop, ids = rooms[0].shop_id, [room.pk for room in rooms]
    jobs = {job.pk: job for job in Job.objects.of(shop).filter(pk__in={room.job_id for room in rooms})}
    told = {known.room_id: known.told for known in RoomKnown.objects.of(shop).filter(room__in=ids)}
    newest = dict(LayoutRevision.objects.of(shop).filter(room__in=ids).values_list("room").annotate(newest=Max("pk")))
    parts = defaultdict(set)
    for room_id, *part in (
        RevisionMark.objects.filter(revision__in=newest.values())
        .order_by()
        .values_list("revision__room_id", "kind", "fixture_type__install")
        .distinct()
    ):
        parts[room_id].add(tuple(part))
    counted = FixtureCount.objects.filter(room__in=set(ids) - newest.keys()).exclude(count=0)
    for room_id, *part in counted.values_list("room_id", "fixture_type__kind", "fixture_type__install"):
        parts[room_id].add(tuple(part))
    return {room.pk: known_of(_parts(room, jobs[room.job_id], parts, newest, told)) for room in rooms}


def _parts(room, job, parts, newest, told):
    said = room.pk in parts or room.pk in newest
    return RoomParts(
        system=room.ceiling_system,
        kinds=frozenset(kind for kind, _install in parts[room.pk]) if said else None,
        old_work=any(install == "old_work" for _kind, install in parts[room.pk]),
        existing=job.runs_as == JobRuns.RETROFIT,
        year_built=job.year_built,
        told=told.get(room.pk, {}),
    )


# The list that is answered


@lru_cache(maxsize=64)
def read_items(contents):
    """A kept list's items."""
    return tuple(ChecklistItem(**{**row, "applies": tuple(row["applies"])}) for row in json.loads(contents))


@dataclass(frozen=True, slots=True)
class Runs:
    """The runs that a room's items are answered in, by once_per; absent while nobody began one."""

    job: Run | None = None
    floor: Run | None = None
    room: Run | None = None

    def of(self, once_per):
        return getattr(self, once_per)

    @property
    def begun(self):
        return tuple(run for run in (self.job, self.floor, self.room) if run)

    @property
    def items(self):
        """Every item, each from the list its run was begun with, else from today's; in order of number."""
        now = checklist().items
        kept = []
        for once_per in OncePer.values:
            run = self.of(once_per)
            kept += read_items(run.contents) if run else [item for item in now if item.once_per == once_per]
        return tuple(sorted(kept, key=lambda item: item.number))


def runs_of_rooms(rooms):
    """{room id: Runs}. One query."""
    if not rooms:
        return {}
    shop, ids, jobs = rooms[0].shop_id, [room.pk for room in rooms], {room.job_id for room in rooms}
    found = {}
    for run in Run.objects.of(shop).filter(Q(room__in=ids) | Q(room=None, job__in=jobs)):
        found[run.once_per, run.room_id or run.job_id, run.level] = run
    return {
        room.pk: Runs(
            found.get(("job", room.job_id, "")),
            found.get(("floor", room.job_id, room.level)),
            found.get(("room", room.pk, "")),
        )
        for room in rooms
    }


def items_of(job, *, room=None):
    """The items a room, or a job's own and its floors, are answered by."""
    if room is not None:
        return runs_of_rooms([room])[room.pk].items
    run = Run.objects.of(job.shop_id).filter(job=job, once_per="job").first()
    return Runs(job=run).items


# Answers


@dataclass(frozen=True, slots=True)
class Row:
    """An item, whether it bears on the room, the answer that stands (or None) and those that stood before, in order."""

    item: ChecklistItem
    bearing: Bearing
    turns_on: tuple[str, ...]
    answer: Answer | None = None
    before: tuple[Answer, ...] = ()

    @property
    def asked(self):
        return self.bearing is not Bearing.NO

    @property
    def failed(self):
        return self.answer is not None and self.answer.outcome == "fail"

    @property
    def shared(self):
        return self.item.once_per != OncePer.ROOM


@dataclass(frozen=True, slots=True)
class Sheet:
    """Items in order with their answers, and the edition of the list they are of."""

    rows: tuple[Row, ...]
    versions: tuple[str, ...]
    closing: str

    @property
    def asked(self):
        return tuple(row for row in self.rows if row.asked or row.answer)

    @property
    def elsewhere(self):
        """Items that don't bear on it, as entered."""
        return tuple(row for row in self.rows if not row.asked and not row.answer)

    @property
    def answered(self):
        return tuple(row for row in self.rows if row.answer)

    @property
    def failed(self):
        return tuple(row for row in self.rows if row.failed)

    @property
    def holding(self):
        """What holds up the inspection: asked, and not answered or failed."""
        return tuple(row for row in self.rows if holds_up(row.item, row.bearing, row.answer and row.answer.outcome))


def holds_up(item, bearing, outcome):
    """Whether an item keeps a room from H2. outcome: of the answer that stands, or None."""
    return item.holds == "H2" and bearing is not Bearing.NO and outcome in (None, "fail")


def sheet_of(room):
    """A room's checklist with every answer. Some 8 queries."""
    runs, known = runs_of_rooms([room])[room.pk], known_of_rooms([room])[room.pk]
    return _sheet(runs, known)


def sheet_of_job(job, level=None):
    """What is asked once for the job, or once for one of its floors (level)."""
    once_per = "job" if level is None else "floor"
    run = Run.objects.of(job.shop_id).filter(job=job, once_per=once_per, level=level or "").first()
    items = read_items(run.contents) if run else [item for item in checklist().items if item.once_per == once_per]
    known = _old_building(job)
    return _filled(tailored(items, known), {once_per: run} if run else {})


def _old_building(job):
    """What bears on a job as a whole: how old the building is. Anything else is asked."""
    known = known_of(RoomParts("", existing=job.runs_as == JobRuns.RETROFIT, year_built=job.year_built))
    return {"old_building": known["old_building"]} if "old_building" in known else {}


def _sheet(runs, known):
    begun = {run.once_per: run for run in runs.begun}
    return _filled(tailored(runs.items, known), begun)


def _filled(items: tuple[Tailored, ...], begun):
    said = defaultdict(list)
    once_per = {run.pk: name for name, run in begun.items()}
    answers = Answer.objects.filter(run__in=once_per).select_related("by__user", "photo").order_by("number", "version")
    for answer in answers if begun else ():
        said[once_per[answer.run_id], answer.number].append(answer)
    rows = []
    for each in items:
        *before, stands = said.get((each.item.once_per, each.item.number), [None])
        rows.append(Row(each.item, each.bearing, each.turns_on, stands, tuple(before)))
    table = checklist()
    versions = tuple(sorted({run.list_version for run in begun.values()} or {table.version}))
    closing = next((run.closing for run in begun.values() if run.closing), table.closing)
    return Sheet(tuple(rows), versions, closing)


# Many rooms


@dataclass(slots=True)
class Standing:
    """How far a room's checklist is. holding: items that keep it from the inspection, with the outcome or None."""

    asked: int = 0
    answered: int = 0
    failed: int = 0
    holding: list[tuple[ChecklistItem, str | None]] = field(default_factory=list)


def standing_of(rooms):
    """{room id: Standing}. 7 queries, however many rooms."""
    runs, known = runs_of_rooms(rooms), known_of_rooms(rooms)
    outcomes = _outcomes({run.pk for each in runs.values() for run in each.begun})
    return {room.pk: _standing(runs[room.pk], known[room.pk], outcomes) for room in rooms}


def _outcomes(run_ids):
    rows = Answer.objects.filter(run__in=run_ids, current=True).values_list("run_id", "number", "outcome")
    return {(run, number): outcome for run, number, outcome in rows}


def _standing(runs, known, outcomes):
    told = Standing()
    for each in tailored(runs.items, known):
        run = runs.of(each.item.once_per)
        outcome = outcomes.get((run.pk, each.item.number)) if run else None
        if each.bearing is Bearing.NO and outcome is None:
            continue
        told.asked += 1
        told.answered += outcome is not None
        told.failed += outcome == "fail"
        if holds_up(each.item, each.bearing, outcome):
            told.holding.append((each.item, outcome))
    return told


def progress(rooms):
    """{room id: (answered, asked, failed)} over a room's items and those of its floor and job. 7 queries."""
    return {room_id: (told.answered, told.asked, told.failed) for room_id, told in standing_of(rooms).items()}
