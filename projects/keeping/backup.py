"""A backup of the whole installation while people work: the database at one moment, and every file it names.

It stands in its folder only when it is whole: until then the folder ends in .part.
"""

import datetime as dt
import fcntl
import os
import shutil
import time
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.utils import timezone

from projects.keeping import files_kept, hooks, postgres_copy, sqlite_copy
from projects.keeping import manifest as about
from projects.keeping.copying import sha256_of
from projects.keeping.manifest import Kept, Manifest
from projects.keeping.models import BackupMade

STORE = "files"
SQLITE_FILE = "database.sqlite3"
TRIES = 3  # a file taken back while it was being kept: the whole is read anew


def default_place() -> Path:
    return Path(os.environ.get("CEILINGBOOK_BACKUPS", settings.VAR_DIR / "backups"))


def make(place: Path) -> BackupMade:
    """Make a backup in the place. Returns its row; what the row tells of is on disk by then."""
    for do in hooks.BEFORE_BACKUP:
        do()
    place.mkdir(parents=True, exist_ok=True)
    began, now = time.monotonic(), timezone.now()
    with _alone(place):
        name = _free_name(place, now)
        for left in reversed(range(TRIES)):
            folder = place / f"{name}.part"
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir()
            told = _written(folder, name, now, place)
            if not left or not _came_back(told.missing):
                break
        digest = about.write(folder, told)
        folder.replace(place / name)
        _to_disk(place)
    return BackupMade.objects.create(
        name=name, made_at=now, seconds=round(time.monotonic() - began, 3), bytes=told.bytes,
        files=len(told.files), missing=len(told.missing), digest=digest,
    )  # fmt: skip


def forget_old(place: Path, most: int) -> list[str]:
    """Keep the newest so many; take away the others and the files only they named. Returns the names that went."""
    with _alone(place):
        old = about.finished(place)[max(most, 1) :]
        for folder in old:
            shutil.rmtree(folder)
        if old:
            wanted = {one.sha256 for folder in about.finished(place) for one in about.read(folder).files}
            files_kept.forget(place / STORE, wanted)
    return [folder.name for folder in old]


def _written(folder, name, now, place) -> Manifest:
    told = Manifest(
        name=name, made_at=now.astimezone(dt.UTC).isoformat(), engine=connection.vendor, migrations={}, tables={},
        database=[], keys=keys(),
    )  # fmt: skip
    named = (_of_sqlite if connection.vendor == "sqlite" else _of_postgres)(folder, told)
    told.files, told.missing = files_kept.keep(named, settings.VAR_DIR / "media", place / STORE, _known(place))
    return told


def _of_sqlite(folder, told):
    path = folder / SQLITE_FILE
    sqlite_copy.copy(Path(connection.settings_dict["NAME"]), path)
    told.tables = {table: {"rows": rows} for table, rows in sqlite_copy.look_over(path).items()}
    told.migrations = _by_app(sqlite_copy.migrations(path))
    told.database = [_file(folder, path)]
    return set().union(*(sqlite_copy.column(path, *column) for column in files_kept.columns()))


def _of_postgres(folder, told):
    other = connection.copy()
    named = set()
    try:
        other.set_autocommit(False)
        with other.cursor() as cursor:
            postgres_copy.begin(cursor)
            told.sequences = postgres_copy.sequences(cursor)
            told.tables = postgres_copy.write(cursor, folder)
            cursor.execute("SELECT app, name FROM django_migrations ORDER BY app, name")
            told.migrations = _by_app(cursor.fetchall())
            for table, column in files_kept.columns():
                cursor.execute(f"SELECT DISTINCT \"{column}\" FROM \"{table}\" WHERE \"{column}\" <> ''")
                named |= {row[0] for row in cursor.fetchall()}
        other.rollback()
    finally:
        other.close()
    told.database = [_file(folder, postgres_copy.path_of(folder, table)) for table in told.tables]
    return named


def _file(folder, path):
    with path.open("rb") as file:
        os.fsync(file.fileno())
    return {"path": str(path.relative_to(folder)), "bytes": path.stat().st_size, "sha256": sha256_of(path)}


def _by_app(applied):
    found = {}
    for app, name in applied:
        found.setdefault(app, []).append(name)
    return found


def _known(place) -> dict[tuple[str, str], Kept]:
    """What the newest backup of the place kept, by shop and name."""
    for folder in about.finished(place)[:1]:
        try:
            return {(one.shop, one.name): one for one in about.read(folder).files}
        except about.Unreadable:
            return {}
    return {}


def _came_back(missing):
    """Whether any of it was taken back only while it was being kept: then no record names it any more."""
    return bool(missing) and not set(missing) <= _named_now(missing)


def _named_now(names):
    found = set()
    with connection.cursor() as cursor:
        for table, column in files_kept.columns():
            for at in range(0, len(names), 500):
                some = names[at : at + 500]
                holes = ", ".join(["%s"] * len(some))
                cursor.execute(f'SELECT "{column}" FROM "{table}" WHERE "{column}" IN ({holes})', some)
                found |= {row[0] for row in cursor.fetchall()}
    return found


def keys() -> list[dict]:
    """The keys that are kept apart from any backup: which, where they are, by what to tell one from another."""
    where = "environment" if os.environ.get("CEILINGBOOK_SECRET_KEY") else "secret-key in CEILINGBOOK_VAR"
    return [{
        "name": "CEILINGBOOK_SECRET_KEY", "where": where, "fingerprint": about.fingerprint(settings.SECRET_KEY),
        "signs": "sessions and signed links: with another key everyone signs in anew",
    }]  # fmt: skip


def _free_name(place, now):
    name = now.astimezone(dt.UTC).strftime("%Y%m%d-%H%M%SZ")
    while (place / name).exists():
        now += dt.timedelta(seconds=1)
        name = now.astimezone(dt.UTC).strftime("%Y%m%d-%H%M%SZ")
    return name


@contextmanager
def _alone(place):
    """One backup of a place at a time; the other waits."""
    with (place / ".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _to_disk(folder):
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
