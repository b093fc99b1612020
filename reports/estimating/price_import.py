"""A price file held against the price list: what is new, what changes from what to what, what can't be read.

Values in, values out: the file was read before, and nothing is written here.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from layout.engine.lengths import Length
from reports.estimating.price_reading import Unreadable, read_amount, read_day, read_size, read_yes

MEANINGS = ("code", "name", "pack", "price", "unit", "category", "taxable", "day", "source", "currency")
LEAST = ("price",)  # and a code or a name
OWN = "own:"
CABLE_UNIT = "length"

T = TypeVar("T")
Size = int | Length


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a file: its line there, and its cells as text."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Known:
    """An item of the price list, or a takeoff line that may become one."""

    key: str
    name: str
    unit: str
    category: str = ""


@dataclass(frozen=True, slots=True)
class PriceNow:
    """What a pack costs now. plugged: a figure for want of a price."""

    amount: Decimal
    on: dt.date
    plugged: bool = False


@dataclass(frozen=True, slots=True)
class RowError:
    """What is wrong in a line of the file: in which column, and the remedy."""

    line: int
    column: str
    message: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One pack's price as the file has it. before: what it costs now; None for a price not there yet."""

    line: int
    item: Known
    new_item: bool
    size: Size
    amount: Decimal
    on: dt.date
    source: str
    taxable: bool | None  # None: the file doesn't say
    before: PriceNow | None

    @property
    def changes(self) -> bool:
        return self.before is None or self.before.plugged or self.before.amount != self.amount


@dataclass(frozen=True, slots=True)
class Difference:
    """untouched: packs with a price that the file has nothing of; they stay as they are."""

    new: tuple[Entry, ...]
    changed: tuple[Entry, ...]
    unchanged: tuple[Entry, ...]
    untouched: tuple[tuple[Known, Size, PriceNow], ...]
    errors: tuple[RowError, ...]

    @property
    def digest(self) -> str:
        """Of what would be written and what stands there now: a dry run is stale when this is another."""
        told = [
            (e.item.key, e.new_item, str(int(e.size)), isinstance(e.size, Length), str(e.amount), str(e.on), e.source,
             e.taxable, e.before and (str(e.before.amount), e.before.plugged))
            for e in (*self.new, *self.changed, *self.unchanged)
        ]  # fmt: skip
        return hashlib.sha256(repr((told, [error.line for error in self.errors])).encode()).hexdigest()

    @property
    def new_items(self) -> int:
        return len({entry.item.key for entry in self.new if entry.new_item})


def guess(header: str) -> str:
    """What a column of this name most likely holds; empty when nobody could tell."""
    plain = re.sub(r"[^a-z]+", " ", header.lower()).strip()
    for meaning, words in {
        "price": ("price", "cost", "net price", "unit price", "unit cost", "amount", "your price"),
        "code": (
            "code",
            "item",
            "item code",
            "item no",
            "item number",
            "part",
            "part no",
            "part number",
            "key",
            "line",
        ),
        "name": ("name", "description", "item name", "product", "item description"),
        "pack": ("pack", "pack size", "per", "qty", "quantity", "pack qty", "coil", "size", "pieces"),
        "unit": ("unit", "uom", "u m"),
        "category": ("category", "group", "kind"),
        "taxable": ("taxable", "tax"),
        "day": ("date", "day", "effective", "effective date", "valid from", "price date"),
        "source": ("source", "supplier", "from", "quote"),
        "currency": ("currency", "cur"),
    }.items():
        if plain in words:
            return meaning
    return ""


def difference(
    rows: Sequence[Row],
    header: Sequence[str],
    means: Mapping[int, str],
    known: Mapping[str, Known],
    now: Mapping[tuple[str, Size], PriceNow],
    *,
    currency: str,
    on: dt.date,
    source: str,
) -> Difference:
    """The file's rows (without its header) against the list.

    Args: means: column number -> what it holds. known: by key. on, source: for rows whose own column says nothing.
    """
    reader = _Reader(header, {meaning: column for column, meaning in means.items() if meaning}, known, currency)
    entries: list[Entry] = []
    for row in rows:
        if any(cell.strip() for cell in row.cells):
            entry = reader.entry(row, on, source, now)
            if entry is not None:
                entries.append(entry)
    entries = reader.once(entries)
    asked = {(entry.item.key, entry.size) for entry in entries}
    untouched = tuple(
        (known[key], size, price) for (key, size), price in now.items() if (key, size) not in asked and key in known
    )
    return Difference(
        new=tuple(entry for entry in entries if entry.before is None),
        changed=tuple(entry for entry in entries if entry.before is not None and entry.changes),
        unchanged=tuple(entry for entry in entries if not entry.changes),
        untouched=untouched,
        errors=tuple(sorted(reader.errors, key=lambda error: error.line)),
    )


class _Reader:
    """Reads rows one after the other and gathers what is wrong with them."""

    def __init__(
        self, header: Sequence[str], columns: Mapping[str, int], known: Mapping[str, Known], currency: str
    ) -> None:
        self.header, self.columns, self.known, self.currency = header, columns, known, currency
        self.errors: list[RowError] = []
        self.by_name: dict[str, list[Known]] = {}
        for item in known.values():
            self.by_name.setdefault(item.name.casefold(), []).append(item)

    def entry(self, row: Row, on: dt.date, source: str, now: Mapping[tuple[str, Size], PriceNow]) -> Entry | None:
        """The row's price, or None: nothing is asked (no price in it), or it is among the errors."""
        if not self._cell(row, "price"):
            return None
        before = len(self.errors)
        stated = self._cell(row, "currency").upper()
        if stated and stated != self.currency:
            self._wrong(row, "currency", f"{stated}: the shop's prices are in {self.currency}, and are never mixed.")
        found = self._item(row)
        amount = self._read(row, "price", lambda text: read_amount(text, self.currency))
        day = self._read(row, "day", read_day) if self._cell(row, "day") else on
        taxable = self._read(row, "taxable", read_yes) if self._cell(row, "taxable") else None
        size = None
        if found is not None:
            cable = found[0].unit == CABLE_UNIT
            size = self._read(row, "pack", lambda text: read_size(text, cable))
        if len(self.errors) > before or found is None or amount is None or size is None or day is None:
            return None
        item, new_item = found
        said = self._cell(row, "source")[:200] or source
        return Entry(row.line, item, new_item, size, amount, day, said, taxable, now.get((item.key, size)))

    def once(self, entries: Sequence[Entry]) -> list[Entry]:
        """A pack that stands twice with one price counts once; with two, nobody could tell which."""
        first: dict[tuple[str, Size], Entry] = {}
        for entry in entries:
            stands = first.setdefault((entry.item.key, entry.size), entry)
            if stands.amount != entry.amount:
                message = (
                    f"{entry.item.name}: the same pack costs {stands.amount} in line {stands.line} "
                    f"and {entry.amount} here. Leave one."
                )
                self.errors.append(RowError(entry.line, self._title("price"), message))
        return list(first.values())

    def _item(self, row: Row) -> tuple[Known, bool] | None:
        """The item a row speaks of: by its code, else by its name, else a new one of the shop's own."""
        code, name = self._cell(row, "code"), self._cell(row, "name")
        for meaning, text in (("code", code), ("name", name)):
            if text.startswith("=") or text.endswith("(date)"):
                self._wrong(row, meaning, "A spreadsheet has made a formula or a date of it. Set the column to text.")
                return None
        own = own_key(code or name)
        for key in (code, own):
            if key in self.known:
                return self.known[key], False
        named = self.by_name.get((name or code).casefold(), [])  # a column called "Item" holds names as often as codes
        if len(named) > 1:
            called = (name or code)[:60]
            self._wrong(row, "name" if name else "code", f"{len(named)} items are called {called}. Give the code.")
            return None
        if named:
            return named[0], False
        if not name:
            remedy = "Nothing on the price list has this code or name. Give a name beside it, or check the code."
            self._wrong(row, "code" if code else "name", remedy if code else "Give a code or a name.")
            return None
        unit = self._cell(row, "unit")[:20] or "each"
        return Known(own, name[:120], "each" if unit == CABLE_UNIT else unit, self._cell(row, "category")[:40]), True

    def _read(self, row: Row, meaning: str, read: Callable[[str], T]) -> T | None:
        try:
            return read(self._cell(row, meaning))
        except Unreadable as wrong:
            self._wrong(row, meaning, str(wrong))
            return None

    def _cell(self, row: Row, meaning: str) -> str:
        column = self.columns.get(meaning)
        return row.cells[column].strip() if column is not None and column < len(row.cells) else ""

    def _wrong(self, row: Row, meaning: str, message: str) -> None:
        self.errors.append(RowError(row.line, self._title(meaning), message))

    def _title(self, meaning: str) -> str:
        column = self.columns.get(meaning)
        return self.header[column] if column is not None and column < len(self.header) else meaning


def own_key(text: str) -> str:
    """The key of an item of the shop's own, from its code or name: another one for whatever is written otherwise.

    Where plain letters and digits don't hold all of it, a few digits of its digest keep it apart from its likes.
    """
    plain = re.sub(r"\s+", "-", text.strip().lower())
    short = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "item"
    return f"{OWN}{short}" if short == plain else f"{OWN}{short}-{hashlib.sha256(plain.encode()).hexdigest()[:8]}"
