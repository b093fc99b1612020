"""When something is red: the trade's table with the shop's numbers over it. Knows no rooms."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.catalogue.tables import FOLDER
from projects.platform.tenancy import StaleVersion
from reports.rooms.models import RedRule


@dataclass(frozen=True, slots=True)
class Rule:
    """One red rule as it is read. days None: it has none. hours: what is left to come if nobody moves, in crew hours.

    hours_each is for each room, or for each of its lights and speakers. version: 0 while the shop has none of its own.
    """

    key: str
    name: str
    says: str
    days: int | None
    hours_once: Decimal
    hours_each: Decimal
    per_light: bool
    money: bool
    source: str
    watched: bool = True
    version: int = 0

    @property
    def own(self) -> bool:
        return self.version > 0


@dataclass(frozen=True, slots=True)
class Earned:
    """From this stage on, so many percent of a room's part of the contract are complete."""

    from_stage: int
    share: int


@lru_cache
def _table():
    return json.loads((FOLDER / "red_rules.json").read_text(encoding="utf-8"), parse_float=Decimal)


@lru_cache
def usual_rules() -> dict[str, Rule]:
    """The table's rules by key, in its order."""
    return {
        row["key"]: Rule(
            **row | {"hours_once": Decimal(row["hours_once"]), "hours_each": Decimal(row["hours_each"])}
        )
        for row in _table()["rules"]
    }


@lru_cache
def earned() -> tuple[Earned, ...]:
    return tuple(Earned(row["from_stage"], row["share"]) for row in _table()["earned"])


def rules_of(shop) -> dict[str, Rule]:
    """The rules a shop goes by, in the table's order. One query."""
    rows = {row.key: row for row in RedRule.objects.of(shop)}
    return {key: _with(rule, rows.get(key)) for key, rule in usual_rules().items()}


def _with(rule: Rule, row) -> Rule:
    said = replace(rule, name=_(rule.name), says=_(rule.says))
    if row is None:
        return said
    return replace(
        said, watched=row.watched, days=row.days if rule.days is not None else None, hours_once=row.hours_once,
        hours_each=row.hours_each, version=row.version,
    )  # fmt: skip


@transaction.atomic
def change_rules(shop, changed: dict[str, Rule]) -> None:
    """Keep these rules; each carries the version it was seen at. All or none. Raises StaleVersion."""
    for rule in changed.values():
        values = {name: getattr(rule, name) for name in ("watched", "days", "hours_once", "hours_each")}
        if rule.version:
            written = (
                RedRule.objects.of(shop)
                .filter(key=rule.key, version=rule.version)
                .update(version=rule.version + 1, updated_at=timezone.now(), **values)
            )
        else:
            _row, written = RedRule.objects.of(shop).get_or_create(shop=shop, key=rule.key, defaults=values)
        if not written:
            raise StaleVersion(RedRule.objects.of(shop).get(key=rule.key), values)
