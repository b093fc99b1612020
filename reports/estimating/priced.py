"""A takeoff with prices and hours on it, as values: every line carries what it was made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from reports.estimating.labor_book import Factor, LaborUnit
from reports.estimating.money import total
from reports.estimating.takeoff import Quantity


@dataclass(frozen=True, slots=True)
class Hours:
    """How long one line takes in one room, and the chain behind it: quantity / per x hours x every factor."""

    unit: LaborUnit
    quantity: Quantity
    factors: tuple[Factor, ...]
    hours: Decimal  # four places, half up; a sum of hours is the sum of these


@dataclass(frozen=True, slots=True)
class Bought:
    """Packs of one size."""

    size: Fraction  # pieces, or feet (meters) of cable
    packs: int
    price: Decimal  # one pack
    cost: Decimal


@dataclass(frozen=True, slots=True)
class PricedRoomLine:
    """A room's part of a job's line. cost and tax are its share of what is ordered: the parts add up to the line."""

    room: str  # empty: the job's own
    quantity: Quantity
    cost: Decimal
    tax: Decimal
    hours: tuple[Hours, ...]
    labor: Decimal  # wages and burden


@dataclass(frozen=True, slots=True)
class PricedLine:
    """One item over the job: what is needed, what is bought for it, what that costs, how long it takes."""

    key: str
    name: str
    category: str
    unit: str
    quantity: Quantity
    order: int
    bought: tuple[Bought, ...]
    taxable: bool
    cost: Decimal
    tax: Decimal
    labor: Decimal
    price_source: str  # empty: no price
    plugged_by: str  # not empty: an allowance
    rooms: tuple[PricedRoomLine, ...]

    @property
    def hours(self) -> Decimal:
        return sum((each.hours for room in self.rooms for each in room.hours), start=Decimal(0))


@dataclass(frozen=True, slots=True)
class Rates:
    """What a job's labor and material carry."""

    wage: Decimal  # an hour
    burden_pct: Decimal  # of wage
    tax_pct: Decimal  # of taxable material


@dataclass(frozen=True, slots=True)
class Priced:
    """A job's takeoff, priced. missing: lines without a price: they cost nothing here, and that is said."""

    currency: str
    rates: Rates
    lines: tuple[PricedLine, ...]
    missing: tuple[str, ...]
    factors: Mapping[str, tuple[Factor, ...]]  # by room

    @property
    def material(self) -> Decimal:
        return total([line.cost for line in self.lines])

    @property
    def tax(self) -> Decimal:
        return total([line.tax for line in self.lines])

    @property
    def labor(self) -> Decimal:
        return total([line.labor for line in self.lines])

    @property
    def hours(self) -> Decimal:
        return sum((line.hours for line in self.lines), start=Decimal(0))
