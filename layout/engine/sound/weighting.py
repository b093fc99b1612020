"""A and C weighting of a level by frequency."""

from __future__ import annotations

import math

from layout.engine.sound.values import SoundError, over_zero

# Poles, Hz, and what brings 1 kHz to 0 dB. Source: IEC 61672-1 annex E (through two public libraries, seen).
F1, F2, F3, F4 = 20.598997, 107.65265, 737.86223, 12194.217
A_AT_1K, C_AT_1K = 2.000, 0.062


def a_db(f_hz: float) -> float:
    """A weighting, dB; the standard's table is for exact bands (air.exact_band_hz)."""
    over_zero(f_hz, "f_hz", "The frequency")
    low, high = _shelf(f_hz, F1), _roll_off(f_hz)
    middle = sum(10 * math.log10(1 / (1 + (pole / f_hz) ** 2)) for pole in (F2, F3))
    return low + middle + high + A_AT_1K


def c_db(f_hz: float) -> float:
    """C weighting, dB."""
    over_zero(f_hz, "f_hz", "The frequency")
    return _shelf(f_hz, F1) + _roll_off(f_hz) + C_AT_1K


def weighting_db(curve: str, f_hz: float) -> float:
    """curve: "A" or "C"."""
    if curve not in ("A", "C"):
        raise SoundError(f"There is no curve {curve!r} here: give A or C.", "curve")
    return a_db(f_hz) if curve == "A" else c_db(f_hz)


def _shelf(f_hz: float, pole: float) -> float:
    return -20 * math.log10(1 + (pole / f_hz) ** 2)


def _roll_off(f_hz: float) -> float:
    return -20 * math.log10(1 + (f_hz / F4) ** 2)
