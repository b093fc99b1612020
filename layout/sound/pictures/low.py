"""Places where subwoofers were tried, on the plan: which of them is among the best of one, two, three, four."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from layout.drawing.ink import add, rectangle, words, written
from layout.drawing.picture import Picture, Table
from layout.drawing.symbols import symbol
from layout.drawing.text import Box
from layout.engine.marks import Kind
from layout.sound.pictures.room import begin, draw_marks, draw_seats, draw_walls, label, sheet_of
from layout.sound.pictures.values import RoomAt

SQUARE = 5.6


def places_picture(
    room: RoomAt, spots: Sequence[tuple[float, float, str]], table: Table, *, key: str, title: str, words_for: str
) -> Picture:
    """spots: x, y in meters, and the counts it is among the best of ('124'; empty: of none)."""
    sheet = sheet_of(room, margin=2)
    svg = begin(sheet, key=key, title=title, description=words_for)
    draw_walls(svg, sheet)
    taken = draw_seats(svg, sheet)
    ceiling = replace(room, marks=tuple(mark for mark in room.marks if not mark.floor))
    draw_marks(svg, replace(sheet, room=ceiling), taken)
    for x_m, y_m, counts in spots:
        x, y = _inside(sheet, *sheet.at(x_m, y_m))
        group = add(svg, "g", kind="sub-place")
        if counts:
            symbol(group, Kind.SUBWOOFER, x, y, SQUARE)
            away = -1 if y > (sheet.top + sheet.bottom) / 2 else 1
            label(group, " ".join(counts), x, y + away * (SQUARE / 2 + 2.4), 8, bold=True)
        else:
            box = Box.around(x, y, SQUARE - 1.6, SQUARE - 1.6)
            rectangle(group, "keep", box.left, box.top, SQUARE - 1.6, SQUARE - 1.6)
            words(group, "·", x, y, 8)
    return Picture(key, title, words_for, written(svg), table)


def _inside(sheet, x, y):
    """A place at a wall is drawn just inside it."""
    half = SQUARE / 2 + 0.6
    return min(max(x, sheet.left + half), sheet.right - half), min(max(y, sheet.top + half), sheet.bottom - half)
