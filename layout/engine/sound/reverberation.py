"""How long sound stays in a room: four classical formulas from surfaces and their absorption, octave by octave.

Diffuse sound is taken for granted; Sabine overstates above a mean absorption of some 0.2. Absorption coefficients come
from outside (a shop's table with its sources). Knows no materials by name, no Django.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from layout.engine.sound.air import NEPER_DB, OCTAVES, absorption_db_per_m, exact_band_hz
from layout.engine.sound.values import ROOM_SPEED_M_PER_S, SoundError, over_zero

DECAY = 24 * math.log(10)  # 60 dB of an energy that goes with c A / 4 V
HIGHEST_ALPHA = 0.99  # in a logarithm; measured coefficients go over 1 (edges of the sample)
MOST_ALPHA = 2.0


class Formula(StrEnum):
    SABINE = "sabine"
    EYRING = "eyring"
    MILLINGTON = "millington"
    ARAU = "arau"


@dataclass(frozen=True, slots=True)
class Decay:
    """A reverberation time. absorption_m2: what the surfaces take by this formula; air_m2: what the air adds to it.

    capped: a coefficient was over 0.99 and was taken as that.
    """

    t60_s: float
    absorption_m2: float
    air_m2: float
    mean_alpha: float
    capped: bool


def t60(
    formula: Formula | str,
    areas_m2: Sequence[float],
    alpha: Sequence[float],
    volume_m3: float,
    c: float = ROOM_SPEED_M_PER_S,
    air_db_per_m: float = 0.0,
) -> Decay:
    """24 ln10 / c x V / (A + 4 m V), A by the formula; m = air_db_per_m / 4.343.

    Sabine: sum S a. Eyring: -S ln(1 - mean a). Millington: -sum S ln(1 - a). Arau: three Eyring times for the pairs of
    surfaces across x, y and z, their geometric mean weighted by area.
    Source: definitions; the first two and Arau agree with an open library's test vector (seen).
    """
    _checked(areas_m2, alpha, volume_m3, c, air_db_per_m)
    air_m2 = 4 * air_db_per_m / NEPER_DB * volume_m3
    total = math.fsum(areas_m2)
    mean = math.fsum(area * one for area, one in zip(areas_m2, alpha, strict=True)) / total
    absorption = ABSORPTIONS[Formula(formula)](areas_m2, alpha, air_m2)
    if not absorption + air_m2 > 0:
        raise SoundError(
            "Nothing here takes any sound, so it would stay for ever: give one coefficient over 0.", "alpha"
        )
    logs = Formula(formula) is not Formula.SABINE
    by_mean = Formula(formula) is Formula.EYRING
    capped = logs and (mean > HIGHEST_ALPHA if by_mean else max(alpha) > HIGHEST_ALPHA)
    return Decay(DECAY / c * volume_m3 / (absorption + air_m2), absorption, air_m2, mean, capped)


def _sabine(areas: Sequence[float], alpha: Sequence[float], air_m2: float) -> float:
    return math.fsum(area * one for area, one in zip(areas, alpha, strict=True))


def _eyring(areas: Sequence[float], alpha: Sequence[float], air_m2: float) -> float:
    return math.fsum(areas) * _taken(_sabine(areas, alpha, air_m2) / math.fsum(areas))


def _millington(areas: Sequence[float], alpha: Sequence[float], air_m2: float) -> float:
    return math.fsum(area * _taken(one) for area, one in zip(areas, alpha, strict=True))


def _arau(areas: Sequence[float], alpha: Sequence[float], air_m2: float) -> float:
    """The absorption whose time, air and all, is the weighted geometric mean of the three times."""
    if len(areas) != 3:
        raise SoundError(
            f"{len(areas)} areas: the Arau formula takes three, the pairs of surfaces across x, y and z.", "areas_m2"
        )
    total = math.fsum(areas)
    each = [total * _taken(one) + air_m2 for one in alpha]
    if min(each) <= 0:
        raise SoundError("A pair that takes no sound has no time of its own: give each more than 0.", "alpha")
    mean = math.fsum(area * math.log(one) for area, one in zip(areas, each, strict=True)) / total
    return math.exp(mean) - air_m2


ABSORPTIONS: Mapping[Formula, Callable[[Sequence[float], Sequence[float], float], float]] = {
    Formula.SABINE: _sabine,
    Formula.EYRING: _eyring,
    Formula.MILLINGTON: _millington,
    Formula.ARAU: _arau,
}


def _taken(alpha: float) -> float:
    return -math.log1p(-min(alpha, HIGHEST_ALPHA))


def _checked(areas: Sequence[float], alpha: Sequence[float], volume: float, c: float, air: float) -> None:
    if not areas:
        raise SoundError("There is no surface: give one area at least.", "areas_m2")
    if len(areas) != len(alpha):
        raise SoundError(
            f"{len(areas)} areas and {len(alpha)} coefficients: give one coefficient for each area.", "alpha"
        )
    for one in areas:
        over_zero(one, "areas_m2", "An area")
    for one in alpha:
        if not 0 <= one <= MOST_ALPHA:
            raise SoundError(f"An absorption of {one:g}: give a share, 0 to 1 ({MOST_ALPHA:g} at most).", "alpha")
    over_zero(volume, "volume_m3", "The volume")
    over_zero(c, "c", "The speed of sound")
    if air < 0:
        raise SoundError("The air takes sound, it gives none: give 0 or more dB per meter.", "air_db_per_m")


@dataclass(frozen=True, slots=True)
class Surface:
    """One surface of a room, or what hangs on it. alpha: absorption by octave, Hz to share."""

    name: str
    area_m2: float
    alpha: Mapping[int, float]


@dataclass(frozen=True, slots=True)
class Band:
    """One octave of a room: the Sabine and the Eyring time, and which surface takes most."""

    hz: int
    sabine: Decay
    eyring: Decay
    most: str  # name of the surface that takes most


def by_octave(
    surfaces: Sequence[Surface],
    volume_m3: float,
    *,
    temp_c: float = 20.0,
    rh_percent: float = 50.0,
    bands: Sequence[int] = OCTAVES,
    c: float = ROOM_SPEED_M_PER_S,
) -> tuple[Band, ...]:
    """Both times for each octave, air included. Raises SoundError naming a surface without a coefficient."""
    areas = [one.area_m2 for one in surfaces]
    told = []
    for hz in bands:
        alpha = [_alpha(one, hz) for one in surfaces]
        air = absorption_db_per_m(temp_c, rh_percent, exact_band_hz(hz))
        taking = max(range(len(surfaces)), key=lambda at: areas[at] * alpha[at])
        sabine, eyring = (t60(each, areas, alpha, volume_m3, c, air) for each in (Formula.SABINE, Formula.EYRING))
        told.append(Band(hz, sabine, eyring, surfaces[taking].name))
    return tuple(told)


def _alpha(surface: Surface, hz: int) -> float:
    if hz not in surface.alpha:
        raise SoundError(f"{surface.name} has no absorption at {hz} Hz: give one, or leave the octave out.", "alpha")
    return surface.alpha[hz]


def middle_s(bands: Sequence[Band]) -> float:
    """Mean of the Eyring times at 500 and 1000 Hz: one number for a room. Raises SoundError without them."""
    middle = [one.eyring.t60_s for one in bands if one.hz in (500, 1000)]
    if not middle:
        raise SoundError("A room's one time is that of 500 and 1000 Hz: give one of these octaves.", "bands")
    return math.fsum(middle) / len(middle)


def noise_reduction_coefficient(alpha: Mapping[int, float]) -> float:
    """Mean of 250, 500, 1000 and 2000 Hz, to the nearest 0.05 (ASTM C423, from memory)."""
    missing = [hz for hz in (250, 500, 1000, 2000) if hz not in alpha]
    if missing:
        raise SoundError(f"There is no absorption at {missing[0]} Hz: give it.", "alpha")
    mean = math.fsum(alpha[hz] for hz in (250, 500, 1000, 2000)) / 4
    return round(mean * 20 + 1e-9) / 20
