"""What a dimmer may carry, alone and in a gang, per product sheet. Knows no rooms; never guesses a rating. No Django.

Dimmers side by side lose heat-sink fins where they touch, and their rating with them. The LED rating is a number of
its own, often far lower, and may or may not go down in a gang: only the product's own sheet says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from layout.engine.wiring.conductors import ElectricalError


class NotOnSheet(ElectricalError):
    """The product's sheet, as entered, doesn't say: no number is made up for it."""


class Load(StrEnum):
    """What hangs on a dimmer. Low-voltage loads are rated in VA at the transformer's input."""

    LED = "led"
    INCANDESCENT = "incandescent"
    MAGNETIC = "magnetic low voltage"
    ELECTRONIC = "electronic low voltage"


@dataclass(frozen=True, slots=True)
class DimmerProduct:
    """One product's sheet: for each load, watts with no, one and both sides taken off (None: not on the sheet).

    least: the least load in watts for each kind, where the sheet has one: below it lamps flicker or don't start.
    """

    key: str
    name: str
    ratings: Mapping[Load, tuple[float | None, float | None, float | None]]
    least: Mapping[Load, float]
    source: str


class TroubleKind(StrEnum):
    TOO_MUCH = "too much"
    TOO_LITTLE = "too little"
    LEAST_UNKNOWN = "least load not on the sheet"


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong with a load on a dimmer: its watts and the limit, None where the sheet is silent."""

    kind: TroubleKind
    watts: float
    limit_w: float | None


def sides_removed(gangs: int, place: int) -> int:
    """How many sides a dimmer loses at place 1, 2, ... of a box of so many gangs, all of them dimmers."""
    if not 1 <= place <= gangs:
        raise ElectricalError(f"Place: {place} is not in a box of {gangs} gangs.")
    return (place > 1) + (place < gangs)


def rating(product: DimmerProduct, load: Load, removed: int = 0) -> float:
    """Watts (VA for low voltage) the product carries of a load with 0, 1 or 2 sides removed.

    Raises NotOnSheet when the sheet doesn't say. One published sheet: 500, 400, 300 W for lamps (seen).
    """
    if removed not in (0, 1, 2):
        raise ElectricalError(f"Sides removed: {removed}. A dimmer has two sides: give 0, 1 or 2.")
    row = product.ratings.get(load)
    watts = row[removed] if row else None
    if watts is None:
        where = ("standing alone", "with one side removed", "with both sides removed")[removed]
        raise NotOnSheet(f"{product.name}: no {load.value} rating {where} is on file. Read it off the product's sheet.")
    return watts


def suits(product: DimmerProduct, load: Load, watts: float, removed: int = 0) -> tuple[Trouble, ...]:
    """What speaks against a load on this dimmer; empty when nothing on the sheet does. Raises NotOnSheet."""
    most = rating(product, load, removed)
    least = product.least.get(load)
    found = []
    if watts > most:
        found.append(Trouble(TroubleKind.TOO_MUCH, watts, most))
    if least is None:
        found.append(Trouble(TroubleKind.LEAST_UNKNOWN, watts, None))
    elif watts < least:
        found.append(Trouble(TroubleKind.TOO_LITTLE, watts, least))
    return tuple(found)
