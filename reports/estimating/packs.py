"""Which packs to buy for a need: least cost, then least left over. Knows no item, no record, and no reel's cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import reduce
from math import ceil, gcd, lcm

from reports.estimating.money import NOTHING, cents

MOST_PACKS = 50  # sizes of one item; a supplier's list has a dozen at most
MOST_NEED = 10**9


class PackError(ValueError):
    """A need or a pack that can't be bought from. The message names the field and the remedy."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class Size:
    """A pack as plain numbers: so many pieces, or so long in one unit."""

    size: Fraction
    price: Decimal


@dataclass(frozen=True, slots=True)
class Mix:
    """How many packs of each size, largest first; leftover is what they hold beyond the need."""

    packs: tuple[tuple[Size, int], ...]
    cost: Decimal
    leftover: Fraction


def least_cost(need: Fraction | int, packs: Sequence[Size]) -> Mix:
    """The packs that hold at least `need` for the least money; of equal ones those with least left over, then fewest.

    Exact. Sizes become whole numbers of their common measure. Of the size that is cheapest by measure, as many as can
    be are taken first: were there so many of another size that their sum is a whole number of that one, they could be
    changed for it at no more cost and with the same left over. What is then open is solved by dynamic programming
    over every sum that may hold it (the unbounded knapsack covering problem).
    Raises PackError.
    """
    need = Fraction(need)
    _check(need, packs)
    if not need:
        return Mix((), NOTHING, Fraction(0))
    measure = Fraction(
        reduce(gcd, (pack.size.numerator * _over(packs) // pack.size.denominator for pack in packs)), _over(packs)
    )
    sizes = [int(pack.size / measure) for pack in packs]
    prices = [int(cents(pack.price) * 100) for pack in packs]
    open_need = ceil(need / measure)
    best = min(range(len(packs)), key=lambda n: (Fraction(prices[n], sizes[n]), -sizes[n]))
    others = sum((sizes[best] // gcd(sizes[best], size) - 1) * size for n, size in enumerate(sizes) if n != best)
    at_once = max(0, (open_need - others) // sizes[best])
    counts = _covering(open_need - at_once * sizes[best], sizes, prices)
    counts[best] += at_once
    taken = sorted(
        ((pack, count) for pack, count in zip(packs, counts, strict=True) if count), key=lambda each: -each[0].size
    )
    held = sum((pack.size * count for pack, count in taken), start=Fraction(0))
    cost = sum((cents(pack.price) * count for pack, count in taken), start=NOTHING)
    return Mix(tuple(taken), cost, held - need)


def _over(packs: Sequence[Size]) -> int:
    return lcm(*(pack.size.denominator for pack in packs))


def _covering(need: int, sizes: list[int], prices: list[int]) -> list[int]:
    """How many of each size, for the least (cost, sum, packs) whose sum is need or more.

    A pack more than is needed would only add to what is left over, so no sum of need + the largest size counts.
    """
    if need <= 0:
        return [0] * len(sizes)
    end = need + max(sizes)
    cheapest: list[tuple[int, int] | None] = [(0, 0)] + [None] * (end - 1)
    last = [0] * end
    for amount in range(1, end):
        found = cheapest[amount]
        for n, size in enumerate(sizes):
            below = cheapest[amount - size] if size <= amount else None
            if below is not None:
                price = (below[0] + prices[n], below[1] + 1)
                if found is None or price < found:
                    found, last[amount] = price, n
        cheapest[amount] = found
    amount = min(
        (amount for amount in range(need, end) if cheapest[amount] is not None),
        key=lambda amount: (cheapest[amount][0], amount),  # type: ignore[index]
    )
    counts = [0] * len(sizes)
    while amount:
        counts[last[amount]] += 1
        amount -= sizes[last[amount]]
    return counts


def _check(need: Fraction, packs: Sequence[Size]) -> None:
    if not 0 <= need <= MOST_NEED:
        raise PackError("need", f"A need is between 0 and {MOST_NEED:,}. Check the count.")
    if not packs:
        raise PackError("packs", "Nothing to buy from: give the price of at least one pack.")
    if len(packs) > MOST_PACKS:
        raise PackError("packs", f"At most {MOST_PACKS} pack sizes of one item.")
    for pack in packs:
        if pack.size <= 0:
            raise PackError("packs", "A pack holds more than nothing. Give its size.")
        if not pack.price.is_finite() or pack.price < 0 or pack.price != cents(pack.price):
            raise PackError("packs", "A pack's price is an amount to the cent, zero or more.")
