"""Distances on a ceiling that slopes one way: on the plan, and along the slope. Exact until it is printed.

              /|
     slope  /  |
          /    | rise          slope x slope = plan x plan x (run x run + rise x rise) / (run x run)
        /______|
          plan (run)

A plumb laser keeps plan distances; a tape on the ceiling itself reads slope distances. Across the slope both are one.
A slope distance is seldom a whole fraction, so it is held by its square.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import atan2, degrees, isqrt

from layout.engine.ceiling import Slope
from layout.engine.lengths import ZERO, Distance, Length, LengthError, Tape


class SlopeError(LengthError):
    """A slope that is none. The message names the field and the remedy."""


@dataclass(frozen=True, slots=True)
class SlopeDistance:
    """A distance along a slope, by its exact square in square nanometers."""

    squared: Fraction

    def rounded(self, tape: Tape) -> Length:
        """The nearest length a tape prints; halves go up."""
        step = tape.step.nm
        twice = isqrt(int(4 * self.squared / (step * step)))  # twice the distance in steps, rounded down
        return ((twice + 1) // 2 * tape.step).exact()

    def show(self, tape: Tape, *, mark: bool = True) -> str:
        return tape.show(self.rounded(tape), mark=mark)

    def within(self, limit: Distance) -> bool:
        """Touching keeps it."""
        return limit >= ZERO and self.squared <= limit.nm * limit.nm


def along_slope(plan: Distance, slope: Slope) -> SlopeDistance:
    """A plan distance measured on the ceiling itself, up or down its slope. Raises SlopeError."""
    return SlopeDistance(plan.nm * plan.nm * stretch_squared(slope))


def stretch_squared(slope: Slope) -> Fraction:
    """How much longer a slope is than its plan, squared. 12 in 12: 2. Raises SlopeError."""
    if slope.run <= ZERO or slope.rise < ZERO:
        raise SlopeError("Slope: give the run, more than 0, and how far the ceiling rises over it.")
    return 1 + (slope.rise.nm / slope.run.nm) ** 2


def angle_deg(slope: Slope) -> float:
    """For words only: no number that is marked comes from it. 4 in 12 is 18.4 degrees."""
    return degrees(atan2(int(slope.rise), int(slope.run)))


def in_twelve(slope: Slope) -> Fraction:
    """The rise over 12 of run, as roofs are told: 4 for 4 in 12."""
    stretch_squared(slope)
    return 12 * slope.rise.nm / slope.run.nm
