"""A consistent copy of a SQLite database that is being written, and whether a database is sound.

Only SQLite's own online copy is used, in one step: a plain copy of the file leaves out what is in the write-ahead log.
"""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

WAIT = 60  # seconds for a lock


class Unsound(Exception):
    """The database does not hold together. The message is SQLite's own."""


def copy(source: Path, target: Path):
    """Everything committed so far, as one file without a log beside it. The target must not exist."""
    if target.exists():
        raise FileExistsError(target)
    with closing(sqlite3.connect(source, timeout=WAIT)) as old, closing(sqlite3.connect(target)) as new:
        old.backup(new)
        new.execute("PRAGMA journal_mode=DELETE")
    with target.open("rb") as file:
        os.fsync(file.fileno())


def look_over(path: Path) -> dict[str, int]:
    """Rows by table. Raises Unsound."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as database:
        said = [row[0] for row in database.execute("PRAGMA integrity_check(5)")]
        if said != ["ok"]:
            raise Unsound("; ".join(said))
        astray = database.execute("PRAGMA foreign_key_check").fetchmany(5)
        if astray:
            raise Unsound(f"rows that name rows which are not there: {astray}")
        return {name: _count(database, name) for name in tables(database)}


def tables(database) -> list[str]:
    found = database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    return sorted(row[0] for row in found if not row[0].startswith("sqlite_"))


def _count(database, table):
    return database.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0]


def column(path: Path, table: str, name: str) -> set[str]:
    """The filled-in values of a column of text."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as database:
        return {row[0] for row in database.execute(f'SELECT DISTINCT "{name}" FROM "{table}"') if row[0]}


def migrations(path: Path) -> list[tuple[str, str]]:
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as database:
        return database.execute("SELECT app, name FROM django_migrations ORDER BY app, name").fetchall()
