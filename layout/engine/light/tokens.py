"""The numbers of a photometric text, one after another however its lines are broken, each with its line."""

from __future__ import annotations

import re
from array import array
from bisect import bisect_right
from collections.abc import Iterable
from math import isfinite

import numpy as np

from layout.engine.light.values import Floats, LightError

LARGEST = 2_000_000  # bytes or characters; a full turn in 1 degree steps takes a quarter of it
MOST_LUMENS = BRIGHTEST_CD = 1e9  # beyond any light: what is over it is a slip of the pen
MOST_WATTS = 1e6
MOST_VALUES = 1_000_000  # candelas in a file
_MOST_LINES = 200_000  # one number to a line would be more than a full turn in 1 degree steps
_LONGEST = 32  # characters of one number
_CLOSEST_DEG = 1e-6  # of two angles: nearer ones are the same once a turn is added to both
_SHOWN = 40  # characters of what stands there, in a message

_PLAIN = re.compile(r"[0-9eE+\-., \t]*")
_TOO_LONG = re.compile(rf"[^, \t]{{{_LONGEST + 1},}}")
_COMMA_DECIMAL = re.compile(r"[+-]?[0-9]+,[0-9]+")
_BLANK = " \t\r\n\x1a"  # the last is how old systems closed a text


class FileError(LightError):
    """What is wrong with a photometric file: where it stands, what stands there, what was expected."""

    def __init__(self, line: int, token: str, expected: str, why: str = "") -> None:
        self.line = line
        self.token = _short(token)
        self.expected = expected
        found = f"“{self.token}”" if token else "nothing"
        super().__init__(why or f"Line {line}: found {found}, expected {expected}.", "file")


def lines_of(text: str | bytes) -> list[str]:
    """The lines of a text file in any of the encodings and line ends that are about. Raises FileError."""
    if len(text) > LARGEST:
        why = f"The file holds {len(text)} bytes. Photometric files hold {LARGEST} at most."
        raise FileError(1, "", f"at most {LARGEST} bytes", why)
    told = _decoded(text) if isinstance(text, bytes) else text.removeprefix("\ufeff")
    lines = told.rstrip(_BLANK).replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > _MOST_LINES:
        why = f"The file has {len(lines)} lines. Photometric files have {_MOST_LINES} at most."
        raise FileError(_MOST_LINES + 1, "", f"at most {_MOST_LINES} lines", why)
    for number, line in enumerate(lines, 1):
        if "\0" in line:
            why = f"Line {number}: this is no text file. Put in the file as it was given out."
            raise FileError(number, "", "text", why)
    return lines


class Numbers:
    """A stream of numbers, taken in order. Delimiters are commas, blanks, tabs and ends of lines.

    What can't be read as a number stops the stream there; it is told when that place is asked for, so that the error
    can say what was expected. Nothing is made larger than the text is.
    """

    def __init__(self, lines: Iterable[str], first_line: int) -> None:
        self._values = array("d")
        self._ends = array("l")  # after each line, how many numbers there are
        self._first_line = first_line
        self._bad: tuple[int, str, str] | None = None
        self._at = 0
        for offset, line in enumerate(lines):
            self._read(first_line + offset, line)
            self._ends.append(len(self._values))
            if self._bad:
                break

    @property
    def left(self) -> int:
        """How many numbers follow, up to the first thing that is none."""
        return len(self._values) - self._at

    @property
    def stops(self) -> bool:
        """Whether something stands ahead that is no number."""
        return self._bad is not None

    @property
    def last_line(self) -> int:
        return self._first_line + max(len(self._ends) - 1, 0)

    def line_of(self, back: int = 1) -> int:
        """The line on which the number stands that was taken `back` numbers ago; for 0, the next one."""
        place = self._at - back
        return self._first_line + min(bisect_right(self._ends, place), max(len(self._ends) - 1, 0))

    def take(self, count: int, expected: str) -> Floats:
        """The next numbers: (count,). Raises FileError naming what was expected where they end."""
        if count > self.left:
            raise self._missing(count, expected)
        start, self._at = self._at, self._at + count
        return np.array(self._values[start : self._at], dtype=np.float64)

    def one(self, expected: str) -> float:
        return float(self.take(1, expected)[0])

    def whole(self, expected: str) -> int:
        value = self.one(expected)
        if value != int(value):
            raise self.refuse(expected, value)
        return int(value)

    def between(self, expected: str, low: float, high: float) -> float:
        """The next number, from low to high, both allowed."""
        return float(self.within(1, expected, low, high)[0])

    def whole_from(self, expected: str, low: int, high: int | None = None) -> int:
        value = self.whole(expected)
        if value < low or (high is not None and value > high):
            raise self.refuse(expected, value)
        return value

    def within(self, count: int, expected: str, low: float, high: float) -> Floats:
        values = self.take(count, expected)
        outside = np.flatnonzero((values < low) | (values > high))
        if len(outside):
            place = int(outside[0])
            raise self.refuse(expected, values[place], count - place)
        return values

    def rising(self, count: int, what: str, low: float, high: float) -> Floats:
        """The next angles, each past the one before."""
        angles = self.within(count, f"{count} {what} from {low:g} to {high:g}", low, high)
        fallen = np.flatnonzero(np.diff(angles) < _CLOSEST_DEG)
        if len(fallen):
            place = int(fallen[0]) + 1
            raise self.refuse(f"{what} that rise, after {angles[place - 1]:g}", angles[place], count - place)
        return angles

    def verticals(self, count: int) -> Floats:
        """Vertical angles of a half or of the whole sphere."""
        angles = self.rising(count, "vertical angles", 0, 180)
        if angles[0] not in (0, 90):
            raise self.refuse("vertical angles that begin at 0 or 90", angles[0], count)
        if angles[-1] not in (90, 180):
            raise self.refuse("vertical angles that end at 90 or 180", angles[-1])
        return angles

    def refuse(self, expected: str, value: float, back: int = 1) -> FileError:
        """The error about a number that was taken `back` numbers ago."""
        return FileError(self.line_of(back), f"{value:g}", expected)

    def end(self, expected: str) -> None:
        """Nothing but blanks may follow."""
        expected = f"the end of the file, {expected}"
        if self.left:
            line, surplus = self.line_of(0), f"{self.left} number{'s' * (self.left > 1)}"
            why = f"Line {line}: {surplus} too many; expected {expected}."
            raise FileError(line, f"{self._values[self._at]:g}", expected, why)
        if self._bad:
            raise FileError(*self._bad[:2], expected)

    def _missing(self, count: int, expected: str) -> FileError:
        if self._bad:
            line, token, reason = self._bad
            return FileError(line, token, expected, f"Line {line}: “{_short(token)}” {reason}; expected {expected}.")
        line = self.last_line
        why = f"Line {line}: the file ends too early; expected {expected}: {count} in all, and {self.left} are there."
        return FileError(line, "", expected, why)

    def _read(self, number: int, line: str) -> None:
        line = line.strip(" \t")
        if _PLAIN.fullmatch(line) and not _TOO_LONG.search(line) and not ("," in line and _comma_decimal(line)):
            try:
                values = list(map(float, line.replace(",", " ").split()))
            except ValueError:
                values = [float("nan")]
            if all(map(isfinite, values)):
                self._values.extend(values)
                return
        self._find_bad(number, line)

    def _find_bad(self, number: int, line: str) -> None:
        decimal = _comma_decimal(line) if "," in line else ""
        for chunk in line.split():
            if chunk == decimal:
                reason = "has a comma inside: write decimals with a point, or part all numbers of the line by commas"
                self._bad = (number, chunk, reason)
                return
            for token in filter(None, chunk.split(",")):
                value = _value(token)
                if value is None or not isfinite(value):
                    reason = "is no number" if value is None else "is too large a number"
                    self._bad = (number, token, reason)
                    return
                self._values.append(value)


def _value(token: str) -> float | None:
    if len(token) > _LONGEST or not _PLAIN.fullmatch(token):
        return None
    try:
        return float(token)
    except ValueError:
        return None


def _comma_decimal(line: str) -> str:
    """The first part of a line that looks like 0,15 where its numbers are parted by blanks; else nothing."""
    chunks = line.split()
    if len(chunks) < 2:
        return ""
    return next((chunk for chunk in chunks if _COMMA_DECIMAL.fullmatch(chunk)), "")


def _decoded(text: bytes) -> str:
    if text.startswith((b"\xff\xfe", b"\xfe\xff")):
        return text.decode("utf-16", "replace")
    try:
        return text.decode("utf-8-sig")
    except UnicodeDecodeError:
        return text.decode("latin-1")


def _short(token: str) -> str:
    return token if len(token) <= _SHOWN else token[:_SHOWN] + "…"
