"""The reel plan of many pieces: purchases in rising order of what they cost, until one holds the pieces.

Knows whole numbers only: no prices, no records. The first purchase that holds them is the least there is; if one
before it could not be decided, that one is how little any plan may cost.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence
from fractions import Fraction
from heapq import heappop, heappush

from reports.estimating.reel_packing import GRID, Placed, Steps, Verdict, fullest, place, usable
from reports.estimating.reel_values import Bin, Kind, Mix

FEW = 14  # up to so many pieces no search is cut short
STEPS, STEPS_A_MIX = 60_000, 6_000
MOST_MIXES, MOST_LOOKED_AT = 300, 60_000
MOST_FILLED = 1000  # over so many pieces no guess fills reels one by one: it takes seconds and rarely wins
NO_LIMIT = 1 << 60


def best_mix(pieces: Sequence[int], kinds: Sequence[Kind], opened: Sequence[int]) -> Mix | None:
    """pieces: longest first. None: no plan was found, as a piece that fits no pack finds no opened reel."""
    kinds = _worth_buying(kinds, pieces[-1])
    stock = [Bin(left, number, (), opened=True) for number, left in enumerate(opened) if left >= pieces[-1]]
    best = _guess(pieces, kinds, stock)
    bound = None if best is None else _weight(best, kinds)
    few = len(pieces) <= FEW
    steps, undecided = Steps(NO_LIMIT if few else STEPS), None
    holds = usable(pieces, [*(kind.length for kind in kinds), *(bin_.length for bin_ in stock)])
    need = sum(pieces) - sum(holds[len(kinds) :])
    for tried, (weight, mix) in enumerate(_rising(kinds, holds, need, len(pieces))):
        if bound is not None and weight >= bound:
            break
        if mix is None or tried == MOST_MIXES * (1 if not few else 100):
            undecided = weight if undecided is None else undecided
            break
        bins = [*stock, *(Bin(kinds[kind].length, kinds[kind].place, ()) for kind in mix)]
        found = place(pieces, [bin_.length for bin_ in bins], steps, NO_LIMIT if few else STEPS_A_MIX)
        if not isinstance(found, Verdict):
            best = _with_items(bins, found)
            break
        if found is Verdict.UNKNOWN and undecided is None:
            undecided = weight
    if best is None:
        return None
    return Mix(tuple(_opened_first(best, pieces)), exact=undecided is None, no_less=undecided or 0)


def _worth_buying(kinds: Sequence[Kind], shortest: int) -> list[Kind]:
    """Without packs too short for any piece, and those that a longer one comes cheaper than; best value first."""
    fair = [
        kind
        for kind in kinds
        if kind.length >= shortest
        and not any(other.length >= kind.length and other.weight < kind.weight for other in kinds)
    ]
    return sorted(fair, key=lambda kind: Fraction(kind.weight, kind.length))


def _rising(
    kinds: Sequence[Kind], holds: Sequence[int], need: int, most: int
) -> Iterator[tuple[int, tuple[int, ...] | None]]:
    """Purchases that may hold the pieces, as places of kinds, the one that weighs least first; each once.

    A purchase that still lacks length weighs at least what the rest costs at the best rate of the kinds still allowed.
    When too many were looked at: what any further one weighs at least, and None.
    """
    value = [Fraction(kind.weight, max(hold, 1)) for kind, hold in zip(kinds, holds, strict=False)]
    best_after = [min(value[at:]) for at in range(len(value))]
    heap: list[tuple[int, tuple[int, ...], int, int]] = []

    def add(mix: tuple[int, ...], weight: int, lacks: int) -> None:
        if len(mix) > most:
            return
        last = mix[-1] if mix else 0
        if lacks <= 0 or best_after:
            more = -int(-(lacks * best_after[last]) // 1) if lacks > 0 else 0
            heappush(heap, (weight + more, mix, weight, lacks))

    add((), 0, need)
    looked_at = 0
    while heap:
        at_least, mix, weight, lacks = heappop(heap)
        looked_at += 1
        if looked_at > MOST_LOOKED_AT:
            yield at_least, None
            return
        if lacks <= 0:
            yield weight, mix
        for kind in range(mix[-1] if mix else 0, len(kinds)):
            add((*mix, kind), weight + kinds[kind].weight, lacks - holds[kind])


def _guess(pieces: Sequence[int], kinds: Sequence[Kind], stock: Sequence[Bin]) -> list[Bin] | None:
    """A plan to start from: the best of several quick ones."""
    plans = [_best_fit(pieces, kinds, stock, favored) for favored in kinds]
    if len(pieces) <= MOST_FILLED:
        plans.append(_fullest_first(pieces, kinds, stock))
    if not kinds:
        plans.append(_best_fit(pieces, kinds, stock, None))
    known = [plan for plan in plans if plan is not None]
    return min(known, key=lambda plan: _weight(plan, kinds), default=None)


def _best_fit(
    pieces: Sequence[int], kinds: Sequence[Kind], stock: Sequence[Bin], favored: Kind | None
) -> list[Bin] | None:
    """The longest piece first, where least is left over it; then each reel the cheapest that holds its pieces."""
    left = sorted((bin_.length, at) for at, bin_ in enumerate(stock))
    items: list[list[int]] = [[] for _ in stock]
    longest = max((kind.length for kind in kinds), default=0)
    for item, piece in enumerate(pieces):
        place = bisect_left(left, (piece, -1))
        if place < len(left):
            length, at = left.pop(place)
        else:
            length = favored.length if favored and favored.length >= piece else longest
            if length < piece:
                return None
            at = len(items)
            items.append([])
        insort(left, (length - piece, at))
        items[at].append(item)
    bins = [Bin(bin_.length, bin_.place, tuple(mine), opened=True) for bin_, mine in zip(stock, items, strict=False)]
    return bins + [_cheapest(mine, pieces, kinds) for mine in items[len(stock) :]]


def _fullest_first(pieces: Sequence[int], kinds: Sequence[Kind], stock: Sequence[Bin]) -> list[Bin] | None:
    """Reel after reel as full as can be, each of the kind that comes cheapest for what it takes."""
    items, bins = list(range(len(pieces))), []
    for bin_ in stock:
        taken = fullest(pieces, items, bin_.length, max(1, bin_.length // GRID))
        bins.append(Bin(bin_.length, bin_.place, tuple(sorted(taken)), opened=True))
        items = [item for item in items if item not in set(taken)]
    while items:
        offers = []
        for kind in kinds:
            taken = fullest(pieces, items, kind.length, max(1, kind.length // GRID))
            if taken:
                offers.append((Fraction(kind.weight, sum(pieces[item] for item in taken)), kind.length, taken))
        if not offers:
            return None
        taken = min(offers)[2]
        bins.append(_cheapest(sorted(taken), pieces, kinds))
        items = [item for item in items if item not in set(taken)]
    return bins


def _cheapest(items: Sequence[int], pieces: Sequence[int], kinds: Sequence[Kind]) -> Bin:
    total = sum(pieces[item] for item in items)
    kind = min((kind for kind in kinds if kind.length >= total), key=lambda kind: kind.weight)
    return Bin(kind.length, kind.place, tuple(items))


def _weight(bins: Sequence[Bin], kinds: Sequence[Kind]) -> int:
    weights = {kind.place: kind.weight for kind in kinds}
    return sum(weights[bin_.place] for bin_ in bins if not bin_.opened)


def _with_items(bins: Sequence[Bin], placed: Placed) -> list[Bin]:
    return [Bin(bin_.length, bin_.place, tuple(items), bin_.opened) for bin_, items in zip(bins, placed, strict=True)]


def _opened_first(bins: Sequence[Bin], pieces: Sequence[int]) -> list[Bin]:
    """What also fits on an opened reel is cut there: the purchase stays, and more is left on the new reels."""
    left = {at: bin_.length - sum(pieces[item] for item in bin_.items) for at, bin_ in enumerate(bins) if bin_.opened}
    items = [list(bin_.items) for bin_ in bins]
    moving = sorted((item, at) for at, bin_ in enumerate(bins) if not bin_.opened for item in bin_.items)
    for item, at in moving:
        fits = [other for other, room in left.items() if room >= pieces[item]]
        if fits:
            tightest = min(fits, key=lambda other: (left[other], other))
            left[tightest] -= pieces[item]
            items[at].remove(item)
            items[tightest].append(item)
    return [
        Bin(bin_.length, bin_.place, tuple(mine), bin_.opened) for bin_, mine in zip(bins, items, strict=True) if mine
    ]
