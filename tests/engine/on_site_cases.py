"""The cases that the engine and the phone are both held to, and the answers in tests/engine/on_site_cases.json.

`python -m tests.engine.on_site_cases` writes the file anew; a test says when that is needed.
"""

import json
from dataclasses import asdict
from pathlib import Path
from random import Random

from layout.engine.ways.on_site import PARTS, Found, Joists, Site, Within, on_site, spread

FILE = Path(__file__).with_name("on_site_cases.json")
COUNT = 240


def sites():
    chance = Random(1609)
    return [_site(chance) for _ in range(COUNT)]


def _site(chance):
    """Rooms of 8 to 25 ft in sixteenths, and of 2.5 to 7.6 m in millimeters."""
    metric = chance.random() < 0.25
    inch = 25 if metric else 16
    size, other = (chance.randrange(96 * inch, 300 * inch) for _ in range(2))
    count, rows = chance.randint(1, 7), chance.randint(1, 3)
    lines, others = _lines(chance, count, size, inch), _lines(chance, rows, other, inch)
    duct_alone = chance.random() < 0.3
    radius = chance.choice([17, 51, 74]) * PARTS * inch // 32
    clear = chance.choice([0, 8, 16]) * PARTS * inch // 16
    return Site(
        size=size * PARTS,
        lines=lines,
        other_size=other * PARTS,
        others=others,
        keep=radius + clear,
        least=2 * radius + chance.choice([0, 24]) * PARTS,
        edge=radius + 4 * inch * PARTS,
        within=Within(pair=8 * inch, end=24 * inch, slide=12 * inch),
        joists=None if duct_alone else _joists(chance, inch),
        found=_found(chance, lines, others, inch, radius) if duct_alone or chance.random() < 0.3 else None,
    )


def _lines(chance, count, size, inch):
    if count == 1:
        return (size * PARTS // 2,)
    return spread(chance.randrange(12 * inch, size // (2 * count) + 12 * inch) * PARTS, count, size * PARTS)


def _joists(chance, inch):
    spacing = chance.choice([1200, 1600, 1920, 2400]) * inch * PARTS // 100
    width = chance.choice([24, 40, 56]) * inch * PARTS // 16
    return Joists(spacing, width, chance.randrange(-40 * inch * PARTS // 16, spacing))


def _found(chance, lines, others, inch, radius):
    """Near one of the lights."""
    wide, deep = (chance.choice([6, 14, 20]) * inch * PARTS for _ in range(2))
    low, across = (chance.choice(each) - chance.randrange(-4 * inch, 24 * inch) * PARTS for each in (lines, others))
    return Found(low, low + wide, across, across + deep, radius + 2 * inch * PARTS)


def as_json(value):
    """As a phone reads it: tuples are lists."""
    return json.loads(json.dumps(asdict(value)))


def cases():
    return [{"site": as_json(site), "answer": as_json(on_site(site))} for site in sites()]


if __name__ == "__main__":
    FILE.write_text("[\n" + ",\n".join(json.dumps(case) for case in cases()) + "\n]\n")
