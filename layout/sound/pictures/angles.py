"""Where each channel may stand as a seat hears it: a wedge of the plan, the speaker in it or beside it. Values only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin
from xml.etree.ElementTree import Element

from layout.drawing.ink import INK, add, line, number, stroke, written
from layout.drawing.picture import Picture, Table
from layout.drawing.text import Box
from layout.sound.pictures.room import (
    Sheet,
    arrow,
    begin,
    draw_marks,
    draw_screen,
    draw_seats,
    draw_walls,
    sheet_of,
)
from layout.sound.pictures.values import RoomAt

LEAST_M = 0.4  # a wedge is drawn at least this long
BEYOND_M = 0.25  # past its speaker
TONE = "0.1"


@dataclass(frozen=True, slots=True)
class Wedge:
    """One channel from the main seat. low_deg, high_deg: plan bearings, counterclockwise from x; low before high.

    speaker: where it stands; inside: whether it is heard in its range; to: where the move would bring it.
    """

    channel: str
    low_deg: float
    high_deg: float
    speaker: tuple[float, float]
    inside: bool
    to: tuple[float, float] | None = None


def angles_picture(
    room: RoomAt, seat: tuple[float, float], wedges: Sequence[Wedge], table: Table, *,
    key: str, title: str, words_for: str, screen_name: str,
) -> Picture:  # fmt: skip
    sheet = sheet_of(room, margin=2)
    svg = begin(sheet, key=key, title=title, description=words_for)
    for wedge in wedges:
        _wedge(svg, sheet, seat, wedge)
    draw_walls(svg, sheet)
    taken = draw_screen(svg, sheet, screen_name) + draw_seats(svg, sheet)
    taken += _moves(svg, sheet, wedges)
    draw_marks(svg, sheet, taken, key=key)
    return Picture(key, title, words_for, written(svg), table)


def _wedge(svg: Element, sheet: Sheet, seat: tuple[float, float], wedge: Wedge) -> None:
    """Toned where its speaker is in range; otherwise open, with a cross-dashed edge and the word beside the move."""
    away = ((wedge.speaker[0] - seat[0]) ** 2 + (wedge.speaker[1] - seat[1]) ** 2) ** 0.5
    reach = max(away + BEYOND_M, LEAST_M)
    group = add(svg, "g", kind="wedge")
    x, y = sheet.at(*seat)
    ends = [_out(sheet, seat, bearing, reach) for bearing in (wedge.low_deg, wedge.high_deg)]
    (x1, y1), (x2, y2) = ends
    radius = number(reach * sheet.scale)
    large = 1 if wedge.high_deg - wedge.low_deg > 180 else 0
    start, first, last = (f"{number(a)} {number(b)}" for a, b in ((x, y), (x1, y1), (x2, y2)))
    drawn = f"M{start}L{first}A{radius} {radius} 0 {large} 0 {last}Z"
    look = stroke("dimension" if wedge.inside else "part")
    fill = {"fill": INK, "fill_opacity": TONE} if wedge.inside else {"fill": "none"}
    add(group, "path", d=drawn, **(look | fill))
    line(group, "reach", x, y, *sheet.at(*wedge.speaker))


def _out(sheet: Sheet, seat: tuple[float, float], bearing: float, reach: float) -> tuple[float, float]:
    return sheet.at(seat[0] + reach * cos(radians(bearing)), seat[1] + reach * sin(radians(bearing)))


def _moves(svg: Element, sheet: Sheet, wedges: Sequence[Wedge]) -> list[Box]:
    taken = []
    for wedge in wedges:
        if wedge.to is not None:
            (x1, y1), (x2, y2) = sheet.at(*wedge.speaker), sheet.at(*wedge.to)
            group = add(svg, "g", kind="move")
            arrow(group, x1, y1, x2, y2)
            add(group, "circle", cx=x2, cy=y2, r=1.6, **stroke("ghost"))
            taken.append(Box.around(x2, y2, 3.4, 3.4))
    return taken


