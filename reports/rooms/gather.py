"""Reads the shop as it is today: every job under way with its rooms, in a fixed number of queries. Draws no conclusion.

A fact that another part keeps is asked of that part, once for the whole shop.
"""

from __future__ import annotations

import datetime as dt

from django.db.models import BigIntegerField, Count, Exists, Func, Max, Min, OuterRef
from django.utils import timezone

from layout.as_built.models import MarkMove, MoveState
from layout.models import Answer, LayoutRevision, SiteMove
from projects.catalogue.tables import stage_number
from projects.crews.queries import names_on
from projects.jobs.models import Job, Room
from projects.stages.queries import open_passes
from reports.checks.queries import progress
from reports.inspections.queries import failed_open
from reports.models import CardCopy
from reports.rooms.facts import JobNow, RoomNow, ShopNow
from reports.rooms.material import material_short
from reports.rooms.money import money_of
from reports.rooms.under_way import WEEK, jobs_under_way

SOON = dt.timedelta(days=14)  # as far ahead as a checklist or material is asked after

JOB_FIELDS = ("pk", "number", "name", "client", "runs_as", "rough_in_on", "inspection_on", "drywall_on", "trim_on")


class Seconds(Func):
    """A time as whole seconds since 1970, UTC: of thousands of rows a number is read in a tenth of the work."""

    output_field = BigIntegerField()

    def get_db_converters(self, connection):
        return []  # both databases hand over whole numbers

    def as_sqlite(self, compiler, connection, **more):
        return self.as_sql(compiler, connection, template="CAST(strftime('%%%%s', %(expressions)s) AS INTEGER)", **more)

    def as_postgresql(self, compiler, connection, **more):
        return self.as_sql(compiler, connection, template="FLOOR(EXTRACT(EPOCH FROM %(expressions)s))::bigint", **more)


ROOM_FIELDS = (
    "pk", "job_id", "name", "level", "stage", Seconds("stage_since"), "held_up", "held_up_why",
    Seconds("held_up_since"), "waits_for", "revisions__number", Seconds("revisions__approved_at"), "revisions__lights",
    "revisions__speakers",
)  # fmt: skip
QUARTER = 900  # seconds: no zone changes its day within a quarter of an hour


def look(shop, *, money: bool, today: dt.date | None = None, only: int | None = None) -> ShopNow:
    """The shop as it is. money: for somebody who may see what is signed and billed. only: one job, closed or not."""
    today = today or timezone.localdate()
    asked = jobs_under_way(shop) if only is None else Job.objects.of(shop).filter(pk=only)
    jobs = [JobNow(*row) for row in asked.order_by("-pk").values_list(*JOB_FIELDS)]
    now = ShopNow(today, jobs)
    ids = set(now.by_job)
    _enter(shop, now, ids)
    rooms = {room.id: room for room in now.rooms}
    _print(shop, ids, rooms)
    _ask_from_site(shop, ids, rooms)
    _pass(shop, ids, rooms)
    _inspect(shop, rooms)
    _check(shop, now)
    _send_crew(shop, now)
    _short(shop, now)
    if money:
        for job_id, amounts in money_of(shop, now).items():
            now.by_job[job_id].money = amounts
    return now


def _enter(shop, now, ids) -> None:
    """Every room with its newest revision."""
    # The room settles the shop: named here too, SQLite reads the revision's row for it, which is long.
    newer = LayoutRevision.objects.filter(room=OuterRef("pk"), number__gt=OuterRef("revisions__number")).order_by()
    asked = Room.objects.of(shop).filter(~Exists(newer), job__among=ids, cancelled=False).order_by("pk")
    by_job, day_of = now.by_job, _Days(timezone.get_current_timezone())
    for (
        pk, job_id, name, level, stage, since, held_up, why, held, waits_for, revision, approved, lights, speakers
    ) in asked.values_list(*ROOM_FIELDS):  # fmt: skip
        job = by_job[job_id]
        job.rooms.append(
            RoomNow(
                pk, job, name, level, stage, day_of[since // QUARTER], held_up, why, waits_for,
                None if held is None else day_of[held // QUARTER], revision, approved is not None, lights or 0,
                speakers or 0,
            )
        )  # fmt: skip


class _Days(dict):
    """The day of a quarter of an hour since 1970, in one zone; of thousands of rooms each is worked out once."""

    def __init__(self, zone: dt.tzinfo):
        self.zone = zone

    def __missing__(self, quarter: int) -> dt.date:
        day = self[quarter] = dt.datetime.fromtimestamp(quarter * QUARTER, self.zone).date()
        return day


def _day(at: dt.datetime) -> dt.date:
    return timezone.localtime(at).date()


def _print(shop, ids, rooms) -> None:
    """The revision of each room's card that was printed or sent last."""
    cards = CardCopy.objects.of(shop).filter(revision__room__job__among=ids).order_by()
    newest = cards.values("revision__room").annotate(newest=Max("pk")).values("newest")
    for room_id, number in (
        CardCopy.objects.of(shop).filter(pk__in=newest).values_list("revision__room_id", "revision__number")
    ):
        if room := rooms.get(room_id):
            room.card = number


def _ask_from_site(shop, ids, rooms) -> None:
    """What was found on site, and marks to be put elsewhere, that wait for a yes or no."""
    found = SiteMove.objects.of(shop).filter(state=Answer.WAITS, room__job__among=ids).order_by()
    moves = MarkMove.objects.of(shop).filter(state=MoveState.WAITS, room__job__among=ids).order_by()
    for asked, at in ((found, "created_at"), (moves, "at")):
        for room_id, count, oldest in asked.values_list("room_id").annotate(n=Count("pk"), oldest=Min(at)):
            if room := rooms.get(room_id):
                room.questions += count
                room.moves += count if asked is moves else 0
                room.asked_on = min(room.asked_on or _day(oldest), _day(oldest))


def _pass(shop, ids, rooms) -> None:
    """Guards that were passed and are still open."""
    rows = open_passes(shop).filter(room__job__among=ids).order_by().values_list("room_id").annotate(n=Count("pk"))
    for room_id, count in rows:
        if room := rooms.get(room_id):
            room.passes = count


def _inspect(shop, rooms) -> None:
    """Inspections that were not passed, and have not been since."""
    for one in failed_open(shop):
        if room := rooms.get(one.room_id):
            room.failed += 1
            room.corrections += one.open
            room.again_on = min(filter(None, (room.again_on, one.again_on)), default=None)


def _check(shop, now: ShopNow) -> None:
    """How far checklists are, in jobs whose inspection is near or has been, of rooms that were released."""
    released, inspection = stage_number("released"), stage_number("inspection")
    near = [
        room
        for job in now.jobs
        if job.inspection_on and job.inspection_on <= now.today + SOON
        for room in job.rooms
        if released <= room.stage <= inspection
    ]
    if near:
        told = progress(list(Room.objects.of(shop).filter(pk__in=[room.id for room in near])))
        for room in near:
            room.answered, room.asked, _failed = told.get(room.id, (None, None, 0))


def _send_crew(shop, now: ShopNow) -> None:
    """Who is planned for each job from today to the week's end."""
    for job_id, member_id, name in names_on(shop, now.today, now.today + WEEK):
        if job := now.by_job.get(job_id):
            job.crew[member_id] = name


def _short(shop, now: ShopNow) -> None:
    """Material is asked after for jobs where work on the ceiling begins soon, and rooms still take it."""
    rough_in, trim = stage_number("rough_in"), stage_number("trim")
    due = []
    for job in now.jobs:
        ahead = [(job.rough_in_on, rough_in), (job.trim_on, trim)]
        soon = [before for on, before in ahead if on and now.today <= on <= now.today + SOON]
        if any(0 < room.stage < before for before in soon for room in job.rooms):
            due.append(job.id)
    for job_id, material in material_short(shop, due).items():
        now.by_job[job_id].material = material
