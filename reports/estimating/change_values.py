"""A change to a contract as values: its lines, the rows of its sum, and what it is priced from. Knows no arithmetic."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from layout.engine.lengths import Length
from reports.estimating.change_terms import Goods, StageRule, Terms
from reports.estimating.labor_book import Factor, LaborBook
from reports.estimating.money import NOTHING, total
from reports.estimating.price_book import PriceBook
from reports.estimating.priced import NO_HOURS, Priced, Rates
from reports.estimating.pricing import FOOT
from reports.estimating.takeoff import Quantity


class Kind(StrEnum):
    ADDED = "added"
    TAKEN_OUT = "taken_out"
    MOVED = "moved"
    TYPED = "typed"  # said by a person: a field extra, or what no layout shows
    LEAST = "least"  # what brings the hours up to the contract's least


class Note(StrEnum):
    """Why a line is what it is. Words for them stand where they are shown."""

    NO_PRICE = "no_price"
    PLUGGED = "plugged"  # somebody's figure for want of a price
    TODAYS_PRICE = "todays_price"  # the bid had none: credited at today's
    NOT_BOUGHT = "not_bought"
    RESTOCKED = "restocked"
    KEPT = "kept"
    INSTALLED = "installed"  # its labor is done and not given back


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One line to the cent. Amounts carry their sign: a credit is less than nothing.

    restocking: held back of this line's credit. other: patching and painting. times: how often its labor counts.
    """

    kind: Kind
    room_id: int | None
    room: str
    key: str
    name: str
    unit: str
    quantity: Quantity
    material: Decimal
    taxable: bool
    restocking: Decimal
    hours: Decimal
    labor: Decimal
    other: Decimal
    times: Decimal
    stage: str
    notes: tuple[Note, ...] = ()

    @property
    def amount(self) -> Decimal:
        return self.material + self.restocking + self.labor + self.other

    @property
    def is_credit(self) -> bool:
        return self.kind is Kind.TAKEN_OUT


@dataclass(frozen=True, slots=True)
class Typed:
    """A line a person says: hours and material at cost. quantity says how many; the amounts are for all of them."""

    name: str
    material: Decimal = NOTHING
    hours: Decimal = NO_HOURS
    taxable: bool = True
    room_id: int | None = None
    room: str = ""


class Row(StrEnum):
    MATERIAL = "material"
    TAX = "tax"
    LABOR = "labor"
    OTHER = "other"
    OVERHEAD = "overhead"
    PROFIT = "profit"
    CREDIT_MATERIAL = "credit_material"
    RESTOCKING = "restocking"
    CREDIT_TAX = "credit_tax"
    CREDIT_LABOR = "credit_labor"
    CREDIT_MARKUP = "credit_markup"


@dataclass(frozen=True, slots=True)
class SumRow:
    """One row of the sum. percent and of: for a row that is so many percent, of the added work's cost."""

    row: Row
    amount: Decimal
    percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """A change priced: its lines, and the rows that add up to its price. missing: keys without any price.

    held: overhead and profit were held to what the contract lets them come to.
    """

    currency: str
    lines: tuple[ChangeLine, ...]
    rows: tuple[SumRow, ...]
    held: bool
    days: Decimal
    missing: tuple[str, ...] = field(default=())

    @property
    def price(self) -> Decimal:
        return total([row.amount for row in self.rows])

    @property
    def hours(self) -> Decimal:
        """What has to be worked: credits are hours that nobody works."""
        return sum((line.hours for line in self.lines if not line.is_credit), start=NO_HOURS)


@dataclass(frozen=True, slots=True)
class Books:
    """What a change is priced from. bid: the accepted bid's own prices; None where there are none.

    stages: by room id, the rule for where each room stands. goods: by room id and key, said by a person.
    """

    terms: Terms
    prices: PriceBook
    labor: LaborBook
    rates: Rates
    bid_rates: Rates
    bid: Priced | None
    stages: Mapping[int, StageRule]
    factors: Mapping[str, tuple[Factor, ...]]
    cable_unit: Length = FOOT
    goods: Mapping[tuple[int, str], Goods] = field(default_factory=dict)
