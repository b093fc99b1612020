"""What the shop pays for things, as values: one book on one day. Knows no records and how no price came in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from layout.engine.lengths import Length


@dataclass(frozen=True, slots=True)
class Pack:
    """What can be bought at once: so many pieces, or so long a coil, and what it costs."""

    size: int | Length
    price: Decimal


@dataclass(frozen=True, slots=True)
class ItemPrice:
    """An item's price on a day. plugged_by: who put in a figure for want of a price; it is shown as an allowance.

    key: a takeoff line's key (`housing:light_6_new`, `wire_connector_light`, `cable:14/2`), or the shop's own extra
    (`own:lift-rental`). on: the day of its oldest price that counts.
    """

    key: str
    packs: tuple[Pack, ...]  # the single piece is a pack of 1; smallest first; never empty
    taxable: bool
    on: dt.date
    source: str
    plugged_by: str = ""
    name: str = ""
    unit: str = "each"
    category: str = ""


@dataclass(frozen=True, slots=True)
class PriceBook:
    """Every price a takeoff may need. Absent: no price is known, and the line is told as missing, never as free."""

    currency: str  # ISO 4217; one for the shop
    on: dt.date
    items: Mapping[str, ItemPrice]
