"""Places where subwoofers were tried, on the plan, each with its name; those that are best are drawn as subs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from layout.drawing.ink import add, rectangle, words, written
from layout.drawing.picture import Picture, Table
from layout.drawing.symbols import symbol
from layout.drawing.text import MM_PER_POINT, Box, width
from layout.engine.marks import Kind
from layout.sound.pictures.room import begin, draw_marks, draw_seats, draw_walls, label, sheet_of
from layout.sound.pictures.values import RoomAt

SQUARE = 5.6


def places_picture(
    room: RoomAt, spots: Sequence[tuple[float, float, str, bool]], table: Table, *, key: str, title: str, words_for: str
) -> Picture:
    """spots: x, y in meters, the words beside it, and whether it is drawn as a sub (else as a place that was tried)."""
    sheet = sheet_of(room, margin=2)
    svg = begin(sheet, key=key, title=title, description=words_for)
    draw_walls(svg, sheet)
    taken = draw_seats(svg, sheet)
    ceiling = replace(room, marks=tuple(mark for mark in room.marks if not mark.floor))
    draw_marks(svg, replace(sheet, room=ceiling), taken)
    for x_m, y_m, name, drawn in spots:
        x, y = _inside(sheet, *sheet.at(x_m, y_m))
        group = add(svg, "g", kind="sub-place")
        if drawn:
            symbol(group, Kind.SUBWOOFER, x, y, SQUARE)
        else:
            box = Box.around(x, y, SQUARE - 1.6, SQUARE - 1.6)
            rectangle(group, "keep", box.left, box.top, SQUARE - 1.6, SQUARE - 1.6)
            words(group, "·", x, y, 8)
        away = -1 if y > (sheet.top + sheet.bottom) / 2 else 1
        half = width(name, 8 * MM_PER_POINT) / 2
        middle = min(max(x, sheet.left + half + 0.6), sheet.right - half - 0.6)
        label(group, name, middle, y + away * (SQUARE / 2 + 2.4), 8, bold=drawn)
    return Picture(key, title, words_for, written(svg), table)


def _inside(sheet, x, y):
    """A place at a wall is drawn just inside it."""
    half = SQUARE / 2 + 0.6
    return min(max(x, sheet.left + half), sheet.right - half), min(max(y, sheet.top + half), sheet.bottom - half)
