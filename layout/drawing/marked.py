"""Marks as drawn: the symbol, its ID, the pin that holds it, its housing, where it stood. Knows no wall."""

from __future__ import annotations

from math import hypot
from xml.etree.ElementTree import Element

from layout.drawing import words as say
from layout.drawing.frame import TAG_HIGH, TAG_PT, Frame, edge_of, outward
from layout.drawing.ink import PAPER, add, line, patch, rectangle, solid, stroke, words
from layout.drawing.labels import Label, Placed, labels_of, placed
from layout.drawing.symbols import drawn_size, pin, symbol
from layout.drawing.tags import tags_of
from layout.drawing.text import MM_PER_POINT, Box, spread, width
from layout.drawing.values import PlanMark
from layout.engine.marks import Axis, Kind

ARROW = 1.6


def draw_marks(svg: Element, at: Frame, lines: list[Box], things: list[Box], interactive: bool) -> list[Box]:
    """Every mark with its ID; gives the boxes of what was drawn. lines: thin lines that are broken under an ID."""
    marks = [placed(at, one) for one in at.plan.marks]
    labels = [None] * len(marks) if at.tagged else labels_of(at, marks, [*things, *_old_places(at, marks)])
    titles = _titles(at)
    lines = lines + [mark.frame for mark in marks if mark.frame]
    for mark in marks:
        _moved(svg, at, mark)
    for mark, label in zip(marks, labels, strict=True):
        group = _group(svg, at, mark.one, titles[mark.one.mark.id], interactive)
        _housing(group, mark)
        if label:
            _write(group, mark, label, lines)
        symbol(group, mark.one.mark.kind, mark.x, mark.y, mark.size)
        if mark.one.pinned:
            pin(group, mark.x, mark.y - mark.reach)
        if label:
            words(group, mark.one.mark.id, *label.box.middle, label.points, bold=True, kind="mark-id")
    if at.tagged:
        _tag_rows(svg, at, marks)
    return [mark.box for mark in marks] + [label.box for label in labels if label]


def _write(group: Element, mark: Placed, label: Label, lines: list[Box]) -> None:
    """Bare paper for the ID, and the leader to it."""
    box = label.box
    if label.led:
        line(group, "leader", mark.x, mark.y, *box.middle)
    if label.led or not box.clear_of(lines):
        patch(group, box.left, box.top, box.right - box.left, box.bottom - box.top)


def draw_ghosts(svg: Element, at: Frame) -> None:
    """The last revision's holes, open and dashed, wherever the drawing has no mark of the same kind."""
    here = {(one.mark.kind, one.mark.along, one.mark.across) for one in at.plan.marks}
    group = add(svg, "g", kind="ghosts", aria_hidden="true")
    for ghost in at.plan.layers.ghosts:
        if (ghost.kind, ghost.at.along, ghost.at.across) not in here:
            x, y = at.place(ghost.at)
            half = drawn_size(ghost.kind, at.length(ghost.cutout)) / 2
            if ghost.kind is Kind.LIGHT:
                add(group, "circle", cx=x, cy=y, r=half, **stroke("ghost"))
            else:
                rectangle(group, "ghost", x - half, y - half, 2 * half, 2 * half)


def _old_places(at: Frame, marks: list[Placed]) -> list[Box]:
    """Where moved marks stood: no name is written over a struck hole."""
    return [Box.around(*at.place(mark.one.was), mark.size, mark.size) for mark in marks if mark.one.was]


def _moved(svg: Element, at: Frame, mark: Placed) -> None:
    """The old place open and struck, an arrow to the new one."""
    if mark.one.was is None:
        return
    x, y = at.place(mark.one.was)
    half = mark.size / 2
    group = add(svg, "g", kind="was-here", aria_hidden="true")
    add(group, "circle", cx=x, cy=y, r=half, **(stroke("dimension") | {"fill": PAPER}))
    strike = half + 0.6
    line(group, "dimension", x - strike, y + strike, x + strike, y - strike)
    away = hypot(mark.x - x, mark.y - y)
    if away < mark.reach + ARROW:
        return
    along_x, along_y = (mark.x - x) / away, (mark.y - y) / away
    tip_x, tip_y = mark.x - along_x * mark.reach, mark.y - along_y * mark.reach
    line(group, "leader", x, y, tip_x, tip_y)
    back_x, back_y, side = tip_x - along_x * ARROW, tip_y - along_y * ARROW, ARROW / 3
    solid(group, [
        (tip_x, tip_y),
        (back_x - along_y * side, back_y + along_x * side),
        (back_x + along_y * side, back_y - along_x * side),
    ])  # fmt: skip


def _housing(group: Element, mark: Placed) -> None:
    if box := mark.frame:
        rectangle(group, "housing", box.left, box.top, box.right - box.left, box.bottom - box.top)


def _group(svg: Element, at: Frame, one: PlanMark, title: str, interactive: bool) -> Element:
    group = add(svg, "g", kind=f"mark mark-{one.mark.kind.value}", id=f"{at.plan.key}-mark-{one.mark.id}")
    group.set("data-line", f"mark-{one.mark.id}")
    if interactive:
        group.set("tabindex", "0")
    add(group, "title").text = title
    return group


def _titles(at: Frame) -> dict[str, str]:
    """What each mark is and its two numbers, from the face this plan is numbered from."""
    plan, turn = at.plan, at.plan.orientation
    along = plan.inset(turn.zero_side(turn.rows_run), plan.datum)
    across = plan.inset(turn.zero_side(turn.rows_run.other), plan.datum)
    kinds = {kind: str(words_for) for kind, words_for in say.KIND.items()}
    said = f"{say.ALONG} %s, {say.ACROSS} %s"
    return {
        one.mark.id: f"{one.mark.id}, {kinds[one.mark.kind]}: "
        + said % (plan.tape.show(one.mark.along + along), plan.tape.show(one.mark.across + across))
        for one in plan.marks
    }


def _tag_rows(svg: Element, at: Frame, marks: list[Placed]) -> None:
    """The IDs of a whole row beside its end, outside the wall."""
    turn = at.plan.orientation
    side = turn.end_side(turn.rows_run)
    level = turn.rows_run is Axis.LEFT_RIGHT
    high = TAG_PT * MM_PER_POINT
    tags = tags_of(at.plan.marks)
    where = sorted(((_row_at(marks, row, level), text) for row, text in tags.items()))
    most = at.outer.bottom if level else at.outer.right
    centers = spread([row_at for row_at, _ in where], [TAG_HIGH] * len(where), 0, most)
    wall = edge_of(at.outer, side)
    for (row_at, text), center in zip(where, centers, strict=True):
        group = add(svg, "g", kind="row-tag")
        off = wall + outward(side) * (3 + width(text, high) / 2)
        (x1, y1), (x2, y2) = (wall, row_at), (wall + outward(side) * 2.6, center)
        line(group, "leader", *((x1, y1) if level else (y1, x1)), *((x2, y2) if level else (y2, x2)))
        words(group, text, *((off, center) if level else (center, off)), TAG_PT, bold=True, level=level, kind="mark-id")


def _row_at(marks: list[Placed], row: int, level: bool) -> float:
    first = next(mark for mark in marks if mark.one.mark.row == row)
    return first.y if level else first.x
