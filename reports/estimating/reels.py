"""Which reels to buy for a list of pieces, and what is cut from which. Knows numbers only: no cables, no records.

Each piece comes whole from one reel; each kind of pack may be bought as often as needed. Least cost, then least left
over, then fewest reels. Source: the cutting-stock problem with several stock lengths (P. C. Gilmore, R. E. Gomory,
1961, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction
from math import gcd, lcm
from typing import Protocol

from reports.estimating.reel_mixes import best_mix
from reports.estimating.reel_subsets import by_subsets
from reports.estimating.reel_values import Kind, Mix

SMALL = 10  # up to so many pieces every way to split them is looked at
NONE = Decimal("0.00")


class ReelError(ValueError):
    """Pieces or packs that can't be planned. field: pieces or packs; the message says what to do."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


class PackLike(Protocol):
    """What can be bought: its length in the pieces' unit, and its price. No price at all: plan by length alone."""

    @property
    def length(self) -> int | Fraction: ...

    @property
    def price(self) -> Decimal | None: ...


@dataclass(frozen=True, slots=True)
class Pack:
    length: int | Fraction
    price: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Reel:
    """One reel and what is cut from it. which: places in the list of pieces given. opened: from stock, costs nothing.

    number: for an opened reel its place in the list of opened ones.
    """

    length: Fraction
    price: Decimal | None
    pieces: tuple[Fraction, ...]
    which: tuple[int, ...]
    opened: bool = False
    number: int | None = None

    @property
    def left(self) -> Fraction:
        return self.length - sum(self.pieces, start=Fraction(0))


@dataclass(frozen=True, slots=True)
class ReelPlan:
    """leftover: what is left on every reel of the plan, together.

    exact: nothing cheaper exists, and nothing as cheap leaves less. lower_bound: no plan costs less than this; equal
    to cost when only the leftover may not be the least. Both None where packs carry no price.
    """

    cost: Decimal | None
    leftover: Fraction
    reels: tuple[Reel, ...]
    exact: bool
    lower_bound: Decimal | None

    @property
    def bought(self) -> tuple[Reel, ...]:
        return tuple(reel for reel in self.reels if not reel.opened)

    @property
    def gap(self) -> Fraction:
        """How far the cost may lie above the least there is, as a share of that: 0 is none."""
        if not self.lower_bound or self.cost is None:
            return Fraction(0)
        return Fraction(self.cost - self.lower_bound) / Fraction(self.lower_bound)


def plan(
    pieces: Sequence[int | Fraction], packs: Sequence[PackLike], opened: Sequence[int | Fraction] = ()
) -> ReelPlan:
    """The reels to buy and open, and the pieces from each.

    Args: pieces and packs in one unit, exact. opened: what is left on reels in stock; used first, as they cost nothing.
    Returns: proved least for SMALL pieces always, for more as far as the search gets; what it could not prove it says.
    Raises: ReelError for a length of nothing, a price below nothing or missing on some, no packs, a piece too long.
    """
    lengths = [Fraction(piece) for piece in pieces]
    kinds = _kinds(packs)
    stock = [Fraction(left) for left in opened]
    _check(lengths, kinds, stock)
    if not lengths:
        cost = NONE if _priced(kinds) else None
        return ReelPlan(cost, Fraction(0), (), True, cost)
    scale = _scale([*lengths, *stock, *(length for length, _ in kinds)])
    unit = _price_unit(kinds)
    weighed = _weights(kinds, scale, unit, len(lengths))
    whole = [int(piece * scale) for piece in lengths]
    # The longest first, and equal ones in the order given: the same list always gives the same plan.
    order = sorted(range(len(whole)), key=lambda place: (-whole[place], place))
    search = by_subsets if len(whole) <= SMALL else best_mix
    found = search([whole[place] for place in order], weighed, [int(left * scale) for left in stock])
    if found is None:
        raise ReelError(
            "packs", "Packs: no way was found to cut the pieces from the reels there are. Add a longer pack."
        )
    reels = _reels(found, order, lengths, kinds, stock)
    leftover = sum((reel.left for reel in reels), start=Fraction(0))
    if not _priced(kinds):
        return ReelPlan(None, leftover, reels, found.exact, None)
    cost = sum((reel.price or NONE for reel in reels), start=NONE)
    at_least = found.no_less // _per_price(kinds, scale, len(lengths))
    bound = cost if found.exact else min(cost, (Decimal(at_least) / unit).quantize(NONE, ROUND_DOWN))
    return ReelPlan(cost, leftover, reels, found.exact, bound)


def _kinds(packs: Sequence[PackLike]) -> list[tuple[Fraction, Decimal | None]]:
    """Each pack once, shortest first; of the same length the cheapest alone."""
    cheapest: dict[Fraction, Decimal | None] = {}
    for pack in packs:
        length = Fraction(pack.length)
        known = cheapest.get(length)
        if length not in cheapest or (known is not None and pack.price is not None and pack.price < known):
            cheapest[length] = pack.price
    prices = [pack.price for pack in packs]
    if any(price is None for price in prices) and any(price is not None for price in prices):
        raise ReelError("packs", "Packs: some have a price and some don't. Enter the missing prices, or leave all out.")
    return sorted(cheapest.items())


def _check(pieces: list[Fraction], kinds: list[tuple[Fraction, Decimal | None]], stock: list[Fraction]) -> None:
    for place, piece in enumerate(pieces, start=1):
        if piece <= 0:
            raise ReelError("pieces", f"Piece {place}: {piece} is no length to cut. Enter more than 0 or leave it out.")
    for length, price in kinds:
        if length <= 0:
            raise ReelError("packs", f"Packs: {length} is no length of a reel. Enter more than 0.")
        if price is not None and not (price.is_finite() and price >= 0):
            raise ReelError("packs", f"Packs: {price} is no price for a reel of {length}. Enter 0 or more.")
    if any(left < 0 for left in stock):
        raise ReelError("opened", "Opened reels: less than nothing can't be left on one. Enter 0 or more.")
    longest = max((length for length, _ in kinds), default=Fraction(0))
    longest = max([longest, *stock])
    for place, piece in enumerate(pieces, start=1):
        if piece > longest:
            what = f"the longest reel holds {longest}" if longest else "there is no reel to cut it from"
            raise ReelError(
                "pieces", f"Piece {place} is {piece} and {what}. Add a longer pack, or split the run at a box."
            )
    if pieces and not kinds and sum(pieces) > sum(stock):
        raise ReelError("packs", "Packs: the opened reels don't hold all pieces. Add a pack to buy.")


def _priced(kinds: list[tuple[Fraction, Decimal | None]]) -> bool:
    return any(price is not None for _, price in kinds)


def _scale(lengths: list[Fraction]) -> Fraction:
    """What turns every length into a whole number, and those as small as can be."""
    below = lcm(*(length.denominator for length in lengths))
    shared = gcd(*(int(length * below) for length in lengths))
    return Fraction(below, shared or 1)


def _price_unit(kinds: list[tuple[Fraction, Decimal | None]]) -> int:
    """What turns every price into a whole number: 100 for cents."""
    return lcm(*(Fraction(price or 0).denominator for _, price in kinds))


def _per_price(kinds: list[tuple[Fraction, Decimal | None]], scale: Fraction, pieces: int) -> int:
    """What one price unit weighs: more than all length that a plan can buy, which weighs more than all its reels.

    A plan never holds more reels than pieces.
    """
    longest = max((length for length, _ in kinds), default=Fraction(0))
    return (int(longest * scale) * pieces + 1) * (pieces + 1)


def _weights(kinds: list[tuple[Fraction, Decimal | None]], scale: Fraction, unit: int, pieces: int) -> list[Kind]:
    """Cost, then length, then the number of reels as one whole number, so that one comparison decides."""
    per_price, per_length = _per_price(kinds, scale, pieces), pieces + 1
    return [
        Kind(
            int(length * scale),
            int(Fraction(price or 0) * unit) * per_price + int(length * scale) * per_length + 1,
            place,
        )
        for place, (length, price) in enumerate(kinds)
    ]


def _reels(
    found: Mix,
    order: list[int],
    lengths: list[Fraction],
    kinds: list[tuple[Fraction, Decimal | None]],
    stock: list[Fraction],
) -> tuple[Reel, ...]:
    """Opened ones first, then the longest."""
    reels = []
    for bin_ in found.bins:
        which = tuple(sorted(order[item] for item in bin_.items))
        length, price = (stock[bin_.place], None) if bin_.opened else kinds[bin_.place]
        number = bin_.place if bin_.opened else None
        reels.append(Reel(length, price, tuple(lengths[item] for item in which), which, bin_.opened, number))
    return tuple(sorted(reels, key=lambda reel: (not reel.opened, reel.number or 0, -reel.length, reel.which)))
