"""Photometric texts of lights nobody makes, from a formula for their intensity. For tests."""

import math

FIVES = tuple(range(0, 91, 5))


def text_of(
    candela,
    *,
    version="IESNA:LM-63-2002",
    keywords="[TEST] 1\n[TESTLAB] none\n[ISSUEDATE] 2026-11-25\n[MANUFAC] none\n",
    tilt="TILT=NONE",
    vertical=FIVES,
    horizontal=(0,),
    lamps=1,
    lumens=-1,
    multiplier=1,
    kind=1,
    units=2,
    opening="0.15 0.15 0",
    factors="1 1",
    watts=12,
):
    """An LM-63 text. candela(vertical, horizontal) in degrees; every other field as it is written."""
    head = f"{version}\n" if version else ""
    rows = (" ".join(f"{candela(v, h):.6g}" for v in vertical) for h in horizontal)
    return "\n".join(
        (
            f"{head}{keywords}{tilt}",
            f"{lamps} {lumens} {multiplier} {len(vertical)} {len(horizontal)} {kind} {units} {opening}",
            f"{factors} {watts}",
            " ".join(f"{v:g}" for v in vertical),
            " ".join(f"{h:g}" for h in horizontal),
            *rows,
            "",
        )
    )


def cosine(vertical, horizontal=0.0):
    """100 cd straight down, a Lambertian opening: 314.159 lm (pi times the peak)."""
    return 100 * max(math.cos(math.radians(vertical)), 0.0)


def eulumdat_of(
    intensity,
    *,
    symmetry=1,
    planes=(0,),
    stored=None,
    vertical=FIVES,
    lamps=1,
    lumens=1000,
    conversion=1,
    area=(150, 0),
    heights=(0, 0, 0, 0),
    output=0,
    tilt=0,
    sets=1,
    watts=12,
):
    """A EULUMDAT text. planes: over the full turn; stored: those that are written, in their order; mm; per 1000 lm."""
    stored = planes if stored is None else stored
    lines = ["Nobody", 1, symmetry, len(planes), 0, len(vertical), 0]
    lines += ["T1", "A light", "N1", "n1.ldt", "2026-12-01 none"]
    lines += [200, 0, 100, *area, *heights, 100, output, conversion, tilt, sets]
    for number in range(sets):
        lines += [lamps, f"LED {number + 1}", lumens * (number + 1), "3000 K", "90", watts]
    lines += [0.5] * 10
    lines += [f"{angle:g}" for angle in (*planes, *vertical)]
    lines += [f"{intensity(v, h):.6g}" for h in stored for v in vertical]
    return "\r\n".join(map(str, lines)) + "\r\n"
