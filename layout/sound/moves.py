"""A computed move as a tape is read: in half inches or centimeters, and still inside the range once it is marked.

Rounding alone may put a speaker back outside by a hair; so the steps around are looked at, and the shortest that fits
is said. Knows no page.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from math import dist

import numpy as np

from layout.engine.lengths import Unit, meters
from layout.engine.sound.listening import heard as heard_at
from layout.engine.sound.nearest import inside
from layout.sound.places import mark_at, place_at

STEP_M = {Unit.INCH: 0.0127, Unit.MM: 0.01}
AROUND = 3  # steps looked at either way


def landed(place, heard):
    """A place on the plan as it is marked: along and across to the tape's marks, and where that is, meters."""
    at = tuple(heard.tape.rounded(each) for each in mark_at(*place, heard.layout))
    return at, tuple(meters(each) for each in place_at(*at, heard.layout))


def fits_of(found, speaker, channel, *, height: bool, seats=None) -> Callable[[tuple[float, float]], bool]:
    """Whether seats hear a speaker in range from a place; height: up as well as around. found: what was asked with."""
    listened = found.seats if seats is None else seats

    def fits(place):
        if not inside(found.outline, np.array([place]))[0]:
            return False
        told = [
            heard_at(seat, (*place, speaker.z), channel, found.screen, found.leeway_deg) for seat in listened
        ]
        return all(one.off_azimuth_deg == 0 and (not height or one.off_elevation_deg == 0) for one in told)

    return fits


def in_steps(start, to, heard, fits, *, along=(True, True)):
    """From start to near `to`, in steps; the shortest that fits as it is marked, else `to` itself.

    along: the axes that may be stepped; the other keeps to `to`.
    """
    step = STEP_M[heard.tape.unit]
    choices = []
    for axis in (0, 1):
        middle = round((to[axis] - start[axis]) / step)
        steps = range(middle - AROUND, middle + AROUND + 1)
        choices.append([start[axis] + n * step for n in steps] if along[axis] else [to[axis]])
    ranked = sorted(product(*choices), key=lambda place: (round(dist(start, place), 6), dist(to, place)))
    return next((place for place in ranked if fits(landed(place, heard)[1])), to)

