"""Which tables' changes are told, which columns of them, and how a row's shop, job and room are found.

Every table of ours is told, but for those that somebody left out with a reason. Knows no table by its columns.
"""

from dataclasses import dataclass

from django.db import models

from projects.history.models import WHOLE
from projects.platform.parts import own_models
from projects.platform.secret_columns import is_secret
from projects.platform.ways_up import ROOM, SHOP, as_sql, way_to_job, way_up

LEFT_OUT: dict[str, str] = {}  # "app.Model": why
QUIET: dict[str, frozenset[str]] = {}  # "app.Model": columns whose change alone is no news


def leave_out(label: str, why: str) -> None:
    """No change of this table is told: it holds nothing a person said, or is a record of changes itself."""
    LEFT_OUT[label] = why


def quiet(label: str, *names: str) -> None:
    """What changes in these columns is a sign of life, not a change: it is not told."""
    QUIET[label] = QUIET.get(label, frozenset()) | set(names)


@dataclass(frozen=True, slots=True)
class Column:
    name: str  # in the database
    secret: bool = False  # that it changed is told, never to what
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
    return [model for model in own_models() if model._meta.managed and model._meta.label not in LEFT_OUT]


def _table(model) -> Table:
    meta = model._meta
    columns = tuple(_columns(model))
    told = {column.name for column in columns}
    silent = tuple(field.column for field in meta.concrete_fields if field.column not in told)
    ways = way_up(model, SHOP), way_to_job(model), way_up(model, ROOM)
    return Table(meta.db_table, meta.pk.column, columns, silent, *(as_sql(model, way) for way in ways))


def _columns(model):
    silent = QUIET.get(model._meta.label, ())
    for field in model._meta.concrete_fields:
        if field.name in silent or getattr(field, "auto_now", False):
            continue
        yield Column(
            field.column,
            secret=is_secret(field),
            long=_may_be_long(field),
            yes_no=isinstance(field, models.BooleanField),
        )


def _may_be_long(field) -> bool:
    if isinstance(field, models.BinaryField | models.JSONField):
        return True
    return isinstance(field, models.TextField) and not (field.max_length and field.max_length <= WHOLE)
