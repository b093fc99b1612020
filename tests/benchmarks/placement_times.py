"""How long placing takes, kind by kind, in one run, beside two judges of the same rooms: every layout, and CP-SAT.

A time alone says little, so each kind has its median and its worst over several rooms, and two ratios on the first of
them. All of it is processor time. Trying every layout ends in a toy only; elsewhere its time is reckoned, from some
layouts and how many there are.
"""

import json
import os
import platform
import sys
import time
from itertools import islice
from math import comb, log10
from statistics import median

from layout.engine.placement.answer import answer
from tests.benchmarks.exhaustive import best_vector, judge, layouts, state
from tests.engine.judge_cpsat import least_vector

SOME = 2000  # layouts timed to reckon how long all of them take
ALL = 50_000  # no more than these are all tried
MEDIA = {
    "unit": "in",
    "L": 222.25,
    "W": 158,
    "rows": 3,
    "cols": 5,
    "light": {"cutout_d": 4.25, "clear": 0.5},
    "edge_min": 2,
    "web_min": 1.5,
    "end_setback": {"min": 14, "max": 34, "pref": 24},
    "row_setback": {"min": 14, "max": 32, "pref": 24},
    "spacing_max": 60,
    "speaker": {"cutout_d": 6.5, "clear": 0.5, "gaps": [1, 4], "off_max": 8},
    "even_tol": 1,
    "row_uneven_max": 2,
}
THINGS = [
    {"type": "circle", "x": 111.125, "y": 50, "r": 10, "clear": 3},
    {"type": "rect", "x0": 60, "y0": 20, "x1": 74, "y1": 30, "clear": 2},
]
FLAT = {
    "unit": "mm",
    "L": 4210,
    "W": 2985,
    "rows": 2,
    "cols": 4,
    "light": {"cutout_d": 95, "clear": 12},
    "edge_min": 60,
    "web_min": 40,
    "end_setback": {"min": 350, "max": 800, "pref": 600},
    "row_setback": {"min": 400, "max": 900, "pref": 700},
    "spacing_max": 1500,
    "speaker": {"cutout_d": 210, "clear": 12, "gaps": [2]},
    "obstructions": [{"type": "rect", "x0": 2000, "y0": 640, "x1": 2160, "y1": 760, "clear": 10}],
}
TOY = {
    "unit": "mm",
    "L": 40,
    "W": 21,
    "rows": 3,
    "cols": 5,
    "light": {"cutout_d": 3},
    "edge_min": 1,
    "end_setback": {"min": 2, "max": 6, "pref": 4},
    "row_setback": {"min": 2, "max": 8, "pref": 4},
    "spacing_max": 10,
    "speaker": {"cutout_d": 2, "gaps": [1, 4], "off_max": 1},
    "obstructions": [{"type": "circle", "x": 4, "y": 4, "r": 1}],
}
LAY_IN = {
    **{key: MEDIA[key] for key in ("unit", "edge_min", "web_min")},
    "L": 240,
    "W": 168,
    "rows": 3,
    "cols": 4,
    "light": {"cutout_d": 6},
    "end_setback": {"min": 12, "max": 60, "pref": 36},
    "row_setback": {"min": 12, "max": 60, "pref": 36},
    "spacing_max": 72,
    "uneven_max": 24,
    "row_uneven_max": 24,
}
HALL = {**MEDIA, "L": 3600, "W": 600, "rows": 6, "cols": 40, "spacing_max": 100, "speaker": None}


def across(first, oc=16, width=1.5):
    return [{"dir": "across", "oc": oc, "first": first, "width": width}]


KINDS = {
    "toy": [{**TOY, "joists": across(first, oc=7, width=1)} for first in (0, 2, 4)],
    "typical": [{**MEDIA, "joists": across(first), "obstructions": THINGS} for first in (2.75, 4, 5, 6.5, 8, 9.5, 11)],
    "typical, joists both ways": [
        {**MEDIA, "joists": [*across(first), {**across(first)[0], "dir": "along"}], "obstructions": THINGS}
        for first in (4, 6.5, 9.5)
    ],
    "metric": [{**FLAT, "joists": across(first, oc=400, width=45)} for first in (0, 90.25, 123.25, 310)],
    "tile": [{**LAY_IN, "tile": {"px": 24, "py": 24, "ox": ox, "oy": 0}} for ox in (0, 5, 12)],
    "won't fit": [
        {**MEDIA, "joists": across(first, oc=12, width=3.5), "obstructions": THINGS, "spacing_max": limit}
        for first, limit in ((0, 60), (6, 40), (3.25, 36))
    ],
    "large": [{**HALL, "joists": across(first), "obstructions": THINGS} for first in (0, 7.75)],
}


def seconds(work):
    begun = time.process_time()
    work()
    return time.process_time() - begun


def how_many(stated):
    """How many layouts there are, near enough: marks of half the room, and speakers between two of them."""
    near = sum(2 * gap < stated.cols for gap in stated.gaps)
    return (
        comb(stated.length // 8, stated.cols // 2)
        * comb(stated.width // 8, stated.rows // 2)
        * max(1, stated.length // 4 // stated.cols) ** near
    )


def trying_all(room):
    """Seconds for every layout; where there are many, reckoned from some of them."""
    stated, number = state(room), how_many(state(room))
    if number <= ALL:
        return seconds(lambda: best_vector(room))
    some = list(islice(layouts(stated), SOME))
    return seconds(lambda: [judge(stated, *layout) for layout in some]) / SOME * number


def times(ratio):
    return f"10^{log10(ratio):.0f} x" if ratio >= 1e6 else f"{ratio:,.0f} x" if ratio >= 10 else f"{ratio:.1f} x"


def report():
    """The lines of a small table."""
    yield f"{platform.machine()}, {os.cpu_count()} processors, {platform.system()}, Python {sys.version.split()[0]}"
    yield f"{'':26} {'median':>10} {'worst':>10}   {'trying all takes':>17} {'CP-SAT takes':>13}"
    answer(json.dumps(TOY))  # what is read once
    for kind, rooms in KINDS.items():
        took = [seconds(lambda room=room: answer(json.dumps(room))) for room in rooms]
        every = times(trying_all(rooms[0]) / took[0])
        model = "too large" if kind == "large" else times(seconds(lambda room=rooms[0]: least_vector(room)) / took[0])
        yield f"{kind:26} {median(took) * 1000:7.1f} ms {max(took) * 1000:7.1f} ms   {every:>17} {model:>13}"
