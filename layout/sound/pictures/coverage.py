"""Coverage at ear height: each speaker's circle on the plan, and the level of all together as a map. Values only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan
from xml.etree.ElementTree import Element

from layout.drawing.ink import INK, add, number, words, written
from layout.drawing.picture import Picture, Table
from layout.drawing.text import MM_PER_POINT, Box, width
from layout.sound.pictures.room import (
    Sheet,
    begin,
    draw_marks,
    draw_seats,
    draw_walls,
    sheet_of,
)
from layout.sound.pictures.values import RoomAt

STEP_DB = 1.0  # a band of the map
DARKEST = 0.34  # share of ink; black words still stand on it
BANDS = 6
CELL_PT = 7.0


@dataclass(frozen=True, slots=True)
class LevelGrid:
    """Levels at the centers of cells, dB; rows from the door wall to the far wall, nan outside the room."""

    xs_m: Sequence[float]
    ys_m: Sequence[float]
    level_db: Sequence[Sequence[float]]


def coverage_picture(
    room: RoomAt, circles: Sequence[tuple[float, float, float]], table: Table, *, key: str, title: str, words_for: str
) -> Picture:
    """circles: x, y and radius, meters; cut at the walls."""
    sheet = sheet_of(room)
    svg = begin(sheet, key=key, title=title, description=words_for)
    clip = _clip(svg, sheet, key)
    group = add(svg, "g", kind="circles", clip_path=f"url(#{clip})")
    for x, y, radius in circles:
        cx, cy = sheet.at(x, y)
        add(group, "circle", cx=cx, cy=cy, r=radius * sheet.scale, fill=INK, fill_opacity="0.09", stroke=INK,
            stroke_width=0.25, stroke_dasharray="2 0.8", kind="reach-circle")  # fmt: skip
    draw_walls(svg, sheet)
    draw_marks(svg, sheet, draw_seats(svg, sheet))
    return Picture(key, title, words_for, written(svg), table)


def level_picture(
    room: RoomAt, fine: LevelGrid, coarse: LevelGrid, table: Table, *, key: str, title: str, words_for: str
) -> Picture:
    """fine: what is toned, a band each whole dB below the loudest; coarse: where a number is written."""
    sheet = sheet_of(room)
    svg = begin(sheet, key=key, title=title, description=words_for)
    clip = _clip(svg, sheet, key)
    loudest = max(level for row in fine.level_db for level in row if not isnan(level))
    group = add(svg, "g", kind="tones", clip_path=f"url(#{clip})", shape_rendering="crispEdges")
    for opacity, cells in _bands(sheet, fine, loudest):
        add(group, "path", d=cells, fill=INK, fill_opacity=opacity, kind="tone")
    draw_walls(svg, sheet)
    taken = draw_marks(svg, sheet, draw_seats(svg, sheet))
    for y_m, row in zip(coarse.ys_m, coarse.level_db, strict=True):
        for x_m, level in zip(coarse.xs_m, row, strict=True):
            if not isnan(level):
                _number(svg, sheet, x_m, y_m, level, taken)
    return Picture(key, title, words_for, written(svg), table)


def _bands(sheet: Sheet, grid: LevelGrid, loudest: float):
    """One path for each tone: the quieter, the darker."""
    step_x = _step(grid.xs_m, sheet.room.wide_m)
    step_y = _step(grid.ys_m, sheet.room.deep_m)
    paths: dict[int, list[str]] = {}
    for y_m, row in zip(grid.ys_m, grid.level_db, strict=True):
        for x_m, level in zip(grid.xs_m, row, strict=True):
            if isnan(level):
                continue
            band = min(int((loudest - level) / STEP_DB), BANDS)
            if band:
                x, y = sheet.at(x_m - step_x / 2, y_m + step_y / 2)
                wide, high = number(step_x * sheet.scale), number(step_y * sheet.scale)
                paths.setdefault(band, []).append(f"M{number(x)} {number(y)}h{wide}v{high}h-{wide}z")
    for band, cells in sorted(paths.items()):
        yield f"{DARKEST * band / BANDS:.2f}", "".join(cells)


def _step(places: Sequence[float], whole: float) -> float:
    return places[1] - places[0] if len(places) > 1 else whole


def _number(svg: Element, sheet: Sheet, x_m: float, y_m: float, level: float, taken: Sequence[Box]) -> None:
    text, high = f"{level:.0f}", CELL_PT * MM_PER_POINT
    box = Box.around(*sheet.at(x_m, y_m), width(text, high), high)
    if sheet.holds(box) and box.clear_of(taken, gap=0.4):
        words(svg, text, *box.middle, CELL_PT, kind="level")


def _clip(svg: Element, sheet: Sheet, key: str) -> str:
    name = f"{key}-room"
    clip = add(add(svg, "defs"), "clipPath", id=name)
    corners = sheet.room.corners_m or (
        (0, 0), (sheet.room.wide_m, 0), (sheet.room.wide_m, sheet.room.deep_m), (0, sheet.room.deep_m),
    )  # fmt: skip
    points = " ".join(f"{number(x)},{number(y)}" for x, y in (sheet.at(*corner) for corner in corners))
    add(clip, "polygon", points=points)
    return name


