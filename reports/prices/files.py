"""Price files as rows of text: CSV and XLSX, read with a limit on everything. Knows nothing of what a column means.

A formula stays a formula and a date stays marked as one, so that nobody takes either for a price.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import unicodedata
import zipfile
from dataclasses import dataclass
from operator import is_not

from django.utils.translation import gettext as _
from openpyxl import load_workbook
from openpyxl.cell.read_only import EMPTY_CELL

from projects.platform.names import JOINERS, MOST_MARKS
from reports.estimating.price_reading import DATE_CELL
from reports.spreadsheets import guarded, unguarded

MOST_BYTES = 5_000_000
MOST_UNPACKED = 80_000_000
MOST_PARTS = 1_000
MOST_ROWS = 10_000
MOST_COLUMNS = 40
MOST_IN_A_CELL = 300
MACROS = "vbaproject.bin"
ENCRYPTED = 1  # a packed part's flag. Source: PKWARE APPNOTE 4.4.4, bit 0
LAST_ROW = 1_048_576  # a spreadsheet has no row below it
NOTHING = (EMPTY_CELL,) * MOST_COLUMNS  # a row that isn't written; a file of a few bytes may have a million


class CannotRead(ValueError):
    """A file that is not taken. The message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """rows: (line in the file, cells); the header first. left_out: what of the file was not read, in words."""

    name: str
    rows: list[tuple[int, list[str]]]
    left_out: tuple[str, ...] = ()


def read_file(name: str, content: bytes) -> Sheet:
    """Raises CannotRead."""
    if not content.strip():
        raise CannotRead(_("The file is empty. Choose one with a row of column names and prices below."))
    if len(content) > MOST_BYTES:
        raise CannotRead(_("The file is over 5 MB. Leave only the price columns in it, or send it in parts."))
    if content[:4] == b"PK\x03\x04":
        return _checked(_xlsx(content))
    if content[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        raise CannotRead(_("This is an old or a locked spreadsheet. Save it as XLSX without a password, or as CSV."))
    return _checked(_csv(content))


def _checked(sheet: Sheet) -> Sheet:
    if len(sheet.rows) < 2:
        raise CannotRead(_("There are no prices in it: a row of column names comes first, then a row for each price."))
    return sheet


def _csv(content: bytes) -> Sheet:
    text = _decoded(content)
    if "\0" in text:
        raise CannotRead(_("This is no CSV: it holds bytes that are no text. Save the price list as CSV or XLSX."))
    first = text.split("\n", 1)[0]
    delimiter = max(",;\t|", key=first.count)
    rows: list[tuple[int, list[str]]] = []
    # Strictly: else a quotation mark that is never closed takes every row behind it into its cell, unseen.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            _take(rows, line, [_unguarded(cell) for cell in cells])
            line = reader.line_num + 1
    except csv.Error as wrong:
        raise CannotRead(_("Line %(line)s can't be read: %(wrong)s.") % {"line": line, "wrong": wrong}) from wrong
    return Sheet("", rows)


def _unguarded(cell: str) -> str:
    """A cell of a CSV of ours, without the apostrophe that keeps a spreadsheet from taking it for a formula."""
    written = unguarded(cell)
    return written if guarded(written) == cell else cell


def _decoded(content: bytes) -> str:
    wide = content[:2] in (b"\xff\xfe", b"\xfe\xff")
    encodings = ["utf-16"] if wide else ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise CannotRead(_("The letters in it can't be read. Save it as CSV in UTF-8, or as XLSX."))


def _xlsx(content: bytes) -> Sheet:
    _refuse_bombs(content)
    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=False, keep_links=False)
    except Exception as wrong:  # openpyxl raises what its parts raise
        raise CannotRead(_("This spreadsheet can't be read. Save it again as XLSX, or as CSV.")) from wrong
    try:
        shown = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
        hidden = [sheet.title for sheet in book.worksheets if sheet.sheet_state != "visible"]
        if not shown:
            raise CannotRead(_("Every sheet in it is hidden. Show the one with the prices and save it again."))
        sheet = shown[0]
        rows: list[tuple[int, list[str]]] = []
        sheet.reset_dimensions()  # how far a sheet goes is seen, not believed: what it says of itself may be too short
        for line, cells in enumerate(sheet.iter_rows(max_row=LAST_ROW, max_col=MOST_COLUMNS), start=1):
            if any(map(is_not, cells, NOTHING)):
                _take(rows, line, [_text(cell.value) for cell in cells])
        left_out = [_("hidden sheet %(name)s") % {"name": name} for name in hidden]
        left_out += [_("sheet %(name)s") % {"name": other.title} for other in shown[1:]]
        return Sheet(sheet.title[:80], rows, tuple(left_out[:20]))
    except CannotRead:
        raise
    except Exception as wrong:
        raise CannotRead(_("This spreadsheet can't be read. Save it again as XLSX, or as CSV.")) from wrong
    finally:
        book.close()


def _refuse_bombs(content: bytes) -> None:
    """What a packed file says it unpacks to, added up before anything is unpacked; reading more than said fails."""
    try:
        parts = zipfile.ZipFile(io.BytesIO(content)).infolist()
    except zipfile.BadZipFile as wrong:
        raise CannotRead(_("This spreadsheet can't be read. Save it again as XLSX, or as CSV.")) from wrong
    if any(part.filename.lower().endswith(MACROS) for part in parts):
        raise CannotRead(_("This spreadsheet has macros in it. Save it as XLSX, which has none, or as CSV."))
    if any(part.flag_bits & ENCRYPTED for part in parts):
        raise CannotRead(_("This is an old or a locked spreadsheet. Save it as XLSX without a password, or as CSV."))
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise CannotRead(_("Unpacked, this file is far larger than a price list. Leave only the price columns in it."))


def _take(rows: list[tuple[int, list[str]]], line: int, cells: list[str]) -> None:
    """Rows with nothing in them are left out; the first with something is the header."""
    cells = [_seen(cell)[:MOST_IN_A_CELL] for cell in cells[:MOST_COLUMNS]]
    while cells and not cells[-1]:
        cells.pop()
    if not cells:
        return
    if len(rows) > MOST_ROWS:
        raise CannotRead(_("There are over %(most)s rows in it. Send it in parts.") % {"most": f"{MOST_ROWS:,}"})
    rows.append((line, cells))


def _seen(text: str) -> str:
    """What of a cell can be seen. Lists bring hidden characters along, which no name may hold."""
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    shown, marks = [], 0
    for char in unicodedata.normalize("NFC", " ".join(text.split())):
        category = unicodedata.category(char)
        marks = marks + 1 if category == "Mn" else 0
        if marks <= MOST_MARKS and (category not in ("Cc", "Cf", "Cs", "Co") or char in JOINERS):
            shown.append(char)
    return " ".join("".join(shown).split())


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime):
        return value.date().isoformat() + DATE_CELL
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat() + DATE_CELL
    if isinstance(value, float):
        return format(value, ".15g")
    return str(value)
