"""What a contract says of changes, and what a light that moves takes at each stage. Knows no change and no record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from reports.estimating.labor_book import Phase
from reports.estimating.money import HUNDRED, MoneyError

MOST_TIMES = Decimal(10)
MOST_HOURS = Decimal(100)
MOST_PATCH = Decimal(100_000)


class ChangeError(MoneyError):
    """A figure that no change order can carry. `field` names the box; the message says it too, and the remedy."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


class Goods(StrEnum):
    """Where goods are that are no longer needed, and so what of their price is credited."""

    NOT_BOUGHT = "not_bought"  # all of it
    RETURNABLE = "returnable"  # all but restocking
    KEPT = "kept"  # cut, installed, made to order: nothing


@dataclass(frozen=True, slots=True)
class StageRule:
    """What moving a light takes from one stage of its room on. times: its labor counted so often.

    done: phases that are installed by then: taking a light out gives none of their labor back.
    """

    key: str
    from_stage: int
    name: str
    times: Decimal
    strip_hours: Decimal  # to take one light out of where it was set
    patch: bool  # a hole has to be closed and painted
    done: frozenset[Phase]
    goods: Goods
    source: str


@dataclass(frozen=True, slots=True)
class Terms:
    """A contract's own figures. Percentages are numbers of percent, of cost.

    most_markup_pct: what overhead and profit together may come to, percent of the added work's cost; None: no limit.
    credit_markup: whether overhead and profit are given back on what is taken out. The trade doesn't, unless it says.
    """

    add_times: Decimal
    restock_pct: Decimal
    least_hours: Decimal
    overhead_pct: Decimal
    profit_pct: Decimal
    patch_each: Decimal
    hours_a_day: Decimal
    most_markup_pct: Decimal | None = None
    credit_markup: bool = False

    def __post_init__(self) -> None:
        _within("add_times", self.add_times, Decimal(1), MOST_TIMES)
        _within("restock_pct", self.restock_pct, Decimal(0), HUNDRED)
        _within("least_hours", self.least_hours, Decimal(0), MOST_HOURS)
        _within("overhead_pct", self.overhead_pct, Decimal(0), HUNDRED)
        _within("profit_pct", self.profit_pct, Decimal(0), HUNDRED)
        _within("patch_each", self.patch_each, Decimal(0), MOST_PATCH)
        _within("hours_a_day", self.hours_a_day, Decimal(1), Decimal(1000))
        if self.most_markup_pct is not None:
            _within("most_markup_pct", self.most_markup_pct, Decimal(0), 2 * HUNDRED)


def stage_rule(stage: int, rules: Sequence[StageRule]) -> StageRule:
    """The rule for a room at this stage: the last that has begun. rules in the order of their stages, from 0."""
    return [rule for rule in rules if rule.from_stage <= stage][-1]


def _within(field: str, value: Decimal, low: Decimal, high: Decimal) -> None:
    if not value.is_finite() or not low <= value <= high:
        words = field.removesuffix("_pct").replace("_", " ")
        raise ChangeError(field, f"{words}: {value} is out of bounds. Give a number from {low} to {high}.")
