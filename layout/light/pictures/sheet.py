"""One surface's light drawn to scale: bands, lines of equal level with their numbers, values on a lattice.

Knows one surface and where it lands on the sheet (millimeters); not which surface it is, nor what stands around it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from xml.etree.ElementTree import Element

import numpy as np

from layout.drawing.hatch import Point, corners_of, crosses, inside
from layout.drawing.ink import add, number, shape, words
from layout.drawing.text import MM_PER_POINT, Box, width
from layout.engine.light.values import Floats, Grid
from layout.light.pictures import tones
from layout.light.pictures.bands import Bands
from layout.light.pictures.surfaces import Field, Line, field_of, lines_of, over, steps_of, thinned

VALUE_PT, LABEL_PT = 8.0, 8.5
ACROSS, DOWN = 12.5, 9.5  # mm: the least from one printed value to the next
FINE = 0.06  # mm: what a drawn line may leave out
SHORTEST = 9.0  # mm: a shorter line of equal level bears no number
CLEAR = 0.6  # mm: of the surface's outline
STEP = 2.0  # mm: how finely places for a number are tried along a line


@dataclass(frozen=True, slots=True)
class Placed:
    """A surface on the sheet. scale: mm a meter. left, bottom: where its u, v 0, 0 stands. edge: its outline, mm."""

    grid: Grid
    lux: Floats
    scale: float
    left: float
    bottom: float
    edge: tuple[Point, ...]

    def point(self, u: float, v: float) -> Point:
        return self.left + u * self.scale, self.bottom - v * self.scale

    @property
    def box(self) -> Box:
        xs, ys = [x for x, _ in self.edge], [y for _, y in self.edge]
        return Box(min(xs), min(ys), max(xs), max(ys))

    @property
    def level(self) -> bool:
        """Whether its outline is the grid's own rectangle, so that nothing has to be cut off."""
        wide, high = steps_of(self.grid)
        whole = Box(*self.point(0, self.grid.rows * high), *self.point(self.grid.columns * wide, 0))
        return len(self.edge) == 4 and all(
            min(abs(x - whole.left), abs(x - whole.right)) < 0.01
            and min(abs(y - whole.top), abs(y - whole.bottom)) < 0.01
            for x, y in self.edge
        )


def edge_of(grid: Grid, corners: Floats) -> list[Point]:
    """The outline of a surface along its own u and v, m. corners: (k, 3) in the room."""
    wide, high = steps_of(grid)
    off = corners - grid.origin
    return [(float(u), float(v)) for u, v in zip(off @ (grid.step_u / wide), off @ (grid.step_v / high), strict=True)]


def place(grid: Grid, lux: Floats, edge: Sequence[Point], scale: float, left: float, bottom: float) -> Placed:
    on_sheet = tuple((left + u * scale, bottom - v * scale) for u, v in edge)
    return Placed(grid, lux, scale, left, bottom, on_sheet)


def draw_surface(svg: Element, at: Placed, bands: Bands, key: str) -> None:
    """Bands and lines of equal level, cut to the outline; the outline itself is the caller's."""
    field = field_of(at.grid, at.lux)
    group = add(svg, "g", kind="levels")
    if not at.level:
        clip = add(add(svg, "defs"), "clipPath", id=f"{key}-edge")
        add(clip, "polygon", points=_points(at.edge))
        group.set("clip-path", f"url(#{key}-edge)")
    _tones(group, at, field, bands)
    _lines(group, at, field, bands)


def draw_numbers(svg: Element, at: Placed, bands: Bands, taken: list[Box]) -> None:
    """A number on each line of equal level, then values on a lattice wherever nothing else stands.

    taken: where something stands already; grows by what is drawn.
    """
    field = field_of(at.grid, at.lux)
    for level, lines in lines_of(field, bands.limits).items():
        for line in lines:
            _label(svg, at, bands.told.number(level), _on_sheet(at, line), taken)
    _values(svg, at, field, bands, taken)


def _points(edge: Sequence[Point]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in edge)


def _tones(group: Element, at: Placed, field: Field, bands: Bands) -> None:
    darkest = bands.tone(float(field.lux.min()))
    add(group, "polygon", kind="tone", points=_points(at.edge), fill=darkest)
    for level, rings in over(field, bands.limits):
        drawn = "".join(_path(_on_sheet(at, ring), closed=True) for ring in rings)
        if drawn and bands.tone(level) != darkest:
            add(group, "path", kind="tone", d=drawn, fill=bands.tone(level), fill_rule="evenodd")


def _lines(group: Element, at: Placed, field: Field, bands: Bands) -> None:
    for level, lines in lines_of(field, bands.limits).items():
        drawn = "".join(_path(_on_sheet(at, line)) for line in lines)
        if drawn:
            ink = tones.words_on(bands.tones[bands.limits.index(level)])
            add(group, "path", kind="isoline", d=drawn, fill="none", stroke=ink, stroke_width=0.25)


def _on_sheet(at: Placed, line: Line) -> Line:
    moved = np.column_stack([at.left + line[:, 0] * at.scale, at.bottom - line[:, 1] * at.scale])
    return thinned(moved, FINE)


def _path(line: Line, closed: bool = False) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in line) + ("Z" if closed else "")


def _label(svg: Element, at: Placed, text: str, line: Line, taken: list[Box]) -> None:
    """At the place nearest the line's middle where the number is clear of all else and whole on the surface."""
    runs = np.hypot(*np.diff(line, axis=0).T)
    long = float(runs.sum())
    if long < SHORTEST:
        return
    along = np.concatenate([[0.0], np.cumsum(runs)])
    spots = np.linspace(0, long, ceil(long / STEP) + 1)[1:-1]
    size = LABEL_PT * MM_PER_POINT
    for spot in sorted(spots, key=lambda each: (abs(each - long / 2), each)):
        x, y = (float(np.interp(spot, along, line[:, axis])) for axis in (0, 1))
        box = Box.around(x, y, width(text, size) + 1.0, size)
        if box.clear_of(taken, 0.6) and holds(at.edge, box):
            group = add(svg, "g", kind="level-number")
            add(group, "rect", x=box.left, y=box.top, width=box.right - box.left, height=size,
                fill=tones.LIGHT_WORDS)  # fmt: skip
            words(group, text, x, y, LABEL_PT, bold=True, fill=tones.DARK_WORDS)
            taken.append(box)
            return


def _values(svg: Element, at: Placed, field: Field, bands: Bands, taken: list[Box]) -> None:
    """Each stands in its point's own tone, so that a line is broken where a number stands."""
    table = at.grid.table(at.lux)
    wide, high = steps_of(at.grid)
    group = add(svg, "g", kind="lattice")
    size = VALUE_PT * MM_PER_POINT
    for row in lattice(at.grid.rows, ceil(DOWN / (high * at.scale))):
        for column in lattice(at.grid.columns, ceil(ACROSS / (wide * at.scale))):
            lux = table[row, column]
            if np.isnan(lux):
                continue
            x, y = at.point((column + 0.5) * wide, (row + 0.5) * high)
            text, tone = bands.told.number(lux), bands.tone(lux)
            box = Box.around(x, y, width(text, size) + 0.8, size * 0.9)
            if not (box.clear_of(taken, 0.3) and holds(at.edge, box)):
                continue
            around = [((px - at.left) / at.scale, (at.bottom - py) / at.scale) for px, py in corners_of(box)]
            if any(bands.tone(field.at(*each)) != tone for each in around):
                add(group, "rect", x=box.left, y=box.top, width=box.right - box.left, height=size * 0.9, fill=tone)
            words(group, text, x, y, VALUE_PT, fill=tones.words_on(tone))
            taken.append(box)


def lattice(count: int, every: int) -> range:
    """Every so many of `count` cells, set in the middle, half as far off the edges at least."""
    many = max(count // every, 1)
    first = (count - 1 - (many - 1) * every) // 2
    return range(first, count, every)


def holds(edge: Sequence[Point], box: Box) -> bool:
    """Whether a box stands whole inside an outline, clear of its line."""
    wider = Box(box.left - CLEAR, box.top - CLEAR, box.right + CLEAR, box.bottom + CLEAR)
    return inside(box.middle, edge) and not crosses(wider, edge)


def outline(svg: Element, at: Placed) -> None:
    shape(svg, "wall", at.edge)
