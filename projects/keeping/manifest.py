"""What a backup says of itself: engine, migrations, tables, files, keys. One JSON file, written last.

A backup is a folder. Its database stands in it; its files stand in `files/` beside all backups of the same place, each
once under its own SHA-256, so that an hourly backup of 10 GB of photos writes the new ones only.
"""

import hashlib
import hmac
import json
import os
from dataclasses import asdict, dataclass, field
from pathlib import Path

FORMAT = 1
NAME = "manifest.json"


class Unreadable(Exception):
    """The backup can't be used. The message says what is wrong with it, and what to do."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A file of a shop: its folder in media, its name, its size and its SHA-256."""

    shop: str
    name: str
    bytes: int
    sha256: str


@dataclass(slots=True)
class Manifest:
    name: str
    made_at: str  # ISO 8601, UTC
    engine: str  # sqlite or postgresql
    migrations: dict[str, list[str]]
    tables: dict[str, dict]  # {name: {"rows": n, …}}
    database: list[dict]  # [{"path", "bytes", "sha256"}], relative to the backup
    files: list[Kept] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)  # named by a record, and in no folder
    sequences: dict[str, int] = field(default_factory=dict)
    keys: list[dict] = field(default_factory=list)
    format: int = FORMAT

    @property
    def bytes(self):
        return sum(one["bytes"] for one in self.database) + sum(one.bytes for one in self.files)


def write(folder: Path, manifest: Manifest) -> str:
    """Into the folder, and to disk. Returns its SHA-256."""
    text = json.dumps(asdict(manifest), indent=1, sort_keys=True, ensure_ascii=True).encode()
    with (folder / NAME).open("wb") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    return hashlib.sha256(text).hexdigest()


def read(folder: Path) -> Manifest:
    """Raises Unreadable."""
    try:
        found = json.loads((folder / NAME).read_bytes())
    except FileNotFoundError:
        raise Unreadable(f"{folder} holds no {NAME}: it is no backup, or it was never finished.") from None
    except ValueError:
        raise Unreadable(f"{folder / NAME} is damaged. Take another backup.") from None
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        raise Unreadable(f"{folder / NAME} is of another format than {FORMAT}. Use the program that wrote it.")
    try:
        return Manifest(**{**found, "files": [Kept(**one) for one in found["files"]]})
    except (TypeError, KeyError):
        raise Unreadable(f"{folder / NAME} is damaged. Take another backup.") from None


def fingerprint(secret: str) -> str:
    """By which a key can be told from another without being known."""
    return hmac.new(secret.encode(), b"ceilingbook backup", hashlib.sha256).hexdigest()[:12]


def finished(folder: Path) -> list[Path]:
    """The whole backups of a place, the newest first."""
    if not folder.is_dir():
        return []
    return sorted((one for one in folder.iterdir() if (one / NAME).is_file() and one.suffix != ".part"), reverse=True)
