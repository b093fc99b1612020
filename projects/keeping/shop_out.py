"""A whole shop as one file: its records as lines of JSON, its files as they are. The same shop gives the same bytes.

The file is a zip: `tables/<app.Model>.jsonl`, a record a line; `files/<name>`; last `about.json`, which says how many
rows and which SHA-256 each of them has. A record's relations are numbers: the place of the other record in its table,
from 1. What stays behind, and why, is told in leaving.py. Described for others in the guide.
"""

import hashlib
import json
import zipfile
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.db import connection, transaction

from projects.files import store
from projects.keeping import known_as, leaving, plain
from projects.keeping.copying import copied
from projects.keeping.numbers import HELD_IDS, RECKONED, Numbers

FORMAT = 1
ABOUT, KNOWN = "about.json", "tables/rooms-in-texts.jsonl"
LONG_AGO = (1980, 1, 1, 0, 0, 0)  # no time of its own: the same shop is the same file


def write(shop, target: IO[bytes], progress=lambda done, total: None) -> dict:
    """The shop's file into `target`. Returns what about.json says. Read at one moment, whatever is written meanwhile.

    progress(done, total): tables and files, called between them.
    """
    with _one_moment(), zipfile.ZipFile(target, "w") as into:
        tables = leaving.going_out()
        numbers = Numbers({model._meta.label: _numbered(shop, model) for model in tables})
        known = _known(shop, numbers)
        names = sorted({name for model in tables for name in _files_named(shop, model)})
        total = len(tables) + len(names)
        about = {"format": FORMAT, "what": "a shop of Ceilingbook", "tables": {}, "files": {}, "missing": []}
        for done, model in enumerate(tables):
            about["tables"][model._meta.label] = _table(into, shop, model, numbers)
            progress(done, total)
        about["rooms_in_texts"] = _lines(into, KNOWN, known["pairs"])
        about["highest_in_texts"] = known["highest"]
        for done, name in enumerate(names, len(tables)):
            path = store.path_of(shop.pk, name)
            if path.is_file():
                about["files"][name] = _file(into, name, path)
            else:
                about["missing"].append(name)
            progress(done, total)
        with into.open(_entry(ABOUT), "w") as file:
            file.write(json.dumps(about, indent=1, sort_keys=True, ensure_ascii=False).encode())
    return about


@contextmanager
def _one_moment():
    """A transaction that only reads, and keeps nobody from writing."""
    if connection.vendor != "sqlite":
        outermost = not connection.in_atomic_block
        with transaction.atomic():
            if outermost:
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            yield
        return
    usual, connection.transaction_mode = connection.transaction_mode, "DEFERRED"
    try:
        with transaction.atomic():
            yield
    finally:
        connection.transaction_mode = usual


def rows_of(shop, model):
    """A table's rows of the shop, in the order they were made."""
    rows = model._base_manager.filter(**{leaving.way_to_shop(model): shop.pk})
    return (rows.distinct() if model._meta.label == leaving.USER else rows).order_by("pk")


def _numbered(shop, model):
    return {key: number for number, key in enumerate(rows_of(shop, model).values_list("pk", flat=True).iterator(), 1)}


def _table(into, shop, model, numbers):
    return _lines(into, f"tables/{model._meta.label}.jsonl", _rows(shop, model, numbers))


def _rows(shop, model, numbers):
    fields = leaving.fields_of(model)
    keys = rows_of(shop, model).values_list("pk", *(field.attname for field in fields))
    for number, (key, *values) in enumerate(keys.iterator(chunk_size=2000), 1):
        row = {"n": number}
        for field, value in zip(fields, values, strict=True):
            column = f"{model._meta.label}.{field.name}"
            if field.is_relation:
                row[field.name] = numbers.of(field.related_model._meta.label, value)
            elif column in HELD_IDS:
                row[field.name] = HELD_IDS[column][0](value, numbers)
            elif column in RECKONED:
                row[field.name] = RECKONED[column][0](key)
            else:
                row[field.name] = plain.out(field, value)
        yield row


def _known(shop, numbers):
    """Which numbers in kept texts are which room. highest: of all numbers there, also of rooms that are no more."""
    found, here = known_as.numbers_in_texts(shop.pk), known_as.rooms_here(shop.pk)
    pairs = ((number, numbers.of("jobs.Room", here.get(number, number))) for number in sorted(found))
    return {
        "pairs": [{"number": number, "room": room} for number, room in pairs if room is not None],
        "highest": max(found, default=0),
    }


def _lines(into, name, rows):
    seen, count = hashlib.sha256(), 0
    with into.open(_entry(name, zipfile.ZIP_DEFLATED), "w", force_zip64=True) as file:
        for row in rows:
            line = json.dumps(row, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
            told = line.encode() + b"\n"
            seen.update(told)
            file.write(told)
            count += 1
    return {"rows": count, "sha256": seen.hexdigest()}


def _files_named(shop, model):
    for column in getattr(model, "KEEPS_FILES", ()):
        yield from rows_of(shop, model).exclude(**{column: ""}).values_list(column, flat=True)


def _file(into, name, path: Path):
    with path.open("rb") as old, into.open(_entry(f"files/{name}"), "w", force_zip64=True) as new:
        size, sha256 = copied(old, new)
    return {"bytes": size, "sha256": sha256}


def _entry(name, how=zipfile.ZIP_STORED):
    entry = zipfile.ZipInfo(name, LONG_AGO)
    entry.compress_type, entry.external_attr = how, 0o600 << 16
    return entry
