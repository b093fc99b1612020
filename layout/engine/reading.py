"""Reads a length as people write it on a sketch. Knows nothing of rooms, bounds or Django.

What can be read in two plausible ways is refused with both readings; nothing is ever rounded or guessed.

How a dash is read, in inches: between feet and inches (12-6, 12'-6), between inches and a fraction (148-1/2), both in
12-6-1/2. A point is always a decimal point; a comma is one only in metric, and only when it can't be thousands.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from layout.engine.lengths import (
    INCHES_PER_FOOT,
    NM_PER_INCH,
    NM_PER_MM,
    Distance,
    Length,
    LengthError,
    Style,
    Tape,
    Unit,
)

LONGEST_TEXT = 64  # characters
MOST_DIGITS = 9  # before the point: 10^9 mm is longer than any building
MOST_FEET = 60  # a bare 12.6 is asked about up to here: few rooms are longer
FINEST = 64  # the largest denominator on a tape

_SAME_AS = {
    **dict.fromkeys(map(ord, "’‘′ʹ"), "'"),
    **dict.fromkeys(map(ord, "”“″ʺ"), '"'),
    **dict.fromkeys(map(ord, "‐‑‒–—−"), "-"),
    **dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u200a\u202f\u3000"), " "),
    **dict.fromkeys(map(ord, "⁄∕"), "/"),
    # Full-width forms only: compatibility folding of everything would turn 12² into 122.
    **{code: unicodedata.normalize("NFKC", chr(code)) for code in range(0xFF01, 0xFF5F)},
    # ½ stands apart from its neighbors, or 6½ would turn into 61/2.
    **{
        code: f" {unicodedata.normalize('NFKC', chr(code)).replace('⁄', '/')} "
        for code in (*range(0xBC, 0xBF), *range(0x2150, 0x215F))
    },
}
_WORDS = {
    **dict.fromkeys(("ft", "foot", "feet"), "'"),
    **dict.fromkeys(("in", "inch", "inches"), '"'),
    **dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), "mm"),
    **dict.fromkeys(("cm", "centimeter", "centimeters", "centimetre", "centimetres"), "cm"),
    **dict.fromkeys(("m", "meter", "meters", "metre", "metres"), "m"),
}
_MM_IN = {"mm": 1, "cm": 10, "m": 1000}
_TOKEN = re.compile(r"[0-9]+|[a-z]+|\s+|.", re.DOTALL)  # every alternative is one run: nothing to back out of
_SIMPLE = ("n", "d", "f", "n f", "n-f")  # shapes of one quantity: 148, 148.5, 1/2, 148 1/2, 148-1/2


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read what was written: a text that can be read in this way only, and its length."""

    text: str
    length: Length


class AmbiguousLength(LengthError):
    """What was written can be read in more than one way. `readings` holds them; the person chooses."""

    def __init__(self, text: str, readings: Sequence[Reading]) -> None:
        self.readings = tuple(readings)
        super().__init__(f"{text} can be read as {' or '.join(one.text for one in self.readings)}. Choose one.")


@dataclass(frozen=True, slots=True)
class _Piece:
    """kind: n whole number, d decimal, c number with a comma, f fraction, M metric unit, or one of ' \" - and space."""

    kind: str
    text: str
    value: Fraction = Fraction(0)


def read_length(text: str, *, unit: Unit, style: Style) -> Length:
    """The length a person wrote: 12' 6 1/2", 12-6-1/2, 12 ft 6.5 in, 148 1/2, 12′ 6½″, 3.84 m, 3,81 m, 3840 mm.

    Args:
        text: at most 64 characters. unit: what a bare number means. style: how the shop writes; in a feet-and-inches
        shop a bare 12.6 or 12-1/2 may have meant feet and is asked about.
    Raises:
        AmbiguousLength: it can be read two ways. LengthError: it can't be read, or can't be held exactly.
        Zero is read; the caller's bounds refuse it.
    """
    if not isinstance(text, str):
        raise LengthError(f"A length is written as text, for example {_example(unit)}.")
    if len(text) > LONGEST_TEXT:
        raise LengthError(f"A length takes at most {LONGEST_TEXT} characters, for example {_example(unit)}.")
    written = " ".join(text.split())
    if not written:
        raise LengthError(f"No length was given. Write it like {_example(unit)}.")
    return _Reader(written, unit, style).read()


def _example(unit: Unit) -> str:
    return "3840, 384 cm or 3.84 m" if unit is Unit.MM else "12' 6 1/2\", 150 1/2 or 3.84 m"


def _decimal(value: Fraction) -> str:
    return f"{Decimal(value.numerator) / Decimal(value.denominator):f}"


@dataclass(frozen=True, slots=True)
class _Reader:
    written: str
    unit: Unit
    style: Style

    def problem(self, understood: str, remedy: str = "") -> LengthError:
        return LengthError(f"{self.written}: {understood} {remedy or f'Write it like {_example(self.unit)}.'}")

    def read(self) -> Length:
        pieces = _without_idle_spaces(self.pieces())
        shape = "".join(piece.kind for piece in pieces)
        numbers = [piece for piece in pieces if piece.kind in "ndcf"]
        if shape.startswith("-"):
            raise self.problem("a length has no sign.", "Write it without the minus.")
        if "M" in shape:
            return self.metric(shape, numbers, pieces[-1].text)
        if self.unit is Unit.MM and shape in ("n", "d", "c"):
            return self.metric(shape + "M", numbers, "mm")
        if "c" in shape:
            raise self.problem("a comma isn't used in feet and inches.", "Write 3810, or 38.1 with a point.")
        if " -" in shape or "- " in shape:
            raise self.problem("a dash with spaces could mean taking off.", "Write 148-1/2, or take it off first.")
        if "'" in shape:
            return self.feet_marked(shape, numbers)
        core = shape.removesuffix('"')
        return self.dashed_or_spaced(core, numbers, marked=core != shape)

    # From characters to pieces

    def pieces(self) -> list[_Piece]:
        plain = self.written.translate(_SAME_AS)
        for character in plain:
            if not character.isascii():
                what = "write digits as 0 to 9." if character.isnumeric() else f"“{character}” isn't part of a length."
                raise self.problem(what)
        tokens = _TOKEN.findall(plain.lower())
        found: list[_Piece] = []
        at = 0
        while at < len(tokens):
            piece, used = self.piece(tokens, at)
            found.extend(piece)
            at += used
        return found

    def piece(self, tokens: Sequence[str], at: int) -> tuple[list[_Piece], int]:
        """The piece that begins at this token (none for the point of `ft.`), and how many tokens it takes."""
        token = tokens[at]
        following = tokens[at + 1] if at + 1 < len(tokens) else ""
        if token.isspace():
            return [_Piece(" ", " ")], 1
        if token.isdigit():
            return self.number(tokens, at)
        if token.isalpha():
            if token not in _WORDS:
                raise self.problem(f"“{token}” isn't a unit of length.")
            sign = _WORDS[token]
            return [_Piece(sign if sign in "'\"" else "M", sign)], 1
        if token == "." and at and tokens[at - 1].isalpha() and not following.isdigit():
            return [], 1
        if token == "." and following.isdigit() and not (at and tokens[at - 1].isalpha()):
            return [_Piece("d", f"0.{following}", Fraction(f"0.{following}"))], 2
        if token == "'" and following == "'":
            return [_Piece('"', '"')], 2
        if token in "'\"-":
            return [_Piece(token, token)], 1
        if token == "+":
            raise self.problem("a length has no sign.", "Write it without the plus.")
        raise self.problem(f"“{token}” can't stand there in a length.")

    def number(self, tokens: Sequence[str], at: int) -> tuple[list[_Piece], int]:
        token = tokens[at]
        if len(token) > MOST_DIGITS:
            raise self.problem(f"{token} is longer than any building.")
        if len(tokens) > at + 2 and tokens[at + 1] in (".", ",") and tokens[at + 2].isdigit():
            mark, decimals = tokens[at + 1], tokens[at + 2]
            kind = "d" if mark == "." else "c"
            return [_Piece(kind, f"{token}{mark}{decimals}", Fraction(f"{token}.{decimals}"))], 3
        solid = [index for index in range(at + 1, min(at + 5, len(tokens))) if not tokens[index].isspace()][:2]
        if len(solid) == 2 and tokens[solid[0]] == "/" and tokens[solid[1]].isdigit():
            return [self.fraction(token, tokens[solid[1]])], solid[1] - at + 1
        return [_Piece("n", token, Fraction(int(token)))], 1

    def fraction(self, top: str, bottom: str) -> _Piece:
        part = f"{top}/{bottom}"
        if int(bottom) == 0:
            raise self.problem(f"{part} divides by zero.", "Write a fraction such as 1/2.")
        if int(top) >= int(bottom):
            raise self.problem(f"{part} is not less than 1.", "Write whole inches apart, as in 1 1/8.")
        if int(bottom) > FINEST:
            raise self.problem(f"{part} is finer than a tape.", "Give it to 1/64 in.")
        return _Piece("f", part, Fraction(int(top), int(bottom)))

    # From pieces to a length

    def inches(self, value: Fraction) -> Length:
        nm = value * NM_PER_INCH
        if nm.denominator != 1:
            nearest = Tape(Style.INCHES, FINEST).show(Distance(nm))
            raise self.problem("that can't be held exactly.", f"Give it to 1/64 in, for example {nearest}.")
        return Length(nm)

    def millimeters(self, value: Fraction) -> Length:
        nm = value * NM_PER_MM
        if nm.denominator != 1:
            raise self.problem("that can't be held exactly.", "Give it to 0.001 mm.")
        return Length(nm)

    def metric(self, shape: str, numbers: Sequence[_Piece], unit: str) -> Length:
        if shape not in ("nM", "dM", "cM"):
            raise self.problem("a metric length is one number and one unit.", "Write 3840 mm, 384 cm or 3.84 m.")
        number = numbers[0]
        value = self.millimeters(number.value * _MM_IN[unit])
        whole, comma, decimals = number.text.partition(",")
        if comma and len(decimals) == 3 and len(whole) <= 3 and int(whole):
            thousands = Fraction(whole + decimals)
            raise AmbiguousLength(
                self.written,
                (
                    Reading(f"{thousands} {unit}", self.millimeters(thousands * _MM_IN[unit])),
                    Reading(f"{whole}.{decimals} {unit}", value),
                ),
            )
        return value

    def feet_and_inches(self, whole_feet: _Piece, rest: Sequence[_Piece]) -> Reading:
        over = sum((piece.value for piece in rest), Fraction(0))
        if over >= INCHES_PER_FOOT:
            more_feet, left = divmod(over, INCHES_PER_FOOT)
            better = f"{whole_feet.value + more_feet}'-{_mixed(left)}\""
            raise self.problem(f"{_mixed(over)} inches after feet is 12 or more.", f"Write {better} if that was meant.")
        inch_text = " ".join(piece.text for piece in rest)
        if rest[0].kind == "f":
            inch_text = f"0 {inch_text}"
        return Reading(f"{whole_feet.text}'-{inch_text}\"", self.inches(whole_feet.value * INCHES_PER_FOOT + over))

    def just_inches(self, numbers: Sequence[_Piece]) -> Reading:
        value = sum((piece.value for piece in numbers), Fraction(0))
        return Reading(" ".join(piece.text for piece in numbers) + " in", self.inches(value))

    def feet_marked(self, shape: str, numbers: Sequence[_Piece]) -> Length:
        before, _, after = shape.partition("'")
        if not after and before in _SIMPLE:
            return self.inches(sum((piece.value for piece in numbers), Fraction(0)) * INCHES_PER_FOOT)
        rest = after.removeprefix("-").removesuffix('"')
        if before != "n" or rest not in _SIMPLE:
            raise self.problem("feet and inches could not be told apart.")
        read = self.feet_and_inches(numbers[0], numbers[1:])
        if after.removeprefix("-") == "f":  # 12' 1/2 with no inch mark: half an inch, or half a foot
            half_foot = self.inches((numbers[0].value + numbers[1].value) * INCHES_PER_FOOT)
            raise AmbiguousLength(self.written, (read, Reading(f"{numbers[0].text} {numbers[1].text} ft", half_foot)))
        return read.length

    def dashed_or_spaced(self, shape: str, numbers: Sequence[_Piece], *, marked: bool) -> Length:
        if shape in _SIMPLE:
            return self.one_quantity(shape, numbers, marked=marked)
        if shape in ("n-n-f", "n-n f", "n-n", "n-d"):
            if self.unit is Unit.MM and not marked and "f" not in shape:
                raise self.problem("a dash isn't used in millimeters.")
            read = self.feet_and_inches(numbers[0], numbers[1:])
            if shape == "n-n" and not marked and self.style is Style.INCHES:
                sixteenths = Reading(
                    f"{numbers[0].text} {numbers[1].text}/16 in", self.inches(numbers[0].value + numbers[1].value / 16)
                )
                raise AmbiguousLength(self.written, (read, sixteenths))
            return read.length
        if shape in ("n n", "n n f") and (self.unit is Unit.INCH or marked):
            joined = numbers[0].text + numbers[1].text
            if numbers[1].value >= INCHES_PER_FOOT:
                raise self.problem(f"it could be {joined} or two numbers.")
            together = [_Piece("n", joined, Fraction(int(joined))), *numbers[2:]]
            if len(joined) > MOST_DIGITS:
                raise self.problem(f"{joined} is longer than any building.")
            raise AmbiguousLength(
                self.written, (self.feet_and_inches(numbers[0], numbers[1:]), self.just_inches(together))
            )
        raise self.problem("that could not be read as a length.")

    def one_quantity(self, shape: str, numbers: Sequence[_Piece], *, marked: bool) -> Length:
        read = self.just_inches(numbers)
        if marked:
            return read.length
        value = sum((piece.value for piece in numbers), Fraction(0))
        if self.unit is Unit.MM:  # a fraction is an inch habit, the bare unit is mm
            raise AmbiguousLength(self.written, (Reading(f"{_decimal(value)} mm", self.millimeters(value)), read))
        if self.style is Style.FEET_INCHES and shape == "d":
            self.ask_about_bare_decimal(numbers[0], read)
        # 2-7/8 is how thin layers are written everywhere; from 12 up the 12 may have meant feet.
        if self.style is Style.FEET_INCHES and shape == "n-f" and INCHES_PER_FOOT <= numbers[0].value <= MOST_FEET:
            raise AmbiguousLength(self.written, (read, self.feet_and_inches(numbers[0], numbers[1:])))
        return read.length

    def ask_about_bare_decimal(self, number: _Piece, read: Reading) -> None:
        """12.6 in a feet-and-inches shop: 12 ft 6 in, or 12 6/10 in. 0.5 and 12.75 are inches."""
        whole, _, decimals = number.text.partition(".")
        if 1 <= int(whole) <= MOST_FEET and len(decimals) <= 2 and 1 <= int(decimals) < INCHES_PER_FOOT:
            inch_piece = _Piece("n", str(int(decimals)), Fraction(int(decimals)))
            feet_piece = _Piece("n", str(int(whole)), Fraction(int(whole)))
            raise AmbiguousLength(self.written, (self.feet_and_inches(feet_piece, [inch_piece]), read))


def _mixed(value: Fraction) -> str:
    """As inches are written: 2, 2 1/2, 0 1/2."""
    whole, part = divmod(value, 1)
    return f"{whole} {part}" if part else str(whole)


def _without_idle_spaces(pieces: Sequence[_Piece]) -> list[_Piece]:
    """Spaces beside a unit, at an end, or around the dash after feet say nothing; the others part two numbers."""
    kept: list[_Piece] = []
    for at, piece in enumerate(pieces):
        if piece.kind == " ":
            following = pieces[at + 1].kind if at + 1 < len(pieces) else "'"
            before = kept[-1].kind if kept else "'"
            after_feet_dash = before == "-" and len(kept) > 1 and kept[-2].kind == "'"
            if before in "'\"M " or following in "'\"M " or after_feet_dash:
                continue
        kept.append(piece)
    return kept
