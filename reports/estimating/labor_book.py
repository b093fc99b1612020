"""How long things take, as values: the shop's labor units, and the conditions that stretch them. Knows no wages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Phase(StrEnum):
    ROUGH = "rough"
    TRIM = "trim"
    DIAL_IN = "dial_in"
    JOB = "job"  # layout, setting up, travel, waiting


@dataclass(frozen=True, slots=True)
class LaborUnit:
    """Hours for one of something in one phase. applies: the takeoff item it goes with (`housing`, `cable:14/2`).

    per: how many of the item the hours are for (cable: 100 ft as a Decimal of feet).
    """

    key: str
    name: str
    applies: str
    phase: Phase
    hours: Decimal
    per: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Factor:
    """A condition that stretches hours: ceiling height, plaster, people living there. Factors multiply."""

    key: str
    name: str
    times: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class LaborBook:
    units: Mapping[str, tuple[LaborUnit, ...]]  # by the item they apply to
    factors: Mapping[str, Factor]
    version: str
