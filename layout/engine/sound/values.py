"""What the sound engine speaks of: a loudspeaker in a ceiling, and what it refuses. Meters, degrees, hertz, dB, watts.

x runs from the left wall to the right one, y from the door wall to the far wall, z up from the finished floor, as for
light. A bearing on the plan is counterclockwise from x, seen from above; an azimuth is positive to the LEFT of where
the listener looks, as the standards of listening rooms count it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Complexes = npt.NDArray[np.complex128]
Point = tuple[float, float, float]
Spot = tuple[float, float]  # on the plan

ROOM_SPEED_M_PER_S = 343.0  # of sound in a room at about 20 C; air.speed_m_per_s has it for other temperatures
NARROWEST_DEG = 0.1  # of a coverage angle that can be worked with
EDGE_DB = -6.0  # off axis at half the coverage angle, at equal distance: what a coverage angle means


class SoundError(ValueError):
    """What can't be computed. field: the name of the number at fault; the message says the remedy."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class Loudspeaker:
    """One mark that sounds straight down from the ceiling. id: the mark's.

    sensitivity_db: at 1 W and 1 m on axis (see levels.sensitivity_correction_db for one given at 2.83 V).
    watts: what it is driven with: its tap, or what its amplifier gives it. coverage_deg: the full angle between the
    directions 6 dB down at equal distance; 180 or more: the same in all directions below the ceiling.
    """

    id: str
    x: float
    y: float
    z: float
    sensitivity_db: float
    watts: float = 1.0
    coverage_deg: float = 90.0


def over_zero(value: float, field: str, what: str) -> None:
    if not (value > 0 and math.isfinite(value)):
        raise SoundError(f"{what} is {value:g}: give more than 0.", field)


def below(ceiling_m: float, ear_m: float) -> float:
    """How far the ears are below the ceiling. Raises SoundError when they aren't."""
    over_zero(ceiling_m, "ceiling_m", "The ceiling's height")
    if not 0 <= ear_m < ceiling_m:
        raise SoundError(
            f"Ears at {ear_m:g} m are not between the floor and the ceiling at {ceiling_m:g} m: give the height of the"
            " ears above the floor.",
            "ear_m",
        )
    return ceiling_m - ear_m
