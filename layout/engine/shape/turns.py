"""The turn at a wall's end, and which way the next wall then runs. Knows no walls.

A direction is two whole numbers, so that turning out and back again is exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import gcd, isqrt

from layout.engine.lengths import ZERO, Length, LengthError
from layout.engine.shape.nearness import root

FINE = 1 << 64  # a direction from a measured diagonal is held this fine: under a nanometer in any building
LONGEST_HEADING = 512  # bits; longer ones are cut back to FINE

Heading = tuple[int, int]


class Hand(StrEnum):
    RIGHT = "right"
    LEFT = "left"


@dataclass(frozen=True, slots=True)
class Legs:
    """A corner that isn't square, as a carpenter says it: "3 over 12", off the line of the wall just walked.

    over: how far to the side, for each `run` straight on. over 0 goes straight on: the finish changes there.
    """

    over: Length
    run: Length

    def __post_init__(self) -> None:
        if self.over < ZERO or self.run <= ZERO:
            raise LengthError("Corner: 3 over 12 is 3 to the side for each 12 straight on, and 12 is more than 0.")


@dataclass(frozen=True, slots=True)
class Diagonal:
    """A corner measured inside: `back` along the wall just walked, `on` along the next, `across` from mark to mark."""

    back: Length
    on: Length
    across: Length

    def __post_init__(self) -> None:
        if min(self.back, self.on) <= ZERO or not abs(self.back - self.on) < self.across <= self.back + self.on:
            raise LengthError("Corner: these three can't meet in a triangle. Measure them again.")


@dataclass(frozen=True, slots=True)
class Turn:
    """The turn at a wall's end. angle: None for a square corner."""

    hand: Hand = Hand.RIGHT
    angle: Legs | Diagonal | None = None


def turned(heading: Heading, turn: Turn) -> Heading:
    on, side = _deflection(turn)
    side = side if turn.hand is Hand.LEFT else -side
    x, y = heading
    x, y = x * on - y * side, x * side + y * on
    common = gcd(x, y)
    x, y = x // common, y // common
    if max(x.bit_length(), y.bit_length()) > LONGEST_HEADING:
        most = max(abs(x), abs(y))
        x, y = x * FINE // most, y * FINE // most
    return x, y


def _deflection(turn: Turn) -> tuple[int, int]:
    """How far on and to the side the next wall goes."""
    match turn.angle:
        case None:
            return 0, 1
        case Legs(over, run):
            return int(run), int(over)
        case Diagonal(back, on, across):
            a, b, c = back.nm, on.nm, across.nm
            inside = Fraction(a * a + b * b - c * c) / (2 * a * b)  # cosine law; the next wall turns off by the rest
            side = isqrt(int((1 - inside * inside) * FINE * FINE))
            return round(-inside * FINE), side


def unit(heading: Heading) -> tuple[Fraction, Fraction]:
    long = root(Fraction(heading[0] ** 2 + heading[1] ** 2) * FINE**2).nm / FINE
    return heading[0] / long, heading[1] / long


def along(heading: Heading, length: Length) -> tuple[int, int]:
    """A length in this direction, to the nearest nanometer."""
    square = heading[0] ** 2 + heading[1] ** 2

    def part(of: int) -> int:
        quarter = Fraction(int(length) ** 2 * of * of * 4, square)
        near = (isqrt(quarter.numerator // quarter.denominator) + 1) // 2
        return near if of >= 0 else -near

    return part(heading[0]), part(heading[1])
