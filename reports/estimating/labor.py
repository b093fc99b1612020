"""Hours for what a takeoff counts: which units count in a room, and the chain from unit to hours. Knows no prices."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction

from layout.engine.lengths import Distance, feet
from reports.estimating.labor_book import Factor, LaborBook, LaborUnit, Phase
from reports.estimating.money import HUNDRED, cents
from reports.estimating.priced import Hours, Rates
from reports.estimating.takeoff import Quantity, item_of

FOOT_NM = feet(1).nm
PLACES = 10_000  # hours carry four places


class LaborError(ValueError):
    """A quantity or a multiplier no hours can be told for. The message names the field and the remedy."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


def hours(unit: LaborUnit, quantity: Quantity | int, factors: Sequence[Factor], times: Decimal = Decimal(1)) -> Hours:
    """quantity / per x hours x every factor x times, to four places half up.

    Args: quantity: pieces, or cable as a Distance (its feet count). times: a change's stage multiplier.
    Raises LaborError for less than nothing.
    """
    amount = quantity.nm / FOOT_NM if isinstance(quantity, Distance) else Fraction(quantity)
    if amount < 0:
        raise LaborError("quantity", "Hours are told for what is added or for what is taken out, each by itself.")
    if not times.is_finite() or times < 0:
        raise LaborError("times", "A stage multiplier is zero or more.")
    stretching = tuple(factor for factor in factors if factor.times != 1)
    exact = amount * Fraction(unit.hours) / Fraction(unit.per)
    for factor in stretching:
        exact *= Fraction(factor.times)
    if times != 1:
        exact *= Fraction(times)
    return Hours(unit, amount, stretching, _four_places(exact), times)


def _four_places(exact: Fraction) -> Decimal:
    return Decimal((2 * exact.numerator * PLACES + exact.denominator) // (2 * exact.denominator)).scaleb(-4)


def units_for(
    book: LaborBook, key: str, factors: Iterable[Factor], whole: frozenset[Phase] = frozenset()
) -> tuple[LaborUnit, ...]:
    """The units a line's hours come from in a room of these conditions, in the book's order.

    A line's own unit (`cable:14/2`) comes before its item's (`cable`). A unit that belongs to a condition counts only
    there, and takes the place of those it names. whole: phases this room has one figure a light for.
    """
    units = book.units.get(key) or book.units.get(item_of(key), ())
    conditions = {factor.key for factor in factors}
    here = [unit for unit in units if not unit.when or unit.when in conditions]
    replaced = {key for unit in here for key in unit.instead_of}
    return tuple(unit for unit in here if unit.key not in replaced and (unit.whole or unit.phase not in whole))


def whole_phases(book: LaborBook, keys: Iterable[str]) -> frozenset[Phase]:
    """Phases the shop has one figure a light for, in a room with these lines; none where it has no lights."""
    return frozenset(
        unit.phase for key in keys for unit in book.units.get(key) or book.units.get(item_of(key), ()) if unit.whole
    )


def wages(total_hours: Decimal, rates: Rates) -> Decimal:
    """hours x wage x (1 + burden), to the cent."""
    return cents(total_hours * rates.wage * (1 + rates.burden_pct / HUNDRED))
