"""The light levels a picture is cut at, its tones, and their legend. Knows no surface."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10
from xml.etree.ElementTree import Element

import numpy as np
from django.utils.translation import gettext as _

from layout.drawing.ink import add, rectangle, words
from layout.engine.light.values import Floats
from layout.light.pictures import tones
from layout.light.pictures.values import Form, Told, written

# Steps of about 1.5, the least difference people name: the illuminance scale of EN 12464-1 (from memory), and on.
_LADDER = (1.0, 1.5, 2.0, 3.0, 5.0, 7.5)
MOST, FEWEST = 9, 4  # lines on a picture: more can't be told apart, fewer say nothing
LEGEND_HIGH = 12.0  # mm


@dataclass(frozen=True, slots=True)
class Bands:
    """limits: the levels that part the bands, rising, in lux. tones: one more than limits, darkest first."""

    limits: tuple[float, ...]
    tones: tuple[str, ...]
    told: Told

    def tone(self, lux: float) -> str:
        return self.tones[bisect_right(self.limits, lux)]

    def named(self) -> tuple[str, ...]:
        """Each band in words, darkest first."""
        unit, numbers = self.told.unit, [self.told.number(limit) for limit in self.limits]
        if not numbers:
            return (_("the same all over"),)
        between = [f"{low}–{high} {unit}" for low, high in pairwise(numbers)]
        first = _("under %(level)s") % {"level": f"{numbers[0]} {unit}"}
        return (first, *between, _("%(level)s and over") % {"level": f"{numbers[-1]} {unit}"})


def bands_of(values: Iterable[Floats], told: Told, form: Form = Form.COLOR) -> Bands:
    """Bands that part these levels (lux), the same for every picture they are handed to."""
    known = np.concatenate([np.asarray(each, dtype=float).ravel() for each in values] or [np.zeros(1)])
    limits = levels_between(told.light(float(np.nanmin(known))), told.light(float(np.nanmax(known))))
    toned = tones.scale if form is Form.COLOR else tones.grays
    return Bands(tuple(told.lux(level) for level in limits), toned(len(limits) + 1), told)


def levels_between(low: float, high: float) -> tuple[float, ...]:
    """Round levels strictly between low and high: off the ladder where it gives enough, else evenly apart."""
    if high - low < max(0.02 * high, 0.01):
        return ()
    found = [level for level in _ladder(max(low, high / 1000), high) if low < level < high]
    if len(found) >= FEWEST:
        return tuple(found[-MOST:])
    return _even(low, high)


def _ladder(low: float, high: float) -> Iterable[float]:
    for power in range(floor(log10(low)), ceil(log10(high)) + 1):
        yield from (round(step * 10.0**power, 6) for step in _LADDER)


def _even(low: float, high: float) -> tuple[float, ...]:
    rough = (high - low) / (FEWEST + 2)
    power = 10.0 ** floor(log10(rough))
    step = next(part * power for part in (1, 2, 5, 10) if part * power >= rough)
    first = floor(low / step) + 1
    return tuple(round(at * step, 9) for at in range(first, ceil(high / step)) if low < at * step < high)


def legend(parent: Element, bands: Bands, left: float, top: float, wide: float) -> None:
    """A strip of the bands, each limit under the line it parts; LEGEND_HIGH mm high."""
    each = wide / len(bands.tones)
    for at, tone in enumerate(bands.tones):
        add(parent, "rect", kind="tone", x=left + at * each, y=top, width=each, height=5, fill=tone)
    rectangle(parent, "thing", left, top, wide, 5)
    for at, limit in enumerate(bands.limits, start=1):
        x = left + at * each
        add(parent, "line", kind="limit", x1=x, y1=top, x2=x, y2=top + 6, stroke="#000", stroke_width=0.25)
        words(parent, written(bands.told.light(limit)), x, top + 8.2, 8.5)
    words(parent, bands.told.unit, left + wide - each / 3, top + 8.2, 8.5, bold=True)
