"""A light nobody has a photometric file for: one cosine-power lobe from its beam angle and lumens.

I(v) = I0 cos^n v out to 90 degrees, nothing behind. It is round and smooth, which real lights are not: what is computed
from it is marked so wherever it is shown. (Cosine-power lobe: closed form; that one stands for a downlight is common
practice, no source.)
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import acos, cos, degrees, isfinite, log, pi, radians

import numpy as np

from layout.engine.light.values import Floats, Known, LightError, Opening

HALF = 0.5  # beam: where intensity is half its maximum (IES definition)
TENTH = 0.1  # field: where it is a tenth
NARROWEST_DEG, WIDEST_DEG = 1.0, 179.0
STEEPEST = 20_000.0  # narrower than the narrowest beam
BRIGHTEST_LM = 1e7
BRIGHTEST_CD = 1e9


def power_of(beam_deg: float) -> float:
    """n of the lobe whose intensity is half at half the beam angle: ln 0.5 / ln cos(beam / 2)."""
    if not NARROWEST_DEG <= beam_deg <= WIDEST_DEG:
        raise LightError(f"Beam: {beam_deg:g}° is no beam angle. Give the full angle, 1° to 179°.", "beam_deg")
    return log(HALF) / log(cos(radians(beam_deg) / 2))


def beam_of(power: float) -> float:
    """Full angle between the two sides at half of the peak, degrees."""
    return _full_angle(power, HALF)


def field_of(power: float) -> float:
    """Full angle between the two sides at a tenth of the peak, degrees."""
    return _full_angle(power, TENTH)


def peak_of(flux_lm: float, power: float) -> float:
    """I0, cd, of a lobe that gives flux_lm below the ceiling: flux = 2 pi I0 / (n + 1)."""
    _check_power(power)
    if not 0 < flux_lm <= BRIGHTEST_LM:
        raise LightError(f"Lumens: {flux_lm:g} lm is not what a light gives. Give more than 0 lm.", "flux_lm")
    return flux_lm * (power + 1) / (2 * pi)


def from_beam(beam_deg: float, flux_lm: float, opening: Opening | None = None) -> Lobe:
    """The lobe of a light of which beam angle and lumens are known."""
    power = power_of(beam_deg)
    return Lobe(peak_of(flux_lm, power), power, opening or Opening())


@dataclass(frozen=True, slots=True)
class Lobe:
    """peak_cd straight out, falling as cos^power. power 1: a Lambertian opening; 0: the same over the half space."""

    peak_cd: float
    power: float
    opening: Opening = field(default_factory=Opening)

    def __post_init__(self) -> None:
        _check_power(self.power)
        if not 0 < self.peak_cd <= BRIGHTEST_CD:
            raise LightError(f"Peak: {self.peak_cd:g} cd is not what a light gives. Give more than 0 cd.", "peak_cd")

    @property
    def known(self) -> Known:
        return Known.LOBE

    @property
    def axial(self) -> bool:
        return True

    @property
    def flux_lm(self) -> float:
        return 2 * pi * self.peak_cd / (self.power + 1)

    def candela(self, vertical_deg: Floats, horizontal_deg: Floats | None = None) -> Floats:
        """Intensity, cd, of any shape of vertical_deg; horizontal_deg changes nothing."""
        vertical = np.asarray(vertical_deg, dtype=np.float64)
        share: Floats = np.maximum(np.cos(np.radians(vertical)), 0.0)
        told: Floats = self.peak_cd * np.power(share, self.power)
        return np.where(vertical < 90, told, 0.0) if self.power == 0 else told


def _full_angle(power: float, share: float) -> float:
    _check_power(power)
    return 180.0 if power == 0 else 2 * degrees(acos(share ** (1 / power)))


def _check_power(power: float) -> None:
    if not (isfinite(power) and 0 <= power <= STEEPEST):
        raise LightError(f"Power: {power:g} is no power of a cosine lobe. Give 0 to {STEEPEST:g}.", "power")
