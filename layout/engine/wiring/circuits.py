"""Branch circuits: what a breaker carries, how many lights that is, and what bundling takes. Knows no boxes, no Django.

Every figure here is a caution to check against the adopted local code, never a statement that a circuit complies.
Sums are exact in what was written (0.9 is nine tenths), so that 96 lights that just fit are not counted as 95.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from layout.engine.wiring.conductors import ElectricalError

CONTINUOUS = Fraction(5, 4)  # 125 %; a continuous load runs 3 h or more, and lighting usually counts as one
DWELLING_VA_PER_FT2 = 3
DWELLING_EDITION = "NEC 220.14(J), 2020"


@dataclass(frozen=True, slots=True)
class Breaker:
    """A breaker and the copper it usually protects."""

    amps: int
    copper_awg: int
    source: str


@dataclass(frozen=True, slots=True)
class Bundling:
    """From so many current-carrying conductors together (no upper end: None), the share of ampacity that is left."""

    conductors_from: int
    conductors_to: int | None
    percent: int
    source: str


def continuous_va(breaker_a: float, volts: float) -> float:
    """The largest load in VA that may run 3 h or more on a breaker: its rating / 1.25.

    The "80 %" is only the inverse of 125 %, and for the continuous part alone: see least_breaker_a for mixed loads.
    Source: NEC 210.20(A), 2017 to 2023 (a manufacturer's bulletin quoting it, seen). Assemblies listed for 100 % are an
    exception.
    """
    return float(_written("Breaker", breaker_a) * _written("Volts", volts) / CONTINUOUS)


def least_breaker_a(noncontinuous_a: float, continuous_a: float) -> float:
    """What a breaker has to be rated for at least: noncontinuous + 1.25 x continuous. Source: NEC 210.20(A) (seen)."""
    return float(
        _written("Noncontinuous", noncontinuous_a, zero=True)
        + CONTINUOUS * _written("Continuous", continuous_a, zero=True)
    )


def breaker_for(breakers: Sequence[Breaker], noncontinuous_a: float, continuous_a: float) -> Breaker | None:
    """The smallest breaker of a table for a load, or None when the table has none so large."""
    least = least_breaker_a(noncontinuous_a, continuous_a)
    return min((one for one in breakers if one.amps >= least), key=lambda one: one.amps, default=None)


def load_va(watts: float, power_factor: float) -> float:
    """VA a load draws: watts / power factor. VA are added up, not watts."""
    return float(_written("Watts", watts) / _power_factor(power_factor))


def lights_on_circuit(breaker_a: float, volts: float, watts_each: float, power_factor: float = 1.0) -> int:
    """How many equal lights one breaker carries as a continuous load, in VA, not watts: floor(0.8 V A pf / W).

    The drivers' inrush current may allow fewer: their sheet says. Source: NEC 210.20(A) (seen), closed form.
    """
    room_va = _written("Breaker", breaker_a) * _written("Volts", volts) / CONTINUOUS
    return floor(room_va * _power_factor(power_factor) / _written("Watts each", watts_each))


def dwelling_va(floor_ft2: float) -> float:
    """General lighting load of a dwelling: 3 VA for each square foot of floor, outside dimensions.

    General receptacles are in it. Source: NEC 220.14(J), 2020 (seen); 220.12 before and 220.41 in 2023 (from memory);
    a local code's worked example, 1650 ft2 = 4950 VA (seen).
    """
    return float(DWELLING_VA_PER_FT2 * _written("Floor", floor_ft2, zero=True))


def bundled_percent(table: Sequence[Bundling], current_carrying: int) -> int:
    """What share of its ampacity a conductor keeps among so many in one raceway or bundle; 100 for up to three."""
    for row in table:
        if row.conductors_from <= current_carrying and (
            row.conductors_to is None or current_carrying <= row.conductors_to
        ):
            return row.percent
    return 100


def _written(what: str, value: float, *, zero: bool = False) -> Fraction:
    """The number as it was written. Raises ElectricalError for one that is not above zero."""
    number = Fraction(str(value))
    if number < 0 or not (number or zero):
        raise ElectricalError(f"{what}: give {'0 or more' if zero else 'more than 0'}.")
    return number


def _power_factor(value: float) -> Fraction:
    number = _written("Power factor", value)
    if number > 1:
        raise ElectricalError("Power factor: it is 1 at most. 90 % is written 0.9.")
    return number
