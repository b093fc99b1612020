"""How square a room is, and what the trade does about it. Knows nothing of who measured or how well.

Every rule here is common practice, no source, unless said. The triangle rules are Euclid's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from layout.engine.lengths import ZERO, Distance, Length, LengthError, Unit, feet, inches, mm, nanometers

SQUARE_WITHIN = Fraction(1, 4 * 12 * 20)  # 1/4 in per 20 ft
IGNORE_UP_TO = inches("1/4")
SHOW_OWNER_OVER = inches(1)
SMALLEST_PART = {Unit.INCH: feet(1), Unit.MM: mm(500)}  # one part of a 3-4-5, so that the crew reads whole numbers


class NoTriangle(LengthError):
    """Three readings that can't meet in a triangle: one of them is far off."""


class Squareness(StrEnum):
    SQUARE = "square"
    OUT_OF_SQUARE = "out of square"
    SIZES_DISAGREE = "sizes and diagonals disagree"  # no parallelogram has these: a reading is off, or walls differ


@dataclass(frozen=True, slots=True)
class SquareCheck:
    """Two sizes and two diagonals of a room taken to have equal opposite walls.

    differ: diagonal less diagonal, either way round. expected: the diagonal of a true rectangle of these sizes.
    allowed: 1/4 in per 20 ft of the longer size. drift: how far one long wall has slid along past the other.
    """

    squareness: Squareness
    differ: Distance
    expected: Length
    allowed: Distance
    drift: Distance


def square_check(wide: Distance, deep: Distance, d1: Distance, d2: Distance) -> SquareCheck:
    """Whether two diagonals say square, and whether they belong to these sizes.

    In any parallelogram the squares of the diagonals add up to twice the squares of the sizes, so a room that leans
    still passes for its sizes, and a misread size does not. drift = |d1² - d2²| / (4 x longer size), exact for a
    parallelogram.
    """
    for reading in (wide, deep, d1, d2):
        if reading <= ZERO:
            raise LengthError("Sizes and diagonals are more than zero.")
    longer = max(wide, deep)
    allowed = longer * SQUARE_WITHIN
    expected = _root(wide.nm**2 + deep.nm**2)
    differ = abs(d1 - d2)
    drift = Distance(abs(d1.nm**2 - d2.nm**2) / (4 * longer.nm))
    if abs(_root((d1.nm**2 + d2.nm**2) / 2) - expected) > allowed:
        squareness = Squareness.SIZES_DISAGREE
    else:
        squareness = Squareness.SQUARE if differ <= allowed else Squareness.OUT_OF_SQUARE
    return SquareCheck(squareness, differ, expected, allowed, drift)


def _root(square_nm: Fraction) -> Length:
    """To the whole nanometer below."""
    return nanometers(math.isqrt(square_nm.numerator // square_nm.denominator))


@dataclass(frozen=True, slots=True)
class CornerVerdict:
    """What a 3-4-5 says of one corner.

    drift: how far out one wall is by the end of the room, away from the other wall when positive (the corner is open).
    allowed: 1/4 in per 20 ft of the room.
    """

    square: bool
    drift: Distance
    allowed: Distance
    degrees: float


def three_four_five(along: Distance, up: Distance, across: Distance, room: Distance) -> CornerVerdict:
    """The corner between two walls from marks `along` one and `up` the other, and the reading `across` them.

    Any multiple of 3-4-5 will do, and any two sizes; large ones tell more. room: the size the drift is wanted over.
    cos = (along² + up² - across²) / (2 along up) and drift = -room cos, exact. Raises NoTriangle.
    """
    a, b, c = along.nm, up.nm, across.nm
    if min(a, b) <= 0 or not abs(a - b) < c < a + b:
        raise NoTriangle("These three can't meet in a triangle: measure them again.")
    cosine = (a * a + b * b - c * c) / (2 * a * b)
    drift = Distance(-room.nm * cosine)
    allowed = room * SQUARE_WITHIN
    return CornerVerdict(abs(drift) <= allowed, drift, allowed, math.degrees(math.acos(cosine)))


def largest_three_four_five(one: Distance, other: Distance, unit: Unit) -> tuple[Length, Length, Length] | None:
    """The largest 3-4-5 in whole feet (or half meters) that two walls have room for; None in a closet.

    The 3 goes along the shorter wall. A tape's error is the same on a large triangle, so it turns the corner less.
    """
    part = SMALLEST_PART[unit]
    short, long = sorted((one, other))
    times = min(short.nm // (3 * part.nm), long.nm // (4 * part.nm))
    if times < 1:
        return None
    return (3 * times * part).exact(), (4 * times * part).exact(), (5 * times * part).exact()


class OppositeWalls(StrEnum):
    """What to do about two opposite walls of different sizes."""

    IGNORE = "ignore"
    TAPER = "taper"  # lines stay parallel to the control wall; the taper goes to the wall that is seen least
    SHOW_OWNER = "show owner"


def opposite_walls(one: Distance, other: Distance) -> OppositeWalls:
    """Up to 1/4 in: ignore. Up to 1 in: keep lines parallel to the control wall. Over 1 in: show the owner first."""
    difference = abs(one - other)
    if difference <= IGNORE_UP_TO:
        return OppositeWalls.IGNORE
    return OppositeWalls.TAPER if difference <= SHOW_OWNER_OVER else OppositeWalls.SHOW_OWNER
