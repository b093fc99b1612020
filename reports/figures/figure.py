"""One figure: its name, what it takes and gives, its rule and source. Knows no particular figure and no Django."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from math import isfinite
from typing import Any

from reports.figures.kinds import Refused, said

ANY_UNIT = "any one unit"
FEET, INCHES = "ft", "in"


class FigureError(ValueError):
    """A case that can't be reckoned. The message is for people; `field` names the input, empty when it is none."""

    def __init__(self, text: str, field: str = "") -> None:
        super().__init__(text)
        self.field = field

    def __str__(self) -> str:
        return f"{self.field}: {self.args[0]}" if self.field else str(self.args[0])


@dataclass(frozen=True, slots=True)
class Input:
    """One thing a figure is given. usual: what it is when left out; without it the input is needed."""

    name: str
    label: str
    kind: Any  # one of reports.figures.kinds
    unit: str
    example: Any  # a JSON value
    usual: Any = None
    optional: bool = False
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Result:
    name: str
    label: str
    unit: str


@dataclass(frozen=True, slots=True)
class Figure:
    """One small computation, by name. reckon takes the inputs by their names, read, and gives the results by theirs."""

    name: str
    title: str
    group: str
    inputs: tuple[Input, ...]
    results: tuple[Result, ...]
    rule: str
    source: str
    reckon: Callable[..., Mapping[str, object]]
    cautions: tuple[str, ...] = ()

    def read(self, given: object) -> dict[str, Any]:
        """The inputs as the engine takes them. Raises FigureError naming the first that can't be taken."""
        if not isinstance(given, Mapping):
            raise FigureError(f'give an object of inputs by name, such as {{"{self.inputs[0].name}": …}}.', "inputs")
        known = {one.name: one for one in self.inputs}
        for name in given:
            if name not in known:
                near = get_close_matches(str(name), known, 1)
                meant = f" Did you mean {near[0]}?" if near else f" It takes {', '.join(known)}."
                raise FigureError(f"{said(name)} is not an input of {self.name}.{meant}", "inputs")
        return {one.name: self._one(one, given) for one in self.inputs}

    def _one(self, one: Input, given: Mapping[str, object]) -> Any:
        value = given.get(one.name)
        if value is None:  # null says as much as nothing
            if one.optional:
                return one.usual
            raise FigureError(f"is missing. Give {one.kind.wants}{_in(one.unit)}.", one.name)
        try:
            return one.kind.read(value)
        except Refused as refused:
            raise FigureError(str(refused), one.name) from None

    def answer(self, given: object) -> dict[str, object]:
        """The results by name, as JSON can hold them. Raises FigureError."""
        read = self.read(given)
        try:
            found = self.reckon(**read)
        except FigureError:
            raise
        except ArithmeticError as error:
            raise FigureError("these numbers together are too large or too small to be worked with.") from error
        except ValueError as error:  # what an engine function refuses in its own words
            field = getattr(error, "field", "")  # some say which of their numbers it is about
            raise FigureError(str(error), field if field in read else "") from error
        return {name: _plain(name, value) for name, value in found.items()}


def _plain(name: str, value: object) -> object:
    """Fractions as numbers; nothing that JSON can't say."""
    if isinstance(value, Fraction):
        value = int(value) if value.denominator == 1 and abs(value) < 2**53 else float(value)
    if isinstance(value, float) and not isfinite(value):
        raise FigureError(f"{name} has no end with these numbers. Check the smallest and the largest of them.")
    if isinstance(value, Mapping):
        return {str(key): _plain(str(key), each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(name, each) for each in value]
    return value


def _in(unit: str) -> str:
    return f", in {unit}" if unit and unit != ANY_UNIT else (f" ({ANY_UNIT})" if unit else "")
