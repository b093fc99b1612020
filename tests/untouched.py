"""Holds that what is done leaves every row of the product's own tables as it was.

Rows are read and compared only once something is about to be written: without a write nothing can have changed.
"""

import re
from contextlib import contextmanager

from django.apps import apps
from django.db import connection, transaction

from tests.factories import OWN_APPS

READS_ONLY = ("SELECT", "SAVEPOINT", "RELEASE", "ROLLBACK", "PRAGMA")
INTO = re.compile(r'(?:INSERT INTO|UPDATE|DELETE FROM) "(\w+)"')


def everything_stored(leave=()):
    """{table: {id: row}}, but for the models named in `leave`."""
    return {
        model._meta.label: {row[model._meta.pk.attname]: row for row in model._base_manager.order_by("pk").values()}
        for model in _own(leave)
    }


def _own(leave):
    return [m for m in apps.get_models() if m._meta.app_label in OWN_APPS and m._meta.label not in leave]


def _kept(row):
    """When someone last signed in is no change of a page's making."""
    return row and {name: value for name, value in row.items() if name != "last_login"}


def changed(before, after):
    """{(table, id): (row before, row after)} of those that differ."""
    return {
        (table, pk): (rows.get(pk), after[table].get(pk))
        for table, rows in before.items()
        for pk in rows.keys() | after[table].keys()
        if _kept(rows.get(pk)) != _kept(after[table].get(pk))
    }


class Watch:
    """Reads every row just before the first statement that may write one of them."""

    def __init__(self, leave):
        self.leave, self.before, self.looking = leave, None, False
        self.tables = {model._meta.db_table for model in _own(leave)}
        self.others = {model._meta.db_table for model in apps.get_models()} - self.tables

    def __call__(self, execute, sql, params, many, context):
        if self.before is None and not self.looking and self.may_write(sql):
            self.looking = True
            self.before = everything_stored(self.leave)
        return execute(sql, params, many, context)

    def may_write(self, sql):
        if sql.lstrip().upper().startswith(READS_ONLY):
            return False
        into = INTO.match(sql.lstrip())
        return not (into and into[1] in self.others)


@contextmanager
def nothing_changes(leave=("takeoffs.RoomLines",)):
    """RoomLines only spares counting a room again."""
    watch = Watch(leave)
    with connection.execute_wrapper(watch):
        yield
    if watch.before is not None:
        found = changed(watch.before, everything_stored(leave))
        assert not found, found


@contextmanager
def taken_back():
    """What is written inside is rolled back at its end."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
