"""The two pictures a client looks at, drawn from what was kept: the ceiling as a plan, and the room from its door.

The door's wall is at the bottom of the plan. Both are one svg element; what they show is in the page's table too.
"""

from itertools import pairwise
from math import cos, pi, radians, sin, tan

import numpy as np
from django.utils.translation import gettext as _

from layout.drawing.ink import INK, PAPER, add, drawing, line, number, words, written
from layout.drawing.text import MM_PER_POINT
from layout.engine.marks import Kind
from layout.light.pictures.perspective import Camera, sees, stretches

WIDE, HIGH, MARGIN, DOOR = 288, 420, 12, 16  # px: fits a phone 320 px wide; a finger's place is read off it
LEAST = 5  # px: a small light in a hall is still seen and pressed
PX = 1 / MM_PER_POINT  # the plan is drawn in pixels, and a type size is told in points of a millimeter drawing
EYE_MM = 1600  # a standing person's eye; common practice, no source
VIEW_WIDE, VIEW_HIGH = 130, 84  # mm
CORNERS = 16


def scale_of(told) -> float:
    return min((WIDE - 2 * MARGIN) / told["wide"], (HIGH - 2 * MARGIN) / told["deep"])


def size_of(told) -> tuple[int, int]:
    """The plan's width and height, px."""
    scale = scale_of(told)
    return WIDE, round(told["deep"] * scale) + 2 * MARGIN + DOOR


def place_at(told, left: int, top: int) -> tuple[int, int]:
    """A pressed pixel as whole millimeters from the left and the door side of the ceiling."""
    scale = scale_of(told)
    start = (WIDE - told["wide"] * scale) / 2
    return round((left - start) / scale), round(told["deep"] - (top - MARGIN) / scale)


def corners_of(told):
    return told["corners"] or [
        [0, 0], [told["wide"], 0], [told["wide"], told["deep"]], [0, told["deep"]],
    ]  # fmt: skip


def plan_svg(told, *, key="plan", points=()) -> str:
    """points: (x, y, what stands beside it), in mm on the plan."""
    scale = scale_of(told)
    wide, high = size_of(told)
    start = (WIDE - told["wide"] * scale) / 2

    def at(x, y):
        return start + x * scale, MARGIN + (told["deep"] - y) * scale

    title = _("Ceiling of %(room)s") % {"room": told["room"]}
    svg = drawing(wide, high, key=key, title=title, description=_("The door's wall is at the bottom."))
    svg.set("width", str(wide))
    svg.set("height", str(high))
    svg.set("role", "img")
    add(svg, "rect", x=0, y=0, width=wide, height=high, fill=PAPER)
    _outline(svg, [at(*corner) for corner in corners_of(told)])
    for piece in told["furniture"]:
        _piece(svg, piece, at, scale)
    for mark in told["marks"]:
        x, y = at(mark["x"], mark["y"])
        half = max(mark["size"] * scale / 2, LEAST)
        _mark(svg, mark["kind"], x, y, half)
        words(svg, mark["id"], x, y - half - 8, 11 * PX, bold=True, kind="mark-id")
    for x, y, beside in points:
        _point(svg, *at(x, y), beside)
    left, right = at(0, 0)[0], at(told["wide"], 0)[0]
    words(svg, _("door"), (left + right) / 2, high - DOOR / 2 - 2, 11 * PX)
    return written(svg)


def _outline(svg, points):
    drawn = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    add(svg, "polygon", kind="wall", points=drawn, fill=PAPER, stroke=INK, stroke_width=2)


def _piece(svg, piece, at, scale):
    x, y = at(piece["x"], piece["y"])
    wide, deep = piece["wide"] * scale, piece["deep"] * scale
    look = {"kind": "furniture", "fill": "none", "stroke": INK, "stroke_width": 0.8, "stroke_dasharray": "4 2"}
    if piece["round"]:
        add(svg, "circle", cx=x, cy=y, r=wide / 2, **look)
    else:
        add(svg, "rect", x=x - wide / 2, y=y - deep / 2, width=wide, height=deep, rx=3, **look)
    words(svg, piece["name"], x, y + min(max(deep / 2 - 8, 0), 12), 10 * PX, kind="thing-name")


def _mark(svg, kind, x, y, half):
    if kind == Kind.LIGHT.value:
        add(svg, "circle", kind="symbol", cx=x, cy=y, r=half, fill=PAPER, stroke=INK, stroke_width=1.5)
        return
    add(svg, "rect", kind="symbol", x=x - half, y=y - half, width=2 * half, height=2 * half, fill=PAPER, stroke=INK,
        stroke_width=1.5)  # fmt: skip
    add(svg, "circle", kind="symbol", cx=x, cy=y, r=half / 2, fill="none", stroke=INK, stroke_width=1)


def _point(svg, x, y, beside):
    """Where a finger was put: an X in a ring, what stands beside it at its right."""
    add(svg, "circle", kind="finger", cx=x, cy=y, r=9, fill="none", stroke=INK, stroke_width=2.5)
    for turn in (-1, 1):
        add(svg, "line", x1=x - 5, y1=y - 5 * turn, x2=x + 5, y2=y + 5 * turn, stroke=INK, stroke_width=2.5)
    if beside:
        words(svg, beside, x + 15 if x < WIDE - 24 else x - 15, y, 12 * PX, bold=True)


# From the door


def door_svg(told, *, key="view") -> str:
    """Plain lines: walls, ceiling, what hangs in it, furniture as it stands on the floor. "" with no height known."""
    if told["height"] is None:
        return ""
    left, door, right, far = told["walls"]
    walls = [tuple(corner) for corner in told["corners"]] or [(left, door), (right, door), (right, far), (left, far)]
    if sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise((*walls, walls[0]))) < 0:
        walls.reverse()
    walls = [(x / 1000, y / 1000) for x, y in walls]
    eye = _eye(walls)
    high = told["height"] / 1000
    camera = Camera(*eye, min(EYE_MM / 1000, 0.75 * high), 90.0, 96.0)
    title = _("%(room)s from the door") % {"room": told["room"]}
    svg = drawing(VIEW_WIDE, VIEW_HIGH, key=key, title=title, description=_("Plain lines, not shaded."))
    svg.set("role", "img")
    clip = add(add(svg, "defs"), "clipPath", id=f"{key}-window")
    add(clip, "rect", x=0.5, y=0.5, width=VIEW_WIDE - 1, height=VIEW_HIGH - 1)
    add(svg, "rect", x=0, y=0, width=VIEW_WIDE, height=VIEW_HIGH, fill=PAPER)
    group = add(svg, "g")
    group.set("clip-path", f"url(#{key}-window)")
    for number_of, (start, end) in enumerate(pairwise((*walls, walls[0]))):
        for low, above in stretches(walls, eye, number_of):
            ends = [[a + (b - a) * share for a, b in zip(start, end, strict=True)] for share in (low, above)]
            _ring(group, camera, [(*ends[0], 0), (*ends[1], 0), (*ends[1], high), (*ends[0], high)], 0.35)
    for piece in told["furniture"]:
        _ring(group, camera, [(x, y, 0) for x, y in _feet(piece)], 0.25)
    for mark in told["marks"]:
        x, y = mark["x"] / 1000, mark["y"] / 1000
        if sees(walls, eye, (x, y)):
            _ring(group, camera, _opening(mark, x, y, high), 0.35)
    line(svg, "dimension", 0.5, VIEW_HIGH - 0.5, VIEW_WIDE - 0.5, VIEW_HIGH - 0.5)
    return written(svg)


def _eye(walls):
    """Just inside the middle of the longest wall on the door's side."""
    least = min(y for _x, y in walls)
    along = [sorted((x1, x2)) for (x1, y1), (x2, y2) in pairwise((*walls, walls[0])) if max(y1, y2) < least + 0.02]
    low, high = max(along, key=lambda ends: ends[1] - ends[0])
    return (low + high) / 2, least + 0.01


def _feet(piece):
    x, y = piece["x"] / 1000, piece["y"] / 1000
    wide, deep = piece["wide"] / 2000, piece["deep"] / 2000
    if piece["round"]:
        return [(x + wide * cos(at * pi / 12), y + wide * sin(at * pi / 12)) for at in range(24)]
    return [(x - wide, y - deep), (x + wide, y - deep), (x + wide, y + deep), (x - wide, y + deep)]


def _opening(mark, x, y, high):
    half = max(mark["size"], 90) / 2000
    if mark["kind"] == Kind.LIGHT.value:
        turns = [2 * pi * step / CORNERS for step in range(CORNERS)]
        return [(x + half * cos(turn), y + half * sin(turn), high) for turn in turns]
    return [(x + half * a, y + half * b, high) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]


def _ring(group, camera, points, weight):
    flat = camera.project(np.array(points, dtype=float))
    if len(flat) < 3:
        return
    half = VIEW_WIDE / 2
    reach = tan(radians(89))  # far off the sheet is as good as any place off it
    flat = np.clip(flat, -reach, reach) * half
    drawn = "L".join(f"{number(half + x)} {number(VIEW_HIGH / 2 - y)}" for x, y in flat)
    add(group, "path", d=f"M{drawn}Z", fill="none", stroke=INK, stroke_width=weight)
