"""Prices, packs and days as price files have them, read or refused with the remedy. Knows no file and no item."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal, InvalidOperation

from layout.engine.lengths import Length, LengthError, feet, mm
from reports.estimating.money import cents

DATE_CELL = " (date)"  # how a cell that a spreadsheet holds as a date is handed over
MOST_PRICE = Decimal("1000000.00")
MOST_PIECES = 100_000
SHORTEST, LONGEST = feet(1), feet(100_000)

# What may stand beside an amount in each currency (ISO 4217 codes; signs as they are commonly written).
SIGNS = {
    "USD": ("$", "US$"), "CAD": ("$", "C$", "CA$"), "AUD": ("$", "A$", "AU$"), "NZD": ("$", "NZ$"),
    "MXN": ("$", "MX$"), "EUR": ("€",), "GBP": ("£",), "CHF": ("FR", "FR."), "SEK": ("KR",), "NOK": ("KR",),
    "DKK": ("KR", "KR."),
}  # fmt: skip
_AMOUNT = re.compile(
    r"(?P<before>[^\d.,+()-]*)(?P<number>[-+(]?[\d.,'’\u00a0\u202f ]*\d[).,]*)(?P<after>[^\d]*)", re.ASCII
)
_PACK_PIECES = re.compile(
    r"(?:(?:box|bag|pack|carton|case|roll)s? of |x ?)?(\d[\d,]*)(?: ?(?:pcs?|pieces?|each|ea|/?pk))?", re.ASCII
)
_PACK_LENGTH = re.compile(r"(\d[\d,]*(?:\.\d+)?) ?(ft|feet|foot|'|m|meters?)(?: (?:coil|reel|roll|spool)s?)?", re.ASCII)


class Unreadable(ValueError):
    """A cell that can't be taken as it stands. The message says what was understood and what to write."""


def read_amount(text: str, currency: str) -> Decimal:
    """An amount to the cent in the shop's currency. Raises Unreadable for any other, and for what reads two ways."""
    _refuse_cells(text, "a price")
    found = _AMOUNT.fullmatch(text.strip())
    if not found:
        raise Unreadable(f"{_shown(text)} is no price. Write an amount like 1234.50.")
    for beside in (found["before"], found["after"]):
        _check_currency(beside.strip().upper(), currency, text)
    number = found["number"]
    if number[0] in "-(":
        raise Unreadable(f"{_shown(text)} is less than nothing. A price is zero or more; leave a credit out.")
    amount = _plain_number(number.lstrip("+"), text)
    if amount != cents(amount):
        raise Unreadable(f"{_shown(text)} is finer than a cent. Give the price of a larger pack instead.")
    if amount == 0:
        raise Unreadable(
            "A zero in a price file mostly means: ask. Leave it empty; a true zero is entered on the item."
        )
    if amount > MOST_PRICE:
        raise Unreadable(f"{_shown(text)} is over the most a pack may cost, {MOST_PRICE:,}. Check the decimal point.")
    return cents(amount)


def _check_currency(beside: str, currency: str, text: str) -> None:
    if not beside or beside == currency or beside in SIGNS.get(currency, ()):
        return
    others = [code for code, signs in SIGNS.items() if beside == code or beside in signs]
    if others:
        raise Unreadable(
            f"{_shown(text)} is in {' or '.join(others)}; the shop's prices are in {currency}, and are never mixed."
        )
    raise Unreadable(f"{_shown(text)}: {_shown(beside)} is not understood. Write the amount alone.")


def _plain_number(number: str, text: str) -> Decimal:
    """Thousands apart by comma, point, space or apostrophe; a comma may be the decimal point where only it can be."""
    bare = re.sub(r"['’\u00a0\u202f ]", "", number)
    points, commas = bare.count("."), bare.count(",")
    if points and commas:
        last = max(bare.rfind("."), bare.rfind(","))
        whole, part = re.sub("[.,]", "", bare[:last]), bare[last + 1 :]
        if bare.count(bare[last]) > 1 or not _grouped(re.split("[.,]", bare[:last])):
            raise Unreadable(f"{_shown(text)} is no amount. Write it like 1234.50.")
    elif points + commas > 1:
        whole, part = re.sub("[.,]", "", bare), ""
        if not _grouped(re.split("[.,]", bare)):
            raise Unreadable(f"{_shown(text)} is no amount. Write it like 1234.50.")
    else:
        whole, _, part = bare.replace(",", ".").partition(".")
        if len(part) == 3 and 0 < len(whole) <= 3 and whole != "0":
            raise Unreadable(
                f"{_shown(text)} can be read as {whole}{part}.00 or as {whole}.{part}. Write it to the cent."
            )
    try:
        return Decimal(f"{whole or '0'}.{part or '0'}")
    except InvalidOperation as wrong:
        raise Unreadable(f"{_shown(text)} is no amount. Write it like 1234.50.") from wrong


def _grouped(parts: list[str]) -> bool:
    return bool(parts[0]) and len(parts[0]) <= 3 and all(len(part) == 3 for part in parts[1:])


def read_size(text: str, cable: bool) -> int | Length:
    """What a pack holds: pieces, or a coil's length with its unit. Nothing said is one piece. Raises Unreadable."""
    _refuse_cells(text, "a pack")
    plain = " ".join(text.strip().lower().split())
    if cable:
        return _coil(plain, text)
    if not plain:
        return 1
    found = _PACK_PIECES.fullmatch(plain)
    if not found:
        raise Unreadable(f"{_shown(text)} is no pack. Write how many pieces are in it, like 100.")
    pieces = int(found[1].replace(",", ""))
    if not 1 <= pieces <= MOST_PIECES:
        raise Unreadable(f"{_shown(text)}: a pack holds 1 to {MOST_PIECES:,} pieces.")
    return pieces


def _coil(plain: str, text: str) -> Length:
    found = _PACK_LENGTH.fullmatch(plain)
    if not found:
        raise Unreadable(
            f"{_shown(text) or 'Nothing'} is no coil. Write its length with the unit, like 250 ft or 75 m."
        )
    number = found[1].replace(",", "")
    try:
        length = mm(Decimal(number) * 1000) if found[2].startswith("m") else feet(number)
    except LengthError as finer:
        raise Unreadable(f"{_shown(text)}: {finer}") from finer
    if not SHORTEST <= length <= LONGEST:
        raise Unreadable(f"{_shown(text)}: a coil is 1 ft to 100,000 ft long. Check the unit.")
    return length


def read_day(text: str) -> dt.date:
    """A day, written 2026-05-03, or a spreadsheet's own date. Raises Unreadable for one that reads two ways."""
    plain = text.strip().removesuffix(DATE_CELL)
    try:
        return dt.date.fromisoformat(plain[:10])
    except ValueError as wrong:
        raise Unreadable(f"{_shown(text)} is no day, or reads two ways. Write it like 2026-05-03.") from wrong


def read_yes(text: str) -> bool:
    plain = text.strip().lower()
    if plain in ("yes", "y", "true", "1", "x", "taxable"):
        return True
    if plain in ("no", "n", "false", "0", "", "exempt"):
        return False
    raise Unreadable(f"{_shown(text)}: write yes or no.")


def _refuse_cells(text: str, what: str) -> None:
    if text.lstrip().startswith("="):
        raise Unreadable(f"There is a formula where {what} should be. Paste it as a value, then save the file again.")
    if text.endswith(DATE_CELL):
        raise Unreadable(f"A spreadsheet has made a date of {what}. Set the column to text and type it again.")


def _shown(text: str) -> str:
    return f"“{text.strip()[:40]}”" if text.strip() else ""
