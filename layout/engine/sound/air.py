"""Air: how fast sound goes in it and what it takes on the way."""

from __future__ import annotations

import math

from layout.engine.sound.values import SoundError, over_zero

KELVIN = 273.15
REFERENCE_K = 293.15
TRIPLE_POINT_K = 273.16
REFERENCE_KPA = 101.325
COLDEST_C, HOTTEST_C = -50.0, 70.0  # the standard's formulas go from -20 to 50
NEPER_DB = 10 / math.log(10)  # 4.343: m of an energy, per meter, from dB per meter
OCTAVES = (125, 250, 500, 1000, 2000, 4000)


def _kelvin(temp_c: float) -> float:
    if not COLDEST_C <= temp_c <= HOTTEST_C:
        raise SoundError(f"{temp_c:g} C: give {COLDEST_C:g} to {HOTTEST_C:g}.", "temp_c")
    return temp_c + KELVIN


def speed_m_per_s(temp_c: float) -> float:
    """343.2 sqrt(T / 293.15), dry air. Source: ISO 9613-1 (form seen). Humidity adds 0.1 to 0.6 %."""
    return 343.2 * math.sqrt(_kelvin(temp_c) / REFERENCE_K)


def exact_band_hz(nominal_hz: float) -> float:
    """The third-octave's exact middle, 1000 x 10^(k/10): 4000 is 3981.07. Tables of air and weighting are for these."""
    over_zero(nominal_hz, "f_hz", "The frequency")
    return float(1000 * 10 ** (round(10 * math.log10(nominal_hz / 1000)) / 10))


def absorption_db_per_m(temp_c: float, rh_percent: float, f_hz: float, pressure_kpa: float = REFERENCE_KPA) -> float:
    """What air takes of a pure tone.

    Source: ISO 9613-1:1993, formulas 3 to 5 and annex B (three public codes agree, seen).
    """
    kelvin = _kelvin(temp_c)
    over_zero(f_hz, "f_hz", "The frequency")
    over_zero(pressure_kpa, "pressure_kpa", "The air pressure")
    if not 0 <= rh_percent <= 100:
        raise SoundError(f"{rh_percent:g} % humidity: give 0 to 100.", "rh_percent")
    warm, pressure = kelvin / REFERENCE_K, pressure_kpa / REFERENCE_KPA
    saturated: float = 10 ** (-6.8346 * (TRIPLE_POINT_K / kelvin) ** 1.261 + 4.6151)
    water = rh_percent * saturated / pressure  # molar share, %
    oxygen = pressure * (24 + 4.04e4 * water * (0.02 + water) / (0.391 + water))
    nitrogen = pressure * warm**-0.5 * (9 + 280 * water * math.exp(-4.170 * (warm ** (-1 / 3) - 1)))
    square = f_hz**2
    relaxing: float = 0.01275 * math.exp(-2239.1 / kelvin) / (oxygen + square / oxygen) + 0.1068 * math.exp(
        -3352.0 / kelvin
    ) / (nitrogen + square / nitrogen)
    return float(8.686 * square * (1.84e-11 / pressure * math.sqrt(warm) + warm**-2.5 * relaxing))
