"""How long things take, as values: the shop's labor units, and the conditions that stretch them. Knows no wages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

# What a unit may apply to that is no line of a takeoff: each room that has anything in it.
ROOM = "room"
# The lines that are one light each; a light of any kind has exactly one of them.
LIGHT_ITEMS = ("housing", "remodel_light", "grid_light")


class Phase(StrEnum):
    ROUGH = "rough"
    TRIM = "trim"
    DIAL_IN = "dial_in"
    JOB = "job"  # layout, setting up, travel, waiting


@dataclass(frozen=True, slots=True)
class LaborUnit:
    """Hours for so many of something in one phase.

    applies: the takeoff items it goes with (`housing`, or one line's key as `cable:14/2`), or `room`.
    per: how many the hours are for; for cable, how many feet of it.
    when: the condition of a room that brings it in; empty: always. instead_of: the units it then takes the place of.
    whole: the shop's figure for a light's whole phase; in a room with lights no other unit of that phase counts.
    low, high: what the trade says, where its table gives a range.
    """

    key: str
    name: str
    applies: tuple[str, ...]
    phase: Phase
    hours: Decimal
    per: Decimal
    source: str
    when: str = ""
    instead_of: tuple[str, ...] = ()
    whole: bool = False
    low: Decimal | None = None
    high: Decimal | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Factor:
    """A condition that stretches hours: ceiling height, plaster, people living there. Factors multiply.

    times 1: it stretches nothing by itself; it says which units count (fished).
    """

    key: str
    name: str
    times: Decimal
    source: str
    low: Decimal | None = None
    high: Decimal | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class LaborBook:
    units: Mapping[str, tuple[LaborUnit, ...]]  # by the item they apply to
    factors: Mapping[str, Factor]
    version: str

    @property
    def all_units(self) -> tuple[LaborUnit, ...]:
        """Each unit once, in the book's order."""
        return tuple({unit.key: unit for units in self.units.values() for unit in units}.values())
