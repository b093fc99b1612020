"""What is red, and why: rules held against the shop as it is. Values in, values out; no records, no words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from projects.catalogue.tables import stage_number
from projects.jobs.models import LAST_STAGE
from reports.rooms.facts import JobNow, RoomNow, ShopNow
from reports.rooms.rules import Rule


@dataclass(frozen=True, slots=True)
class Red:
    """One rule broken in one job. rooms: where; empty for what is the job's own.

    days: how long already, or how far off the date is (less than zero: gone by). by: when somebody must have moved.
    who: for what waits, whom it waits for. hours: crew hours to come if it is left. amount: money, where that is it.
    """

    rule: Rule
    job: JobNow
    rooms: tuple[RoomNow, ...] = ()
    days: int | None = None
    by: dt.date | None = None
    who: str = ""
    count: int = 0
    hours: Decimal = Decimal(0)
    amount: Decimal | None = None


def reds(now: ShopNow, rules: Mapping[str, Rule]) -> list[Red]:
    """Every red of the shop, by job and in the table's order of rules."""
    watched = {key: rule for key, rule in rules.items() if rule.watched}
    found = []
    for job in now.jobs:
        for key, rule in watched.items():
            found += CHECKS[key](job, rule, now.today)
    return found


# How one job is held against one rule: each gives no Red, or one (of what waits, one for each it waits for).

Found = Iterator[Red]


def _over(rooms: list[RoomNow], rule: Rule) -> Decimal:
    """Crew hours to come for these rooms."""
    units = sum(max(room.marks, 1) if rule.per_light else 1 for room in rooms)
    return rule.hours_once + rule.hours_each * units


def _before(job: JobNow, key: str) -> list[RoomNow]:
    """Rooms that were sold and stand before a stage."""
    before = stage_number(key)
    return [room for room in job.rooms if 0 < room.stage < before]


def _soon(on: dt.date | None, rule: Rule, today: dt.date) -> bool:
    """Is a day fewer days off than the rule has, or gone by?"""
    return on is not None and (on - today).days < rule.days


def _drywall_rough_in(job: JobNow, rule: Rule, today: dt.date) -> Found:
    rooms = _before(job, "inspection")
    if rooms and _soon(job.drywall_on, rule, today):
        by = max(job.drywall_on - dt.timedelta(days=1), today)
        yield Red(rule, job, tuple(rooms), (job.drywall_on - today).days, by, hours=_over(rooms, rule))


def _inspection_checklist(job: JobNow, rule: Rule, today: dt.date) -> Found:
    rooms = [room for room in _before(job, "insulation") if room.asked and room.answered < room.asked]
    if rooms and _soon(job.inspection_on, rule, today):
        by = max(job.inspection_on - dt.timedelta(days=1), today)
        unanswered = sum(room.asked - room.answered for room in rooms)
        days = (job.inspection_on - today).days
        yield Red(rule, job, tuple(rooms), days, by, count=unanswered, hours=_over(rooms, rule))


def _failed_inspection(job: JobNow, rule: Rule, today: dt.date) -> Found:
    rooms = [room for room in job.rooms if room.failed]
    if rooms:
        count = sum(room.corrections for room in rooms)
        again = min((room.again_on for room in rooms if room.again_on), default=None)
        yield Red(rule, job, tuple(rooms), by=again or today, count=count, hours=_over(rooms, rule))


def _released_unapproved(job: JobNow, rule: Rule, today: dt.date) -> Found:
    released, drywall = stage_number("released"), stage_number("drywall")
    rooms = [room for room in job.rooms if released <= room.stage <= drywall and room.revision and not room.approved]
    if rooms:
        yield Red(rule, job, tuple(rooms), by=today, hours=_over(rooms, rule))


def _stale_card(job: JobNow, rule: Rule, today: dt.date) -> Found:
    released, trim = stage_number("released"), stage_number("trim")
    rooms = [room for room in job.rooms if released <= room.stage <= trim and room.old_card]
    if rooms:
        yield Red(rule, job, tuple(rooms), by=today, hours=_over(rooms, rule))


def _site_question(job: JobNow, rule: Rule, today: dt.date) -> Found:
    rooms = [room for room in job.rooms if room.questions and (today - room.asked_on).days >= rule.days]
    if rooms:
        days = max((today - room.asked_on).days for room in rooms)
        count = sum(room.questions for room in rooms)
        yield Red(rule, job, tuple(rooms), days, today, count=count, hours=_over(rooms, rule))


def _passed_guard(job: JobNow, rule: Rule, today: dt.date) -> Found:
    rooms = [room for room in job.rooms if room.passes]
    if rooms:
        yield Red(rule, job, tuple(rooms), count=sum(room.passes for room in rooms), hours=_over(rooms, rule))


def _material_short(job: JobNow, rule: Rule, today: dt.date) -> Found:
    needed_on = needs_material_on(job, today)
    if job.material and job.material.short and _soon(needed_on, rule, today):
        days = (needed_on - today).days
        yield Red(rule, job, (), days, needed_on, count=job.material.short, hours=rule.hours_once)


def _waits(job: JobNow, rule: Rule, today: dt.date) -> Found:
    waiting: dict[str, list[RoomNow]] = {}
    for room in job.rooms:
        if waits(room) and room.days_waiting(today) > rule.days:
            waiting.setdefault(room.waits_for.partition(":")[0].strip(), []).append(room)
    for who, rooms in waiting.items():
        days = max(room.days_waiting(today) for room in rooms)
        yield Red(rule, job, tuple(rooms), days, today, who=who, hours=_over(rooms, rule))


def _stuck(job: JobNow, rule: Rule, today: dt.date) -> Found:
    long_ago = today - dt.timedelta(days=rule.days)  # first: it is the cheapest to ask of some thousand rooms
    rooms = [room for room in job.rooms if room.since < long_ago and moves(room) and not waits(room)]
    if rooms:
        days = max(room.days_at_stage(today) for room in rooms)
        yield Red(rule, job, tuple(rooms), days, today, hours=_over(rooms, rule))


def _unsigned_change(job: JobNow, rule: Rule, today: dt.date) -> Found:
    money = job.money
    if money and money.unsigned and (days := (today - money.oldest_sent).days) > rule.days:
        yield Red(rule, job, (), days, today, count=money.unsigned, amount=money.unsigned_sum)


def _unbilled(job: JobNow, rule: Rule, today: dt.date) -> Found:
    money = job.money
    since = money and (money.billed_on or money.completed_since)
    if money and money.unbilled and since and (days := (today - since).days) > rule.days:
        yield Red(rule, job, (), days, today, amount=money.unbilled)


CHECKS = {
    "drywall_rough_in": _drywall_rough_in,
    "inspection_checklist": _inspection_checklist,
    "failed_inspection": _failed_inspection,
    "released_unapproved": _released_unapproved,
    "stale_card": _stale_card,
    "site_question": _site_question,
    "passed_guard": _passed_guard,
    "material_short": _material_short,
    "waits": _waits,
    "stuck": _stuck,
    "unsigned_change": _unsigned_change,
    "unbilled": _unbilled,
}


def moves(room: RoomNow) -> bool:
    """Is the room between its bid and its close-out? A bid is in nobody's way."""
    return 0 < room.stage < LAST_STAGE


def waits(room: RoomNow) -> bool:
    """Does it wait for somebody: held up, somebody named, or a layout sent out to be signed?"""
    if room.held_up or room.waits_for or room.stage == stage_number("approved"):
        return moves(room)
    return False


def needs_material_on(job: JobNow, today: dt.date) -> dt.date | None:
    """The next day on which work in the ceiling begins and rooms still take material."""
    ahead = [(job.rough_in_on, "rough_in"), (job.trim_on, "trim")]
    return min((on for on, key in ahead if on and on >= today and _before(job, key)), default=None)
