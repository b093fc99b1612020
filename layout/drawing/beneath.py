"""What is drawn beneath the marks: tiles, where a hole may stand, framing, things and parts. Knows no mark.

What a hole may not enter is hatched; where it may stand is dotted. Neither needs a color to be told.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise, product
from xml.etree.ElementTree import Element

from layout.drawing.frame import NAME_HIGH, NAME_PT, Frame, within
from layout.drawing.hatch import (
    Point,
    Segment,
    circle,
    corners_of,
    crosses,
    cut,
    dot_rows,
    hatched,
    hatched_box,
    inside,
    trimmed,
)
from layout.drawing.ink import INK, PAPER, add, lines, patch, shape, stroke, words
from layout.drawing.layers import Backdrop, Furnished, Member, Part, Thing, Tiles
from layout.drawing.text import Box, width
from layout.engine.lengths import Distance

HATCH = 1.1  # mm between the lines of a hatch
DOTS = 1.1
LEAST_APART = 1.0  # members nearer to one another on the sheet are not drawn: they would be a gray
MOST_CELLS = 2500  # tiles looked at one by one
MOST = 600  # members or tile lines drawn one way

Shape = tuple[Point, ...]


@dataclass(slots=True)
class Beneath:
    """What words have to keep clear of or break: boxes of thin lines, boxes of things, and the names still to write."""

    lines: list[Box] = field(default_factory=list)
    things: list[Box] = field(default_factory=list)
    names: list[tuple[str, Box, bool]] = field(default_factory=list)  # what, where it belongs, may stand outside it


def draw_beneath(svg: Element, at: Frame, interactive: bool) -> Beneath:
    drawn = Beneath()
    layers = at.plan.layers
    if layers.backdrop:
        _backdrop(svg, at, layers.backdrop)
    if layers.tiles:
        _tiles(svg, at, layers.tiles, drawn)
    for may_stand in layers.may_stand:
        rows = dot_rows(at.patch(may_stand), DOTS)
        lines(svg, "stand", (piece for row in rows for piece in cut(*row, at.shape)) if layers.corners else rows)
    for part in layers.parts:
        _part(svg, at, part, drawn, interactive)
    for piece in layers.furniture:
        _furniture(svg, at, piece, drawn)
    _members(svg, at, layers.members, drawn)
    lines(svg, "walked", pairwise(map(at.place, layers.walked)))
    for thing in layers.things:
        _thing(svg, at, thing, drawn, interactive)
    return drawn


def _backdrop(svg: Element, at: Frame, picture: Backdrop) -> None:
    add(
        svg, "image", kind="backdrop", href=picture.href, opacity=picture.opacity / 100,
        x=at.ceiling.left + at.length(picture.left), y=at.ceiling.top + at.length(picture.far),
        width=at.length(picture.wide), height=at.length(picture.deep), preserveAspectRatio="none", aria_hidden="true",
    )


def draw_names(svg: Element, at: Frame, drawn: Beneath, taken: list[Box]) -> list[Box]:
    """Each thing's name in it or beside it, the lines beneath broken where it stands."""
    placed: list[Box] = []
    for name, home, may_leave in sorted(drawn.names, key=lambda one: not one[2]):  # parts have the most room
        for points in (NAME_PT, 7.5, 6.5):
            box = _free(at, name, points / NAME_PT * NAME_HIGH, home, taken + placed, may_leave)
            if box:
                patch(svg, box.left, box.top, box.right - box.left, box.bottom - box.top)
                words(svg, name, *box.middle, points, kind="thing-name")
                placed.append(box)
                break
    return placed


def _free(at: Frame, name: str, high: float, home: Box, taken: list[Box], may_leave: bool) -> Box | None:
    wide = width(name, high) + 0.4
    x, y = home.middle
    steps = [(0.0, 0.0)]
    up, side = (home.bottom - home.top + high) / 2 + 0.4, (home.right - home.left + wide) / 2 + 0.4
    if may_leave:
        steps += [(0, -up), (0, up), (side, 0), (-side, 0), (side, -up), (side, up), (-side, -up), (-side, up)]
        if wide > home.right - home.left:  # across what is narrower than the name, only as a last resort
            steps = [*steps[1:], steps[0]]
    else:
        steps += [(dx * side / 4, dy * up / 4) for dy in (-3, -2, -1, 1, 2, 3) for dx in (-3, -1, 0, 1, 3)]
    spots = (Box.around(x + dx, y + dy, wide, high + 0.4) for dx, dy in steps)
    return next(
        (box for box in spots if at.holds(box) and box.clear_of(taken) and (may_leave or within(box, home))), None
    )


def _tiles(svg: Element, at: Frame, tiles: Tiles, drawn: Beneath) -> None:
    group = add(svg, "g", kind="tiles")
    along = [at.point(line, line)[0 if _level(at) else 1] for line in tiles.along]
    across = [at.point(line, line)[1 if _level(at) else 0] for line in tiles.across]
    x_lines, y_lines = (along, across) if _level(at) else (across, along)
    edge = at.ceiling
    cells = _cut_cells(at, x_lines, y_lines) if at.plan.layers.corners else _borders(edge, x_lines, y_lines)
    for points in cells:
        add(group, "polygon", kind="border-tile", points=_points(points), fill=INK, fill_opacity=0.07)
    upright = [((x, edge.top), (x, edge.bottom)) for x in x_lines[:MOST]]
    level = [((edge.left, y), (edge.right, y)) for y in y_lines[:MOST]]
    for line in upright + level:
        cuts = cut(*line, at.shape)
        lines(group, "tile", cuts)
        drawn.lines += map(_thin, cuts)


def _borders(edge: Box, x_lines: list[float], y_lines: list[float]) -> Iterator[Shape]:
    """The ring between the walls and the outermost lines, as four boxes that don't lie on one another."""
    if not x_lines or not y_lines:
        return
    left, right, top, bottom = min(x_lines), max(x_lines), min(y_lines), max(y_lines)
    yield corners_of(Box(edge.left, edge.top, left, edge.bottom))
    yield corners_of(Box(right, edge.top, edge.right, edge.bottom))
    yield corners_of(Box(left, edge.top, right, top))
    yield corners_of(Box(left, bottom, right, edge.bottom))


def _cut_cells(at: Frame, x_lines: list[float], y_lines: list[float]) -> Iterator[Shape]:
    """Every tile that the true outline cuts, as much of it as is on the ceiling."""
    edge = at.ceiling
    across, down = sorted({edge.left, *x_lines, edge.right}), sorted({edge.top, *y_lines, edge.bottom})
    if len(across) * len(down) > MOST_CELLS:
        return
    for (left, right), (top, bottom) in product(pairwise(across), pairwise(down)):
        cell = Box(left, top, right, bottom)
        border = left == edge.left or right == edge.right or top == edge.top or bottom == edge.bottom
        if (border or crosses(cell, at.shape)) and len(points := trimmed(at.shape, cell)) > 2:
            yield points


def _points(points: Shape) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)


def _level(at: Frame) -> bool:
    """Whether the rows run level on the sheet."""
    return at.plan.orientation.rows_run.value == "left_right"


def _members(svg: Element, at: Frame, members: tuple[Member, ...], drawn: Beneath) -> None:
    """Two dashed lines each; the hatch fills what a hole may not enter: the member and what is kept clear of it."""
    for stands_along in (True, False):
        alike = sorted((one for one in members if one.stands_along is stands_along), key=lambda one: one.at)
        centers = [_across_sheet(at, one.at, stands_along) for one in alike]
        close = any(abs(b - a) < LEAST_APART for a, b in pairwise(centers))
        if not close and len(alike) <= MOST:
            for member in alike:
                _member(svg, at, member, drawn)


def _across_sheet(at: Frame, distance: Distance, stands_along: bool) -> float:
    return at.point(distance, distance)[0 if stands_along is _level(at) else 1]


def _member(svg: Element, at: Frame, member: Member, drawn: Beneath) -> None:
    group = add(svg, "g", kind="member")
    add(group, "title").text = member.name
    for band in _strips(at, member, member.width / 2 + member.keep):
        lines(group, "hatch", hatched_box(band, HATCH))
        drawn.lines.append(band)
        if member.named:
            drawn.names.append((member.name, band, True))
    for strip in _strips(at, member, member.width / 2):
        upright = strip.bottom - strip.top > strip.right - strip.left
        sides = (
            [((x, strip.top), (x, strip.bottom)) for x in (strip.left, strip.right)] if upright
            else [((strip.left, y), (strip.right, y)) for y in (strip.top, strip.bottom)]
        )
        lines(group, "framing", sides)


def _strips(at: Frame, member: Member, half: Distance) -> list[Box]:
    """A band about the member's center, wall to wall: one box for each stretch of it on the ceiling."""
    low, high = sorted(_across_sheet(at, member.at + half * side, member.stands_along) for side in (-1, 1))
    edge = at.ceiling
    if member.stands_along is _level(at):
        low, high = max(low, edge.left), min(high, edge.right)
        middle = (low + high) / 2
        found = cut((middle, edge.top - 1), (middle, edge.bottom + 1), at.shape) if low < high else []
        return [Box(low, top, high, bottom) for (_, top), (_, bottom) in found]
    low, high = max(low, edge.top), min(high, edge.bottom)
    middle = (low + high) / 2
    found = cut((edge.left - 1, middle), (edge.right + 1, middle), at.shape) if low < high else []
    return [Box(left, low, right, high) for (left, _), (right, _) in found]


def _hatch(at: Frame, points: tuple[Point, ...]) -> list[Segment]:
    """Cut to the ceiling, where the shape reaches over its edge."""
    found = hatched(points, HATCH)
    if all(inside(point, at.shape) for point in points):
        return list(found)
    return [piece for line in found for piece in cut(*line, at.shape)]


def _thing(svg: Element, at: Frame, thing: Thing, drawn: Beneath, interactive: bool) -> None:
    group = _group(svg, at, "in-the-way", thing.key, thing.name, interactive)
    x, y = at.place(thing.center)
    wide, high = (thing.long, thing.deep) if _level(at) else (thing.deep, thing.long)
    box = Box.around(x, y, max(at.length(wide), 1.2), max(at.length(high), 1.2))
    keep = at.length(thing.keep)
    round_shape = circle(x, y, (box.right - box.left) / 2) if thing.round else corners_of(box)
    shape(group, "thing", round_shape, fill=PAPER)
    lines(group, "hatch", _hatch(at, round_shape))
    shape(group, "thing", round_shape)
    if keep > 0.3:
        _kept_clear(group, box, keep, thing.round)
    around = Box(box.left - keep, box.top - keep, box.right + keep, box.bottom + keep)
    drawn.things.append(box)
    drawn.lines.append(around)
    drawn.names.append((thing.name, box, True))


def _furniture(svg: Element, at: Frame, piece: Furnished, drawn: Beneath) -> None:
    """A thin outline with rounded corners, nothing hatched: it stands on the floor and keeps no hole away."""
    group = add(svg, "g", kind="furniture")
    add(group, "title").text = piece.name
    x, y = at.place(piece.center)
    wide, high = (piece.long, piece.deep) if _level(at) else (piece.deep, piece.long)
    box = Box.around(x, y, at.length(wide), at.length(high))
    if piece.round:
        add(group, "circle", cx=x, cy=y, r=(box.right - box.left) / 2, **stroke("furniture"))
    else:
        add(
            group, "rect", x=box.left, y=box.top, width=box.right - box.left, height=box.bottom - box.top, rx=1.5,
            **stroke("furniture"),
        )
    drawn.names.append((piece.name, box, True))


def _kept_clear(group: Element, box: Box, keep: float, is_round: bool) -> None:
    """A line round a thing that no rim may cross: round at its corners, as a distance is."""
    x, y = box.middle
    if is_round:
        add(group, "circle", cx=x, cy=y, r=(box.right - box.left) / 2 + keep, **stroke("keep"))
    else:
        add(
            group, "rect", x=box.left - keep, y=box.top - keep, width=box.right - box.left + 2 * keep,
            height=box.bottom - box.top + 2 * keep, rx=keep, **stroke("keep"),
        )


def _part(svg: Element, at: Frame, part: Part, drawn: Beneath, interactive: bool) -> None:
    group = _group(svg, at, "part", part.key, part.name, interactive)
    points = tuple(map(at.place, part.corners))
    shape(group, "part", points)
    box = Box(
        min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points), max(y for _, y in points)
    )
    drawn.lines += (_thin(side) for side in pairwise((*points, points[0])))
    drawn.names.append((f"{part.name} {part.height}".strip(), box, False))


def _group(svg: Element, at: Frame, kind: str, key: str, name: str, interactive: bool) -> Element:
    group = add(svg, "g", kind=kind)
    if key:
        group.set("id", f"{at.plan.key}-{key}")
        group.set("data-line", key)
        if interactive:
            group.set("tabindex", "0")
    add(group, "title").text = name
    return group


def _thin(segment: Segment) -> Box:
    (x1, y1), (x2, y2) = segment
    return Box(min(x1, x2) - 0.1, min(y1, y2) - 0.1, max(x1, x2) + 0.1, max(y1, y2) + 0.1)
