"""A room on a sheet, for pictures of sound: walls, screen, seats, and what gives sound. Values in, SVG elements out.

Door wall at the bottom, left is left, as on every plan. Shape and letter before tone; black on white.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from xml.etree.ElementTree import Element

from layout.drawing.ink import INK, PAPER, add, drawing, line, patch, rectangle, shape, solid, stroke, words
from layout.drawing.symbols import drawn_size, symbol
from layout.drawing.text import CAP_HEIGHT, MM_PER_POINT, Box, width
from layout.engine.marks import Kind, Side
from layout.sound.pictures.values import MarkAt, RoomAt, SeatAt

WIDE_MM, HIGH_MM = 180.0, 130.0
BAND = 8.0  # outside the walls, for names
NAME_PT, ID_PT = 8.0, 8.0
SEAT = 5.2
CUTOUT_M = {Kind.LIGHT: 0.15, Kind.SPEAKER: 0.2, Kind.SUBWOOFER: 0.3}


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where a room lands. scale: millimeters of sheet per meter."""

    room: RoomAt
    scale: float
    left: float
    top: float
    wide: float
    high: float

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        return self.left + x_m * self.scale, self.top + (self.room.deep_m - y_m) * self.scale

    @property
    def right(self) -> float:
        return self.left + self.room.wide_m * self.scale

    @property
    def bottom(self) -> float:
        return self.top + self.room.deep_m * self.scale

    def holds(self, box: Box) -> bool:
        inside = box.left > self.left + 0.5 and box.right < self.right - 0.5
        return inside and box.top > self.top + 0.5 and box.bottom < self.bottom - 0.5


def sheet_of(room: RoomAt, wide: float = WIDE_MM, high: float = HIGH_MM, margin: float = 0.0) -> Sheet:
    """The largest room that fits; margin: kept free outside the walls' names, for what reaches beyond them."""
    band = BAND + margin
    scale = min((wide - 2 * band) / room.wide_m, (high - 2 * band) / room.deep_m)
    return Sheet(
        room, scale, band, band, room.wide_m * scale + 2 * band, room.deep_m * scale + 2 * band
    )


def begin(sheet: Sheet, *, key: str, title: str, description: str) -> Element:
    return drawing(sheet.wide, sheet.high, key=key, title=title, description=description)


def draw_walls(svg: Element, sheet: Sheet) -> None:
    room = sheet.room
    if room.corners_m:
        shape(svg, "wall", [sheet.at(x, y) for x, y in room.corners_m])
    else:
        rectangle(svg, "wall", sheet.left, sheet.top, sheet.right - sheet.left, sheet.bottom - sheet.top)
    middle_x, middle_y = (sheet.left + sheet.right) / 2, (sheet.top + sheet.bottom) / 2
    door, left, far, right = room.walls
    for text, x, y, level in (
        (door, middle_x, sheet.bottom + 4, True),
        (far, middle_x, sheet.top - 4, True),
        (left, sheet.left - 4, middle_y, False),
        (right, sheet.right + 4, middle_y, False),
    ):
        if text:
            words(svg, text, x, y, NAME_PT, level=level, kind="wall-name")


def draw_screen(svg: Element, sheet: Sheet, name: str) -> list[Box]:
    """A thick bar inside its wall, with its name beside it; gives what it takes up."""
    screen = sheet.room.screen
    if screen is None:
        return []
    half, off = screen.width_m / 2, 1.4
    wide_m, deep_m = sheet.room.wide_m, sheet.room.deep_m
    low, high = screen.center_m - half, screen.center_m + half
    level = screen.wall in (Side.DOOR, Side.FAR)
    if level:
        y_m = 0.0 if screen.wall is Side.DOOR else deep_m
        inward = -1 if screen.wall is Side.DOOR else 1
        (x1, y1), (x2, y2) = sheet.at(low, y_m), sheet.at(high, y_m)
        y1, y2 = y1 + inward * off, y2 + inward * off
        text = (x1 + x2) / 2, y1 + inward * 3
    else:
        x_m = 0.0 if screen.wall is Side.LEFT else wide_m
        inward = 1 if screen.wall is Side.LEFT else -1
        (x1, y1), (x2, y2) = sheet.at(x_m, low), sheet.at(x_m, high)
        x1, x2 = x1 + inward * off, x2 + inward * off
        text = x1 + inward * 3, (y1 + y2) / 2
    group = add(svg, "g", kind="screen")
    add(group, "line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=INK, stroke_width=1.4, kind="screen-bar")
    words(group, name, *text, NAME_PT, level=level, kind="screen-name")
    long, deep = width(name, NAME_PT * MM_PER_POINT), NAME_PT * MM_PER_POINT
    named = Box.around(*text, long, deep) if level else Box.around(*text, deep, long)
    return [named, Box(min(x1, x2) - 0.8, min(y1, y2) - 0.8, max(x1, x2) + 0.8, max(y1, y2) + 0.8)]


def draw_seats(svg: Element, sheet: Sheet) -> list[Box]:
    """A head between two shoulders, its number in it; the main seat's head is filled. Gives what they take up."""
    return [_seat(svg, sheet, seat) for seat in sheet.room.seats]


def _seat(svg: Element, sheet: Sheet, seat: SeatAt) -> Box:
    x, y = sheet.at(seat.x_m, seat.y_m)
    half = SEAT / 2
    group = add(svg, "g", kind="seat main-seat" if seat.main else "seat")
    add(group, "rect", x=x - half, y=y - half, width=SEAT, height=SEAT, rx=1.4, ry=1.4,
        **(stroke("dimension") | {"fill": PAPER}))  # fmt: skip
    fill = INK if seat.main else PAPER
    add(group, "circle", cx=x, cy=y, r=1.9, **(stroke("dimension") | {"fill": fill}))
    words(group, seat.name, x, y, 6.5, bold=True, kind="seat-name", fill=PAPER if seat.main else INK)
    return Box.around(x, y, SEAT, SEAT)


def draw_marks(svg: Element, sheet: Sheet, taken: Sequence[Box], *, key: str = "") -> list[Box]:
    """Speakers and subs in the shop's own symbols, each with its ID and what it plays beside it."""
    boxes = list(taken)
    symbols = []
    for mark in sheet.room.marks:
        size = drawn_size(mark.kind, CUTOUT_M[mark.kind] * sheet.scale)
        symbols.append(Box.around(*sheet.at(mark.x_m, mark.y_m), size + 0.6, size + 0.6))
    for mark, box in zip(sheet.room.marks, symbols, strict=True):
        x, y = box.middle
        group = add(svg, "g", kind=f"mark mark-{mark.kind.value}", **({"id": f"{key}-{mark.id}"} if key else {}))
        add(group, "title").text = f"{mark.id} {mark.plays}".strip()
        symbol(group, mark.kind, x, y, box.right - box.left - 0.6)
        boxes.append(_named(group, sheet, mark, box, [*boxes, *symbols]))
    return [*boxes, *symbols]


def _named(group: Element, sheet: Sheet, mark: MarkAt, box: Box, taken: Sequence[Box]) -> Box:
    text = f"{mark.id} {mark.plays}".strip()
    high = ID_PT * MM_PER_POINT
    long = width(text, high) + 0.6
    x, y = box.middle
    reach = (box.bottom - box.top) / 2
    spots = [
        Box.around(x, y + reach + high / 2 + 0.5, long, high),
        Box.around(x, y - reach - high / 2 - 0.5, long, high),
        Box.around(x + reach + long / 2 + 0.6, y, long, high),
        Box.around(x - reach - long / 2 - 0.6, y, long, high),
    ]
    others = [one for one in taken if one is not box]
    free = [spot for spot in spots if sheet.holds(spot) and spot.clear_of(others)]
    spot = free[0] if free else spots[0]
    label(group, text, *spot.middle, ID_PT, bold=True)
    return spot


def label(parent: Element, text: str, x: float, y: float, points: float, *, bold: bool = False) -> None:
    """Words on bare paper, so that no line runs through them."""
    size = points * MM_PER_POINT
    long, high = width(text, size) + 0.4, size * CAP_HEIGHT + 0.8
    patch(parent, x - long / 2, y - high / 2, long, high)
    words(parent, text, x, y, points, bold=bold, kind="mark-id")


def arrow(parent: Element, x1: float, y1: float, x2: float, y2: float) -> None:
    """From the old place to the new one."""
    away = hypot(x2 - x1, y2 - y1)
    if away < 2.5:
        return
    ux, uy = (x2 - x1) / away, (y2 - y1) / away
    line(parent, "dimension", x1, y1, x2 - ux, y2 - uy)
    back_x, back_y = x2 - ux * 2.4, y2 - uy * 2.4
    solid(parent, [(x2, y2), (back_x - uy * 0.8, back_y + ux * 0.8), (back_x + uy * 0.8, back_y - ux * 0.8)])
