"""What a light picture is made of and what comes out: lengths and light as this shop says them, a table twin, an SVG.

Light is computed in lux and meters. An inch shop reads footcandles, lux beside them in the table; a metric one lux.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from django.utils.translation import gettext as _

from layout.engine.lengths import Style, Tape, Unit, inches
from layout.engine.light.values import LUX_IN_A_FOOTCANDLE

INCHES_IN_A_METER = 1 / 0.0254


class Form(StrEnum):
    """How a picture is toned: in color for a screen, in grays that black words stand on for paper."""

    COLOR = "color"
    PRINT = "print"


@dataclass(frozen=True, slots=True)
class Told:
    """How a shop says light and lengths: by its tape."""

    tape: Tape

    @property
    def feet(self) -> bool:
        return self.tape.unit is Unit.INCH

    @property
    def unit(self) -> str:
        return _("fc") if self.feet else _("lx")

    def light(self, lux: float) -> float:
        """Lux in the shop's unit."""
        return lux / LUX_IN_A_FOOTCANDLE if self.feet else lux

    def lux(self, light: float) -> float:
        return light * LUX_IN_A_FOOTCANDLE if self.feet else light

    def number(self, lux: float) -> str:
        """The bare number in the shop's unit, to two significant figures below 10 and whole from there."""
        return written(self.light(lux))

    def level(self, lux: float) -> str:
        return f"{self.number(lux)} {self.unit}"

    def both(self, lux: float) -> str:
        """As a table says it: 32 fc (344 lx), or 344 lx."""
        return _("%(fc)s (%(lux)s lx)") % {"fc": self.level(lux), "lux": written(lux)} if self.feet else self.level(lux)

    def length(self, meters: float) -> str:
        """A place in the room to the nearest inch, or to 0.01 m."""
        if not self.feet:
            return _("%(n)s m") % {"n": f"{meters:.2f}"}
        whole = inches(Fraction(round(meters * INCHES_IN_A_METER)))
        return Tape(Style.FEET_INCHES, self.tape.fraction).show(whole)

    def setback(self, meters: float) -> str:
        """A distance off the wall: 24 in, 610 mm."""
        if self.feet:
            return _("%(n)s in") % {"n": f"{round(meters * INCHES_IN_A_METER * 2) / 2:g}"}
        return _("%(n)s mm") % {"n": f"{meters * 1000:.0f}"}


def written(value: float) -> str:
    """A light level as people write it: 0, 0.4, 7.5, 32, 1,250."""
    if not value or abs(value) < 0.05:
        return "0"
    return f"{value:,.0f}" if abs(value) >= 9.95 else f"{value:.1f}".removesuffix(".0")
