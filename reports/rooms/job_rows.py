"""One job as the owner sees it in a row: its stages, its oldest room, what comes next, who blocks it, what is red.

From the shop as it is and what is red in it; values only, no query and no HTML.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from django.utils.translation import gettext as _

from projects.catalogue.tables import stages
from projects.stages.order import name_of, next_hold
from reports.rooms.facts import JobNow, RoomNow, ShopNow
from reports.rooms.lines import weight_of, whom
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


@dataclass
class JobRow:
    """What is asked of a job is worked out when it is asked: of three hundred jobs a page shows a few."""

    job: JobNow
    today: dt.date
    reds: list[Red] = field(default_factory=list)

    @cached_property
    def going(self) -> list[RoomNow]:
        return [room for room in self.job.rooms if moves(room)]

    @cached_property
    def steps(self) -> list[Step]:
        return steps_of(self.job.rooms, self.job)

    @cached_property
    def hold(self) -> Hold | None:
        return _hold(self.going, self.today)

    @cached_property
    def oldest(self) -> tuple[RoomNow, int] | None:
        """The room longest at one stage, with its days."""
        room = max(self.going, key=lambda room: (room.days_at_stage(self.today), -room.id), default=None)
        return (room, room.days_at_stage(self.today)) if room else None

    @cached_property
    def blocked(self) -> list[Blocked]:
        return _blocked(self.going)

    @property
    def stale_cards(self) -> int:
        return sum(room.old_card for room in self.going)

    @property
    def failed(self) -> int:
        """Inspections not passed."""
        return sum(room.failed for room in self.going)

    @cached_property
    def weight(self) -> Decimal:
        """What it costs to leave what is red, in hours."""
        return sum(map(weight_of, self.reds), start=Decimal(0))

    @property
    def open_rooms(self) -> int:
        return sum(not room.done for room in self.job.rooms)

    @property
    def done_percent(self) -> int:
        done = sum(room.done for room in self.job.rooms)
        return round(100 * done / len(self.job.rooms)) if self.job.rooms else 0


def job_rows(now: ShopNow, found: list[Red]) -> list[JobRow]:
    """Every job under way, in the order of `now`."""
    by_job = defaultdict(list)
    for red in found:
        by_job[red.job.id].append(red)
    return [JobRow(job, now.today, by_job[job.id]) for job in now.jobs]


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
    first_at = {room.stage: room for room in going}  # rooms of one job at one stage have the same ahead
    at_stage = {stage: next_hold(room) for stage, room in first_at.items()}
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
