"""How good the order of lights is, and what it takes to find: rows and scattered lights, 12 to 200 of them, in one run.

How far a chain may be over the shortest is held against what no chain is below, so it can only be less. Beside it: what
going to the nearest light each time takes, and in how many rooms the chain was proven the shortest. All of it is
processor time.
"""

import time
from random import Random
from statistics import median

from layout.engine.wiring.chain import distances, shortest_chain
from layout.engine.wiring.order import length_of, nearest_first, solved

ROOMS = 5
COUNTS = (12, 20, 40, 100, 200)
INCH = 16  # sixteenths


def in_rows(count, draw):
    """Rows half as many as columns, gaps of 3 to 6 ft, the switch anywhere along the door wall or left of it."""
    columns = max(2, round((2 * count) ** 0.5))
    gap, row_gap = (draw.randrange(36 * INCH, 72 * INCH) for _ in range(2))
    lights = [(gap * (index % columns), row_gap * (index // columns)) for index in range(count)]
    return lights, (draw.randrange(-gap, gap * columns), -row_gap // 2)


def scattered(count, draw):
    side = round(48 * INCH * count**0.5)
    return [(draw.randrange(side), draw.randrange(side)) for _ in range(count)], (draw.randrange(side), -24 * INCH)


KINDS = {
    f"{count} lights, {how}": (make, count)
    for count in COUNTS
    for how, make in (("in rows", in_rows), ("scattered", scattered))
}


def tried(make, count, rooms=ROOMS):
    """Of each room: percent over the bound, percent that nearest-first is over the bound, whether proven, seconds."""
    found = []
    for seed in range(rooms):
        points, start = make(count, Random(seed))
        solved.cache_clear()
        begun = time.process_time()
        chain = shortest_chain(points, start)
        took = time.process_time() - begun
        between, steps = distances(sorted(points), start)
        plain = length_of(nearest_first(between, steps), between, steps)
        over, plainly_over = (100 * float(each / chain.lower_bound - 1) for each in (chain.length, plain))
        found.append((over, plainly_over, chain.exact, took))
    return found


def report():
    """The lines of a small table."""
    yield f"{'':26} {'over the shortest, at most':>28} {'nearest first':>14} {'proven':>8} {'median':>11} {'worst':>11}"
    for kind, (make, count) in KINDS.items():
        over, plain, proven, took = zip(*tried(make, count), strict=True)
        yield (
            f"{kind:26} {median(over):10.2f} %, worst {max(over):5.2f} % {median(plain):12.1f} % "
            f"{sum(proven):>3} of {len(proven)} {median(took) * 1000:8.0f} ms {max(took) * 1000:8.0f} ms"
        )
