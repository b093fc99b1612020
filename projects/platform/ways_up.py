"""By which foreign keys a record leads up to its shop, its job or its room. Read off the models; names but those three.

A way is the foreign keys that are passed, the record's own first: () where the record is that itself, None where none
leads there. Whoever asks what a row belongs to asks here: queries, the wall, the history, the shop's file.
"""

from collections.abc import Collection
from functools import cache
from itertools import pairwise

from django.apps import apps
from django.db import models

SHOP, JOB, ROOM = "accounts.Shop", "jobs.Job", "jobs.Room"

Way = tuple[models.ForeignKey, ...]


@cache
def way_up(model: type[models.Model], label: str) -> Way | None:
    """The record's own column that is named after what is looked for, even one that may be empty: a ledger's `shop`.

    Without one, the shortest way of keys that are always filled in; of two as short, the one declared first.
    """
    own = _named_after(model, label)
    return (own,) if own else shortest_way(model, label)


@cache
def way_to_job(model: type[models.Model]) -> Way | None:
    """The record's own job; else the job of its room; else as any other way."""
    if not _named_after(model, JOB) and (to_room := way_up(model, ROOM)):
        return (*to_room, *(way_up(apps.get_model(ROOM), JOB) or ()))
    return way_up(model, JOB)


def shortest_way(
    model: type[models.Model], label: str, *, may_be_empty: bool = False, around: Collection[type[models.Model]] = ()
) -> Way | None:
    """may_be_empty: by keys too that a row need not fill in. around: tables that it must not pass."""
    reached: list[tuple[type[models.Model], Way]] = [(model, ())]
    seen = {model}
    for here, steps in reached:  # grows on the way: the nearer tables come first
        if here._meta.label == label:
            return steps
        if here in around:
            continue
        for key in foreign_keys(here):
            if (may_be_empty or not key.null) and key.related_model not in seen:
                seen.add(key.related_model)
                reached.append((key.related_model, (*steps, key)))
    return None


def foreign_keys(model: type[models.Model]) -> list[models.ForeignKey]:
    """In the order they are declared."""
    return [field for field in model._meta.concrete_fields if field.is_relation]


def as_lookup(way: Way) -> str:
    """For a filter: 'room__job__shop', 'pk' for the record itself."""
    return "__".join(key.name for key in way) or "pk"


def as_sql(model: type[models.Model], way: Way | None) -> str:
    """The id it leads to, over a row called {row}; '' where none leads there."""
    if way is None:
        return ""
    if not way:
        return f"{{row}}.{_quoted(model._meta.pk.column)}"
    value = f"{{row}}.{_quoted(way[0].column)}"
    for depth, (below, key) in enumerate(pairwise(way)):
        above, alias = below.related_model._meta, f"h{depth}"
        value = (
            f"(SELECT {alias}.{_quoted(key.column)} FROM {_quoted(above.db_table)} {alias}"
            f" WHERE {alias}.{_quoted(above.pk.column)} = {value})"
        )
    return value


def _named_after(model, label):
    if model._meta.label == label:
        return None
    name = label.partition(".")[2].lower()
    keys = (key for key in foreign_keys(model) if key.name == name and key.related_model._meta.label == label)
    return next(keys, None)


def _quoted(name: str) -> str:
    return f'"{name}"'
