"""Lines and dots cut to a shape on the sheet, in millimeters. Knows no room and no SVG.

Hatching is drawn as lines of its own, not as a pattern: it comes out alike on every screen and printer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import cos, pi, sin

from layout.drawing.text import Box

Point = tuple[float, float]
Segment = tuple[Point, Point]

ROUND = 32  # sides of the polygon a circle is cut as


def corners_of(box: Box) -> tuple[Point, ...]:
    return (box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)


def circle(x: float, y: float, radius: float) -> tuple[Point, ...]:
    turns = (2 * pi * step / ROUND for step in range(ROUND))
    return tuple((x + radius * cos(turn), y + radius * sin(turn)) for turn in turns)


def inside(point: Point, shape: Sequence[Point]) -> bool:
    """Whether a point lies within a shape, by the even-odd rule."""
    x, y = point
    return sum(
        (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1) for (x1, y1), (x2, y2) in _sides(shape)
    ) % 2 == 1


def cut(start: Point, end: Point, shape: Sequence[Point]) -> list[Segment]:
    """What of a line lies within a shape."""
    (x1, y1), (x2, y2) = start, end
    dx, dy = x2 - x1, y2 - y1
    met = [0.0, 1.0]
    for (ax, ay), (bx, by) in _sides(shape):
        turn = dx * (by - ay) - dy * (bx - ax)
        if not turn:
            continue
        on_line = ((ax - x1) * (by - ay) - (ay - y1) * (bx - ax)) / turn
        on_side = ((ax - x1) * dy - (ay - y1) * dx) / turn
        if 0 < on_line < 1 and 0 <= on_side <= 1:
            met.append(on_line)
    return [
        ((x1 + dx * a, y1 + dy * a), (x1 + dx * b, y1 + dy * b))
        for a, b in pairwise(sorted(met))
        if b - a > 1e-9 and inside((x1 + dx * (a + b) / 2, y1 + dy * (a + b) / 2), shape)
    ]


def hatched(shape: Sequence[Point], apart: float) -> Iterator[Segment]:
    """Lines rising to the right at 45 degrees, `apart` mm from one another, on one raster over the whole sheet."""
    left, right = min(x for x, _ in shape), max(x for x, _ in shape)
    top, bottom = min(y for _, y in shape), max(y for _, y in shape)
    step = apart * 2**0.5
    number = int((left + top) // step)
    while (level := number * step) < right + bottom:  # x + y stays the same along such a line
        yield from cut((level - bottom - 1, bottom + 1), (level - top + 1, top - 1), shape)
        number += 1


def hatched_box(box: Box, apart: float) -> Iterator[Segment]:
    """The same for a rectangle, on the same raster, without looking for where lines meet."""
    step = apart * 2**0.5
    number = int((box.left + box.top) // step) + 1
    while (level := number * step) < box.right + box.bottom:
        left, right = max(box.left, level - box.bottom), min(box.right, level - box.top)
        yield (left, level - left), (right, level - right)
        number += 1


def dot_rows(box: Box, apart: float) -> Iterator[Segment]:
    """Level lines across a rectangle, `apart` mm from one another on one raster: what dots are set along."""
    number = int(box.top // apart) + 1
    while (y := number * apart) < box.bottom:
        yield (box.left, y), (box.right, y)
        number += 1


def trimmed(shape: Sequence[Point], box: Box) -> tuple[Point, ...]:
    """What of a shape lies in a rectangle: its sides cut off one after the other (Sutherland and Hodgman 1974, from
    memory). Fit to be filled; parts that hang together outside are joined along the rectangle's edge.
    """
    points = tuple(shape)
    for axis, sign, limit in ((0, 1, box.left), (0, -1, -box.right), (1, 1, box.top), (1, -1, -box.bottom)):
        kept: list[Point] = []
        for before, after in pairwise((points[-1], *points)) if points else ():
            a, b = sign * before[axis] - limit, sign * after[axis] - limit
            if (a < 0) != (b < 0):
                part = a / (a - b)
                kept.append(tuple(p + (q - p) * part for p, q in zip(before, after, strict=True)))
            if b >= 0:
                kept.append(after)
        points = tuple(kept)
    return points


def crosses(box: Box, shape: Sequence[Point]) -> bool:
    """Whether a side of the shape runs through the box."""
    frame = corners_of(box)
    return any(_may_meet(a, b, box) and cut(a, b, frame) for a, b in _sides(shape))


def _may_meet(a: Point, b: Point, box: Box) -> bool:
    (x1, y1), (x2, y2) = a, b
    return min(x1, x2) < box.right and max(x1, x2) > box.left and min(y1, y2) < box.bottom and max(y1, y2) > box.top


def _sides(shape: Sequence[Point]) -> Iterator[Segment]:
    return pairwise((*shape, shape[0]))
