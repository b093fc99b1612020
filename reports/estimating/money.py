"""Money: decimals to the cent, half up, and totals that are the sum of the lines shown. Knows no prices, no Django."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from math import lcm

CENT = Decimal("0.01")
NOTHING = Decimal("0.00")
HUNDRED = Decimal(100)


class MoneyError(ValueError):
    """A number that no bid can carry. The message names the line and the remedy."""


class Basis(StrEnum):
    """What a percentage is taken of. Both are printed with their words, never a bare percent."""

    OF_COST = "of_cost"  # price = cost x (1 + m)
    OF_PRICE = "of_price"  # price = cost / (1 - g)


def cents(amount: Decimal | Fraction | int) -> Decimal:
    """To the cent, half away from zero: the only rounding of money there is."""
    if isinstance(amount, Fraction):
        whole = abs(amount) * 200
        rounded = Decimal((whole.numerator // whole.denominator + 1) // 2) / HUNDRED
        return (-rounded if amount < 0 else rounded).quantize(CENT)
    return Decimal(amount).quantize(CENT, rounding=ROUND_HALF_UP)


def percent_of(amount: Decimal, percent: Decimal) -> Decimal:
    """So many percent of an amount, to the cent."""
    return cents(amount * percent / HUNDRED)


def total(lines: Sequence[Decimal]) -> Decimal:
    return sum(lines, start=NOTHING)


def spread(amount: Decimal, weights: Sequence[Decimal | Fraction | int]) -> tuple[Decimal, ...]:
    """A sum shown on one line, told apart over several so that the parts add up to it to the cent.

    Each part is its share rounded down; the cents left go to the largest remainders, ties to the earlier line.
    Weights are not negative; when all are zero the amount lies on the first part.
    Source: largest remainder (Hamilton's method of apportionment).
    """
    if not weights:
        if amount:
            raise MoneyError("There is an amount to tell apart and no line to put it on.")
        return ()
    ratios = [weight.as_integer_ratio() for weight in weights]
    over = lcm(*(below for _, below in ratios))
    shares = [above * (over // below) for above, below in ratios]
    if not any(shares):
        shares[0] = 1
    whole, sign = abs(amount), -1 if amount < 0 else 1
    all_cents, every = int((whole * HUNDRED).to_integral_value(ROUND_DOWN)), sum(shares)
    told = [divmod(all_cents * share, every) for share in shares]
    parts = [part for part, _ in told]
    left = all_cents - sum(parts)
    for place in sorted(range(len(parts)), key=lambda place: (-told[place][1], place))[:left]:
        parts[place] += 1
    return tuple(sign * Decimal(part) / HUNDRED for part in parts)
