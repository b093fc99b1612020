"""Reads for the wall and the table: rooms with what the owner asks about each of them. Knows nothing of pages.

As many queries for six thousand rooms as for six: what is asked of each room is a subquery of the one that reads them,
and sizes, which need several readings, are read for a page of rooms at once.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from operator import attrgetter

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


ON_BOTH = (
    "pk", "name", "level", "stage", "waits_for", "cancelled", "revision_number", "card_number", "job_id",
    "job__number", "job__name", "job__style", "job__fraction",
)  # fmt: skip
IN_TABLE = ("light_count", "speaker_count", "unverified", "updated_at", "stage_since")
_WORKED_OUT = {"revision_number", "card_number", "light_count", "speaker_count", "unverified"}
SHOWN = [column for column in (*ON_BOTH, *IN_TABLE) if column not in _WORKED_OUT]  # columns of the room and its job
_DOTTED = [column.replace("__", ".") for column in (*ON_BOTH, *IN_TABLE)]


@dataclass(frozen=True, slots=True)
class Size:
    """The shortest reading each way of a room's newest measurements; None where that way was not read."""

    left_to_right: Length | None
    door_to_far: Length | None
    kind: str


@dataclass(frozen=True, slots=True)
class RoomFacts:
    """One room as the owner sees it. Numbers of a layout are those of its newest revision.

    What stands below `job` is read for the table alone: the wall has no place for it.
    """

    id: int
    name: str
    level: str
    stage: int
    stage_name: str
    fill: str  # a key of FILLS; none for a cancelled room
    waits_for: str
    cancelled: bool
    revision: int | None
    card: int | None  # the revision of the card that was printed or sent last
    job: Job  # its number, name and tape
    lights: int | None = None
    speakers: int | None = None
    unverified: bool = False
    updated_at: datetime | None = None
    since: datetime | None = None  # at its stage
    size: Size | None = None

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
        # As a list: given the query, SQLite looks through every room there ever was. Not as `among`: along a list it
        # walks the index by job, and stops where the page is full.
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
    page = Paginator(rooms, ROOMS_ON[asked.view]).get_page(asked.page)
    columns = ON_BOTH if asked.view == WALL else (*ON_BOTH, *IN_TABLE)
    if asked.whole_past:  # their layouts are read for the page alone
        ids = list(page.object_list.values_list("pk", flat=True))
        laid = _with_layout(Room.objects.of(shop).filter(pk__in=ids)).order_by().values_list(*columns)
        by_id = {row[0]: row for row in laid}
        rows = [by_id[pk] for pk in ids if pk in by_id]
    else:
        rows = list(page.object_list.values_list(*columns))
    page.object_list = _facts(rows, shop, sized=asked.view == TABLE)
    return page


def facts_of(rooms: Iterable[Room], shop) -> list[RoomFacts]:
    """Rooms that were read with their layout and job, as the owner sees them in the table."""
    return _facts(list(map(attrgetter(*_DOTTED), rooms)), shop, sized=True)


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
    named = Job.objects.of(shop).only("number", "name")
    offered = list(named.order_by("-pk")[:JOBS_OFFERED])
    if job_id is None:
        return offered, None
    chosen = next((job for job in offered if job.pk == job_id), None)
    if chosen is None and (chosen := named.filter(pk=job_id).first()):
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


def _sizes(rooms: list[int]) -> dict[int, Size]:
    """By room id. Of several measurement sets the one entered last counts."""
    newest = (
        MeasurementSet.objects.filter(room__in=rooms)
        .order_by()
        .values("room")
        .annotate(newest=Max("pk"))
        .values("newest")
    )
    readings = Reading.objects.filter(measurement_set__in=newest, subject__in=[*LEFT_TO_RIGHT, *DOOR_TO_FAR])
    by_room: dict[int, list[tuple[str, Length, str]]] = {}
    for room_id, *read in readings.order_by().values_list(
        "measurement_set__room_id", "subject", "value", "measurement_set__kind"
    ):
        by_room.setdefault(room_id, []).append(read)
    return {room_id: _size(found) for room_id, found in by_room.items()}


def _size(readings) -> Size:
    """readings: what was read, how much, and by which kind of survey, of one measurement set."""

    def shortest(subjects):
        return min((value for subject, value, _kind in readings if subject in subjects), default=None)

    return Size(shortest(LEFT_TO_RIGHT), shortest(DOOR_TO_FAR), SurveyKind(readings[0][2]).label)


def _facts(rows: list[tuple], shop, *, sized: bool) -> list[RoomFacts]:
    """Rows of ON_BOTH and, where sized, IN_TABLE."""
    sizes = _sizes([row[0] for row in rows]) if sized else {}
    names = [_(stage.name) for stage in stages()]
    fills = [stage.fill for stage in stages()]
    jobs: dict[int, Job] = {}
    found = []
    for pk, name, level, stage, waits_for, cancelled, revision, card, job_id, *more in rows:
        number, job_name, style, fraction, *table = more
        if job_id not in jobs:
            jobs[job_id] = Job(pk=job_id, shop=shop, number=number, name=job_name, style=style, fraction=fraction)
        fill = "" if cancelled else fills[stage]
        said = (pk, name, level, stage, names[stage], fill, waits_for, cancelled, revision, card, jobs[job_id])
        if sized:
            lights, speakers, unverified, updated_at, since = table
            unverified = unverified and stage < LAST_STAGE
            found.append(RoomFacts(*said, lights, speakers, unverified, updated_at, since, sizes.get(pk)))
        else:
            found.append(RoomFacts(*said))
    return found
