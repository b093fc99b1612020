"""The files that records name: found in the shops' folders, kept once under their SHA-256, put back whole."""

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from django.apps import apps

from projects.keeping.copying import copied
from projects.keeping.manifest import Kept, Unreadable


def columns() -> list[tuple[str, str]]:
    """(table, column) of everything that names a file."""
    models = [model for model in apps.get_models() if getattr(model, "KEEPS_FILES", ())]
    return [
        (model._meta.db_table, model._meta.get_field(name).column) for model in models for name in model.KEEPS_FILES
    ]


def found(media: Path) -> dict[str, tuple[str, Path]]:
    """{name: (the shop's folder, path)} of all files there are; names are never given twice."""
    if not media.is_dir():
        return {}
    folders = [one for one in media.iterdir() if one.is_dir()]
    return {path.name: (folder.name, path) for folder in folders for path in folder.iterdir() if path.is_file()}


def keep(named: Iterable[str], media: Path, store: Path, known: dict[tuple[str, str], Kept]):
    """Bring into the store what it lacks. Returns (what is kept, names of what is nowhere).

    known: what an earlier backup of this store kept. A file is never written again under its name, so one of the same
    size is the same one.
    """
    there, kept, missing = found(media), [], []
    for name in sorted(named):
        if name not in there:
            missing.append(name)
            continue
        shop, path = there[name]
        try:
            kept.append(_keep_one(shop, path, store, known.get((shop, name))))
        except FileNotFoundError:  # taken back meanwhile
            missing.append(name)
    return kept, missing


def _keep_one(shop, path, store, before):
    size = path.stat().st_size
    if before and before.bytes == size and place_of(store, before.sha256).exists():
        return before
    unfinished = store / f"{path.name}.{os.getpid()}.part"
    store.mkdir(parents=True, exist_ok=True)
    try:
        with path.open("rb") as old, unfinished.open("wb") as new:
            size, sha256 = copied(old, new)
            new.flush()
            os.fsync(new.fileno())
        place = place_of(store, sha256)
        place.parent.mkdir(exist_ok=True)
        unfinished.replace(place)
    finally:
        unfinished.unlink(missing_ok=True)
    return Kept(shop, path.name, size, sha256)


def place_of(store: Path, sha256: str) -> Path:
    return store / sha256[:2] / sha256


def put_back(files: Iterable[Kept], store: Path, media: Path) -> Iterator[Kept]:
    """Each into its shop's folder, after its bytes were found to be what was kept. Raises Unreadable."""
    for one in files:
        if Path(one.name).name != one.name or not one.shop.isdecimal():
            raise Unreadable(f"The backup names a file {one.name!r} that belongs in no shop's folder.")
        place, target = place_of(store, one.sha256), media / one.shop / one.name
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            with place.open("rb") as old, target.open("wb") as new:
                _, sha256 = copied(old, new)
        except FileNotFoundError:
            raise Unreadable(f"{place} is gone: file {one.name} of shop {one.shop} can't be put back.") from None
        if sha256 != one.sha256:
            raise Unreadable(f"{place} is damaged: file {one.name} of shop {one.shop} can't be put back.")
        yield one


def forget(store: Path, wanted: set[str]) -> int:
    """Take away what no backup names any more. Returns how many files went."""
    if not store.is_dir():
        return 0
    gone = [path for path in store.glob("??/*") if path.name not in wanted]
    for path in gone:
        path.unlink()
    return len(gone)
