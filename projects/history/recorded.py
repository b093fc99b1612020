"""Which tables' changes are told, which columns of them, and how a row's shop, job and room are found.

Every table of ours is told, but for those that somebody left out with a reason. Knows no table by its columns.
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from django.apps import apps
from django.db import models

from projects.history.models import WHOLE

OWN = ("projects", "layout", "reports")
SHOP, JOB, ROOM = "accounts.Shop", "jobs.Job", "jobs.Room"

LEFT_OUT: dict[str, str] = {}  # "app.Model": why
QUIET: dict[str, frozenset[str]] = {}  # "app.Model": columns whose change alone is no news
# "app.Model": columns that open something, or are the hash of what does. That they changed is told, never to what.
SECRET: dict[str, frozenset[str]] = {}
# Columns of such a name are taken for secrets wherever they stand.
OPENS = ("password", "secret", "token", "session_key")


def leave_out(label: str, why: str) -> None:
    """No change of this table is told: it holds nothing a person said, or is a record of changes itself."""
    LEFT_OUT[label] = why


def quiet(label: str, *names: str) -> None:
    """What changes in these columns is a sign of life, not a change: it is not told."""
    QUIET[label] = QUIET.get(label, frozenset()) | set(names)


def secret(label: str, *names: str) -> None:
    SECRET[label] = SECRET.get(label, frozenset()) | set(names)


@dataclass(frozen=True, slots=True)
class Column:
    name: str  # in the database
    secret: bool = False
    long: bool = False  # may be longer than what is kept whole
    yes_no: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    name: str
    key: str
    columns: tuple[Column, ...]
    quiet: tuple[str, ...]  # the columns that are not told
    shop: str  # SQL over a row called {row}, or '' where nothing leads there
    job: str
    room: str


def tables() -> list[Table]:
    return [_table(model) for model in told_models()]


def told_models():
    return [
        model
        for model in apps.get_models(include_auto_created=True)
        if ours(model) and model._meta.managed and model._meta.label not in LEFT_OUT
    ]


def ours(model) -> bool:
    return model._meta.app_config.name.split(".")[0] in OWN


def _table(model) -> Table:
    meta = model._meta
    room = _to_room(model)
    columns = tuple(_columns(model))
    told = {column.name for column in columns}
    silent = tuple(field.column for field in meta.concrete_fields if field.column not in told)
    return Table(meta.db_table, meta.pk.column, columns, silent, _to(model, SHOP), _to_job(model, room), room)


def _columns(model):
    silent = QUIET.get(model._meta.label, ())
    hidden = SECRET.get(model._meta.label, ())
    for field in model._meta.concrete_fields:
        if field.name in silent or getattr(field, "auto_now", False):
            continue
        yield Column(
            field.column,
            secret=field.name in hidden or any(word in field.name for word in OPENS),
            long=_may_be_long(field),
            yes_no=isinstance(field, models.BooleanField),
        )


def _may_be_long(field) -> bool:
    if isinstance(field, models.BinaryField | models.JSONField):
        return True
    return isinstance(field, models.TextField) and not (field.max_length and field.max_length <= WHOLE)


def _to_room(model) -> str:
    named = _field(model, "room")
    if model._meta.label != ROOM and named is not None and named.related_model._meta.label == ROOM:
        return f"{{row}}.{_quoted(named.column)}"
    return _to(model, ROOM)


def _to_job(model, room: str) -> str:
    named = _field(model, "job")
    if named is not None and named.related_model._meta.label == JOB:
        return f"{{row}}.{_quoted(named.column)}"
    if model._meta.label == ROOM:
        return '{row}."job_id"'
    if room:
        return f'(SELECT hr."job_id" FROM "jobs_room" hr WHERE hr."id" = {room})'
    return _to(model, JOB)


def _field(model, name):
    found = [field for field in model._meta.concrete_fields if field.name == name and field.is_relation]
    return found[0] if found else None


def shop_of(model) -> str:
    """The shop of a row as SQL over {row}: of a ledger that may name none, too. '' where nothing leads there."""
    named = _field(model, "shop")
    return f"{{row}}.{_quoted(named.column)}" if named is not None else _to(model, SHOP)


def _to(model, label: str) -> str:
    """The shortest way by foreign keys that are always filled in, as SQL over {row}."""
    steps = _way(model, label)
    if steps is None:
        return ""
    row = "{row}"
    if not steps:
        return f"{row}.{_quoted(model._meta.pk.column)}"
    value = f"{row}.{_quoted(steps[0].column)}"
    for depth, (before, field) in enumerate(pairwise(steps)):
        above = before.related_model._meta
        alias = f"h{depth}"
        value = (
            f"(SELECT {alias}.{_quoted(field.column)} FROM {_quoted(above.db_table)} {alias}"
            f" WHERE {alias}.{_quoted(above.pk.column)} = {value})"
        )
    return value


@cache
def _way(model, label: str):
    """The foreign keys that lead there, () where the model is it, None where none do."""
    reached, seen = [(model, ())], {model}
    while reached:
        here, steps = reached.pop(0)
        if here._meta.label == label:
            return steps
        for field in here._meta.concrete_fields:
            if field.is_relation and not field.null and field.related_model not in seen:
                seen.add(field.related_model)
                reached.append((field.related_model, (*steps, field)))
    return None


def _quoted(name: str) -> str:
    return f'"{name}"'
