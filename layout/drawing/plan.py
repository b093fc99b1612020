"""The plan: a room's ceiling to scale, read as if looking down through it. Knows values, not where they are stored.

The door wall is at the bottom and left is left. Running numbers start at the zero corner, which is always shown.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element

from layout.drawing import words as say
from layout.drawing.beneath import draw_beneath, draw_names
from layout.drawing.dimensions import draw_run
from layout.drawing.frame import NAME_HIGH, NAME_OFF, NAME_PT, Frame, edge_of, frame, outward
from layout.drawing.ink import add, drawing, line, solid, words, written
from layout.drawing.marked import draw_ghosts, draw_marks
from layout.drawing.outline import draw_door, draw_outlines
from layout.drawing.symbols import zero_corner
from layout.drawing.text import Box, width
from layout.drawing.values import PlanDrawing
from layout.engine.marks import Axis, Side


def plan_svg(
    plan: PlanDrawing,
    *,
    width_mm: float = 180,
    height_mm: float = 120,
    number_pt: float = 11,
    interactive: bool = True,
) -> str:
    """The plan as one svg element of at most about width_mm x height_mm (its viewBox is in millimeters).

    number_pt: type size of the running numbers; 9 is the least that is read at arm's length.
    interactive: each dimension and mark can take the focus and names the sum column's line it belongs to in data-line.
    """
    at = frame(plan, width_mm, height_mm, number_pt)
    svg = drawing(at.wide, at.high, key=plan.key, title=plan.title, description=plan.description)
    beneath = draw_beneath(svg, at, interactive)
    draw_outlines(svg, at)
    door = draw_door(svg, at)
    x_reaches, x_numbers = draw_run(svg, at, at.x_run, interactive)
    y_reaches, y_numbers = draw_run(svg, at, at.y_run, interactive)
    reaches = x_reaches + y_reaches
    _zero(svg, at)
    draw_ghosts(svg, at)
    thin = reaches + door + beneath.lines
    taken = draw_marks(svg, at, thin, beneath.things, interactive)
    taken += draw_names(svg, at, beneath, taken + door)
    north = _north(svg, at)
    _names(svg, at, taken, thin, door, north + x_numbers + y_numbers)
    return written(svg)


def _zero(svg: Element, at: Frame) -> None:
    turn = at.plan.orientation
    x_side, y_side = turn.zero_x, turn.zero_y
    corner = zero_corner(svg, edge_of(at.outer, x_side), edge_of(at.outer, y_side), outward(x_side), outward(y_side))
    words(svg, "0", *corner, 9, bold=True, kind="on-zero", fill="#fff")


def _names(svg: Element, at: Frame, taken: list[Box], lines: list[Box], door: list[Box], outside: list[Box]) -> None:
    """Each wall's name outside it, and the door's beside its opening or, where that is crowded, below it."""
    outside = list(outside)
    if at.plan.door_name:
        box = _door_name(at, taken, lines, door)
        words(svg, at.plan.door_name, *box.middle, NAME_PT, kind="door-name")
        outside.append(box)
    for side in Side:
        if at.plan.names.of(side):
            box = _wall_name(at, side, outside)
            words(svg, at.plan.names.of(side), *box.middle, NAME_PT, level=_level(side), kind="wall-name")
            outside.append(box)


def _door_name(at: Frame, taken: list[Box], lines: list[Box], door: list[Box]) -> Box:
    wide, high = width(at.plan.door_name, NAME_HIGH), NAME_HIGH + 0.4
    left, right = min(box.left for box in door), max(box.right for box in door)
    below = min(max((left + right) / 2, wide / 2), at.wide - wide / 2), _name_line(at, Side.DOOR)
    beside = at.ceiling.bottom - high
    centers = [
        ((left + right) / 2, min(box.top for box in door) - high / 2 - 0.4),
        (right + wide / 2 + 1, beside),
        (left - wide / 2 - 1, beside),
    ]
    inside = [Box.around(x, y, wide, high) for x, y in centers]
    free = [box for box in inside if at.holds(box) and box.clear_of(taken + lines)]
    if _no_numbers(at, Side.DOOR) or not free:
        return Box.around(*below, wide, high)
    return free[0]


def _level(side: Side) -> bool:
    return side in (Side.FAR, Side.DOOR)


def _no_numbers(at: Frame, side: Side) -> bool:
    run = at.y_run if side in (Side.LEFT, Side.RIGHT) else at.x_run
    return at.plan.orientation.zero_side(run.axis.other) is not side or not run.texts


def _name_line(at: Frame, side: Side) -> float:
    """Where the middle of a wall's name runs: just outside the wall, or outside its numbers."""
    run = at.y_run if side in (Side.LEFT, Side.RIGHT) else at.x_run
    numbers = 0 if _no_numbers(at, side) else run.band()
    ids = at.ids_deep if at.ids_beside is side else 0
    return edge_of(at.outer, side) + outward(side) * (numbers + ids + NAME_OFF + NAME_HIGH / 2)


def _wall_name(at: Frame, side: Side, avoid: list[Box]) -> Box:
    """At the middle of its wall, or wherever along it no other name stands."""
    level = _level(side)
    low, high = (at.outer.left, at.outer.right) if level else (at.outer.top, at.outer.bottom)
    long, off = width(at.plan.names.of(side), NAME_HIGH), _name_line(at, side)
    sheet = at.wide if level else at.high
    middles = [low + (high - low) * part for part in (0.5, 0.2, 0.8, 0.0, 1.0)]
    if level and avoid:
        middles += [box.left - 2 - long / 2 for box in avoid] + [box.right + 2 + long / 2 for box in avoid]
    spots = []
    for middle in middles:
        kept = min(max(middle, long / 2), max(sheet - long / 2, long / 2))
        spots.append(Box.around(kept, off, long, NAME_HIGH) if level else Box.around(off, kept, NAME_HIGH, long))
    return next((box for box in spots if box.clear_of(avoid, gap=1.5)), spots[0])


def _north(svg: Element, at: Frame) -> list[Box]:
    """An arrow in the free corner across from zero, pointing at the north wall."""
    if at.plan.north is None:
        return []
    turn = at.plan.orientation
    x_side, y_side = turn.end_side(Axis.LEFT_RIGHT), turn.end_side(Axis.DOOR_FAR)
    x = edge_of(at.outer, x_side) + outward(x_side) * 6
    y = edge_of(at.outer, y_side) + outward(y_side) * 5.5
    dx, dy = {Side.FAR: (0, -1), Side.DOOR: (0, 1), Side.LEFT: (-1, 0), Side.RIGHT: (1, 0)}[at.plan.north]
    group = add(svg, "g", kind="north")
    line(group, "symbol", x - dx * 3.8, y - dy * 3.8, x + dx * 2, y + dy * 2)
    foot_x, foot_y = x + dx * 1.4, y + dy * 1.4
    tip = x + dx * 4.2, y + dy * 4.2
    head = [tip, (foot_x - dy * 1.5, foot_y + dx * 1.5), (foot_x + dy * 1.5, foot_y - dx * 1.5)]
    solid(group, head)
    letter = x - dx * 1.2 + abs(dy) * 2.8, y - dy * 1.2 + abs(dx) * 2.8
    words(group, str(say.NORTH), *letter, NAME_PT, bold=True, kind="north-letter")
    return [Box.around(x, y, 9.5, 9.5)]
