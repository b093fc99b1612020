"""Puts the triggers where they belong, after every migration and every emptying; cheap where they are there already.

A trigger's name carries a digest of its text, so what is installed is read off the database's own list of names.
SQLite rebuilds a table to change it and loses its triggers, and refuses to while others name it: before a migration
that does anything they are all taken down.
"""

import hashlib

from django.conf import settings
from django.db import connections, transaction

from projects.history import postgres, sqlite
from projects.history.recorded import tables


def before_migrating(sender, using, plan=(), **more):
    if plan and connections[using].vendor == "sqlite":
        _take_down(connections[using], _standing_in_sqlite(connections[using]))


def after_migrating(sender, using, **more):
    install(using)


def install(using="default") -> int:
    """How many triggers were put in place or taken down; 0 where all was as it should be."""
    connection = connections[using]
    there = set(connection.introspection.table_names())
    if "history_entry" not in there:
        return 0
    with transaction.atomic(using=using):
        return (_install_in_sqlite if connection.vendor == "sqlite" else _install_in_postgres)(connection, there)


def missing(using="default") -> list[str]:
    """Tables whose changes are not told although they should be, by name."""
    connection = connections[using]
    existing = set(connection.introspection.table_names())
    if connection.vendor == "sqlite":
        wanted = _wanted_in_sqlite(existing)
        gone = wanted.keys() - set(_standing_in_sqlite(connection))
        return sorted({wanted[name][0] for name in gone})
    wanted = _wanted_in_postgres(existing)
    there = _standing_in_postgres(connection)
    return sorted(table for table, (mark, *_) in wanted.items() if f"history_{mark}" not in there.get(table, ()))


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:8]


# SQLite


def _wanted_in_sqlite(existing):
    """{name: (table, text)}"""
    if not settings.HISTORY:
        return {}
    texts = {name: ("history_entry", text) for name, text in (sqlite.REFUSALS | sqlite.ARRIVING).items()}
    for table in tables():
        if table.name not in existing:  # its migration is yet to come
            continue
        texts |= {name: (table.name, text) for name, text in sqlite.triggers(table).items()}
    return {f"{name}_{_mark(text)}": (table, text) for name, (table, text) in texts.items()}


def _standing_in_sqlite(connection):
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'history\\_%' ESCAPE '\\'")
        return [name for (name,) in cursor.fetchall()]


def _install_in_sqlite(connection, existing):
    wanted, there = _wanted_in_sqlite(existing), set(_standing_in_sqlite(connection))
    old, new = there - wanted.keys(), wanted.keys() - there
    _take_down(connection, old)
    with connection.cursor() as cursor:
        if new:
            cursor.execute(sqlite.MAKE_VIEW)
        for name in sorted(new):
            cursor.execute(f'CREATE TRIGGER "{name}" {wanted[name][1]}')
    return len(old) + len(new)


def _take_down(connection, names):
    with connection.cursor() as cursor:
        for name in names:
            cursor.execute(f'DROP TRIGGER "{name}"')


# PostgreSQL


def _wanted_in_postgres(existing):
    """{table: (mark, text that makes it)}; the refusals stand under the history's own table."""
    if not settings.HISTORY:
        return {}
    wanted = {}
    for table in tables():
        if table.name not in existing:  # its migration is yet to come
            continue
        text = postgres.function(table)
        mark = _mark(postgres.SHARED + text)
        wanted[table.name] = mark, text + postgres.trigger(table, mark)
    return wanted


def _standing_in_postgres(connection):
    """{table: names of the history's triggers on it}"""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT c.relname, t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
            "WHERE t.tgname LIKE 'history\\_%' AND pg_table_is_visible(c.oid)"
        )
        there: dict[str, set[str]] = {}
        for table, name in cursor.fetchall():
            there.setdefault(table, set()).add(name)
        return there


def _install_in_postgres(connection, existing):
    wanted, there = _wanted_in_postgres(existing), _standing_in_postgres(connection)
    fixed = _mark(postgres.SHARED)
    keeps = {(table, f"history_{mark}") for table, (mark, _) in wanted.items()}
    if wanted:
        keeps |= {(table, f"history_{way}_{fixed}") for table in ("history_entry", "history_seal")
                  for way in ("fixed", "whole")}  # fmt: skip
    stand = {(table, name) for table, names in there.items() for name in names}
    if keeps == stand:
        return 0
    texts = [f'DROP TRIGGER "{name}" ON "{table}";' for table, name in sorted(stand - keeps)]
    new = keeps - stand
    if new:
        texts.append(postgres.SHARED)
        texts += [text for table, (mark, text) in wanted.items() if (table, f"history_{mark}") in new]
        if ("history_entry", f"history_fixed_{fixed}") in new:
            texts.append(postgres.refusals(fixed))
    with connection.cursor() as cursor:
        cursor.execute("".join(texts))
    return len(stand - keeps) + len(new)
