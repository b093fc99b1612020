"""A takeoff with prices and hours on it, as values: every line carries what it was made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from reports.estimating.labor_book import Factor, LaborUnit, Phase
from reports.estimating.money import total
from reports.estimating.takeoff import Quantity

NO_HOURS = Decimal("0.0000")


@dataclass(frozen=True, slots=True)
class Hours:
    """How long one line takes in one room, and the chain behind it: quantity / per x hours x every factor x times.

    quantity: pieces, or feet of cable as it is pulled (before waste). times: a change's stage multiplier, else 1.
    """

    unit: LaborUnit
    quantity: Fraction
    factors: tuple[Factor, ...]
    hours: Decimal  # four places, half up; a sum of hours is the sum of these
    times: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True)
class Bought:
    """Packs of one size."""

    size: Fraction  # pieces, or feet (meters) of cable
    packs: int
    price: Decimal  # one pack
    cost: Decimal


@dataclass(frozen=True, slots=True)
class PricedRoomLine:
    """A room's part of a job's line. cost, tax and labor are its share: the parts add up to the line, to the cent."""

    room: str  # empty: the job's own
    quantity: Quantity
    cost: Decimal
    tax: Decimal
    hours: tuple[Hours, ...]
    labor: Decimal  # wages and burden


@dataclass(frozen=True, slots=True)
class PricedLine:
    """One item over the job: what is needed, what is bought for it, what that costs, how long it takes.

    by_reels: the packs come from a plan of which piece is cut from which reel. order 0: labor alone, nothing bought.
    """

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
    by_reels: bool = False

    @property
    def hours(self) -> Decimal:
        return sum((each.hours for room in self.rooms for each in room.hours), start=NO_HOURS)

    def hours_in(self, phase: Phase) -> Decimal:
        return sum(
            (each.hours for room in self.rooms for each in room.hours if each.unit.phase is phase), start=NO_HOURS
        )


@dataclass(frozen=True, slots=True)
class Rates:
    """What a job's labor and material carry. entered False: nobody has said; wages and tax come to nothing, and
    whoever shows a sum says so."""

    wage: Decimal  # an hour
    burden_pct: Decimal  # of wage
    tax_pct: Decimal  # of taxable material
    entered: bool = True


@dataclass(frozen=True, slots=True)
class Priced:
    """A job's takeoff, priced. missing: keys of lines without a price: they cost nothing here, and that is said."""

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
    def cost(self) -> Decimal:
        """Material, its tax and labor: what the takeoff alone costs, before equipment, permits and what is added."""
        return self.material + self.tax + self.labor

    @property
    def hours(self) -> Decimal:
        return sum((line.hours for line in self.lines), start=NO_HOURS)

    @property
    def allowances(self) -> tuple[PricedLine, ...]:
        """Lines whose price somebody plugged."""
        return tuple(line for line in self.lines if line.plugged_by)
