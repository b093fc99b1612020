"""How long placing takes, kind by kind, in one run: beside the exhaustive search where that ends, else beside a den.

A time alone says little, so each line gives a ratio too. Processor time, the best of a few runs.
"""

import json
import os
import platform
import sys
import time

from layout.engine.placement.read import read_json, read_problem
from layout.engine.placement.solve import solve
from tests.benchmarks.exhaustive import best_vector

DEN = {
    "unit": "in",
    "L": 187.5,
    "W": 98.5,
    "rows": 2,
    "cols": 4,
    "light": {"cutout_d": 4.25},
    "edge_min": 2,
    "web_min": 1.5,
    "end_setback": {"min": 12, "max": 20, "pref": 15},
    "row_setback": {"min": 14, "max": 24, "pref": 18},
    "spacing_max": 72,
    "speaker": {"cutout_d": 8, "gaps": [1, 3], "off_max": 3},
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
    "spacing_max": 9,
    "speaker": {"cutout_d": 2, "gaps": [1, 4], "off_max": 1},
}
HALL = {**DEN, "L": 3600, "W": 600, "rows": 6, "cols": 40, "speaker": None}
KINDS = {
    "toy, fits": TOY,
    "toy, too close": {**TOY, "edge_min": 6, "web_min": 6},
    "den, fits": DEN,
    "den, gaps over the limit": {**DEN, "spacing_max": 40},
    "den, speakers too wide": {**DEN, "L": 100, "cols": 6, "speaker": {"cutout_d": 16, "gaps": [1, 3, 5]}},
    "den, a foot uneven": {**DEN, "L": 110, "cols": 6, "speaker": {"cutout_d": 16, "gaps": [3]}, "uneven_max": 12},
    "300 ft hall, 40 lights, fits": {**HALL, "spacing_max": 100},
    "300 ft hall, gaps over the limit": {**HALL, "spacing_max": 72},
    "300 ft hall, 60 lights over the limit": {**HALL, "cols": 60, "spacing_max": 50},
}


def seconds(work, runs=3):
    times = []
    for _ in range(runs):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def report():
    """The lines of a small table."""
    yield f"{platform.machine()}, {os.cpu_count()} processors, {platform.system()}, Python {sys.version.split()[0]}"
    den = seconds(lambda: solve(read_problem(read_json(json.dumps(DEN)))))
    for kind, room in KINDS.items():
        problem = read_problem(read_json(json.dumps(room)))
        took = seconds(lambda problem=problem: solve(problem))
        if kind.startswith("toy"):
            beside = f"{seconds(lambda room=room: best_vector(room), runs=1) / took:9.0f} x faster than trying all"
        else:
            beside = f"{took / den:9.1f} x a den that fits"
        yield f"{kind:38} {took * 1000:9.1f} ms {beside}"
