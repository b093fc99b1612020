"""Do these pieces fit on these reels, each piece whole? Knows whole numbers only: no prices, no records."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from enum import Enum, auto

GRID = 20_000  # sums of pieces are told apart to this part of the longest reel when a reel is filled
EXACT_LENGTHS = 1_000_000  # up to here every sum that pieces can make is found exactly

Placed = list[list[int]]  # for every reel, the places of its pieces


class Verdict(Enum):
    NEVER = auto()
    UNKNOWN = auto()


class Steps:
    """How many places the exact search may still try, over a whole plan."""

    def __init__(self, left: int) -> None:
        self.left = left


def usable(pieces: Sequence[int], lengths: Sequence[int]) -> list[int]:
    """How much of each length pieces can fill at most; the length itself where that would take long to find."""
    longest = max(lengths, default=0)
    if longest > EXACT_LENGTHS:
        return [length if length >= min(pieces) else 0 for length in lengths]
    reach = 1
    cover = (1 << (longest + 1)) - 1
    for piece in pieces:
        reach |= (reach << piece) & cover
    return [(reach & ((1 << (length + 1)) - 1)).bit_length() - 1 for length in lengths]


def never_fits(pieces: Sequence[int], lengths: Sequence[int]) -> bool:
    """True when counting alone shows it. pieces: longest first.

    A reel takes no more than length / t pieces of t or longer; pieces longer than a reel go on longer reels.
    """
    if sum(pieces) > sum(lengths):
        return True
    steps = sorted(set(pieces), reverse=True)
    short = [-piece for piece in pieces]
    for piece in steps[:: max(1, len(steps) // 24)]:
        count = bisect_left(short, -piece + 1)
        if count > sum(length // piece for length in lengths):
            return True
    for length in set(lengths):
        over = sum(piece for piece in pieces if piece > length)
        if over > sum(other for other in lengths if other > length):
            return True
    return False


def place(pieces: Sequence[int], lengths: Sequence[int], steps: Steps, most_steps: int) -> Placed | Verdict:
    """The pieces on the reels; NEVER when there is no way, UNKNOWN when none was found in so many steps.

    Args: pieces: longest first. steps: what is left to try over the whole plan.
    """
    if never_fits(pieces, lengths):
        return Verdict.NEVER
    if (found := best_fit(pieces, lengths)) is not None:
        return found
    for order in (
        sorted(range(len(lengths)), key=lambda reel: lengths[reel]),
        sorted(range(len(lengths)), key=lambda reel: -lengths[reel]),
    ):
        if (found := filled(pieces, lengths, order)) is not None:
            return found
    if len(pieces) > MOST_SEARCHED:
        return Verdict.UNKNOWN
    return _search(pieces, lengths, steps, most_steps)


MOST_SEARCHED = 120


def best_fit(pieces: Sequence[int], lengths: Sequence[int]) -> Placed | None:
    """The longest piece first, each on the reel where least is left over it."""
    placed: Placed = [[] for _ in lengths]
    left = sorted((length, reel) for reel, length in enumerate(lengths))
    for item, piece in enumerate(pieces):
        at = bisect_left(left, (piece, -1))
        if at == len(left):
            return None
        length, reel = left.pop(at)
        placed[reel].append(item)
        insort(left, (length - piece, reel))
    return placed


def fullest(pieces: Sequence[int], items: Sequence[int], length: int, unit: int) -> list[int]:
    """The items that fill a length best, the longest preferred. unit: what sums are told apart by, rounded safely."""
    room = length // unit
    cover = (1 << (room + 1)) - 1
    rising = list(reversed(items))
    reaches = [1]
    for item in rising:
        reaches.append((reaches[-1] | reaches[-1] << -(-pieces[item] // unit)) & cover)
    target, taken = reaches[-1].bit_length() - 1, []
    for at in range(len(rising) - 1, -1, -1):
        size = -(-pieces[rising[at]] // unit)
        if size <= target and reaches[at] >> (target - size) & 1:
            taken.append(rising[at])
            target -= size
    return taken


def filled(pieces: Sequence[int], lengths: Sequence[int], order: Sequence[int]) -> Placed | None:
    """Reel by reel, each as full as the pieces left allow."""
    placed: Placed = [[] for _ in lengths]
    items = list(range(len(pieces)))
    unit = max(1, max(lengths) // GRID)
    for reel in order:
        taken = set(fullest(pieces, items, lengths[reel], unit))
        placed[reel] = [item for item in items if item in taken]
        items = [item for item in items if item not in taken]
        if not items:
            return placed
    return None


def _search(pieces: Sequence[int], lengths: Sequence[int], steps: Steps, most_steps: int) -> Placed | Verdict:
    """Every way, the longest piece first. Reels with as much left are one; what is too short for any piece is waste."""
    shortest, allowed = pieces[-1], min(steps.left, most_steps)
    last, tried = steps.left - allowed, set()
    placed: Placed = [[] for _ in lengths]
    left = list(lengths)
    spare = sum(lengths) - sum(pieces) - sum(length for length in lengths if length < shortest)

    def goes(item: int, spare: int) -> bool | None:
        if item == len(pieces):
            return True
        state = (item, tuple(sorted(length for length in left if length >= shortest)))
        if state in tried:
            return False
        if steps.left <= last:
            return None
        steps.left -= 1
        piece, known = pieces[item], True
        seen: set[int] = set()
        for reel in sorted(range(len(left)), key=left.__getitem__):
            rest = left[reel] - piece
            if rest < 0 or left[reel] in seen:
                continue
            seen.add(left[reel])
            waste = rest if rest < shortest else 0
            if waste > spare:
                continue
            left[reel] = rest
            placed[reel].append(item)
            answer = goes(item + 1, spare - waste)
            if answer:
                return True
            left[reel] += piece
            placed[reel].pop()
            if answer is None:
                known = False
                break
            if rest == 0:
                break  # what would fill this reel else is no longer than the piece: the two can be swapped
        if known:
            tried.add(state)
            return False
        return None

    answer = goes(0, spare) if spare >= 0 else False
    return placed if answer else Verdict.UNKNOWN if answer is None else Verdict.NEVER
