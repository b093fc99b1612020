"""A room file read exactly into a placement problem. Knows the file's keys, nothing of solving.

Numbers may be JSON numbers or strings; both are read as decimals, never as binary floats. Nothing is ignored: a key
that isn't known, isn't supported, stands twice or holds something finer than it may is an error that names it.
"""

from __future__ import annotations

import json
import re
from fractions import Fraction
from typing import Any, TypeVar

from layout.engine.lengths import Unit
from layout.engine.placement.problem import (
    QUARTERS,
    Hole,
    Joists,
    Obstruction,
    Problem,
    ProblemError,
    Setback,
    Speakers,
    Tile,
)

TICKS_PER_UNIT = {Unit.INCH: 16, Unit.MM: 1}
_NUMBER = re.compile(r"(-?[0-9]{1,20})(?:\.([0-9]{1,30}))?(?:[eE]([+-]?[0-9]{1,2}))?", re.ASCII)
MOST_TICKS = 10_000_000  # no limit means anything beyond this, and excesses still add up exactly below one broken rule
_SHAPES = {"x", "y", "r", "x0", "y0", "x1", "y1", "clear"}
LONGEST_FILE = 1_000_000
_DEEPEST = 16  # brackets inside brackets: a room file needs three
_TOO_DEEP = ProblemError(f"The file nests more than {_DEEPEST} brackets deep. A room needs three.")

_REQUIRED = {"unit", "L", "W", "rows", "cols", "light", "end_setback", "row_setback", "spacing_max"}
_OPTIONAL = {"id", "note", "edge_min", "web_min", "speaker", "row_spacing_max"}
_OPTIONAL |= {"even_tol", "uneven_max", "row_uneven_max", "joists", "obstructions", "tile"}
_NOT_YET = {"polygon", "zones"}


_Default = TypeVar("_Default", int, None)


class Number(str):
    """A JSON number as it was written, so that no digit is lost on the way in, or back out."""

    __slots__ = ()


class _NotANumber(str):
    """NaN or Infinity, which Python's JSON takes and a tape doesn't show."""

    __slots__ = ()


def read_json(text: str) -> Any:
    """The JSON of a text with every number a Number. Raises ProblemError on anything that isn't plain JSON."""
    if len(text) > LONGEST_FILE:
        raise ProblemError(f"The file is over {LONGEST_FILE:,} characters long. A room takes under a thousand.")
    try:
        read = json.loads(
            text, parse_float=Number, parse_int=Number, parse_constant=_NotANumber, object_pairs_hook=_no_twins
        )
    except json.JSONDecodeError as error:
        raise ProblemError(f"Not JSON: {error.msg}, line {error.lineno}, column {error.colno}.") from None
    except RecursionError:
        raise _TOO_DEEP from None
    _check_inside(read)
    return read


def _check_inside(read: Any) -> None:
    """Refuse what nests too deep, and name the field that holds NaN or Infinity."""
    inside = [("", read)]
    for _ in range(_DEEPEST + 1):
        if not inside:
            return
        for name, value in inside:
            if isinstance(value, _NotANumber):
                raise ProblemError(f"{name or 'The file'}: {value} is not a number a tape can show. Write a decimal.")
        dots = [(f"{name}." if name else "", value) for name, value in inside if isinstance(value, dict)]
        lists = [(name, value) for name, value in inside if isinstance(value, list)]
        inside = [(prefix + _key(key), each) for prefix, value in dots for key, each in value.items()]
        inside += [(f"{name}[{n}]", each) for name, value in lists for n, each in enumerate(value, 1)]
    raise _TOO_DEEP


def _key(key: str) -> str:
    return key if re.fullmatch(r"\w{1,40}", key) else _shown(key)


def _no_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ProblemError(f"{_shown(key)} stands twice. Keep one.")
        found[key] = value
    return found


def _shown(value: object) -> str:
    """A value as an error quotes it: short, on one line."""
    text = str(value) if isinstance(value, Number) else json.dumps(value, default=str)
    return text if len(text) <= 60 else text[:57] + "..."


def read_problem(room: object) -> Problem:
    """The problem a room file states. Raises ProblemError, naming the field and the remedy."""
    fields = _Fields(room, "", _REQUIRED, _OPTIONAL, _NOT_YET)
    unit_name = fields.values["unit"]
    if not isinstance(unit_name, str) or isinstance(unit_name, Number) or unit_name not in set(Unit):
        raise ProblemError(f'unit: {_shown(unit_name)}. Write "in" or "mm".')
    unit = Unit(unit_name)
    light = fields.group("light", {"cutout_d"}, {"clear"})
    problem = Problem(
        unit=unit,
        length=fields.length("L", unit),
        width=fields.length("W", unit),
        rows=fields.count("rows"),
        cols=fields.count("cols"),
        light=_hole(light, unit),
        end_setback=_setback(fields, "end_setback", unit),
        row_setback=_setback(fields, "row_setback", unit),
        spacing_max=fields.length("spacing_max", unit),
        speakers=_speakers(fields, unit),
        edge_min=fields.length_or("edge_min", unit, 0, parts=QUARTERS),
        web_min=fields.length_or("web_min", unit, 0, parts=QUARTERS),
        row_spacing_max=fields.length_or("row_spacing_max", unit, None),
        even_tol=fields.length_or("even_tol", unit, 1),
        uneven_max=fields.length_or("uneven_max", unit, None),
        row_uneven_max=fields.length_or("row_uneven_max", unit, None),
        joists=tuple(_joists(each, unit) for each in fields.groups("joists", {"dir", "oc", "first", "width"}, set())),
        obstructions=tuple(_obstruction(each, unit) for each in fields.groups("obstructions", {"type"}, _SHAPES)),
        tile=_tile(fields, unit),
    )
    if problem.width > problem.length:
        raise ProblemError("W is more than L. Rows run along the longer side: give the longer side as L.")
    return problem


def _hole(fields: _Fields, unit: Unit) -> Hole:
    # a cutout in half ticks is its radius in quarter ticks
    cutout = fields.length("cutout_d", unit, parts=2)
    if cutout == 0:
        raise ProblemError(f"{fields.name('cutout_d')}: 0. A hole has a size.")
    return Hole(cutout, fields.length_or("clear", unit, 0, parts=QUARTERS))


def _setback(fields: _Fields, key: str, unit: Unit) -> Setback:
    group = fields.group(key, {"min", "max", "pref"}, set())
    least, most, preferred = (group.length(name, unit) for name in ("min", "max", "pref"))
    if least > most:
        raise ProblemError(f"{key}: min is more than max. Swap them.")
    return Setback(least, most, preferred)


def _speakers(fields: _Fields, unit: Unit) -> Speakers | None:
    if fields.values.get("speaker") is None:
        return None
    group = fields.group("speaker", {"cutout_d", "gaps"}, {"clear", "off_max"})
    gaps = group.values["gaps"]
    if not isinstance(gaps, list):
        raise ProblemError(f"speaker.gaps: {_shown(gaps)}. Give a list of gap numbers, such as [1, 3].")
    numbers = tuple(_whole(gap, "speaker.gaps") for gap in gaps)
    return Speakers(_hole(group, unit), numbers, group.length_or("off_max", unit, 0))


def _joists(fields: _Fields, unit: Unit) -> Joists:
    spacing = fields.exact("oc", unit) * QUARTERS
    if spacing <= 0:
        raise ProblemError(f"{fields.name('oc')}: {_shown(fields.values['oc'])}. Joists stand more than 0 apart.")
    across = fields.choice("dir", ("across", "along")) == "across"
    # a width in half ticks is half the width in quarter ticks
    return Joists(across, spacing, fields.length("width", unit, parts=2), fields.place("first", unit))


def _obstruction(fields: _Fields, unit: Unit) -> Obstruction:
    circle = fields.choice("type", ("circle", "rect")) == "circle"
    needed = {"x", "y", "r"} if circle else {"x0", "y0", "x1", "y1"}
    shape = _Fields(fields.values, fields.path, {"type"} | needed, {"clear"})
    clear = shape.length_or("clear", unit, 0, parts=QUARTERS)
    if circle:
        x, y = shape.place("x", unit), shape.place("y", unit)
        return Obstruction(x, y, x, y, shape.length("r", unit, parts=QUARTERS), clear)
    x0, y0, x1, y1 = (shape.place(key, unit) for key in ("x0", "y0", "x1", "y1"))
    for low, high, axis in ((x0, x1, "x"), (y0, y1, "y")):
        if low > high:
            raise ProblemError(f"{shape.path}: {axis}0 is more than {axis}1. Swap them.")
    return Obstruction(x0, y0, x1, y1, 0, clear)


def _tile(fields: _Fields, unit: Unit) -> Tile | None:
    if fields.values.get("tile") is None:
        return None
    group = fields.group("tile", {"px", "py"}, {"ox", "oy"})
    pitches = (2 * group.length("px", unit, parts=2), 2 * group.length("py", unit, parts=2))
    for key, pitch in zip(("px", "py"), pitches, strict=True):
        if pitch == 0:
            raise ProblemError(f"{group.name(key)}: 0. A tile has a size.")
    lines = tuple(group.place(key, unit) if group.values.get(key) is not None else 0 for key in ("ox", "oy"))
    return Tile(pitches, (lines[0], lines[1]))


def _exact(value: object, name: str) -> Fraction:
    match = _NUMBER.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None:
        raise ProblemError(f"{name}: {_shown(value)} is not a number. Write a decimal such as 12.5.")
    whole, part, exponent = match.groups()
    sign = -1 if whole.startswith("-") else 1
    digits = abs(int(whole)) * 10 ** len(part or "") + int(part or 0)
    shift = int(exponent or 0) - len(part or "")
    return Fraction(sign * digits * 10 ** max(shift, 0), 10 ** max(-shift, 0))


def _whole(value: object, name: str) -> int:
    number = _exact(value, name)
    if number.denominator != 1:
        raise ProblemError(f"{name}: {_shown(value)}. Give a whole number.")
    return number.numerator


class _Fields:
    """An object of the file, its keys checked."""

    def __init__(
        self, room: object, path: str, required: set[str], optional: set[str], not_yet: set[str] | None = None
    ) -> None:
        self.path = path
        if not isinstance(room, dict):
            raise ProblemError(f"{path or 'The file'}: {_shown(room)}. Give one {{...}} object.")
        self.values: dict[str, Any] = room
        for key in room:
            if key in (not_yet or ()) and room[key] in (None, []):
                continue  # says there are none
            if key in (not_yet or ()):
                raise ProblemError(f"{key} is not supported yet. Leave it out to lay the room out without it.")
            if key not in required and key not in optional:
                known = ", ".join(sorted(required | optional))
                raise ProblemError(f"{self.name(key)} is not a known key. Known: {known}.")
        missing = sorted(required - room.keys())
        if missing:
            raise ProblemError(f"{self.name(missing[0])} is missing.")

    def name(self, key: str) -> str:
        return f"{self.path}.{_key(key)}" if self.path else _key(key)

    def group(self, key: str, required: set[str], optional: set[str]) -> _Fields:
        return _Fields(self.values[key], self.name(key), required, optional)

    def groups(self, key: str, required: set[str], optional: set[str]) -> list[_Fields]:
        """A list of objects; none when the key is left out."""
        listed = self.values.get(key)
        if listed is None:
            return []
        if not isinstance(listed, list):
            raise ProblemError(f"{self.name(key)}: {_shown(listed)}. Give a list of {{...}} objects.")
        return [_Fields(each, f"{self.name(key)}[{n}]", required, optional) for n, each in enumerate(listed, 1)]

    def choice(self, key: str, allowed: tuple[str, ...]) -> str:
        value = self.values[key]
        if not isinstance(value, str) or isinstance(value, Number) or value not in allowed:
            options = " or ".join(f'"{each}"' for each in allowed)
            raise ProblemError(f"{self.name(key)}: {_shown(value)}. Write {options}.")
        return value

    def count(self, key: str) -> int:
        return _whole(self.values[key], self.name(key))

    def exact(self, key: str, unit: Unit) -> Fraction:
        """A length in ticks, however fine, on either side of 0."""
        value = self.values[key]
        ticks = _exact(value, self.name(key)) * TICKS_PER_UNIT[unit]
        if abs(ticks) > MOST_TICKS:
            raise ProblemError(f"{self.name(key)}: {_shown(value)} {unit.value} is too long. Check the unit.")
        return ticks

    def length(self, key: str, unit: Unit, parts: int = 1) -> int:
        """A length in parts of a tick: 1 whole ticks, 2 half ticks, 4 quarter ticks."""
        ticks = self._in_parts(key, unit, parts)
        if ticks < 0:
            raise ProblemError(f"{self.name(key)}: {_shown(self.values[key])} is less than 0.")
        return ticks

    def place(self, key: str, unit: Unit) -> int:
        """A place in quarter ticks from the net edge, on either side of it."""
        return self._in_parts(key, unit, QUARTERS)

    def _in_parts(self, key: str, unit: Unit, parts: int) -> int:
        ticks = self.exact(key, unit)
        if (ticks * parts).denominator != 1:
            finest = Fraction(1, TICKS_PER_UNIT[unit] * parts)
            shown = f"{self.name(key)}: {_shown(self.values[key])}"
            raise ProblemError(f"{shown} is finer than {finest} {unit.value}. Round it to that.")
        return int(ticks * parts)

    def length_or(self, key: str, unit: Unit, default: _Default, parts: int = 1) -> int | _Default:
        return default if self.values.get(key) is None else self.length(key, unit, parts)
