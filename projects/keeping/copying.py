"""Bytes that are copied or read through, a piece at a time however many, and their SHA-256. Knows nothing of whose."""

import hashlib
from pathlib import Path
from typing import IO

PIECE = 1 << 20  # bytes at a time


def copied(old: IO[bytes], new: IO[bytes]) -> tuple[int, str]:
    """All of `old` into `new`. Returns how many bytes that was, and their SHA-256."""
    seen, size = hashlib.sha256(), 0
    while piece := old.read(PIECE):
        seen.update(piece)
        new.write(piece)
        size += len(piece)
    return size, seen.hexdigest()


def sha256_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
