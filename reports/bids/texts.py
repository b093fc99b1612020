"""The lists a bid starts with: exclusions, assumptions, payments. The shop's own, else fixtures/bid_texts.json."""

import json
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from projects.catalogue.tables import FOLDER, TableError
from reports.bids.models import LineKind, ShopTexts


@dataclass(frozen=True, slots=True)
class Text:
    """A line's words; percent: a payment's, of the price."""

    words: str
    percent: Decimal | None = None


LISTS = {"exclusions": LineKind.EXCLUSION, "assumptions": LineKind.ASSUMPTION, "payments": LineKind.PAYMENT}
KEYS = ({"key", "words", "source"}, {"key", "words", "percent", "source"})


@cache
def default_texts() -> dict[str, tuple[Text, ...]]:
    """The table's lists by name. Raises TableError for an entry with a missing or an unknown key."""
    table = json.loads((FOLDER / "bid_texts.json").read_text(encoding="utf-8"))
    for name in LISTS:
        for entry in table[name]:
            if set(entry) != KEYS[name == "payments"]:
                raise TableError(f"bid_texts: {name}: {entry.get('key', entry)} has other keys than it should.")
    return {
        name: tuple(
            Text(entry["words"], Decimal(entry["percent"]) if "percent" in entry else None) for entry in table[name]
        )
        for name in LISTS
    }


def texts_of(shop) -> dict[str, tuple[Text, ...]]:
    """One query."""
    own = ShopTexts.objects.of(shop).first()
    if own is None:
        return default_texts()
    return {name: tuple(read_text(line, name) for line in getattr(own, name).splitlines() if line) for name in LISTS}


def as_typed(texts) -> str:
    """One text a line; a payment's percent stands first: 20 % Deposit on signing."""
    return "\n".join(text.words if text.percent is None else f"{text.percent:f} % {text.words}" for text in texts)


class Unreadable(ValueError):
    """A payment that does not begin with its percent."""


def read_text(line: str, name: str) -> Text:
    """A line of the shop's own list. Raises Unreadable."""
    if name != "payments":
        return Text(line)
    number, sign, words = line.partition("%")
    number, words = number.strip(), words.strip()
    plain = number.isascii() and len(number) <= 7 and number.replace(".", "", 1).isdigit()
    if not (sign and words and plain and number[0] != "." and 0 <= Decimal(number) <= 100):
        raise Unreadable(line)
    return Text(words, Decimal(number))
