"""What the shop's rooms and jobs under way are today, as values. Knows no rules, no words and no pages.

Read in the same number of queries for six rooms as for six thousand; who may not see money has none of it read.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from projects.jobs.models import LAST_STAGE


@dataclass(slots=True)
class RoomNow:
    """One room that isn't cancelled. revision, card: numbers, None where there is none; approved: of that revision.

    answered, asked: of its checklist, None where it wasn't asked after (no inspection is near). failed: inspections it
    did not pass and has not since, with the inspector's corrections not answered yet and the day he comes again.
    passes: guards somebody passed that are still open. questions: from the site, with the day the oldest was asked.
    """

    id: int
    job: JobNow = field(repr=False)
    name: str
    level: str
    stage: int
    since: dt.date
    held_up: str = ""
    why: str = ""
    waits_for: str = ""
    waits_since: dt.date | None = None
    revision: int | None = None
    approved: bool = False
    lights: int = 0
    speakers: int = 0
    card: int | None = None
    answered: int | None = None
    asked: int | None = None
    failed: int = 0
    corrections: int = 0
    again_on: dt.date | None = None
    passes: int = 0
    questions: int = 0
    moves: int = 0  # of the questions: marks to be put elsewhere
    asked_on: dt.date | None = None

    @property
    def old_card(self) -> bool:
        return self.card is not None and self.revision is not None and self.card < self.revision

    @property
    def marks(self) -> int:
        return self.lights + self.speakers

    @property
    def done(self) -> bool:
        return self.stage >= LAST_STAGE

    def days_at_stage(self, today: dt.date) -> int:
        return max((today - self.since).days, 0)

    def days_waiting(self, today: dt.date) -> int:
        return max((today - (self.waits_since or self.since)).days, 0)


@dataclass(slots=True)
class Money:
    """One job's money, for who may see it. oldest_sent: of what is not signed. unbilled: completed less billed.

    contract None: no bid is accepted, and nothing can be said to be complete. billed_on: when it was billed last.
    """

    unsigned: int = 0
    unsigned_sum: Decimal = Decimal(0)
    oldest_sent: dt.date | None = None
    contract: Decimal | None = None
    completed: Decimal = Decimal(0)
    billed: Decimal = Decimal(0)
    billed_on: dt.date | None = None
    completed_since: dt.date | None = None

    @property
    def unbilled(self) -> Decimal:
        return max(self.completed - self.billed, Decimal(0))


@dataclass(slots=True)
class Material:
    """What a job lacks for the day it is needed: so many items neither on hand nor in its rooms.

    awaited: of them, those on order. counted False: nobody has counted its rooms yet, so nobody knows.
    """

    short: int = 0
    awaited: int = 0
    counted: bool = False


@dataclass(slots=True)
class JobNow:
    """One job under way with its rooms. money None: not to be seen. crew: id and name of who works there this week."""

    id: int
    number: str
    name: str
    client: str
    runs_as: str
    rough_in_on: dt.date | None
    inspection_on: dt.date | None
    drywall_on: dt.date | None
    trim_on: dt.date | None
    rooms: list[RoomNow] = field(default_factory=list)
    crew: dict[int, str] = field(default_factory=dict)
    material: Material | None = None  # none: nothing begins in this job soon
    money: Money | None = None

    def __str__(self) -> str:
        return f"{self.number} {self.name}"


@dataclass
class ShopNow:
    """Everything under way. jobs: the newest first."""

    today: dt.date
    jobs: list[JobNow]

    @cached_property
    def rooms(self) -> list[RoomNow]:
        return [room for job in self.jobs for room in job.rooms]

    @cached_property
    def by_job(self) -> dict[int, JobNow]:
        return {job.id: job for job in self.jobs}
