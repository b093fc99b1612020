"""The walls as drawn: three faces inside one another, as rectangles or along the true outline, and the door in them."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, sin
from xml.etree.ElementTree import Element

from layout.drawing.frame import Frame, edge_of
from layout.drawing.hatch import Point
from layout.drawing.ink import add, line, number, patch, rectangle, shape, stroke
from layout.drawing.text import Box
from layout.engine.lengths import mm
from layout.engine.marks import Side

DOOR = mm(813)  # 32 in, a common door
SWING = 0.7  # radians a door leaf is drawn open


def draw_outlines(svg: Element, at: Frame) -> None:
    faces = [("wall", at.finished)]
    if at.plan.build_up:
        faces.insert(0, ("framing", at.outer))
    if at.plan.gap:
        faces.append(("edge", at.ceiling))
    for kind, box in faces:
        if at.plan.layers.corners:
            shape(svg, kind, _outside(at.shape, _between(at.ceiling, box)))
        else:
            rectangle(svg, kind, box.left, box.top, box.right - box.left, box.bottom - box.top)


def _between(inner: Box, outer: Box) -> dict[Side, float]:
    return {side: abs(edge_of(outer, side) - edge_of(inner, side)) for side in Side}


def _outside(points: tuple[Point, ...], by: dict[Side, float]) -> list[Point]:
    """The outline moved out, each wall by what its side has: a wall belongs to the side it faces most."""
    turns = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise((*points, points[0])))
    walls = []
    for (x1, y1), (x2, y2) in pairwise((*points, points[0])):
        long = hypot(x2 - x1, y2 - y1)
        out_x, out_y = (y2 - y1) / long, (x1 - x2) / long
        if turns < 0:
            out_x, out_y = -out_x, -out_y
        off = by[_faces(out_x, out_y)]
        walls.append((out_x, out_y, out_x * x1 + out_y * y1 + off))
    moved = []
    for (a1, b1, c1), (a2, b2, c2), (x, y) in zip((walls[-1], *walls), walls, points, strict=False):
        cross = a1 * b2 - a2 * b1
        moved.append(((c1 * b2 - c2 * b1) / cross, (a1 * c2 - a2 * c1) / cross) if abs(cross) > 0.01 else (x, y))
    return moved


def _faces(x: float, y: float) -> Side:
    if abs(x) > abs(y):
        return Side.RIGHT if x > 0 else Side.LEFT
    return Side.DOOR if y > 0 else Side.FAR


def draw_door(svg: Element, at: Frame) -> list[Box]:
    """Break the wall at the door and draw its leaf; gives the boxes of the leaf's lines."""
    low, high = _door_wall(at)
    opening = min(at.length(DOOR), (high - low) * 0.6)
    left = low + (high - low - opening) / 2
    inner, outer = at.finished.bottom, at.outer.bottom
    group = add(svg, "g", kind="door-gap")
    patch(group, left, inner - 0.5, opening, outer - inner + 1)
    for jamb in (left, left + opening):
        line(group, "wall", jamb, inner - 0.35, jamb, max(outer, inner + 0.35) + 0.6)
    tip = left + opening * cos(SWING), inner - opening * sin(SWING)
    line(group, "door", left, inner, *tip)
    radius = number(opening)
    arc = f"M {number(tip[0])} {number(tip[1])} A {radius} {radius} 0 0 1 {number(left + opening)} {number(inner)}"
    add(group, "path", d=arc, **stroke("door"))
    turns = [SWING * step / 8 for step in range(9)]
    on_arc = [(left + opening * cos(turn), inner - opening * sin(turn)) for turn in turns]
    on_leaf = [(left + (tip[0] - left) * step / 8, inner + (tip[1] - inner) * step / 8) for step in range(9)]
    return [Box.around(x, y, opening / 8 + 0.4, opening / 8 + 0.4) for x, y in on_arc + on_leaf]


def _door_wall(at: Frame) -> tuple[float, float]:
    """The longest stretch of the outline on the door's side."""
    points = at.shape
    low = at.ceiling.bottom - 0.01
    walls = [
        (min(x1, x2), max(x1, x2)) for (x1, y1), (x2, y2) in pairwise((*points, points[0])) if y1 >= low and y2 >= low
    ]
    if not at.plan.layers.corners or not walls:
        return at.outer.left, at.outer.right
    return max(walls, key=lambda wall: wall[1] - wall[0])
