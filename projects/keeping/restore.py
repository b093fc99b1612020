"""A backup put back into an empty place, and nowhere else: nothing that stands is ever written over."""

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection, transaction
from django.db.migrations.loader import MigrationLoader

from projects.keeping import files_kept, postgres_copy, sqlite_copy
from projects.keeping import manifest as about
from projects.keeping.backup import SQLITE_FILE, STORE, keys
from projects.keeping.copying import sha256_of
from projects.keeping.manifest import Manifest, Unreadable
from projects.walls.install import lifted


class NotEmpty(Exception):
    """Something stands where the backup would go. The message says what."""


@dataclass(frozen=True, slots=True)
class Restored:
    """What was put back, and what a person should know of it."""

    backup: str
    made_at: str
    tables: dict[str, int]
    files: int
    missing: list[str]
    notes: list[str]


def check(folder: Path) -> Manifest:
    """Whether all of the backup is there and undamaged. Raises Unreadable. Reads every byte of the database."""
    told = about.read(folder)
    for one in told.database:
        path = folder / one["path"]
        if not path.is_file() or path.stat().st_size != one["bytes"] or sha256_of(path) != one["sha256"]:
            raise Unreadable(f"{path} is damaged or gone. Take another backup.")
    for one in told.files:
        path = files_kept.place_of(folder.parent / STORE, one.sha256)
        if not path.is_file() or path.stat().st_size != one.bytes:
            raise Unreadable(f"{path} is damaged or gone: file {one.name} of shop {one.shop}. Take another backup.")
    unknown = _unknown(told)
    if unknown:
        raise Unreadable(f"The backup is of a newer program: it has {', '.join(unknown)}. Install that program first.")
    return told


def restore(folder: Path, say: Callable[[str], object] = lambda words: None) -> Restored:
    """Put a backup back as this installation: its database, where settings say it is, and media in CEILINGBOOK_VAR.

    Raises NotEmpty before anything is written, Unreadable where the backup isn't whole.
    """
    told = check(folder)
    if told.engine != connection.vendor:
        raise Unreadable(
            f"The backup is of {told.engine}, and DATABASE_URL says {connection.vendor}. Restore it on {told.engine}, "
            "then move it with move_to_postgres."
        )
    media = settings.VAR_DIR / "media"
    _insist_on_empty(media)
    say(f"{len(told.files)} files, {sum(one['rows'] for one in told.tables.values())} rows")
    try:
        for done, _one in enumerate(files_kept.put_back(told.files, folder.parent / STORE, media), 1):
            if done % 1000 == 0:
                say(f"{done} files are back")
        counted = (_into_sqlite if told.engine == "sqlite" else _into_postgres)(folder, told)
    except BaseException:
        shutil.rmtree(media, ignore_errors=True)  # it was empty
        raise
    wanted = {table: one["rows"] for table, one in told.tables.items()}
    if counted != wanted:
        raise Unreadable(f"Not all rows came back: {_unlike(wanted, counted)}")
    connection.close()
    call_command("migrate", verbosity=0, interactive=False)
    return Restored(told.name, told.made_at, counted, len(told.files), told.missing, _notes(told))


def _insist_on_empty(media):
    if media.is_dir() and any(media.iterdir()):
        raise NotEmpty(f"{media} holds files. A backup goes into an empty place only: set CEILINGBOOK_VAR to another.")
    if connection.vendor == "sqlite":
        if Path(connection.settings_dict["NAME"]).exists():
            raise NotEmpty(
                f"{connection.settings_dict['NAME']} is there. A backup goes into an empty place only: set "
                "CEILINGBOOK_VAR to another."
            )
        return
    with connection.cursor() as cursor:
        if postgres_copy.tables(cursor):
            raise NotEmpty(
                f"The database {connection.settings_dict['NAME']} has tables. A backup goes into an empty one only: "
                "create one, and name it in DATABASE_URL."
            )


def _into_sqlite(folder, told):
    target = Path(connection.settings_dict["NAME"])
    unfinished = target.with_name(f"{target.name}.part")
    unfinished.unlink(missing_ok=True)
    connection.close()
    try:
        sqlite_copy.copy(folder / SQLITE_FILE, unfinished)
        counted = sqlite_copy.look_over(unfinished)
        unfinished.replace(target)
    finally:
        unfinished.unlink(missing_ok=True)
    return counted


def _into_postgres(folder, told):
    _migrate_as_far_as(told)
    with transaction.atomic(), connection.cursor() as cursor:
        with lifted(connection):
            postgres_copy.put_back(cursor, folder, told.tables, told.sequences)
        return {table: rows for table, rows in postgres_copy.look_over(cursor).items() if table in told.tables}


def _migrate_as_far_as(told):
    """The tables as they were: no migration is run that the backup did not have."""
    graph = MigrationLoader(None).graph
    if {app: set(names) for app, names in told.migrations.items()} == _all_of(graph):
        call_command("migrate", verbosity=0, interactive=False)
        return
    applied = {(app, name) for app, names in told.migrations.items() for name in names}
    for app in sorted(told.migrations):
        for key in sorted(one for one in applied if one[0] == app):
            later = {child.key for child in graph.node_map[key].children}
            if not any(one in applied and one[0] == app for one in later):
                call_command("migrate", *key, verbosity=0, interactive=False)


def _all_of(graph):
    found = {}
    for app, name in graph.nodes:
        found.setdefault(app, set()).add(name)
    return found


def _unknown(told):
    known = set(MigrationLoader(None).disk_migrations)
    return [f"{app}.{name}" for app, names in told.migrations.items() for name in names if (app, name) not in known]


def _unlike(wanted, counted):
    names = sorted(name for name in {*wanted, *counted} if wanted.get(name) != counted.get(name))
    return ", ".join(f"{name} {counted.get(name, 0)} of {wanted.get(name, 0)}" for name in names)


def _notes(told):
    here = {key["name"]: key["fingerprint"] for key in keys()}
    notes = [
        f"{key['name']} is another than when the backup was made ({key['signs']})."
        for key in told.keys
        if here.get(key["name"]) != key["fingerprint"]
    ]
    if told.missing:
        notes.append(f"{len(told.missing)} files were gone already when the backup was made.")
    return notes
