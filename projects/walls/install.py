"""Puts the wall up after every migration, or takes it down where settings.ROW_WALL is off. PostgreSQL alone has one.

A policy's name carries a digest of its text, so what stands is read off the database's own list of names.
"""

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import connections, transaction

from projects.walls import policies
from projects.walls.rows import ADDED_TO_BY_ANYONE, AT_THE_DOOR, walled


def after_migrating(sender, using, **more):
    install(using)


def install(using="default") -> int:
    """How many policies were put in place or taken down; 0 where all was as it should be."""
    connection = connections[using]
    if connection.vendor != "postgresql":
        return 0
    wanted = _wanted(set(connection.introspection.table_names()))
    there, walls = _standing(connection), _walled(connection)
    tables = {table for table, _ in wanted}
    texts = [f'DROP POLICY "{name}" ON "{table}";' for table, name in sorted(there - wanted.keys())]
    texts += [policies.take_down(table) for table in sorted({table for table, _ in there} & walls - tables)]
    texts += [policies.put_up(table) for table in sorted(tables - walls)]
    texts += [f'CREATE POLICY "{n}" ON "{t}" {text};' for (t, n), text in wanted.items() if (t, n) not in there]
    if texts:
        with transaction.atomic(using=using), connection.cursor() as cursor:
            cursor.execute("".join(texts))
    return len(wanted.keys() ^ there)


def missing(using="default") -> list[str]:
    """Tables whose rows the database would hand to any shop although it should not, by name."""
    connection = connections[using]
    if connection.vendor != "postgresql":
        return []
    wanted = _wanted(set(connection.introspection.table_names()))
    there, walls = _standing(connection), _walled(connection)
    return sorted({table for table, name in wanted if table not in walls or (table, name) not in there})


def passes_through(using="default") -> bool:
    """Whether the role that this connection speaks as sees past every wall: a superuser does."""
    connection = connections[using]
    if connection.vendor != "postgresql":
        return True
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolsuper OR rolbypassrls FROM pg_roles WHERE rolname = current_user")
        return cursor.fetchone()[0]


@contextmanager
def lifted(connection) -> Iterator[None]:
    """Inside, the owner of the tables sees past the wall: COPY into a walled table is refused. In one transaction."""
    tables = sorted(_walled(connection)) if connection.vendor == "postgresql" else []
    with connection.cursor() as cursor:
        for table in tables:
            cursor.execute(f'ALTER TABLE "{table}" NO FORCE ROW LEVEL SECURITY')
    yield
    with connection.cursor() as cursor:
        for table in tables:
            cursor.execute(f'ALTER TABLE "{table}" FORCE ROW LEVEL SECURITY')


def _wanted(existing) -> dict[tuple[str, str], str]:
    """{(table, policy): text}"""
    if not settings.ROW_WALL:
        return {}
    wanted = {}
    for model, shop in walled().items():
        table, label = model._meta.db_table, model._meta.label
        if table not in existing:  # its migration is yet to come
            continue
        texts = policies.policies(
            table, shop, at_the_door=label in AT_THE_DOOR, added_to_by_anyone=label in ADDED_TO_BY_ANYONE
        )
        wanted |= {(table, f"wall_{what}_{_mark(text)}"): text for what, text in texts.items()}
    return wanted


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:8]


def _standing(connection) -> set[tuple[str, str]]:
    """(table, policy) of the wall's policies"""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT c.relname, p.polname FROM pg_policy p JOIN pg_class c ON c.oid = p.polrelid "
            "WHERE p.polname LIKE 'wall\\_%' AND pg_table_is_visible(c.oid)"
        )
        return set(cursor.fetchall())


def _walled(connection) -> set[str]:
    """Tables whose row security is on and binds their owner."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relname FROM pg_class WHERE relrowsecurity AND relforcerowsecurity AND pg_table_is_visible(oid)"
        )
        return {name for (name,) in cursor.fetchall()}
