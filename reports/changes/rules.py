"""The trade's habits for changes, read from their table. Knows no change and no job's own terms."""

from decimal import Decimal
from functools import cache

from projects.catalogue.tables import _table
from reports.estimating.change_terms import Goods, StageRule, Terms
from reports.estimating.labor_book import Phase


@cache
def stage_rules() -> tuple[StageRule, ...]:
    """From what stage of a room on moving a light takes what, in order; the first begins at stage 0."""
    return tuple(_stage_rule(entry) for entry in _table("change_rules")["stages"])


def _stage_rule(entry):
    return StageRule(
        **{name: entry[name] for name in ("key", "from_stage", "name", "patch", "source")},
        times=Decimal(entry["times"]),
        strip_hours=Decimal(entry["strip_hours"]),
        done=frozenset(Phase(phase) for phase in entry["done"]),
        goods=Goods(entry["goods"]),
    )


@cache
def usual_terms() -> dict[str, dict]:
    """Each term with its usual value, the range the trade gives, and its source, by key."""
    return {entry["key"]: entry for entry in _table("change_rules")["terms"]}


def default_terms() -> Terms:
    return Terms(**{key: Decimal(entry["value"]) for key, entry in usual_terms().items()})
