"""The shop's own numbers, from what its rooms took: hours and feet a light, days at each stage. Knows no money."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from statistics import mean, median

from projects.catalogue.tables import stages
from projects.jobs.models import Room, StageEvent
from reports.inspections.queries import PassRate, first_time_pass_rate
from reports.prices.averages import Average, feet_a_light, hours_a_light

LOOKED_BACK = 20_000  # moves from stage to stage, the latest ones


@dataclass(frozen=True, slots=True)
class Stay:
    """How long rooms stood at a stage before they left it. middle: half of them stood shorter."""

    stage: int
    middle: float
    average: float
    rooms: int


@dataclass(frozen=True, slots=True)
class ShopNumbers:
    hours: list[Average]
    feet: list[Average]
    stays: list[Stay]
    passed: PassRate


def numbers_of(shop) -> ShopNumbers:
    return ShopNumbers(hours_a_light(shop), feet_a_light(shop), days_a_stage(shop), first_time_pass_rate(shop))


def days_a_stage(shop) -> list[Stay]:
    """By stage, over the latest moves. A room's first stage counts from the day it was entered. Two queries."""
    moves = (
        StageEvent.objects.filter(room__shop=shop, room__cancelled=False, room__trashed_at=None)
        .order_by("-pk")
        .values_list("room_id", "came_from", "at")[:LOOKED_BACK]
    )
    by_room = defaultdict(list)
    for room_id, left, at in moves:
        by_room[room_id].append((at, left))
    begun = dict(Room.objects.of(shop).filter(pk__in=by_room).values_list("pk", "created_at"))
    stays: dict[int, list[float]] = defaultdict(list)
    for room_id, left in by_room.items():
        # Of a room whose earlier moves lie further back, nobody knows here when it came to the first of these.
        last = begun.get(room_id) if len(by_room) < LOOKED_BACK else None
        for at, stage in sorted(left):
            if last is not None and at >= last:
                stays[stage].append((at - last).total_seconds() / 86_400)
            last = at
    return [
        Stay(stage.number, median(days), mean(days), len(days))
        for stage in stages()
        if (days := stays.get(stage.number))
    ]
