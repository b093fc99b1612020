"""Where each mark's ID stands: beside its own mark, clear of symbols and of the other IDs. Draws nothing."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from layout.drawing.frame import NAME_HIGH, NAME_PT, Frame, edge_of, outward
from layout.drawing.symbols import CROSS, PIN_OFF, PIN_SIZE, drawn_size
from layout.drawing.text import Box, width
from layout.drawing.values import PlanMark
from layout.engine.marks import Kind, Side

CLEAR = 0.25  # round a symbol
SMALLER = (NAME_PT, 7.5, 6.5)  # pt: only where a larger one finds no room
STEP = 1.6  # mm: the raster a crowded drawing is searched on


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark where it is drawn. size: its symbol's diameter or side, mm. reach: from its center to the end of its ink,
    a light's cross included. box: all of it, its pin too. frame: its housing.
    """

    one: PlanMark
    x: float
    y: float
    size: float
    reach: float
    box: Box
    frame: Box | None = None


@dataclass(frozen=True, slots=True)
class Label:
    """Where an ID stands, and whether a leader ties it to its mark. points: its type size."""

    box: Box
    led: bool
    points: float = NAME_PT


def placed(at: Frame, one: PlanMark) -> Placed:
    x, y = at.point(one.mark.along, one.mark.across)
    size = drawn_size(one.mark.kind, at.length(one.cutout))
    reach = size / 2 + (CROSS if one.mark.kind is Kind.LIGHT else CLEAR)
    pin = PIN_OFF + PIN_SIZE if one.pinned else 0
    box = Box(x - reach, y - reach - pin, x + reach, y + reach)
    return Placed(one, x, y, size, reach, box, at.patch(one.frame) if one.frame else None)


def labels_of(at: Frame, marks: list[Placed], things: list[Box]) -> list[Label]:
    """A label for every mark, in their order: as large as all of them find room for. things: better not written on."""
    things = things + [mark.frame for mark in marks if mark.frame]
    if roomy := _all_beside(at, marks, things):
        return roomy
    best: dict[int, Label] = {}
    for points in SMALLER:
        found, overlaps = _at_size(at, marks, things, points)
        best = best or found
        if not overlaps:
            best = found
            break
    return [best[number] for number in range(len(marks))]


def _all_beside(at: Frame, marks: list[Placed], things: list[Box]) -> list[Label] | None:
    """Where every ID finds its place at once, as in most rooms, nothing has to be weighed."""
    if at.ids_beside:
        return None
    symbols = [mark.box for mark in marks]
    found: list[Label] = []
    for mark in marks:
        taken = symbols + [label.box for label in found]
        chosen = None
        for label in _spots(mark, NAME_PT):
            if label.led or not (at.holds(label.box) and label.box.clear_of(taken)):
                continue
            if not _nearest(label.box, mark, marks):
                continue
            clear = label.box.clear_of(things)
            chosen = label if clear or chosen is None else chosen
            if clear:
                break
        if chosen is None:
            return None
        found.append(chosen)
    return found


def _at_size(at: Frame, marks: list[Placed], things: list[Box], points: float) -> tuple[dict[int, Label], bool]:
    """The marks with the fewest free spots first. Gives also whether some ID found none."""
    symbols = [mark.box for mark in marks]
    free = {
        number: sorted(_free(at, mark, marks, symbols, points), key=lambda label: not label.box.clear_of(things))
        for number, mark in enumerate(marks)
    }
    found: dict[int, Label] = {}
    for number in sorted(free, key=lambda one: len(free[one])):
        mark = marks[number]
        if at.ids_beside and (beside := _beside(at, mark, at.ids_beside, points)).box.clear_of(
            label.box for label in found.values()
        ):
            found[number] = beside
        elif spot := (
            _open(free[number], found, number)
            or _made_open(free, found, number)
            or _anywhere(at, mark, symbols, found, points)
        ):
            found[number] = spot
        else:
            taken = symbols + [label.box for label in found.values()]
            found[number] = min(_spots(mark, points), key=lambda one: _hidden(one.box, at, taken))
            return found | {n: _spots(marks[n], points)[0] for n in free if n not in found}, True
    return found, False


def _free(at: Frame, mark: Placed, marks: list[Placed], symbols: list[Box], points: float) -> list[Label]:
    return [
        label
        for label in _spots(mark, points)
        if at.holds(label.box) and label.box.clear_of(symbols) and (label.led or _nearest(label.box, mark, marks))
    ]


def _open(spots: list[Label], found: dict[int, Label], number: int) -> Label | None:
    """The first spot clear of every other mark's ID."""
    others = [label.box for other, label in found.items() if other != number]
    return next((spot for spot in spots if spot.box.clear_of(others)), None)


def _made_open(free: dict[int, list[Label]], found: dict[int, Label], number: int) -> Label | None:
    """A spot that opens when the one ID standing there moves to another of its own."""
    for spot in free[number]:
        touched = [other for other, label in found.items() if spot.box.touches(label.box)]
        if len(touched) == 1 and (moved := _open(free[touched[0]], found | {number: spot}, touched[0])):
            found[touched[0]] = moved
            return spot
    return None


def _anywhere(at: Frame, mark: Placed, symbols: list[Box], found: dict[int, Label], points: float) -> Label | None:
    """The nearest free place on the ceiling, tied to its mark by a leader."""
    wide, high = _size(mark, points)
    others = [label.box for label in found.values()]
    across = range(ceil(at.ceiling.left / STEP), int(at.ceiling.right / STEP) + 1)
    down = range(ceil(at.ceiling.top / STEP), int(at.ceiling.bottom / STEP) + 1)
    centers = sorted(
        ((x * STEP, y * STEP) for x in across for y in down),
        key=lambda center: (center[0] - mark.x) ** 2 + (center[1] - mark.y) ** 2,
    )
    boxes = (Box.around(x, y, wide, high) for x, y in centers)
    free = (box for box in boxes if box.clear_of(others) and box.clear_of(symbols) and at.holds(box))
    box = next(free, None)
    return Label(box, True, points) if box else None


def _size(mark: Placed, points: float) -> tuple[float, float]:
    high = NAME_HIGH * points / NAME_PT
    return width(mark.one.mark.id, high) + 0.1, high + 0.3


def _spots(mark: Placed, points: float) -> list[Label]:
    """Where a mark's ID may stand, best first."""
    wide, high = _size(mark, points)
    side, down = mark.reach + 0.2 + wide / 2, mark.reach + 0.1 + high / 2
    up = mark.y - mark.box.top + 0.1 + high / 2
    if mark.frame:  # outside its housing's line
        up = max(up, mark.y - mark.frame.top + 0.3 + high / 2)
        down = max(down, mark.frame.bottom - mark.y + 0.3 + high / 2)
    steps = [(0, -up), (0, down), (side, 0), (-side, 0), (side, -up), (side, down), (-side, -up), (-side, down)]
    steps += [(dx, dy) for dy in (-up, down) for dx in (wide / 2, -wide / 2)]
    near = [Label(Box.around(mark.x + dx, mark.y + dy, wide, high), False, points) for dx, dy in steps]
    aside = (wide / 2, -wide / 2, wide, -wide)  # never straight, where the leader would hide on a thin line
    far = [(dx, k * dy) for k in (1.9, 2.8, 3.7) for dy in (-up, down) for dx in aside]
    return near + [Label(Box.around(mark.x + dx, mark.y + dy, wide, high), True, points) for dx, dy in far]


def _hidden(label: Box, at: Frame, others: list[Box]) -> int:
    """How much an ID that finds no free spot would cover: the wall counts twice."""
    return sum(label.touches(box) for box in others) + 2 * (not at.holds(label))


def _nearest(label: Box, mark: Placed, marks: list[Placed]) -> bool:
    """Whether an ID without a leader stands nearer its own mark than any other, so that nobody reads it as theirs."""
    own = label.apart(mark.box) + 0.3
    return all(label.apart(other.box) > own for other in marks if other is not mark)


def _beside(at: Frame, mark: Placed, side: Side, points: float) -> Label:
    """Outside the wall of a narrow room, level with the mark."""
    wide, high = _size(mark, points)
    upright_wall = side in (Side.LEFT, Side.RIGHT)
    off = edge_of(at.outer, side) + outward(side) * (1 + (wide if upright_wall else high) / 2)
    box = Box.around(off, mark.y, wide, high) if upright_wall else Box.around(mark.x, off, wide, high)
    return Label(box, False, points)
