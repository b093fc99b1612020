"""Exact lengths: what was read off a tape, and what is printed for a tape. Knows nothing of rooms or Django.

A `Length` is a whole number of nanometers, so every 1/64 in and every 0.001 mm is exact.
A `Distance` is what sums, halves and thirds of lengths give: an exact rational of nanometers.
Source: 1 in = 25.4 mm exactly (NIST SP 811, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cache, lru_cache

NM_PER_INCH = 25_400_000
NM_PER_MM = 1_000_000
NM_PER_METER = 1_000_000_000
INCHES_PER_FOOT = 12


class LengthError(ValueError):
    """A length that can't be read or can't be held exactly. The message is for people: it names the remedy."""


class Unit(StrEnum):
    """The unit of a tape. A tick is the finest mark a layout stands on: 1/16 in or 1 mm."""

    INCH = "in"
    MM = "mm"

    @property
    def tick(self) -> Length:
        return nanometers(NM_PER_INCH // 16 if self is Unit.INCH else NM_PER_MM)


@dataclass(frozen=True, slots=True, eq=False)
class Distance:
    """An exact distance or position, in nanometers (may be negative, may be a fraction)."""

    nm: Fraction

    def __post_init__(self) -> None:
        if type(self.nm) is Fraction:  # made again it would be the same, and distances are made by the million
            return
        if isinstance(self.nm, float):
            raise LengthError("A distance is never made from a float.")
        object.__setattr__(self, "nm", Fraction(self.nm))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Distance) and self.nm == other.nm

    def __hash__(self) -> int:
        return hash(self.nm)

    def __lt__(self, other: Distance) -> bool:
        return self.nm < other.nm

    def __le__(self, other: Distance) -> bool:
        return self.nm <= other.nm

    def __gt__(self, other: Distance) -> bool:
        return self.nm > other.nm

    def __ge__(self, other: Distance) -> bool:
        return self.nm >= other.nm

    def __add__(self, other: Distance) -> Distance:
        return _simplest(self.nm + other.nm)

    def __sub__(self, other: Distance) -> Distance:
        return _simplest(self.nm - other.nm)

    def __mul__(self, factor: int | Fraction) -> Distance:
        return _simplest(self.nm * (factor if type(factor) is int else Fraction(factor)))

    __rmul__ = __mul__

    def __truediv__(self, divisor: int | Fraction) -> Distance:
        return _simplest(self.nm / (divisor if type(divisor) is int else Fraction(divisor)))

    def __neg__(self) -> Distance:
        return _simplest(-self.nm)

    def __abs__(self) -> Distance:
        return _simplest(abs(self.nm))

    def __bool__(self) -> bool:
        return self.nm != 0

    def exact(self) -> Length:
        """This distance as a Length. Raises LengthError when it is not a whole number of nanometers."""
        return Length(self.nm)

    @property
    def inches(self) -> Fraction:
        return self.nm / NM_PER_INCH

    @property
    def mm(self) -> Fraction:
        return self.nm / NM_PER_MM


@dataclass(frozen=True, slots=True, eq=False)
class Length(Distance):
    """A distance that is a whole number of nanometers: what the database holds."""

    def __post_init__(self) -> None:
        if type(self.nm) is not Fraction:
            Distance.__post_init__(self)
        if self.nm.denominator != 1:
            raise LengthError("That is finer than a length can be held: give it to 1/64 in or 0.001 mm.")

    def __int__(self) -> int:
        return self.nm.numerator

    def __repr__(self) -> str:
        return f"inches('{self.inches}')"


ZERO = Length(Fraction(0))


def _simplest(nm: Fraction) -> Distance:
    return Length(nm) if nm.denominator == 1 else Distance(nm)


@lru_cache(maxsize=8192)  # a page of rooms reads thousands of them, and few different ones
def nanometers(nm: int) -> Length:
    """A length from its stored integer."""
    return Length(Fraction(nm))


def _exactly(value: int | str | Fraction | Decimal) -> Fraction:
    if isinstance(value, (bool, float)):
        raise LengthError("A length is never made from a float.")
    if isinstance(value, str) and " " in value.strip():  # '148 1/2'
        whole, part = value.strip().split()
        return Fraction(whole) + (Fraction(part) if not whole.startswith("-") else -Fraction(part))
    return Fraction(value)


def inches(value: int | str | Fraction | Decimal) -> Length:
    """inches('148 1/2'), inches(12), inches('0.25'). Exact; raises LengthError if not a whole nanometer."""
    return Length(_exactly(value) * NM_PER_INCH)


def feet(value: int | str | Fraction | Decimal) -> Length:
    return Length(_exactly(value) * NM_PER_INCH * INCHES_PER_FOOT)


def mm(value: int | str | Fraction | Decimal) -> Length:
    return Length(_exactly(value) * NM_PER_MM)


def meters(distance: Distance) -> float:
    """As light and sound take it, in floats. No exact length is made of it again."""
    return float(distance.nm) / NM_PER_METER


class Style(StrEnum):
    """How a shop writes a length."""

    FEET_INCHES = "ft-in"  # 12'-3 1/4"
    INCHES = "in"  # 147 1/4
    MM = "mm"  # 3740


@dataclass(frozen=True, slots=True)
class Tape:
    """What a shop prints for: its style and the fraction its people read.

    Args: fraction: 8, 16, 32 or 64 for inch styles (the finest division printed); 1 for mm.
    """

    style: Style = Style.INCHES
    fraction: int = 16

    def __post_init__(self) -> None:
        allowed = (1,) if self.style is Style.MM else (8, 16, 32, 64)
        if self.fraction not in allowed:
            raise LengthError(f"A tape in {self.style.value} is read to one of {allowed}.")

    @property
    def unit(self) -> Unit:
        return Unit.MM if self.style is Style.MM else Unit.INCH

    @property
    def step(self) -> Length:
        """The smallest difference printed."""
        return _step(self.style, self.fraction)

    def rounded(self, distance: Distance) -> Length:
        """The nearest printable length; halves go away from zero."""
        steps = abs(distance.nm) / self.step.nm
        whole = (2 * steps.numerator + steps.denominator) // (2 * steps.denominator)
        return Length((whole if distance.nm >= 0 else -whole) * self.step.nm)

    def show(self, distance: Distance, *, mark: bool = True) -> str:
        """The rounded length as people write it: 12'-3 1/4", 147 1/4", 3740 mm. mark=False leaves off the unit sign."""
        return _shown(self, distance.nm.numerator, distance.nm.denominator, mark)


@lru_cache(maxsize=8192)  # a page shows hundreds, and the same ones again
def _shown(tape: Tape, nm: int, parts: int, mark: bool) -> str:
    printed = tape.rounded(Distance(Fraction(nm, parts)))
    sign = "-" if printed.nm < 0 else ""
    if tape.style is Style.MM:
        return f"{sign}{abs(printed.mm)}{' mm' if mark else ''}"
    total = abs(printed.inches)
    whole, part = divmod(total, 1)
    feet_part = ""
    if tape.style is Style.FEET_INCHES:
        whole_feet, whole = divmod(int(whole), INCHES_PER_FOOT)
        feet_part = f"{whole_feet}'-" if whole_feet else ""
    inch_part = f"{int(whole)} {part}" if part and (whole or feet_part) else f"{part or int(whole)}"
    sign_mark = '"' if mark or tape.style is Style.FEET_INCHES else ""
    return f"{sign}{feet_part}{inch_part}{sign_mark}"


@cache
def _step(style: Style, fraction: int) -> Length:
    return mm(1) if style is Style.MM else inches(Fraction(1, fraction))


def as_typed(length: Length, tape: Tape) -> str:
    """What to put into a box so that saving it again changes nothing: as the tape prints it where that is exact.

    Otherwise to 1/64 in, and what no inch fraction holds in millimeters: 90 mm in a shop of inches.
    """
    if tape.style is not Style.MM:
        for one in (tape, Tape(tape.style, 64)):
            if one.rounded(length) == length:
                return one.show(length)
    return f"{Decimal(int(length)) / NM_PER_MM:f} mm"


def echo(length: Distance, tape: Tape) -> str:
    """What was understood, in both units, the shop's own first: 12'-6 1/2" · 150 1/2" · ≈ 3823 mm.

    ≈ stands before what had to be rounded to be printed. A metric shop's inches are shown to 1/16.
    """
    fraction = 16 if tape.style is Style.MM else tape.fraction
    imperial = [Tape(Style.FEET_INCHES, fraction), Tape(Style.INCHES, fraction)]
    tapes = [Tape(Style.MM, 1), *imperial] if tape.style is Style.MM else [*imperial, Tape(Style.MM, 1)]
    said = (("" if one.rounded(length) == length else "≈ ") + one.show(length) for one in tapes)
    return " · ".join(dict.fromkeys(said))  # under a foot both inch styles say the same


def last_to_wall(wall: Distance, last: Distance, tape: Tape) -> Length:
    """The proof at the end of a line of running dimensions: printed wall less printed last mark.

    Every mark is rounded on its own from the exact position, so none is off by more than half a step; gaps rounded one
    by one would pile up. This number is taken from the printed ones, within one step of exact, so that the card adds
    up for a person with a pencil.
    """
    return (tape.rounded(wall) - tape.rounded(last)).exact()
