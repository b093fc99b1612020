"""The reel plan of a few pieces: every way to split them is looked at. Knows whole numbers only."""

from __future__ import annotations

from collections.abc import Sequence

from reports.estimating.reel_values import Bin, Kind, Mix

_Split = list[tuple[int, int]]  # for every set of pieces: the part cut from this reel, and its kind


def by_subsets(pieces: Sequence[int], kinds: Sequence[Kind], opened: Sequence[int]) -> Mix | None:
    """The least plan, by dynamic programming over sets of pieces: 3 to the power of the pieces, steps.

    A set costs the least, over its parts that hold its first piece, of one reel for that part and the rest's own least.
    None: the pieces can't be cut, as one that fits no pack finds no opened reel.
    """
    every = (1 << len(pieces)) - 1
    sums = _sums(pieces)
    finer = sums[every] + 1  # among equal purchases, the one that takes most from opened reels
    most = finer * max((kind.weight for kind in kinds), default=0) * len(pieces)  # a reel for every piece
    never = 2 * (most + finer)
    least = [never] * (every + 1)
    least[0] = 0
    bought: _Split = [(0, 0)] * (every + 1)
    price = [_cheapest(total, kinds) for total in sums]
    for whole in range(1, every + 1):
        first = whole & -whole
        rest = whole ^ first
        part = rest
        while True:
            kind = price[part | first]
            if kind is not None:
                weight = kinds[kind].weight * finer + least[rest ^ part]
                if weight < least[whole]:
                    least[whole], bought[whole] = weight, (part | first, kind)
            if not part:
                break
            part = (part - 1) & rest
    layers: list[tuple[int, list[int]]] = []
    for place, left in sorted(enumerate(opened), key=lambda each: each[1]):
        least, taken = _with_opened(left, least, sums)
        layers.append((place, taken))
    if least[every] > most:
        return None
    return _bins(every, layers, bought, kinds, opened, sums)


def _with_opened(left: int, least: list[int], sums: list[int]) -> tuple[list[int], list[int]]:
    """What every set costs when an opened reel with so much left may be used too, and what is cut from it."""
    better, taken = list(least), [0] * len(least)
    for whole in range(1, len(least)):
        part = whole
        while part:
            if sums[part] <= left:
                weight = least[whole ^ part] - sums[part]
                if weight < better[whole]:
                    better[whole], taken[whole] = weight, part
            part = (part - 1) & whole
    return better, taken


def _sums(pieces: Sequence[int]) -> list[int]:
    sums = [0]
    for piece in pieces:
        sums += [total + piece for total in sums]
    return sums


def _cheapest(total: int, kinds: Sequence[Kind]) -> int | None:
    holding = [place for place, kind in enumerate(kinds) if kind.length >= total]
    return min(holding, key=lambda place: kinds[place].weight, default=None)


def _bins(
    every: int,
    layers: list[tuple[int, list[int]]],
    bought: _Split,
    kinds: Sequence[Kind],
    opened: Sequence[int],
    sums: list[int],
) -> Mix:
    bins, left = [], every
    for place, taken in reversed(layers):
        if part := taken[left]:
            bins.append(Bin(opened[place], place, _items(part), opened=True))
            left ^= part
    while left:
        part, kind = bought[left]
        bins.append(Bin(kinds[kind].length, kinds[kind].place, _items(part)))
        left ^= part
    return Mix(tuple(bins), exact=True)


def _items(part: int) -> tuple[int, ...]:
    return tuple(place for place in range(part.bit_length()) if part >> place & 1)
