"""A shop's file as somebody hands it in: what it may hold, and its lines one by one. Knows no table.

Nothing in it is taken on trust: not its directory, not its sizes, not its digests. What is wrong is told by line.
"""

import hashlib
import json
import math
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

from projects.keeping.copying import PIECE
from projects.keeping.shop_out import ABOUT, FORMAT

MOST_ABOUT = 50_000_000  # bytes
LONGEST_LINE = 64_000_000
MOST_ENTRIES = 1_000_000
MOST_UNPACKED = 200  # times: a line of JSON is never packed as tight as this
MOST_TOLD = 20
ENTRY = re.compile(r"about\.json|tables/[\w.-]{1,80}\.jsonl|files/[A-Za-z0-9_-]{1,60}\.[a-z0-9]{2,5}")
# How a file of each ending begins; what is kept was written by the program, and is one of these.
BEGINS = {"jpg": b"\xff\xd8\xff", "png": b"\x89PNG", "webp": b"RIFF", "pdf": b"%PDF-"}


class Refused(Exception):
    """The file can't be taken in; nothing was. `reasons`: one a line, with file and line."""

    def __init__(self, *reasons):
        super().__init__("\n".join(reasons))
        self.reasons = reasons


class ShopFile:
    """An opened shop's file whose directory was found in order. Raises Refused."""

    def __init__(self, path: Path):
        try:
            self._zip = zipfile.ZipFile(path)
        except (zipfile.BadZipFile, OSError, NotImplementedError, ValueError) as wrong:
            raise Refused(f"{path.name} is no shop's file: {wrong}.") from None
        self._entries = self._checked()
        self.about = self._about()

    def __enter__(self):
        return self

    def __exit__(self, *raised):
        self._zip.close()

    def _checked(self):
        entries: dict[str, zipfile.ZipInfo] = {}
        if len(self._zip.infolist()) > MOST_ENTRIES:
            raise Refused(f"The file has over {MOST_ENTRIES:,} entries.")
        for one in self._zip.infolist():
            name = ascii(one.filename)
            if not ENTRY.fullmatch(one.filename):
                raise Refused(f"{name} does not belong in a shop's file.")
            if one.filename in entries:
                raise Refused(f"{name} stands in it twice.")
            kind = stat.S_IFMT(one.external_attr >> 16)
            if one.flag_bits & 1 or kind not in (0, stat.S_IFREG):
                raise Refused(f"{name} is locked or no plain file.")
            if one.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                raise Refused(f"{name} is packed in a way that is not read here.")
            if one.file_size > PIECE and one.file_size > one.compress_size * MOST_UNPACKED:
                raise Refused(f"{name} unpacks to more than {MOST_UNPACKED} times its size.")
            entries[one.filename] = one
        if ABOUT not in entries or entries[ABOUT].file_size > MOST_ABOUT:
            raise Refused(f"It has no {ABOUT}, or one that is too long.")
        return entries

    def _about(self):
        with self._zip.open(self._entries[ABOUT]) as file:
            about = read_json(file.read(MOST_ABOUT), ABOUT)
        if not isinstance(about, dict) or about.get("format") != FORMAT:
            raise Refused(f"{ABOUT}: it is of another format than {FORMAT}. Use the program that wrote it.")
        shape = {"tables": dict, "files": dict, "missing": list, "rooms_in_texts": dict, "highest_in_texts": int}
        for name, kind in shape.items():
            if not isinstance(about.get(name), kind) or isinstance(about.get(name), bool):
                raise Refused(f"{ABOUT}: “{name}” is not as it was written.")
        told = {ABOUT, "tables/rooms-in-texts.jsonl", *(f"tables/{name}.jsonl" for name in about["tables"])}
        told |= {f"files/{name}" for name in about["files"]}
        if stray := sorted(told ^ set(self._entries)):
            raise Refused(*(f"{name!a} stands in the file or in {ABOUT}, and not in both." for name in stray[:5]))
        return about

    def lines(self, name: str, told: dict) -> Iterator[tuple[int, dict]]:
        """(line, value) of a table. Raises Refused at a line that is no object, and where the sums don't agree."""
        seen, number = hashlib.sha256(), 0
        with self._open(name) as file:
            while line := _line(file, name, number + 1):
                number += 1
                seen.update(line)
                value = read_json(line, f"{name}, line {number}")
                if not isinstance(value, dict):
                    raise Refused(f"{name}, line {number}: an object stands here.")
                yield number, value
        if told.get("rows") != number:
            raise Refused(f"{name}: {number} lines, and {ABOUT} says {told.get('rows')}.")
        if told.get("sha256") != seen.hexdigest():
            raise Refused(f"{name}: it was changed since it was written (SHA-256).")

    def pieces(self, name: str, told: dict) -> Iterator[bytes]:
        """A kept file's bytes. Raises Refused where they are not what was kept, at the latest at the end."""
        seen, size, first = hashlib.sha256(), 0, True
        with self._open(f"files/{name}") as file:
            while piece := _read(file, PIECE, name):
                if first and not piece.startswith(BEGINS.get(name.rsplit(".", 1)[1], b"\0none")):
                    raise Refused(f"files/{name}: it is not what its name says.")
                first = False
                seen.update(piece)
                size += len(piece)
                yield piece
        if told.get("bytes") != size or told.get("sha256") != seen.hexdigest():
            raise Refused(f"files/{name}: it was changed since it was written (SHA-256).")

    def size_of(self, name: str) -> int:
        return self._entries[f"files/{name}"].file_size

    def _open(self, name):
        try:
            return self._zip.open(self._entries[name])
        except (zipfile.BadZipFile, NotImplementedError, OSError) as wrong:
            raise Refused(f"{name}: it is damaged ({wrong}).") from None


def _line(file, name, number):
    try:
        line = file.readline(LONGEST_LINE)
    except (zipfile.BadZipFile, OSError, EOFError, zlib.error) as wrong:
        raise Refused(f"{name}, line {number}: it is damaged ({wrong}).") from None
    if len(line) >= LONGEST_LINE:
        raise Refused(f"{name}, line {number}: the line is too long.")
    return line


def _read(file, count, name):
    try:
        return file.read(count)
    except (zipfile.BadZipFile, OSError, EOFError, zlib.error) as wrong:
        raise Refused(f"files/{name}: it is damaged ({wrong}).") from None


def read_json(raw: bytes, where: str):
    try:
        return json.loads(raw.decode(), object_pairs_hook=_no_key_twice, parse_float=_finite, parse_constant=_finite)
    except (ValueError, RecursionError) as wrong:
        raise Refused(f"{where}: it is no JSON as it was written ({wrong}).") from None


def _no_key_twice(pairs):
    if len(dict(pairs)) < len(pairs):
        raise ValueError("a name stands twice in one object")
    return dict(pairs)


def _finite(text):
    if not math.isfinite(number := float(text)):
        raise ValueError(f"{text[:20]} is no number")
    return number
