"""Degrees off the range against distance off the pattern: each choice a lettered point, the way between a line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, hypot

from layout.drawing.frame import within
from layout.drawing.ink import INK, PAPER, add, drawing, line, number, stroke, words, written
from layout.drawing.picture import Picture, Table
from layout.drawing.text import MM_PER_POINT, Box, width

WIDE, HIGH = 150.0, 84.0
LEFT, RIGHT, TOP, BOTTOM = 14.0, 8.0, 5.0, 12.0
PT = 8.0
DOT = 2.2
TICKS = 7  # at most
STEPS_DEG = (1, 2, 5, 10, 20, 30, 45)


@dataclass(frozen=True, slots=True)
class Way:
    name: str
    off_m: float
    off_deg: float


def choices_picture(
    ways: Sequence[Way], curve: Sequence[tuple[float, float]], table: Table, *,
    key: str, title: str, words_for: str, axis: Callable[[float], str], ticks_m: Sequence[float],
) -> Picture:  # fmt: skip
    """Way.name: a letter beside its point. axis: a distance as the shop writes it. ticks_m: steps to choose from."""
    svg = drawing(WIDE, HIGH, key=key, title=title, description=words_for)
    most_m = max([way.off_m for way in ways] + [x for x, _y in curve] + [0.1]) * 1.08
    most_deg = max([way.off_deg for way in ways] + [y for _x, y in curve] + [5.0]) * 1.08

    def at(off_m: float, off_deg: float) -> tuple[float, float]:
        x = LEFT + off_m / most_m * (WIDE - LEFT - RIGHT)
        return x, HIGH - BOTTOM - off_deg / most_deg * (HIGH - TOP - BOTTOM)

    corner = at(0, 0)
    line(svg, "dimension", *corner, WIDE - RIGHT, corner[1])
    line(svg, "dimension", *corner, corner[0], TOP)
    every_m = next((one for one in ticks_m if most_m / one <= TICKS), ticks_m[-1])
    for tick in range(int(most_m / every_m) + 1):
        off_m = tick * every_m
        words(svg, axis(off_m), at(off_m, 0)[0], HIGH - BOTTOM + 4, PT, kind="axis")
    step = next((one for one in STEPS_DEG if most_deg / one <= 6), STEPS_DEG[-1])
    for degrees in range(0, int(most_deg) + 1, step):
        y = at(0, degrees)[1]
        words(svg, f"{degrees}°", LEFT - 6, y, PT, kind="axis")
        line(svg, "hatch", LEFT, y, WIDE - RIGHT, y)
    if curve:
        drawn = " ".join(f"{number(x)},{number(y)}" for x, y in (at(*point) for point in curve))
        add(svg, "polyline", points=drawn, **stroke("part"))
    taken = _along([at(*point) for point in curve])
    lines = [at(0, degrees)[1] for degrees in range(0, int(most_deg) + 1, step)]
    taken += [Box(LEFT, y - 0.1, WIDE - RIGHT, y + 0.1) for y in lines]
    taken += [Box.around(*at(way.off_m, way.off_deg), DOT, DOT) for way in ways]
    for way in ways:
        taken.append(_point(svg, at(way.off_m, way.off_deg), way.name, taken))
    return Picture(key, title, words_for, written(svg), table)


def _along(points: Sequence[tuple[float, float]]) -> list[Box]:
    """Small boxes all along a line, for names to stand clear of."""
    found = []
    for (x1, y1), (x2, y2) in pairwise(points):
        steps = max(1, ceil(hypot(x2 - x1, y2 - y1)))
        shares = [step / steps for step in range(steps + 1)]
        found += [Box.around(x1 + share * (x2 - x1), y1 + share * (y2 - y1), 0.4, 0.4) for share in shares]
    return found


def _point(svg, place, name, taken) -> Box:
    x, y = place
    add(svg, "circle", cx=x, cy=y, r=DOT / 2, **(stroke("symbol") | {"fill": INK}))
    add(svg, "circle", cx=x, cy=y, r=0.4, fill=PAPER, kind="dot")
    long, high = width(name, PT * MM_PER_POINT), PT * MM_PER_POINT
    sides = (x + DOT + long / 2 + 0.6, x - DOT - long / 2 - 0.6)
    spots = [(beside, y + down) for down in (0, -2.5, 2.5, -4, 4, -6) for beside in (*sides, x)]
    boxes = [Box.around(*spot, long, high) for spot in spots]
    paper = Box(LEFT, 0, WIDE, HIGH - BOTTOM)
    inside = [box for box in boxes if within(box, paper)]
    box = next((box for box in inside if box.clear_of(taken, gap=0.4)), (inside or boxes)[0])
    words(svg, name, *box.middle, PT, bold=True, kind="choice")
    return box
