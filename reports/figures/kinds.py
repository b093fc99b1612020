"""What a figure may be given: each kind reads one JSON value or refuses it with the remedy. Knows no figure, no page.

A kind says what it wants in `wants`, takes a value apart in `read`, and raises Refused with a sentence that the
figure's input name is put before.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from layout.engine.wiring.conductors import THICKEST, THINNEST

LARGEST = 1e9
SMALLEST = 1e-9
SHOWN = 40  # characters of a refused value that are said again


class Refused(ValueError):
    """A value that can't be taken. The message says what was understood and what to give."""


@dataclass(frozen=True, slots=True)
class Unread:
    """What stood where a JSON number should, and is none: NaN, Infinity, 1e999, a thousand digits."""

    text: str


def said(value: object) -> str:
    """A refused value in a few characters."""
    text = value.text if isinstance(value, Unread) else repr(value)
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}…"


def exact(value: object) -> Fraction:
    """A number as it was written: 0.1 is a tenth. Raises Refused for what is no plain number."""
    if isinstance(value, Fraction):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float):
        remedy = "give it without quotes" if isinstance(value, str) else "give a number"
        raise Refused(f"{said(value)} is not a number: {remedy}, in digits.")
    if isinstance(value, float) and not math.isfinite(value):
        raise Refused(f"{value} is not a number that can be worked with: give one in digits.")
    return Fraction(str(value))


@dataclass(frozen=True, slots=True)
class Number:
    """A float between low and high. zero: 0 may be given as well when low is above it."""

    low: float = SMALLEST
    high: float = LARGEST
    zero: bool = False

    @property
    def wants(self) -> str:
        if self.low < 0:
            return f"a number from {self.low:g} to {self.high:g}"
        least = "0" if self.zero else ("over 0" if self.low == SMALLEST else f"{self.low:g}")
        return (
            f"a number, {least} to {self.high:g}"
            if self.zero or self.low != SMALLEST
            else f"a number over 0, to {self.high:g}"
        )

    def exactly(self, value: object) -> Fraction:
        number = exact(value)
        if number == 0 and self.zero:
            return number
        if not Fraction(str(self.low)) <= number <= Fraction(str(self.high)):
            raise Refused(f"{said_number(number)} is out of reach: give {self.wants}.")
        return number

    def read(self, value: object) -> float:
        return float(self.exactly(value))


@dataclass(frozen=True, slots=True)
class Exact(Number):
    """The same, kept exact as a Fraction: lengths and places, in any one unit."""

    def read(self, value: object) -> Fraction:  # type: ignore[override]
        return self.exactly(value)


@dataclass(frozen=True, slots=True)
class Whole:
    low: int
    high: int

    @property
    def wants(self) -> str:
        return f"a whole number, {self.low} to {self.high}"

    def read(self, value: object) -> int:
        number = exact(value)
        if number.denominator != 1 or not self.low <= number <= self.high:
            raise Refused(f"{said_number(number)} doesn't do: give {self.wants}.")
        return int(number)


@dataclass(frozen=True, slots=True)
class Gauge:
    """A wire gauge: 40 to 1, then 1/0 to 4/0, which may also be written 0 to -3."""

    wants: str = 'an AWG gauge: 40 to 1 as a number, or "1/0" to "4/0"'

    def read(self, value: object) -> int:
        if isinstance(value, str) and value in ("1/0", "2/0", "3/0", "4/0"):
            return 1 - int(value[0])
        if isinstance(value, str) and value in ("0", "00", "000", "0000"):
            return 1 - len(value)
        try:
            return Whole(THICKEST, THINNEST).read(value)
        except Refused:
            raise Refused(f"{said(value)} is no gauge: give {self.wants}.") from None


@dataclass(frozen=True, slots=True)
class Flag:
    wants: str = "true or false"

    def read(self, value: object) -> bool:
        if not isinstance(value, bool):
            raise Refused(f"{said(value)} is neither: give true or false.")
        return value


@dataclass(frozen=True, slots=True)
class OneOf:
    words: tuple[str, ...]

    @property
    def wants(self) -> str:
        return " or ".join(f'"{word}"' for word in self.words)

    def read(self, value: object) -> str:
        if not isinstance(value, str) or value not in self.words:
            raise Refused(f"{said(value)} is not one of them: give {self.wants}.")
        return value


@dataclass(frozen=True, slots=True)
class Plain:
    """A decimal written as text, "6200.00": money, hours and percentages are never floats."""

    high: Decimal = Decimal(10) ** 9
    places: int = 6
    wants: str = 'a decimal in quotes, 0 or more: "6200.00"'

    def read(self, value: object) -> str:
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise Refused(f"{said(value)} is not an amount: give {self.wants}.")
        text = str(value)
        try:
            amount = Decimal(text) if text.isascii() and "_" not in text and len(text) <= SHOWN else Decimal("NaN")
        except InvalidOperation:
            amount = Decimal("NaN")
        if not amount.is_finite():
            raise Refused(f"{said(value)} is not an amount: give {self.wants}.")
        if not 0 <= amount <= self.high or amount.normalize().as_tuple().exponent < -self.places:  # type: ignore[operator]
            raise Refused(
                f"{said(value)} is out of reach: give 0 to {self.high:,}, with at most {self.places} decimal places."
            )
        return f"{amount:f}"


@dataclass(frozen=True, slots=True)
class Place:
    """A point [x, y] on a plan, in any one unit."""

    wants: str = "a point [x, y]"
    coordinate: Exact = Exact(low=-LARGEST)

    def read(self, value: object) -> tuple[Fraction, Fraction]:
        if not isinstance(value, Sequence) or isinstance(value, str) or len(value) != 2:
            raise Refused(f"{said(value)} is no point: give {self.wants}.")
        return self.coordinate.read(value[0]), self.coordinate.read(value[1])


@dataclass(frozen=True, slots=True)
class Row:
    """So many numbers in one order, [x, y, z]: each by its own name."""

    names: tuple[str, ...]
    each: Number = field(default_factory=Number)

    @property
    def wants(self) -> str:
        return f"[{', '.join(self.names)}], each {self.each.wants}"

    def read(self, value: object) -> tuple[float, ...]:
        if not isinstance(value, list | tuple) or len(value) != len(self.names):
            raise Refused(f"{said(value)} doesn't do: give {self.wants}.")
        found = []
        for name, one in zip(self.names, value, strict=True):
            try:
                found.append(self.each.read(one))
            except Refused as refused:
                raise Refused(f"{name}: {refused}") from None
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Text:
    """A text of several lines: a file's content. most: characters."""

    most: int
    wants: str

    def read(self, value: object) -> str:
        if not isinstance(value, str) or not value.strip():
            raise Refused(f"{said(value)} is no text: give {self.wants}.")
        if len(value) > self.most:
            raise Refused(f"{len(value):,} characters were given: give {self.wants}, {self.most:,} at most.")
        return value


@dataclass(frozen=True, slots=True)
class ListOf:
    """A list of one kind, or of objects with named parts. least and most: how many."""

    each: Any  # a kind, or a Record
    most: int
    least: int = 0
    of_what: str = ""

    @property
    def wants(self) -> str:
        return f"a list of {self.of_what or self.each.wants}, {self.least} to {self.most} of them"

    def read(self, value: object) -> tuple[Any, ...]:
        if not isinstance(value, list | tuple):
            raise Refused(f"{said(value)} is no list: give {self.wants}.")
        if not self.least <= len(value) <= self.most:
            raise Refused(f"{len(value)} were given: give {self.wants}.")
        found = []
        for at, one in enumerate(value, 1):
            try:
                found.append(self.each.read(one))
            except Refused as refused:
                raise Refused(f"number {at}: {refused}") from None
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Record:
    """An object with named parts, made into a value. usual: what a part is when it is left out."""

    parts: Mapping[str, Any]
    usual: Mapping[str, object]
    make: Callable[..., Any]

    @property
    def wants(self) -> str:
        return "{" + ", ".join(self.parts) + "}"

    def read(self, value: object) -> Any:
        if not isinstance(value, Mapping):
            raise Refused(f"{said(value)} is no object: give {self.wants}.")
        for name in value:
            if name not in self.parts:
                raise Refused(f"{said(name)} is not part of it: give {self.wants}.")
        found = {}
        for name, kind in self.parts.items():
            if name not in value and name in self.usual:
                found[name] = self.usual[name]
            elif name not in value:
                raise Refused(f"{name} is missing: give {kind.wants}.")
            else:
                try:
                    found[name] = kind.read(value[name])
                except Refused as refused:
                    raise Refused(f"{name}: {refused}") from None
        return self.make(**found)


def said_number(number: Fraction) -> str:
    return str(int(number)) if number.denominator == 1 and abs(number) < 10**12 else f"{float(number):g}"
