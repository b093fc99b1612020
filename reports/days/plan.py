"""The crew plan of a day or a week as a page shows it: people down, days across. Values; nothing is changed here."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from projects.crews.models import CrewDay
from projects.crews.queries import crew_on, who_may_be_planned
from projects.platform.one_job import only_job

WEEK = 7


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody's row: for each day asked for, where they are to be."""

    member_id: int
    name: str
    days: list[tuple[dt.date, list[CrewDay]]]

    @property
    def free(self) -> bool:
        return not any(rows for _on, rows in self.days)


@dataclass(frozen=True, slots=True)
class Plan:
    first: dt.date
    days: list[dt.date]
    people: list[Person]

    @property
    def last(self) -> dt.date:
        return self.days[-1]

    @property
    def one_day(self) -> bool:
        return len(self.days) == 1


def plan_of(shop, first: dt.date, count: int) -> Plan:
    """Everyone who works on site, with their days. Two queries, however many people and rooms.

    For a phone that joined one job: who is planned on it, and nobody else of the shop.
    """
    days = [first + dt.timedelta(n) for n in range(count)]
    rows: dict[int, dict[dt.date, list[CrewDay]]] = {}
    names = {} if only_job() else {member.pk: str(member.user) for member in who_may_be_planned(shop)}
    for row in crew_on(shop, days[0], days[-1]):
        rows.setdefault(row.member_id, {}).setdefault(row.on, []).append(row)
        names.setdefault(row.member_id, str(row.member.user))  # who works here no longer, and was to
    people = [
        Person(pk, name, [(on, rows.get(pk, {}).get(on, [])) for on in days])
        for pk, name in sorted(names.items(), key=lambda one: (one[1].casefold(), one[0]))
    ]
    return Plan(first, days, people)


def monday_of(day: dt.date) -> dt.date:
    return day - dt.timedelta(day.weekday())
