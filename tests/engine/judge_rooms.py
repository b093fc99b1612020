"""Rooms of a few ticks with everything in them, and how an answer is held to account. Knows no engine but by its file.

Sizes are drawn in ticks or parts of one and written as a room file has them, in inches or millimeters.
"""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from math import comb

from hypothesis import assume
from hypothesis import strategies as st

from layout.engine.placement.answer import answer
from tests.benchmarks.exhaustive import count_by_rule, judge, state

GOALS = (
    "violations",
    "excess_ticks",
    "uneven_q",
    "row_uneven_q",
    "speaker_off_q",
    "setback_off_ticks",
    "mark_cost",
)


def answered(room: dict) -> dict:
    return json.loads(answer(json.dumps(room)), parse_float=Decimal)


def vector_of(found: dict) -> tuple[int, ...] | None:
    return found["objective"] and tuple(found["objective"][goal] for goal in GOALS)


def vector(room: dict) -> tuple[int, ...] | None:
    return vector_of(answered(room))


def hold_to_account(room: dict, found: dict) -> None:
    """What an answer says of itself is true of the positions it gives."""
    said = vector_of(found)
    assert found["status"] == ("no_layout" if said is None else "infeasible" if said[0] else "feasible")
    if said is None:
        assert (found["x"], found["y"], found["z"]) == ([], [], [])
        return
    stated = state(room)
    ticks = 16 if room["unit"] == "in" else 1
    exact = {line: [Fraction(at) * ticks * 4 for at in found[line]] for line in "xyz"}
    assert all(at.denominator == 1 for line in exact.values() for at in line)
    x, y, z = ([int(at) for at in line] for line in exact.values())
    assert (len(x), len(y), len(z)) == (stated.cols, stated.rows, len(stated.gaps))
    for line, far in ((x, stated.length), (y, stated.width), (z, stated.length)):
        assert all(a < b for a, b in pairwise(line))
        assert all(a + b == far for a, b in zip(line, reversed(line), strict=True))
        assert all(at >= 0 and at % 4 == 0 for at in line[: len(line) // 2])
    assert all(x[gap - 1] < at < x[gap] for gap, at in zip(stated.gaps, z, strict=True))
    assert judge(stated, x, y, z) == said
    assert {
        rule: (told["count"], sum(-(-Fraction(item["short_by"]) * ticks // 1) for item in told["items"]))
        for rule, told in found["violations_by_rule"].items()
    } == count_by_rule(room, found["x"], found["y"], found["z"])
    assert all(told["count"] == len(told["items"]) > 0 for told in found["violations_by_rule"].values())


def layouts_in(length: int, width: int, cols: int, rows: int, gaps: list[int]) -> int:
    near = sum(2 * gap < cols for gap in gaps)
    return (
        comb((length + 1) // 2, cols // 2)
        * comb((width + 1) // 2, rows // 2)
        * max(1, length // (cols + 1)) ** near
    )


@st.composite
def small_rooms(draw, most=800, longest=30, widest=20):
    """Rooms in which every layout can be tried, with whatever can stand in them."""
    inch, roomy = draw(st.booleans()), draw(st.booleans())  # where it is not roomy, next to nothing fits

    def length(low, high, parts=1):
        """`parts` to a tick; a whole number or an exact decimal."""
        value = Fraction(draw(st.integers(low * parts, high * parts)), parts * (16 if inch else 1))
        return int(value) if value.denominator == 1 else float(value)

    cols, rows = draw(st.integers(1, 5)), draw(st.integers(1, 4))
    long, wide = draw(st.integers(cols + 1, longest)), draw(st.integers(rows + 1, widest))
    near = draw(st.sets(st.integers(1, cols // 2))) if cols > 1 else set()
    gaps = sorted(near | {cols - gap for gap in near})
    while layouts_in(long, wide, cols, rows, gaps) > most:
        long, wide = (long - 1, wide) if long > wide else (long, wide - 1)
    long, wide = max(long, wide), min(long, wide)
    assume(layouts_in(long, wide, cols, rows, gaps) <= most)
    inches = Fraction(1, 16) if inch else 1

    def sized(ticks):
        value = ticks * inches
        return int(value) if value.denominator == 1 else float(value)

    def setback(high):
        least, more = sorted((draw(st.integers(0, high)), draw(st.integers(0, high))))
        low = least // 4 if roomy else least
        return {"min": sized(low), "max": sized(high if roomy else more), "pref": length(0, high)}

    def hole(largest):
        thing = {"cutout_d": sized(Fraction(draw(st.integers(1, 3 if roomy else largest)), 2))}
        if draw(st.booleans()):
            thing["clear"] = length(0, 1 if roomy else 2, 4)
        return thing

    room = {
        "unit": "in" if inch else "mm",
        "L": sized(long),
        "W": sized(wide),
        "rows": rows,
        "cols": cols,
        "light": hole(12),
        "end_setback": setback(long // 2),
        "row_setback": setback(wide // 2),
        "spacing_max": length(long // 3 if roomy else 1, long),
    }
    if gaps:
        room["speaker"] = {**hole(16), "gaps": draw(st.permutations(gaps))}
        if draw(st.booleans()):
            room["speaker"]["off_max"] = length(0, 4)
    for key, (low, high, parts) in {
        "edge_min": (0, 1 if roomy else 5, 4),
        "web_min": (0, 1 if roomy else 5, 4),
        "even_tol": (0, 3, 1),
        "uneven_max": (0, 12, 1),
        "row_uneven_max": (0, 8, 1),
        "row_spacing_max": (1, wide, 1),
    }.items():
        if draw(st.booleans()):
            room[key] = length(low, high, parts)
    if draw(st.booleans()):
        room["joists"] = draw(st.lists(joist_sets(inch, long, wide, roomy), min_size=1, max_size=2))
    if draw(st.booleans()):
        room["obstructions"] = draw(st.lists(shapes(inch, long, wide), min_size=1, max_size=2))
    if draw(st.sampled_from([False, False, False, False, True])):
        room["tile"] = {key: length(1, 8, 2) for key in ("px", "py")} | {key: length(0, 6, 4) for key in ("ox", "oy")}
    return room


@st.composite
def joist_sets(draw, inch: bool, long: int, wide: int, roomy: bool):
    """Any exact decimal of center to center, as 19.2 in is."""
    ticks = 16 if inch else 1
    least = 6 if roomy else 3
    whole = draw(st.booleans())
    apart = 1000 * draw(st.integers(least, 14)) if whole else draw(st.integers(1000 * least, 14_000))
    oc = Decimal(apart) / 1000 / ticks
    across = draw(st.booleans())
    return {
        "dir": "across" if across else "along",
        "oc": str(oc) if draw(st.booleans()) else float(oc),
        "first": draw(st.integers(0, 4 * (long if across else wide))) / 4 / ticks,
        "width": draw(st.integers(1, 3 if roomy else 6)) / 2 / ticks,
    }


@st.composite
def shapes(draw, inch: bool, long: int, wide: int):
    """A circle or a rectangle with its middle in the room; it may reach out of it."""
    ticks = 64 if inch else 4

    def at(far):
        return draw(st.integers(0, 4 * far))

    x, y = at(long), at(wide)
    if draw(st.booleans()):
        shape = {"type": "circle", "x": x / ticks, "y": y / ticks, "r": draw(st.integers(1, 12)) / ticks}
    else:
        right, top = x + draw(st.integers(1, 16)), y + draw(st.integers(1, 16))
        shape = {"type": "rect", "x0": x / ticks, "y0": y / ticks, "x1": right / ticks, "y1": top / ticks}
    if draw(st.booleans()):
        shape["clear"] = draw(st.integers(0, 8)) / ticks
    return shape

