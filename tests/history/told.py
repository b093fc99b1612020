"""Holds the history against the rows themselves: what a request left changed, row by row, has entries that say so.

Rows are read before and after by this, never by what writes the history; only tables that are written to are read.
"""

import json
import re
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.apps import apps
from django.db import connection

from projects.history.models import Entry
from projects.history.recorded import LEFT_OUT, QUIET
from tests.untouched import READS_ONLY

PARTS = ("projects", "layout", "reports")
OF_NO_SHOP = {"accounts_user"}  # a person may work in several
INTO = re.compile(r'\s*(?:INSERT(?: OR \w+)? INTO|REPLACE INTO|UPDATE|DELETE FROM) "(\w+)"', re.IGNORECASE)
ASIDE = ("SET ", "LOCK ")


def told_models():
    """{table: model} of all of ours whose changes are to be told."""
    return {
        model._meta.db_table: model
        for model in apps.get_models(include_auto_created=True)
        if model.__module__.partition(".")[0] in PARTS and model._meta.label not in LEFT_OUT
    }


def told_columns(model):
    silent = QUIET.get(model._meta.label, ())
    return [
        each.column
        for each in model._meta.concrete_fields
        if each.name not in silent and not getattr(each, "auto_now", False)
    ]


@dataclass
class Changes:
    """rows: {(table, key): (what was done, columns that changed)}; entries: what the history has of the same time."""

    rows: dict = field(default_factory=dict)
    entries: list = field(default_factory=list)

    @property
    def tables(self):
        return {table for table, _key in self.rows}


def untold(changes, shop, user, via):
    """Rows that changed without an entry, columns that no entry has, and entries of somebody else."""
    said, wrong = {}, []
    for entry in changes.entries:
        columns = {name for text in (entry.before, entry.after) if text for name in json.loads(text)}
        said.setdefault((entry.what, entry.record), []).append((entry.did, columns))
        who = (entry.user_id, entry.via, entry.shop_id)
        if who not in {(user, via, shop), (user, via, None if entry.what in OF_NO_SHOP else shop)} or not entry.request:
            wrong.append(f"{entry.what} {entry.did} by {who}, request {entry.request!r}")
    for row, (did, columns) in changes.rows.items():
        told = said.get(row, ())
        if did not in [done for done, _columns in told] or columns - set().union(*(each for _done, each in told)):
            wrong.append(f"{' '.join(row)} {did} {sorted(columns)}, and told is {told}")
    return wrong


class Watch:
    """Reads a table just before the first statement that writes to it."""

    def __init__(self):
        self.models, self.before, self.looking = told_models(), {}, False

    def __call__(self, execute, sql, params, many, context):
        if not self.looking and not sql.lstrip().upper().startswith((*READS_ONLY, *ASIDE)):
            into = INTO.match(sql)
            assert into, f"which table does this write to? {sql[:200]}"
            if into[1] in self.models and into[1] not in self.before:
                self.before[into[1]] = self.rows(into[1])
        return execute(sql, params, many, context)

    def rows(self, table):
        """{key: {column: value}}, of the columns that are told."""
        meta, columns = self.models[table]._meta, told_columns(self.models[table])
        names = ", ".join(f'"{name}"' for name in (meta.pk.column, *columns))
        self.looking = True
        with connection.cursor() as cursor:
            cursor.execute(f'SELECT {names} FROM "{table}"')
            found = {str(key): dict(zip(columns, row, strict=True)) for key, *row in cursor.fetchall()}
        self.looking = False
        return found

    def changed(self):
        found = {}
        for table, before in self.before.items():
            after = self.rows(table)
            for key in before.keys() | after.keys():
                old, new = before.get(key), after.get(key)
                if old is None or new is None:
                    found[table, key] = ("added" if old is None else "removed", set())
                elif old != new:
                    found[table, key] = ("changed", {name for name in old if old[name] != new[name]})
        return found


@contextmanager
def watched():
    """with watched() as changes: what is done inside; afterwards `changes` has what came of it."""
    last = Entry.objects.every_shop().order_by("-pk").values_list("pk", flat=True).first() or 0
    watch, changes = Watch(), Changes()
    with connection.execute_wrapper(watch):
        yield changes
    changes.rows = watch.changed()
    if watch.before:
        changes.entries = list(Entry.objects.every_shop().filter(pk__gt=last).order_by("pk"))
