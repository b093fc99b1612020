"""A takeoff kept as it was counted: rooms, lines, marks, rules, and its prices apart. Knows no records and no counting.

As text it is canonical JSON: the same takeoff gives the same bytes, so a digest can vouch for it. Every quantity is
exact both ways: pieces as 'n' or 'n/d', lengths in whole nanometers (finer ones as 'n/d'), money as decimals.
Fields that say nothing are left out, so that what was frozen before a field came in reads as it did.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass, is_dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeVar

import cattrs
from cattrs.gen import make_dict_structure_fn, make_dict_unstructure_fn

from layout.engine.lengths import Distance, Length, Unit, nanometers
from reports.estimating.counted import CountedRoom
from reports.estimating.kept_text import canonical
from reports.estimating.priced import Priced
from reports.estimating.takeoff import JobTakeoff

FORMAT = 1  # grows when text of before would be read otherwise
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class FrozenTakeoff:
    """What a job took on a day. priced None: no prices were on hand, or the reader may not see them.

    number: 1, 2, ... within the job. left_out: rooms that nobody had measured or counted.
    """

    number: int
    label: str
    job_number: str
    job_name: str
    unit: Unit
    on: dt.date
    rooms: tuple[CountedRoom, ...]
    job: JobTakeoff
    rules_version: str
    left_out: tuple[str, ...] = ()
    priced: Priced | None = None
    prices_on: dt.date | None = None


class NotAsKept(ValueError):
    """The text of a kept takeoff can't be read: it was changed, or written by another format."""


def to_text(takeoff: FrozenTakeoff) -> str:
    """The takeoff without its money."""
    body = _converter.unstructure(takeoff)
    return canonical({**{name: value for name, value in body.items() if name not in MONEY}, "format": FORMAT})


def prices_text(takeoff: FrozenTakeoff) -> str:
    """Its money alone; empty when it has none."""
    if takeoff.priced is None:
        return ""
    return canonical({"format": FORMAT, **{name: _converter.unstructure(getattr(takeoff, name)) for name in MONEY}})


def from_text(text: str, prices: str = "") -> FrozenTakeoff:
    """Both texts as the value they were made from. Raises NotAsKept."""
    body = _parts(text)
    if prices:
        body |= _parts(prices)
    return _read(body, FrozenTakeoff)


def room_to_text(room: CountedRoom) -> str:
    """One room alone, in the same writing."""
    return canonical(_converter.unstructure(room))


def room_from_text(text: str) -> CountedRoom:
    """Raises NotAsKept."""
    return _read(json.loads(text), CountedRoom)


MONEY = ("priced", "prices_on")


def _parts(text: str) -> dict[str, Any]:
    try:
        body = json.loads(text)
    except ValueError as wrong:
        raise NotAsKept("A kept takeoff is no readable JSON.") from wrong
    if not isinstance(body, dict) or body.pop("format", None) != FORMAT:
        raise NotAsKept("A kept takeoff was written in a format this program does not read.")
    return body


def _read(body: Mapping[str, Any], kind: type[T]) -> T:
    try:
        return _converter.structure(body, kind)
    except (cattrs.BaseValidationError, TypeError, ValueError, KeyError) as wrong:
        raise NotAsKept(f"A kept {kind.__name__} can't be read: {wrong}") from wrong


def _number(value: Fraction) -> int | str:
    return int(value) if value.denominator == 1 else str(value)


@lru_cache(maxsize=1 << 15)
def fraction(value: int | str) -> Fraction:
    """Kept because a job says '1', '2' and '3' ten thousand times over."""
    return Fraction(value)


@lru_cache(maxsize=1 << 15)
def length(value: int | str) -> Distance:
    """From whole nanometers, or 'n/d' of them."""
    return nanometers(value) if isinstance(value, int) else Distance(Fraction(value))


def quantity(value: Any) -> Fraction | Distance:
    """Pieces as they stand, a length marked by its unit: {'nm': ...}."""
    return length(value["nm"]) if isinstance(value, dict) else fraction(value)


def quantity_out(value: Fraction | Distance) -> Any:
    return {"nm": _number(value.nm)} if isinstance(value, Distance) else str(value)


# Of hooks that fit, the one registered last is taken: those for single kinds stand after the one for all dataclasses.
_converter = cattrs.Converter(detailed_validation=False)
_converter.register_unstructure_hook_factory(
    is_dataclass,
    lambda kind: make_dict_unstructure_fn(kind, _converter, _cattrs_omit_if_default=True),
)
_converter.register_structure_hook_factory(is_dataclass, lambda kind: make_dict_structure_fn(kind, _converter))
_converter.register_unstructure_hook_func(lambda kind: kind in (Length, Distance), lambda value: _number(value.nm))
_converter.register_structure_hook_func(lambda kind: kind in (Length, Distance), lambda value, _: length(value))
_converter.register_unstructure_hook_func(lambda kind: kind is Fraction, str)
_converter.register_structure_hook_func(lambda kind: kind is Fraction, lambda value, _: fraction(value))
_converter.register_unstructure_hook_func(lambda kind: kind is Decimal, str)
_converter.register_structure_hook_func(lambda kind: kind is Decimal, lambda value, _: Decimal(value))
_converter.register_unstructure_hook_func(lambda kind: kind is dt.date, lambda value: value.isoformat())
_converter.register_structure_hook_func(lambda kind: kind is dt.date, lambda value, _: dt.date.fromisoformat(value))
_converter.register_unstructure_hook_func(lambda kind: kind == Fraction | Distance, quantity_out)
_converter.register_structure_hook_func(lambda kind: kind == Fraction | Distance, lambda value, _: quantity(value))
