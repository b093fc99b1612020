"""Reads of inspections, each through its shop: what passed, what failed and is not passed yet, and how often at first.

A room's standing for a kind is its result at the latest visit of that kind; an earlier one is history.
"""

import datetime as dt
from dataclasses import dataclass

from django.core.paginator import Paginator
from django.db.models import Count, Exists, OuterRef, Prefetch, Q
from django.http import Http404

from projects.jobs.models import Job
from reports.inspections.models import Correction, Kind, Outcome, RoomResult, Visit

PAGE = 50


def visit_of(shop, visit_id):
    found = (
        Visit.objects.of(shop)
        .filter(pk=visit_id, job__trashed_at=None)
        .select_related("job", "shop", "by__user")
        .prefetch_related(
            Prefetch("results", RoomResult.objects.select_related("room").order_by("pk")),
            Prefetch(
                "results__corrections",
                Correction.objects.of(shop).select_related("answered_by__user", "photo").order_by("pk"),
            ),
        )
        .first()
    )
    if found is None:
        raise Http404
    return found


def correction_of(shop, correction_id):
    found = (
        Correction.objects.of(shop)
        .filter(pk=correction_id, result__room__trashed_at=None, result__visit__job__trashed_at=None)
        .select_related("result__room", "result__visit")
        .first()
    )
    if found is None:
        raise Http404
    return found


def visits_of(job):
    """A job's visits, the newest first, each with its rooms counted."""
    rows = job.inspections.annotate(
        looked_at=Count("results", distinct=True),
        passed=Count("results", filter=Q(results__outcome=Outcome.PASS), distinct=True),
        open=Count("results__corrections", filter=Q(results__corrections__answered_at=None), distinct=True),
    )
    return rows.order_by("-on", "-pk")


def page_of_visits(job, number):
    return Paginator(visits_of(job), PAGE).get_page(number)


def _results(of):
    """The results of a shop or a job whose rooms stand."""
    rows = RoomResult.objects.filter(
        room__cancelled=False, room__trashed_at=None, visit__job__trashed_at=None
    )
    if isinstance(of, Job):
        return rows.filter(visit__job=of)
    # Through the visits, which know of whom only one job's are asked.
    return rows.filter(visit__in=Visit.objects.of(of).values("pk"))


def _other(later):
    """Another result of the same room and kind, of a later visit or of an earlier one."""
    than = "gt" if later else "lt"
    on, same_day = {f"visit__on__{than}": OuterRef("visit__on")}, {f"visit__{than}": OuterRef("visit")}
    return RoomResult.objects.filter(
        Q(**on) | Q(visit__on=OuterRef("visit__on"), **same_day),
        room=OuterRef("room"),
        visit__kind=OuterRef("visit__kind"),
    )


def latest(of):
    """Each room's result at its latest visit of each kind."""
    return _results(of).filter(~Exists(_other(later=True)))


@dataclass(frozen=True, slots=True)
class Failed:
    """A room that an inspector did not pass and nobody passed since. open: corrections without an answer."""

    room_id: int
    room: str
    job_id: int
    visit_id: int
    kind: str
    on: dt.date
    outcome: str
    open: int
    again_on: dt.date | None

    @property
    def kind_words(self):
        return Kind(self.kind).label


def failed_open(of):
    """What failed, or passed in part only, and did not pass since; the oldest first. One query.

    of: a shop, or a job. Rooms that are cancelled or in the trash and jobs that are closed are left out.
    """
    rows = (
        latest(of)
        .filter(visit__job__closed_on=None)
        .exclude(outcome=Outcome.PASS)
        .annotate(open=Count("corrections", filter=Q(corrections__answered_at=None)))
        .order_by("visit__on", "pk")
    )
    told = rows.values_list(
        "room_id", "room__name", "visit__job_id", "visit_id", "visit__kind", "visit__on", "outcome", "open",
        "visit__again_on",
    )  # fmt: skip
    return [Failed(*row) for row in told]


@dataclass(frozen=True, slots=True)
class PassRate:
    """passed of looked_at: rooms, each counted once for each kind of inspection, at their first visit."""

    passed: int
    looked_at: int

    @property
    def share(self):
        """0 to 1; None while nothing was looked at."""
        return self.passed / self.looked_at if self.looked_at else None


def first_time_pass_rate(of, *, since=None):
    """How often a room passes the first time it is looked at. since: only first visits from that day. One query."""
    first = _results(of).filter(~Exists(_other(later=False)))
    if since:
        first = first.filter(visit__on__gte=since)
    return PassRate(**first.aggregate(passed=Count("pk", filter=Q(outcome=Outcome.PASS)), looked_at=Count("pk")))


@dataclass(frozen=True, slots=True)
class Standing:
    """A room's result of one kind at its latest visit."""

    outcome: str
    on: dt.date
    tag: str
    open: int


def standing_of(rooms):
    """{room id: {kind: Standing}}. One query."""
    told = {room.pk: {} for room in rooms}
    if not rooms:
        return told
    rows = (
        RoomResult.objects.filter(room__in=list(told), visit__shop=rooms[0].shop_id)
        .filter(~Exists(_other(later=True)))
        .annotate(open=Count("corrections", filter=Q(corrections__answered_at=None)))
    )
    for room_id, kind, *rest in rows.values_list(
        "room_id", "visit__kind", "outcome", "visit__on", "visit__tag", "open"
    ):
        told[room_id][kind] = Standing(*rest)
    return told


def results_of(room):
    """Everything inspectors said of a room, the newest first; at most PAGE visits."""
    return list(
        room.inspection_results.select_related("visit", "room")
        .prefetch_related(
            Prefetch(
                "corrections",
                Correction.objects.of(room.shop_id).select_related("answered_by__user", "photo").order_by("pk"),
            )
        )
        .order_by("-visit__on", "-visit")[:PAGE]
    )
