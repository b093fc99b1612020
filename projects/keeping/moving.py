"""All rows of one database into another of any engine, table by table, with a report that vouches for each.

What a row says is compared as plain values (plain.py), read back from the other database: lengths, decimals, times and
texts come out the same on either engine, or the report says where they don't.
"""

import hashlib
import json
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass

from django.apps import apps
from django.core.management import call_command
from django.db import connections, transaction
from django.db.migrations.recorder import MigrationRecorder

from projects.keeping import plain
from projects.platform.one_job import keep_to, undo

BATCH = 500
WIDE = 2**256


class NotMoved(Exception):
    """It can't be moved. The message says why; the source is never changed."""


@dataclass(frozen=True, slots=True)
class Table:
    """One table as it was read and as it was read back. content: of all rows, whatever their order."""

    name: str
    rows: int
    content: str
    rows_there: int
    content_there: str

    @property
    def same(self):
        return (self.rows, self.content) == (self.rows_there, self.content_there)


def move(source: str, target: str, say: Callable[[str], object] = lambda words: None) -> list[Table]:
    """From one of Django's connections to another, whose database is empty. Raises NotMoved.

    The source stands still meanwhile: its writers wait, on SQLite, or have to be ended before, on PostgreSQL.
    """
    _insist_on_same_migrations(source, target, say)
    token = keep_to(None)
    try:
        with transaction.atomic(using=source), transaction.atomic(using=target):
            _standing_still(source)
            with _no_triggers(target):
                models = tables()
                for model in models:
                    _emptied(model, target)
                told = {model: _copied(model, source, target, say) for model in models}
                connections[target].check_constraints()
            _ids_go_on(source, target)
            report = []
            for model, (rows, content) in told.items():
                report.append(Table(model._meta.db_table, rows, content, *content_of(model, target)))
                if not report[-1].same:
                    raise NotMoved(f"{report[-1].name} came out otherwise: {report[-1]}. Nothing was kept.")
    finally:
        undo(token)
    return report


def tables() -> list:
    """Every table that a model stands for."""
    models = [one for one in apps.get_models(include_auto_created=True) if one._meta.managed and not one._meta.proxy]
    return sorted(models, key=lambda model: model._meta.db_table)


def content_of(model, using) -> tuple[int, str]:
    """(rows, a sum over the SHA-256 of each row as plain values): the same rows give the same sum in any order."""
    fields, count, total = model._meta.concrete_fields, 0, 0
    for values in _read(model, using, fields):
        count += 1
        total = (total + _digest(fields, values)) % WIDE
    return count, f"{total:064x}"


def _read(model, using, fields):
    rows = model._base_manager.using(using).order_by("pk").values_list(*(field.attname for field in fields))
    return rows.iterator(chunk_size=2000)


def _digest(fields, values):
    said = [plain.out(field, value) for field, value in zip(fields, values, strict=True)]
    text = json.dumps(said, sort_keys=True, ensure_ascii=False, default=str)
    return int.from_bytes(hashlib.sha256(text.encode()).digest())


def _copied(model, source, target, say):
    """Each row once: hashed as it is read, and written as it was."""
    fields, connection = model._meta.concrete_fields, connections[target]
    names = ", ".join(f'"{field.column}"' for field in fields)
    sql = f'INSERT INTO "{model._meta.db_table}" ({names}) VALUES ({", ".join(["%s"] * len(fields))})'
    count, total, batch = 0, 0, []
    with connection.cursor() as cursor:
        for values in _read(model, source, fields):
            count += 1
            total = (total + _digest(fields, values)) % WIDE
            batch.append([_stored(field, value, connection) for field, value in zip(fields, values, strict=True)])
            if len(batch) >= BATCH:
                cursor.executemany(sql, batch)
                batch = []
        if batch:
            cursor.executemany(sql, batch)
    say(f"{model._meta.db_table}: {count}")
    return count, f"{total:064x}"


def _stored(field, value, connection):
    target = field.target_field if field.is_relation else field
    return target.get_db_prep_save(value, connection)


def _emptied(model, using):
    """What migrations put there themselves (lists of tables and of permissions) comes with the rows."""
    with connections[using].cursor() as cursor:
        cursor.execute(f'DELETE FROM "{model._meta.db_table}"')


def _insist_on_same_migrations(source, target, say):
    there = set(connections[target].introspection.table_names())
    if there - {"django_migrations"}:
        raise NotMoved("The other database has tables. It has to be empty: create one for this, and name it.")
    applied = set(MigrationRecorder(connections[source]).applied_migrations())
    say("the tables are made")
    call_command("migrate", database=target, verbosity=0, interactive=False)
    made = set(MigrationRecorder(connections[target]).applied_migrations())
    if applied != made:
        lacking = ", ".join(sorted(".".join(one) for one in applied ^ made))
        raise NotMoved(f"This database is not at the program's migrations ({lacking}). Run manage.py migrate first.")


def _standing_still(using):
    if connections[using].vendor == "postgresql":
        with connections[using].cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")


@contextmanager
def _no_triggers(using):
    """Rows come as they are: what a trigger adds on an insert was added when the row was first written."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
            for name, _sql in triggers:
                cursor.execute(f'DROP TRIGGER "{name}"')
            yield
            for _name, sql in triggers:
                cursor.execute(sql)
            return
        names = connection.introspection.table_names(cursor)
        for name in names:
            cursor.execute(f'ALTER TABLE "{name}" DISABLE TRIGGER USER')
        yield
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for name in names:
            cursor.execute(f'ALTER TABLE "{name}" ENABLE TRIGGER USER')


def _ids_go_on(source, target):
    """No id is given twice, not even that of a row that is no more: kept texts may name it."""
    for model in tables():
        key = model._meta.auto_field
        if key is None:
            continue
        last = max(_last_id(model, key, source), _last_id(model, key, target))
        if last:
            _set_last(model, key, target, last)


def _last_id(model, key, using):
    table = model._meta.db_table
    with connections[using].cursor() as cursor:
        cursor.execute(f'SELECT max("{key.column}") FROM "{table}"')
        top = cursor.fetchone()[0] or 0
        if connections[using].vendor == "sqlite":
            cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
        else:
            cursor.execute(
                "SELECT last_value FROM pg_sequences WHERE schemaname = current_schema() "
                "AND quote_ident(schemaname) || '.' || quote_ident(sequencename) = pg_get_serial_sequence(%s, %s)",
                [f'"{table}"', key.column],
            )
        found = cursor.fetchone()
    return max(top, found[0] or 0) if found else top


def _set_last(model, key, using, last):
    table = model._meta.db_table
    with connections[using].cursor() as cursor:
        if connections[using].vendor == "sqlite":
            cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
            cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", [table, last])
        else:
            cursor.execute("SELECT setval(pg_get_serial_sequence(%s, %s), %s)", [f'"{table}"', key.column, last])
