"""Reads for the wall and the table: rooms with what the owner asks about each of them. Knows nothing of pages.

As many queries for six thousand rooms as for six: what is asked of each room is a subquery of the one that reads them,
and sizes, which need several readings, are read for a page of rooms at once.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator
from django.db.models import Count, Exists, F, Max, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.lengths import Length, Tape
from layout.models import LayoutRevision, RevisionMark
from projects.catalogue.tables import stages
from projects.crews.models import CrewDay
from projects.jobs.models import LAST_STAGE, FixtureCount, Job, MeasurementSet, Reading, Room, Subject, SurveyKind
from reports.models import CardCopy
from reports.rooms.asked import CANCELLED, FILLS, FLAGS, OPEN, TABLE, WALL, Asked
from reports.rooms.under_way import WEEK, jobs_under_way

ROOMS_ON = {WALL: 600, TABLE: 100}  # rooms on one page
JOBS_OFFERED = 100

LEFT_TO_RIGHT = (Subject.DOOR.value, Subject.FAR.value)
DOOR_TO_FAR = (Subject.LEFT.value, Subject.RIGHT.value)

FLAGGED = {
    "waits": ~Q(waits_for=""),
    "old_card": Q(card_number__lt=F("revision_number")),
    "no_layout": Q(revision_number=None),
    "unverified": Q(unverified=True, stage__lt=LAST_STAGE),  # in a room that is done the holes are cut
}

# What stands first when two rooms are alike keeps pages from showing one room twice and another never.
_LAST = ("-job_id", "pk")
ORDERS = {
    "newest": _LAST,
    "job": (Lower("job__number"), "job_id", "pk"),
    "room": (Lower("name"), *_LAST),
    "level": (Lower("level"), *_LAST),
    "stage": ("stage", *_LAST),
    "-stage": ("-stage", *_LAST),
    "-lights": (F("light_count").desc(nulls_last=True), *_LAST),
    "-speakers": (F("speaker_count").desc(nulls_last=True), *_LAST),
    "-revision": (F("revision_number").desc(nulls_last=True), *_LAST),
    "stood": ("stage_since", *_LAST),
    "updated": ("updated_at", *_LAST),
    "-updated": ("-updated_at", *_LAST),
}


@dataclass(frozen=True, slots=True)
class Size:
    """The shortest reading each way of a room's newest measurements; None where that way was not read."""

    left_to_right: Length | None
    door_to_far: Length | None
    kind: str


@dataclass(frozen=True, slots=True)
class RoomFacts:
    """One room as the owner sees it. Numbers of a layout are those of its newest revision."""

    id: int
    name: str
    level: str
    stage: int
    stage_name: str
    fill: str  # a key of FILLS; none for a cancelled room
    waits_for: str
    cancelled: bool
    revision: int | None
    lights: int | None
    speakers: int | None
    card: int | None  # the revision of the card that was printed or sent last
    unverified: bool
    updated_at: datetime
    since: datetime  # at its stage
    job: Job
    size: Size | None

    @property
    def old_card(self) -> bool:
        return self.card is not None and self.revision is not None and self.card < self.revision

    @property
    def days_there(self) -> int:
        """Whole days at its stage."""
        return max((timezone.localdate() - timezone.localtime(self.since).date()).days, 0)

    @property
    def tape(self) -> Tape:
        return self.job.tape


def rooms_in_scope(shop, asked: Asked, only=None, *, under_way=True) -> QuerySet[Room]:
    """The shop's rooms of the job, stage, crew and words asked for, in any state; with their newest revision's numbers.

    Of jobs under way, unless one job or every job is asked for, or under_way is off. only: ids of rooms, where a rule
    chose them.
    """
    rooms = Room.objects.of(shop)
    if asked.job_id is not None:
        rooms = rooms.filter(job_id=asked.job_id)
    elif under_way and not asked.every:
        # As a list: given the query, SQLite looks through every room there ever was.
        rooms = rooms.filter(job__in=list(jobs_under_way(shop).order_by().values_list("pk", flat=True)))
    if asked.stage is not None:
        rooms = rooms.filter(stage=asked.stage)
    if only is not None:
        rooms = rooms.filter(pk__in=only)
    if asked.crew is not None:
        rooms = rooms.filter(of_crew(shop, asked.crew, timezone.localdate()))
    for word in asked.words:
        rooms = rooms.filter(
            Q(name__icontains=word) | Q(job__number__icontains=word) | Q(job__name__icontains=word)
        )
    return rooms if asked.whole_past else _with_layout(rooms)


def of_crew(shop, member_id, today) -> Q:
    """Rooms that somebody is planned for this week: named, or all of a job."""
    days = list(
        CrewDay.objects.of(shop)
        .filter(member=member_id, on__gte=today, on__lte=today + WEEK)
        .values_list("job_id", "room_id")
    )
    whole = {job for job, room in days if room is None}
    return Q(pk__in={room for _job, room in days if room}) | Q(job__in=whole, stage__lt=LAST_STAGE)


def rooms_asked_for(scope: QuerySet[Room], asked: Asked) -> QuerySet[Room]:
    """Of the rooms in scope those with the state and the mark asked for, in order. Cancelled ones only by that name."""
    rooms = scope.filter(cancelled=asked.state == CANCELLED)
    if asked.state in FILLS:
        rooms = rooms.filter(stage__in=_stages_with(asked.state))
    if asked.state == OPEN:
        rooms = rooms.exclude(stage__in=_stages_with("done"))
    if asked.flag:
        rooms = rooms.filter(FLAGGED[asked.flag])
    return rooms.order_by(*_order(asked))


def page_of(rooms: QuerySet[Room], asked: Asked, shop) -> Page:
    """One page of RoomFacts. A page past the end is the last one."""
    page = Paginator(rooms.select_related("job"), ROOMS_ON[asked.view]).get_page(asked.page)
    found = page.object_list
    if asked.whole_past:  # their layouts are read for the page alone
        found = list(found)
        laid = _with_layout(Room.objects.of(shop).filter(pk__in=[room.pk for room in found])).select_related("job")
        by_id = {room.pk: room for room in laid}
        found = [by_id[room.pk] for room in found if room.pk in by_id]
    page.object_list = facts_of(found, shop, sized=asked.view == TABLE)
    return page


def facts_of(rooms: Iterable[Room], shop, *, sized: bool) -> list[RoomFacts]:
    """Rooms that were read with their layout and job, as the owner sees them. sized: with their sizes."""
    read = list(rooms)
    sizes = _sizes(read) if sized else {}
    for room in read:
        room.job.shop = shop
    return [_facts(room, sizes.get(room.pk)) for room in read]


def totals(scope: QuerySet[Room], asked: Asked) -> dict[str, int]:
    """How many rooms are in scope, by fill and flag: {'in_hand': 9}. A cancelled one counts only as that.

    Over every room there ever was: by fill alone.
    """
    held = Q(cancelled=False)
    counts = {CANCELLED: Count("pk", filter=~held)}
    counts |= {fill: Count("pk", filter=held & Q(stage__in=_stages_with(fill))) for fill in FILLS}
    if not asked.whole_past:
        counts |= {flag: Count("pk", filter=held & FLAGGED[flag]) for flag in FLAGS}
    counted = scope.aggregate(**{f"{name}_rooms": count for name, count in counts.items()})
    return {name: counted[f"{name}_rooms"] for name in counts}


def jobs_offered(shop, job_id: int | None) -> tuple[list[Job], Job | None]:
    """The newest jobs to choose from, and the chosen one among them: None for an absent id and another shop's alike."""
    offered = list(Job.objects.of(shop).order_by("-pk")[:JOBS_OFFERED])
    if job_id is None:
        return offered, None
    chosen = next((job for job in offered if job.pk == job_id), None)
    if chosen is None and (chosen := Job.objects.of(shop).filter(pk=job_id).first()):
        offered.append(chosen)
    return offered, chosen


def _stages_with(fill: str) -> list[int]:
    return [stage.number for stage in stages() if stage.fill == fill]


def _order(asked: Asked):
    """On the wall a job's rooms stay together: the newest job first, or by job number; the order holds within a job."""
    if asked.view == WALL and asked.sort not in ("newest", "job"):
        return ("-job_id", *ORDERS[asked.sort])
    return ORDERS[asked.sort]


def _with_layout(rooms: QuerySet[Room]) -> QuerySet[Room]:
    # The room already settles the shop. Named here again, SQLite goes by the shop's index for each room, and six
    # thousand rooms take a minute instead of a fraction of a second.
    newest = LayoutRevision.objects.filter(room=OuterRef("pk")).order_by("-number")
    # Ordered by -pk alone, PostgreSQL walks back through every card of every shop until it meets one of this room.
    cards = CardCopy.objects.filter(revision__room=OuterRef("pk")).order_by("-at", "-pk")
    marked = RevisionMark.objects.filter(
        revision__room=OuterRef("pk"),
        revision__number=OuterRef("revision_number"),
        fixture_type__cutout_verified_by="",
    )
    wanted = FixtureCount.objects.filter(room=OuterRef("pk"), fixture_type__cutout_verified_by="").exclude(count=0)
    return rooms.annotate(
        revision_number=Subquery(newest.values("number")[:1]),
        light_count=Subquery(newest.values("lights")[:1]),
        speaker_count=Subquery(newest.values("speakers")[:1]),
        card_number=Subquery(cards.values("revision__number")[:1]),
    ).annotate(unverified=Exists(wanted) | Exists(marked))


def _sizes(rooms: list[Room]) -> dict[int, Size]:
    """By room id. Of several measurement sets the one entered last counts."""
    newest = (
        MeasurementSet.objects.filter(room__in=[room.pk for room in rooms])
        .order_by()
        .values("room")
        .annotate(newest=Max("pk"))
        .values("newest")
    )
    readings = Reading.objects.filter(
        measurement_set__in=newest, subject__in=[*LEFT_TO_RIGHT, *DOOR_TO_FAR]
    ).select_related("measurement_set")
    by_room: dict[int, list[Reading]] = {}
    for reading in readings:
        by_room.setdefault(reading.measurement_set.room_id, []).append(reading)
    return {room_id: _size(found) for room_id, found in by_room.items()}


def _size(readings: list[Reading]) -> Size:
    def shortest(subjects):
        return min((r.value for r in readings if r.subject in subjects), default=None)

    kind = SurveyKind(readings[0].measurement_set.kind)
    return Size(shortest(LEFT_TO_RIGHT), shortest(DOOR_TO_FAR), kind.label)


def _facts(room, size: Size | None) -> RoomFacts:
    stage = stages()[room.stage]
    return RoomFacts(
        id=room.pk,
        name=room.name,
        level=room.level,
        stage=stage.number,
        stage_name=_(stage.name),
        fill="" if room.cancelled else stage.fill,
        waits_for=room.waits_for,
        cancelled=room.cancelled,
        revision=room.revision_number,
        lights=room.light_count,
        speakers=room.speaker_count,
        card=room.card_number,
        unverified=room.unverified and room.stage < LAST_STAGE,
        updated_at=room.updated_at,
        since=room.stage_since,
        job=room.job,
        size=size,
    )
