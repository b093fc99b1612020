"""Bars for the shop's numbers, in grays, each with its number at its end and a table of all. Values in, SVG out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layout.drawing.hatch import hatched_box
from layout.drawing.ink import drawing, line, lines, rectangle, words, written
from layout.drawing.picture import Picture, Table
from layout.drawing.text import MM_PER_POINT, Box, width

WIDE = 76.0  # mm: a narrow phone shows it at its own size
ROW = 11.0  # mm: a name over its bar
THICK = 4.6
TYPE = 9.0  # points
HIGH = TYPE * MM_PER_POINT


@dataclass(frozen=True, slots=True)
class Bar:
    """name and said go onto the drawing; row, the rest of its line, into the table."""

    name: str
    value: float
    said: str
    row: tuple[str, ...] = ()


def bars(rows: Sequence[Bar], *, key: str, title: str, words_for: str, heads: tuple[str, ...]) -> Picture:
    """One bar below the other from the same line. Raises ValueError without rows."""
    if not rows:
        raise ValueError("A chart needs at least one number.")
    svg = drawing(WIDE, ROW * len(rows) + 1, key=key, title=title, description=words_for)
    svg.set("role", "img")
    svg.set("class", "plan-drawing shop-chart")
    room = WIDE - 2 - max(width(row.said, HIGH) for row in rows)
    most = max(row.value for row in rows) or 1
    for number, row in enumerate(rows):
        top = ROW * number
        words(svg, row.name, 1.6 + width(row.name, HIGH) / 2, top + 2.6, TYPE)
        box = Box(0.5, top + 5, 0.5 + max(room * row.value / most, 0.3), top + 5 + THICK)
        lines(svg, "hatch", hatched_box(box, 1.3))
        rectangle(svg, "thing", box.left, box.top, box.right - box.left, THICK)
        words(svg, row.said, box.right + 1 + width(row.said, HIGH) / 2, top + 5 + THICK / 2, TYPE, bold=True)
    line(svg, "edge", 0.5, 0, 0.5, ROW * len(rows) + 1)
    table = Table(title, heads, tuple((row.name, row.said, *row.row) for row in rows))
    return Picture(key, title, words_for, written(svg), table)
