"""What a page of sound says of layouts and channels, and lengths and moves as the shop says them. Knows no page."""

import re

from django.utils.translation import gettext as _

from layout.engine.lengths import Unit
from layout.engine.sound.systems import LAYOUTS
from layout.sound.pictures.values import length

SYSTEMS = [(system.name, f"{system.name} ({len(system.channels)})") for system in LAYOUTS.values()]
_LABELS = {channel.name: channel.label for system in LAYOUTS.values() for channel in system.channels}
CHANNELS = [(name, f"{name} {label}") for name, label in _LABELS.items()]
LEAST_MOVE_M = 0.005
METERS = re.compile(r"((?:\d+(?:\.\d+)? x )*)(\d+(?:\.\d+)?) m\b")  # also the sides of a room, a x b x c m


def move_in_words(mark, move, tape) -> str:
    """'Move SP2 6 in to the left and 1 ft 3 in toward the far wall.' move: right and away from the door, meters."""
    right, far = move
    parts = []
    if abs(right) >= LEAST_MOVE_M:
        words = _("%(by)s to the right") if right > 0 else _("%(by)s to the left")
        parts.append(words % {"by": length(abs(right), tape)})
    if abs(far) >= LEAST_MOVE_M:
        words = _("%(by)s toward the far wall") if far > 0 else _("%(by)s toward the door wall")
        parts.append(words % {"by": length(abs(far), tape)})
    if not parts:
        return _("%s stands where it should.") % mark
    return _("Move %(mark)s %(way)s.") % {"mark": mark, "way": _(" and ").join(parts)}


def degrees(value) -> str:
    return f"{round(value) + 0.0:.0f}°".replace("-", "−")


def off(value) -> str:
    """How far past a range: what is off by less than half a degree is not called 0."""
    return _("under 1°") if 0 < abs(value) < 0.5 else degrees(value)


def span(ends) -> str:
    """A range of angles: 100 to 120°, or 30° where it is one."""
    low, high = ends
    return degrees(low) if low == high else _("%(low)s to %(high)s") % {"low": degrees(low), "high": degrees(high)}


def refusal(error, tape) -> str:
    """Why the engine refuses, its meters told as the shop's tape reads them."""
    if tape.unit is not Unit.INCH:
        return str(error)

    def told(found):
        return " x ".join(length(float(one), tape) for one in (found[1] + found[2]).split(" x "))

    return METERS.sub(told, str(error))


def decibels(value, places=1) -> str:
    return f"{round(value, places) + 0.0:.{places}f} dB".replace("-", "−")  # never -0
