"""Copper conductors by gauge: diameter, area, resistance at a temperature. Knows no circuits and no Django."""

from __future__ import annotations

import math

THINNEST, THICKEST = 40, -3  # 40 AWG; 4/0 counts as -3
COLDEST_C, HOTTEST_C = -60.0, 250.0  # where the straight line of resistance over temperature is good enough
DIAMETER_36_MM = 0.127
STEP = 92.0 ** (1 / 39)
OHM_METERS_20_C = 1.7241e-8  # 100 % IACS
PER_KELVIN_20_C = 0.00393
STRAND_LAY = 1.02  # a strand runs longer than its cable
MM_PER_MIL = 0.0254
METERS_PER_KFT = 304.8


class ElectricalError(ValueError):
    """A quantity no wire, box or line can have. The message is for people: it names the quantity and the remedy."""


def in_words(awg: int) -> str:
    """'12 AWG'; 1/0 to 4/0 for 0 to -3."""
    return f"{1 - awg}/0 AWG" if awg <= 0 else f"{awg} AWG"


def diameter_mil(awg: int) -> float:
    """Diameter of a solid conductor in mils (1/1000 in). Raises ElectricalError past 40 AWG or 4/0.

    d = 0.127 mm x 92^((36 - n) / 39); each step is 1.12293 times the next, and 4/0 is n = -3.
    Source: ASTM B258, through a reprint (seen).
    """
    if not THICKEST <= awg <= THINNEST:
        raise ElectricalError(
            f"Gauge: {awg} is no copper wire here. Give 40 (thinnest) to 1, or 0 to -3 for 1/0 to 4/0."
        )
    return DIAMETER_36_MM / MM_PER_MIL * STEP ** (36 - awg)


def circular_mils(awg: int) -> float:
    """Area of a solid conductor in circular mils: the diameter in mils, squared. 12 AWG is 6530."""
    return diameter_mil(awg) ** 2


def ohm_per_kft(awg: int, temp_c: float = 75.0, stranded: bool = False) -> float:
    """Resistance of one uncoated copper conductor, ohms per 1000 ft. Not the loop: that is two conductors.

    Args: temp_c: the conductor's own temperature. 20 C copper is 18 % below the 75 C tables: both are right for their
    temperature. stranded: 2 % more for the lay of the strands. Tinned copper and aluminum are higher and not told here.
    R = rho L / A x (1 + 0.00393 (T - 20)), rho = 1.7241e-8 ohm m at 20 C (100 % IACS).
    Source: NBS Handbook 100 (title and scope seen, constants from memory); solid within 0.4 % of NEC chapter 9 Table 8
    (2017 to 2023, secondary copies seen).
    """
    if not COLDEST_C <= temp_c <= HOTTEST_C:
        raise ElectricalError(
            f"Temperature: {temp_c:g} C is outside {COLDEST_C:g} to {HOTTEST_C:g} C. Give the conductor's own, in C."
        )
    area_m2 = math.pi / 4 * (diameter_mil(awg) * MM_PER_MIL / 1000) ** 2
    at_20_c = OHM_METERS_20_C * METERS_PER_KFT / area_m2
    return at_20_c * (1 + PER_KELVIN_20_C * (temp_c - 20)) * (STRAND_LAY if stranded else 1)


def loop_ohm(awg: int, one_way_ft: float, temp_c: float, stranded: bool = False) -> float:
    """There and back: the one place where a one-way length is taken twice."""
    return 2 * one_way_ft / 1000 * ohm_per_kft(awg, temp_c, stranded)
