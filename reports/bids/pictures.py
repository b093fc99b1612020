"""A plain picture of a room for a client: the ceiling's outline and what goes into it. No numbers, no names, no IDs.

What is drawn is kept with the bid in whole millimeters, so that a sent bid shows the ceiling that was priced.
"""

import json
from fractions import Fraction

from layout.drawing.ink import INK, PAPER, add, drawing, written
from layout.engine.lengths import Distance, mm
from layout.engine.marks import Axis, Kind
from layout.frozen import thaw_inputs

WIDE, HIGH, MARGIN = 48.0, 36.0, 1.0  # mm on paper, at most
LEAST = 1.1  # mm on paper: a small light in a hall is still seen
MILLIMETER = int(mm(1))  # nm
SQUARE_FEET = 92_903  # mm² in a square foot: 304.8², to the whole mm²


def picture_of(revision):
    """What a picture is drawn from, of an issued layout revision: sizes, corners and marks in whole millimeters.

    x from the left wall, y from the door's; corners empty for a rectangle.
    """
    inputs, result = thaw_inputs(revision.inputs), json.loads(revision.result)
    along, across = (Distance(Fraction(result[name]["ceiling"])) for name in ("along", "across"))
    turn = inputs.orientation
    wide, deep = (along, across) if turn.rows_run is Axis.LEFT_RIGHT else (across, along)
    sizes = {kind.value: fitting.cutout for kind, fitting in inputs.fittings.items()}
    marks = []
    for _ident, kind, mark_along, mark_across, *_rest in result["marks"]:
        x, y = turn.plan_xy(Distance(Fraction(mark_along)), Distance(Fraction(mark_across)), wide, deep)
        marks.append([kind, _mm(x), _mm(y), _mm(sizes[kind])])
    corners = [[_mm(corner.x), _mm(corner.y)] for corner in inputs.outline]
    return {"wide": _mm(wide), "deep": _mm(deep), "corners": corners, "marks": marks}


def square_feet(picture) -> int:
    """The ceiling's area, to the whole square foot."""
    corners = picture["corners"] or [
        [0, 0], [picture["wide"], 0], [picture["wide"], picture["deep"]], [0, picture["deep"]],
    ]  # fmt: skip
    twice = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True))
    return round(Fraction(abs(twice), 2 * SQUARE_FEET))


def picture_svg(picture, *, key: str, title: str) -> str:
    """The picture as one svg element, its viewBox in millimeters of paper; the door's wall is at the bottom."""
    scale = min((WIDE - 2 * MARGIN) / picture["wide"], (HIGH - 2 * MARGIN) / picture["deep"])
    wide, high = picture["wide"] * scale + 2 * MARGIN, picture["deep"] * scale + 2 * MARGIN

    def at(x, y):
        return x * scale + MARGIN, high - MARGIN - y * scale

    svg = drawing(wide, high, key=key, title=title, description="")
    corners = picture["corners"] or [
        [0, 0], [picture["wide"], 0], [picture["wide"], picture["deep"]], [0, picture["deep"]],
    ]  # fmt: skip
    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in (at(*corner) for corner in corners))
    add(svg, "polygon", kind="wall", points=points, fill=PAPER, stroke=INK, stroke_width=0.7)
    for kind, mark_x, mark_y, size in picture["marks"]:
        x, y = at(mark_x, mark_y)
        half = max(size * scale, LEAST) / 2
        if kind == Kind.LIGHT.value:
            add(svg, "circle", kind="symbol", cx=x, cy=y, r=half, fill=PAPER, stroke=INK, stroke_width=0.35)
            continue
        add(svg, "rect", kind="symbol", x=x - half, y=y - half, width=2 * half, height=2 * half, fill=PAPER,
            stroke=INK, stroke_width=0.35)  # fmt: skip
        add(svg, "circle", kind="symbol", cx=x, cy=y, r=half / 2, fill="none", stroke=INK, stroke_width=0.25)
    return written(svg)


def _mm(length) -> int:
    return round(length.nm / MILLIMETER)
