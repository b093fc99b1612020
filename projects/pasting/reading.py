"""From pasted text to rows: which separator, which column is which. Values in, values out; what a cell says is read in
rows.py.
"""

import csv
from dataclasses import dataclass

COLUMNS = ("name", "level", "left_right", "door_far", "height", "ceiling_system", "lights", "speakers", "note")
# How people head the columns, in small letters; the first is the one shown.
HEADINGS = {
    "name": ("room", "name", "room name"),
    "level": ("level", "floor", "story"),
    "left_right": ("left to right", "width", "wide"),
    "door_far": ("door to far wall", "door to far", "length", "depth", "deep"),
    "height": ("height", "ceiling height"),
    "ceiling_system": ("ceiling", "ceiling system"),
    "lights": ("lights", "light count"),
    "speakers": ("speakers", "speaker count"),
    "note": ("note", "notes", "remarks"),
}


class Unreadable(Exception):
    """The text is no table. code: why, a key of the words in rows.py; told: what those words name."""

    def __init__(self, code, **told):
        super().__init__(code)
        self.code, self.told = code, told


@dataclass(frozen=True, slots=True)
class Table:
    """columns: what each holds, in order. rows: (number of the line as pasted, cells), empty lines left out."""

    columns: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


def table_of(text: str) -> Table:
    """Tabs if there are any, else semicolons or commas, whichever are more. A first row of headings is known by its
    words. Raises Unreadable.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    try:
        # Strictly: else a quotation mark that is never closed takes every row behind it into its cell, unseen.
        reader = csv.reader((f"{line}\n" for line in lines.split("\n")), delimiter=_separator(lines), strict=True)
        read = [(reader.line_num, tuple(cell.strip() for cell in cells)) for cells in reader]
    except csv.Error as error:
        raise Unreadable("broken" if "limit" in str(error) else "quote", why=str(error)) from error
    rows = [(number, cells) for number, cells in read if any(cells)]
    if not rows:
        raise Unreadable("empty")
    columns = _headed(rows[0][1])
    if columns is None:
        return Table(COLUMNS, tuple(rows))
    return Table(columns, tuple(rows[1:]))


def _separator(text):
    if "\t" in text:
        return "\t"
    return ";" if text.count(";") > text.count(",") else ","


def _headed(cells):
    """What the columns hold where the first row is headings, else None. Raises Unreadable for one that isn't known."""
    words = [" ".join(cell.lower().split()) for cell in cells]
    known = {word: column for column, headings in HEADINGS.items() for word in headings}
    found = [known.get(word) for word in words]
    # One heading may by chance be a room's name ("Level"); two are no chance.
    if words[0] not in HEADINGS["name"] and sum(column is not None for column in found) < 2:
        return None
    for word, column in zip(words, found, strict=True):
        if word and column is None:
            raise Unreadable("heading", heading=word)
        if column is not None and found.count(column) > 1:
            raise Unreadable("twice", heading=word)
    return tuple(column or "" for column in found)
