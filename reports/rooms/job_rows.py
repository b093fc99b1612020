"""One job as the owner sees it in a row: its stages, its oldest room, what comes next, who blocks it, what is red.

From the shop as it is and what is red in it; values only, no query and no HTML.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from django.utils.translation import gettext as _

from projects.catalogue.tables import stages
from projects.stages.order import name_of, next_hold
from reports.rooms.facts import JobNow, RoomNow, ShopNow
from reports.rooms.lines import line, whom
from reports.rooms.reds import Red, moves, waits

PATTERNS = {"not_started": "empty", "in_hand": "hatched", "waiting": "dotted", "done": "full", "": "empty"}


@dataclass(frozen=True, slots=True)
class Step:
    """So many rooms at one stage. percent: of the rooms it is a part of."""

    number: int
    name: str
    pattern: str
    count: int
    percent: int


@dataclass(frozen=True, slots=True)
class Hold:
    """The next hold point of a job: how many rooms come to it, and the day, with how far off it is."""

    point: str
    label: str
    rooms: int
    on: dt.date | None
    days: int | None


@dataclass(frozen=True, slots=True)
class Blocked:
    """By whom, and how many rooms."""

    who: str
    rooms: int


@dataclass(slots=True)
class JobRow:
    """weight: what it costs to leave what is red, in hours. oldest: the room longest at one stage, with its days."""

    job: JobNow
    steps: list[Step]
    hold: Hold | None
    oldest: tuple[RoomNow, int] | None
    blocked: list[Blocked]
    stale_cards: int
    failed: int  # inspections not passed
    reds: list[Red] = field(default_factory=list)
    weight: Decimal = Decimal(0)

    @property
    def open_rooms(self) -> int:
        return sum(not room.done for room in self.job.rooms)

    @property
    def done_percent(self) -> int:
        done = sum(room.done for room in self.job.rooms)
        return round(100 * done / len(self.job.rooms)) if self.job.rooms else 0


def job_rows(now: ShopNow, found: list[Red], currency: str) -> list[JobRow]:
    """Every job under way, in the order of `now`."""
    by_job = defaultdict(list)
    for red in found:
        by_job[red.job.id].append(red)
    return [_row(job, now.today, by_job[job.id], currency) for job in now.jobs]


def _row(job: JobNow, today: dt.date, found: list[Red], currency: str) -> JobRow:
    going = [room for room in job.rooms if moves(room)]
    oldest = max(going, key=lambda room: (room.days_at_stage(today), -room.id), default=None)
    return JobRow(
        job=job,
        steps=steps_of(job.rooms, job),
        hold=_hold(going, today),
        oldest=(oldest, oldest.days_at_stage(today)) if oldest else None,
        blocked=_blocked(going),
        stale_cards=sum(room.old_card for room in going),
        failed=sum(room.failed for room in going),
        reds=found,
        weight=sum((line(red, currency).weight for red in found), start=Decimal(0)),
    )


def steps_of(rooms: Iterable[RoomNow], job: JobNow | None = None) -> list[Step]:
    """The stages that have rooms, in order; named as this job calls them."""
    counted = Counter(room.stage for room in rooms)
    together = sum(counted.values())
    return [
        Step(
            stage.number,
            name_of(stage.number, job) if job else _(stage.name),
            PATTERNS[stage.fill],
            counted[stage.number],
            round(100 * counted[stage.number] / together),
        )
        for stage in stages()
        if counted[stage.number]
    ]


def _hold(going: list[RoomNow], today: dt.date) -> Hold | None:
    """Of the hold points that rooms come to next: the one with the earliest day, else the one most rooms come to."""
    at_stage = {room.stage: next_hold(room) for room in going}  # rooms of one job at one stage have the same ahead
    ahead = [hold for room in going if (hold := at_stage[room.stage])]
    if not ahead:
        return None
    rooms = Counter(hold.point for hold in ahead)
    first = min(ahead, key=lambda hold: (hold.on is None, hold.on or today, -rooms[hold.point], hold.point))
    days = (first.on - today).days if first.on else None
    return Hold(first.point, first.label, rooms[first.point], first.on, days)


def _blocked(going: list[RoomNow]) -> list[Blocked]:
    """Who keeps rooms waiting, the most rooms first."""
    counted = Counter(whom(room) for room in going if waits(room))
    return [Blocked(who, rooms) for who, rooms in counted.most_common()]


def ordered(rows: list[JobRow], sort: str) -> list[JobRow]:
    """Rows in the order asked for: most to lose, newest, by number, by the next day, by the oldest room."""
    keys = {
        "loss": lambda row: (-row.weight, -row.job.id),
        "newest": lambda row: -row.job.id,
        "job": lambda row: (row.job.number.casefold(), row.job.id),
        "next": lambda row: (row.hold is None or row.hold.on is None, row.hold and row.hold.on, row.job.id),
        "oldest": lambda row: (-(row.oldest[1] if row.oldest else -1), row.job.id),
    }
    return sorted(rows, key=keys[sort])
