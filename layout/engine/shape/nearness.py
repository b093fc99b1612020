"""How near a point or a square is to a straight edge: exact, as squares of distances. Knows no outline.

Whole numbers where the point is whole, fractions about (0, 0) where a square is meant.
"""

from __future__ import annotations

from fractions import Fraction
from math import isqrt

from layout.engine.lengths import Distance

Point = tuple[int, int]
Exact = tuple[Fraction, Fraction]


def root(square_nm: Fraction, *, up: bool = False) -> Distance:
    """A square root: exact where it is a whole fraction, else to the nanometer below (up: above)."""
    top, bottom = isqrt(square_nm.numerator), isqrt(square_nm.denominator)
    if top * top == square_nm.numerator and bottom * bottom == square_nm.denominator:
        return Distance(Fraction(top, bottom))
    below = isqrt(square_nm.numerator // square_nm.denominator)
    return Distance(Fraction(below + 1 if up else below))


def squared(px: int, py: int, a: Point, b: Point) -> tuple[int, int]:
    """The square of a point's distance to an edge, as a fraction's two parts."""
    ux, uy, wx, wy = b[0] - a[0], b[1] - a[1], px - a[0], py - a[1]
    dot, long = ux * wx + uy * wy, ux * ux + uy * uy
    if dot <= 0:
        return wx * wx + wy * wy, 1
    if dot >= long:
        return (px - b[0]) ** 2 + (py - b[1]) ** 2, 1
    return (ux * wy - uy * wx) ** 2, long


def widest(a: Exact, b: Exact) -> Fraction:
    """Half the side of the smallest square about (0, 0), square to the room, that reaches an edge."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    turns = {Fraction(0), Fraction(1)}
    for over, under in ((a[0], ux), (a[1], uy), (a[0] - a[1], ux - uy), (a[0] + a[1], ux + uy)):
        if under and 0 < -over / under < 1:
            turns.add(-over / under)
    return min(max(abs(a[0] + t * ux), abs(a[1] + t * uy)) for t in turns)


def from_square(a: Exact, b: Exact, half: Fraction) -> Fraction:
    """The square of the distance from an edge to the rim of a square about (0, 0) that it doesn't reach."""
    ends = (max(abs(x) - half, Fraction(0)) ** 2 + max(abs(y) - half, Fraction(0)) ** 2 for x, y in (a, b))
    corners = (_squared_exact((x, y), a, b) for x in (-half, half) for y in (-half, half))
    return min(*ends, *corners)


def _squared_exact(p: Exact, a: Exact, b: Exact) -> Fraction:
    ux, uy, wx, wy = b[0] - a[0], b[1] - a[1], p[0] - a[0], p[1] - a[1]
    t = min(max((ux * wx + uy * wy) / (ux * ux + uy * uy), Fraction(0)), Fraction(1))
    return (wx - t * ux) ** 2 + (wy - t * uy) ** 2
