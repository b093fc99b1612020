"""The shop's own averages, from what its rooms really took: hours a light by phase, feet a light by cable.

A room counts once its stage is past the phase, so that half a rough-in is no average. Knows no prices.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import Count, Max, Q, Sum

from layout.engine.lengths import feet
from layout.engine.marks import Kind
from layout.models import LayoutRevision
from projects.jobs.models import FixtureCount, Room
from reports.estimating.labor_book import Phase
from reports.prices.models import LoggedFeet, LoggedHours
from reports.prices.queries import conditions_by_room, labor_book

# A phase is over once the room has reached this stage. Source: the stages' own table.
OVER_FROM = {Phase.ROUGH: 6, Phase.TRIM: 10, Phase.DIAL_IN: 11, Phase.JOB: 12}
PLACES = Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class Average:
    """key: a phase, or a cable. plain: as it was; value: with the rooms' conditions taken out (hours only)."""

    key: str
    value: Decimal
    plain: Decimal
    lights: int
    rooms: int


def hours_a_light(shop) -> list[Average]:
    """By phase, over the rooms that are past it. A few queries, however many rooms."""
    rows = list(
        LoggedHours.objects.of(shop)
        .filter(room__cancelled=False, room__trashed_at=None)
        .values("room", "room__job", "room__stage", "phase")
        .annotate(hours=Sum("hours"))
        .order_by("room")
    )
    rows = [row for row in rows if row["hours"] > 0 and row["room__stage"] >= OVER_FROM[Phase(row["phase"])]]
    lights = _lights(shop, {row["room"] for row in rows})
    stretched = _stretched(shop, {row["room"]: (row["room__job"], "") for row in rows})
    found = []
    for phase in Phase:
        mine = [row for row in rows if row["phase"] == phase.value and lights.get(row["room"])]
        count = sum(lights[row["room"]] for row in mine)
        if count:
            plain = sum((row["hours"] for row in mine), start=Decimal(0))
            level = sum((row["hours"] / stretched[row["room"]] for row in mine), start=Decimal(0))
            found.append(Average(phase.value, _each(level, count), _each(plain, count), count, len(mine)))
    return found


def feet_a_light(shop) -> list[Average]:
    """By cable kind, over the rooms past rough-in."""
    rows = list(
        LoggedFeet.objects.of(shop)
        .filter(room__cancelled=False, room__trashed_at=None, room__stage__gte=OVER_FROM[Phase.ROUGH])
        .values("room", "cable")
        .annotate(nm=Sum("length"))
        .order_by("cable", "room")
    )
    lights = _lights(shop, {row["room"] for row in rows})
    found = []
    for cable in dict.fromkeys(row["cable"] for row in rows):
        mine = [row for row in rows if row["cable"] == cable and lights.get(row["room"]) and int(row["nm"]) > 0]
        count = sum(lights[row["room"]] for row in mine)
        if count:
            pulled = Decimal(sum(int(row["nm"]) for row in mine)) / Decimal(int(feet(1)))
            found.append(Average(cable, _each(pulled, count), _each(pulled, count), count, len(mine)))
    return found


def _each(amount: Decimal, count: int) -> Decimal:
    return (amount / count).quantize(PLACES, ROUND_HALF_UP)


def _lights(shop, room_ids) -> dict[int, int]:
    """Lights of each room's newest revision; of its counts where nothing is laid out."""
    newest = LayoutRevision.objects.of(shop).filter(room__in=room_ids).values("room").annotate(n=Max("pk")).values("n")
    is_light = Q(marks__kind=Kind.LIGHT.value)
    laid = (
        LayoutRevision.objects.of(shop)
        .filter(pk__in=newest)
        .annotate(counted=Count("marks", filter=is_light))
        .values_list("room_id", "counted")
    )
    found = dict(laid)
    rooms = Room.objects.of(shop).filter(pk__in=room_ids).values("pk")
    counted = (
        FixtureCount.objects.filter(room__in=rooms, fixture_type__kind=Kind.LIGHT.value)
        .values_list("room")
        .annotate(n=Sum("count"))
    )
    for room, lights in counted:
        found.setdefault(room, lights or 0)
    return found


def _stretched(shop, rooms) -> dict[int, Decimal]:
    """By room, how far its conditions stretch hours."""
    factors = labor_book(shop).factors
    found = {}
    for room, keys in conditions_by_room(shop, rooms).items():
        times = Decimal(1)
        for key in dict.fromkeys(keys):
            times *= factors[key].times if key in factors else 1
        found[room] = times
    return found
