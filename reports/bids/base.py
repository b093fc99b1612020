"""What a bid stands on, as one value: the rooms, and the material and labor of a frozen takeoff. Knows no percentages.

Without a takeoff the rooms are the job's own, each by its newest layout, and the material and hours are typed in.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import OuterRef, Subquery

from layout.models import LayoutRevision
from projects.jobs.models import FixtureCount
from reports.estimating.bid import Part
from reports.estimating.money import NOTHING

LIGHT, SPEAKERS = "light", ("speaker", "subwoofer")


@dataclass(frozen=True, slots=True)
class BaseRoom:
    """A room of the job. revision None: counted, not laid out. cost: its share of material, tax and labor."""

    id: int
    name: str
    level: str = ""
    revision: int | None = None
    digest: str = ""
    lights: int = 0
    speakers: int = 0
    cost: Decimal = NOTHING


@dataclass(frozen=True, slots=True)
class Base:
    """The ground a bid stands on. part None: no takeoff.

    missing: lines without a price; plugged: (line, who, amount) of prices put in for want of one; factors: (room,
    ((condition, times), …)); by_hand_ft and cable_ft: feet of cable set by a person, and in all.
    """

    rooms: tuple[BaseRoom, ...]
    part: Part | None = None
    currency: str = ""  # of the takeoff's prices
    takeoff: int | None = None
    label: str = ""
    rules: str = ""
    prices_on: str = ""
    missing: tuple[str, ...] = ()
    plugged: tuple[tuple[str, str, str], ...] = ()
    factors: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    lines: tuple[tuple[str, ...], ...] = field(
        default=(), repr=False
    )  # name, order, unit, cost, tax, hours, labor, key
    by_hand_ft: str = ""
    cable_ft: str = ""


def base_of(job) -> Base:
    """The job's own rooms: a few queries, however many rooms."""
    newest = LayoutRevision.objects.of(job.shop_id).filter(room=OuterRef("pk")).order_by("-number")
    rooms = (
        job.rooms.filter(cancelled=False)
        .annotate(
            newest=Subquery(newest.values("number")[:1]),
            newest_digest=Subquery(newest.values("digest")[:1]),
            newest_lights=Subquery(newest.values("lights")[:1]),
            newest_speakers=Subquery(newest.values("speakers")[:1]),
        )
        .order_by("pk")
    )
    counted = _counted(job)
    return Base(tuple(_room(room, counted.get(room.pk, (0, 0))) for room in rooms))


def _room(room, counted):
    if room.newest is None:
        return BaseRoom(room.pk, room.name, room.level, None, "", *counted)
    return BaseRoom(
        room.pk,
        room.name,
        room.level,
        room.newest,
        room.newest_digest,
        room.newest_lights or 0,
        room.newest_speakers or 0,
    )


def _counted(job) -> dict[int, tuple[int, int]]:
    """Lights and speakers by room, as somebody counted them before the room was laid out."""
    found: dict[int, list[int]] = {}
    rows = FixtureCount.objects.filter(room__job=job, count__isnull=False)
    for room, kind, count in rows.values_list("room_id", "fixture_type__kind", "count"):
        found.setdefault(room, [0, 0])[0 if kind == LIGHT else 1] += count
    return {room: (lights, speakers) for room, (lights, speakers) in found.items()}
