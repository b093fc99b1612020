"""Marks on a plan with their IDs: each beside its own mark, clear of symbols and words. Knows no wall and no number."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from layout.drawing import words as say
from layout.drawing.frame import NAME_HIGH, NAME_PT, Frame, edge_of, outward
from layout.drawing.ink import add, line, patch, words
from layout.drawing.symbols import CROSS, drawn_size, symbol
from layout.drawing.text import Box, width
from layout.drawing.values import PlanMark, plan_table
from layout.engine.marks import Kind, Side

Spot = tuple[Box, bool]  # where an ID stands, and whether a leader ties it to its mark
CLEAR = 0.25  # round a symbol


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark where it is drawn. size: its symbol's diameter or side, mm."""

    one: PlanMark
    x: float
    y: float
    size: float

    @property
    def reach(self) -> float:
        """From its center to the end of its ink, a light's cross included."""
        return self.size / 2 + (CROSS if self.one.mark.kind is Kind.LIGHT else CLEAR)

    @property
    def box(self) -> Box:
        return Box.around(self.x, self.y, 2 * self.reach, 2 * self.reach)


def draw_marks(svg: Element, at: Frame, lines: list[Box], interactive: bool) -> list[Box]:
    """Every mark with its ID; gives the boxes of what was drawn. lines: thin lines that are broken under an ID."""
    placed = [_placed(at, one) for one in at.plan.marks]
    symbols = [mark.box for mark in placed]
    labels = _labels(at, placed, symbols)
    titles = _titles(at)
    for number, mark in enumerate(placed):
        group = _group(svg, at, mark.one, titles[mark.one.mark.id], interactive)
        label, led = labels[number]
        if led:
            line(group, "leader", mark.x, mark.y, *label.middle)
        if led or not label.clear_of(lines):
            patch(group, label.left, label.top, label.right - label.left, label.bottom - label.top)
        symbol(group, mark.one.mark.kind, mark.x, mark.y, mark.size)
        words(group, mark.one.mark.id, *label.middle, NAME_PT, bold=True, kind="mark-id")
    return symbols + [label for label, _ in labels.values()]


def _labels(at: Frame, placed: list[Placed], symbols: list[Box]) -> dict[int, Spot]:
    """A spot for every ID, the marks with the fewest free spots first."""
    free = {
        number: [
            (box, led)
            for box, led in _spots(at, mark)
            if within(box, at.ceiling) and box.clear_of(symbols) and (led or _nearest(box, mark, placed))
        ]
        for number, mark in enumerate(placed)
    }
    labels: dict[int, Spot] = {}
    for number in sorted(free, key=lambda one: len(free[one])):
        mark = placed[number]
        if at.ids_beside and (box := _beside(at, mark, at.ids_beside)).clear_of(label for label, _ in labels.values()):
            labels[number] = box, False
        elif spot := _open(free[number], labels, number) or _made_open(free, labels, number):
            labels[number] = spot
        else:
            taken = symbols + [label for label, _ in labels.values()]
            labels[number] = min(_spots(at, mark), key=lambda one: _hidden(one[0], at, taken))
    return labels


def _open(spots: list[Spot], labels: dict[int, Spot], number: int) -> Spot | None:
    """The first spot clear of every other mark's ID."""
    others = [label for other, (label, _) in labels.items() if other != number]
    return next((spot for spot in spots if spot[0].clear_of(others)), None)


def _made_open(free: dict[int, list[Spot]], labels: dict[int, Spot], number: int) -> Spot | None:
    """A spot that opens when the one ID standing there moves to another of its own."""
    for spot in free[number]:
        touched = [other for other, (label, _) in labels.items() if spot[0].touches(label)]
        if len(touched) == 1 and (moved := _open(free[touched[0]], labels | {number: spot}, touched[0])):
            labels[touched[0]] = moved
            return spot
    return None


def within(box: Box, room: Box) -> bool:
    return (
        box.left > room.left + 0.15 and box.right < room.right - 0.15
        and box.top > room.top + 0.15 and box.bottom < room.bottom - 0.15
    )


def _placed(at: Frame, one: PlanMark) -> Placed:
    x, y = at.point(one.mark.along, one.mark.across)
    return Placed(one, x, y, drawn_size(one.mark.kind, at.length(one.cutout)))


def _group(svg: Element, at: Frame, one: PlanMark, title: str, interactive: bool) -> Element:
    group = add(svg, "g", kind=f"mark mark-{one.mark.kind.value}", id=f"{at.plan.key}-mark-{one.mark.id}")
    group.set("data-line", f"mark-{one.mark.id}")
    if interactive:
        group.set("tabindex", "0")
    add(group, "title").text = title
    return group


def _titles(at: Frame) -> dict[str, str]:
    return {
        row.id: f"{row.id}, {say.KIND[Kind(row.what)]}: {say.ALONG} {along}, {say.ACROSS} {across}"
        for row in plan_table(at.plan)
        for face, along, across in row.numbers
        if face is at.plan.datum or len(row.numbers) == 1
    }


def _spots(at: Frame, mark: Placed) -> list[Spot]:
    """Where a mark's ID may stand, best first, and whether a leader must tie it to its mark."""
    wide, high = width(mark.one.mark.id, NAME_HIGH) + 0.1, NAME_HIGH + 0.3
    side, up = mark.reach + 0.2 + wide / 2, mark.reach + 0.1 + high / 2
    steps = [(0, -up), (0, up), (side, 0), (-side, 0), (side, -up), (side, up), (-side, -up), (-side, up)]
    steps += [(dx, dy) for dy in (-up, up) for dx in (wide / 2, -wide / 2)]
    spots = [(Box.around(mark.x + dx, mark.y + dy, wide, high), False) for dx, dy in steps]
    aside = (wide / 2, -wide / 2, wide, -wide)  # never straight, where the leader would hide on a thin line
    far = [(dx, k * dy) for k in (1.9, 2.8, 3.7) for dy in (-up, up) for dx in aside]
    return spots + [(Box.around(mark.x + dx, mark.y + dy, wide, high), True) for dx, dy in far]


def _hidden(label: Box, at: Frame, others: list[Box]) -> int:
    """How much an ID that finds no free spot would cover: the wall counts twice."""
    return sum(label.touches(box) for box in others) + 2 * (not within(label, at.ceiling))


def _nearest(label: Box, mark: Placed, placed: list[Placed]) -> bool:
    """Whether an ID without a leader stands nearer its own mark than any other, so that nobody reads it as theirs."""
    own = label.apart(mark.box)
    return all(label.apart(other.box) > own + 0.3 for other in placed if other is not mark)


def _beside(at: Frame, mark: Placed, side: Side) -> Box:
    """Outside the wall of a narrow room, level with the mark."""
    wide, high = width(mark.one.mark.id, NAME_HIGH) + 0.1, NAME_HIGH + 0.3
    upright_wall = side in (Side.LEFT, Side.RIGHT)
    off = edge_of(at.outer, side) + outward(side) * (1 + (wide if upright_wall else high) / 2)
    return Box.around(off, mark.y, wide, high) if upright_wall else Box.around(mark.x, off, wide, high)
