"""How far a light keeps from a ceiling fan, so that its blades don't chop the light. Knows no room.

    ceiling ----o light ------------------
                 \\  half angle
                  \\           V, the drop
         blade tip  \\=====o=====  blades
"""

from __future__ import annotations

import math
from fractions import Fraction

from layout.engine.lengths import ZERO, Length, LengthError

SAFETY = Fraction(6, 5)
SOURCE = (
    "1.2 x drop x tangent of the light's half angle: a table of fan flicker ratios (15 degrees 0.32, 45 degrees 1.20, "
    "65 degrees 2.57), as quoted by public pages. The least distance is common practice, no source."
)


def fan_clear(drop: Length, half_angle_deg: float, least: Length) -> Length:
    """From the blade tip to the edge of the light, level, to the nanometer above. Draw the fan with its blades.

    Args: drop: ceiling to the blades. half_angle_deg: half of the light's beam, more than 0 and less than 90. least:
    what the shop keeps in any case. Source: SOURCE. Raises LengthError.
    """
    if drop < ZERO:
        raise LengthError("Fan: the blades hang below the ceiling. Give the drop as 0 or more.")
    if not 0 < half_angle_deg < 90:
        raise LengthError(f"Light: half of its beam is {half_angle_deg} degrees. Give more than 0, less than 90.")
    reach = SAFETY * drop.nm * Fraction(math.tan(math.radians(half_angle_deg)))
    return max(Length(Fraction(math.ceil(reach))), least)
