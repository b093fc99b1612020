"""Light over a task: a proposed line and the places on it, from where the object stands and how large it is.

Positions are on the ceiling's own coordinates, whichever way the object lies: `line` on one of them, `spots` on the
other. Nothing is judged here: what stands overhead may be in the way.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from layout.engine.lengths import ZERO, Distance, Length, LengthError, Unit
from layout.engine.pins import Line, Pin
from layout.engine.rows.lines import on_a_tick
from layout.engine.ways import task_rules as rules
from layout.engine.ways.task_rules import TaskRule


class TaskError(LengthError):
    """An object that can't be lit as it was entered. The message names the field and the remedy."""


@dataclass(frozen=True, slots=True)
class TaskLine:
    """A line of lights over a task. line: on the coordinate across it. spots: along it."""

    rule: TaskRule
    line: Distance
    spots: tuple[Distance, ...]
    notes: tuple[str, ...] = ()

    def row(self, number: int, unit: Unit) -> Pin:
        """Holds a row on the line, to the tape's nearest mark."""
        return Pin(Line.ROW, number, on_a_tick(self.line, unit))

    def columns(self, unit: Unit) -> tuple[Length, ...]:
        """The spots as typed columns, to the tape's nearest marks."""
        return tuple(on_a_tick(at, unit) for at in self.spots)


@dataclass(frozen=True, slots=True)
class Off:
    """How far off a wall: least, most, and the widest gap between lights there, None where it follows no rule."""

    rule: TaskRule
    least: Distance
    most: Distance
    gap: Distance | None = None


def counter(start: Distance, end: Distance, edge: Distance, *, at: tuple[Distance, ...] = ()) -> TaskLine:
    """Over the counter's front edge. at: what gets a light of its own: the sink, the range.

    Between those, gaps alike of 36 in at most; at the ends the last light half a gap or less inside.
    """
    _length("Counter", start, end)
    held = sorted({each for each in at if start <= each <= end})
    if not held:
        return TaskLine(rules.COUNTER, edge, _inset(start, end, rules.COUNTER_END))
    spots = [*reversed(tuple(_toward(held[0], start))), held[0]]
    for low, high in pairwise(held):
        count = max(1, ceil((high - low).nm / rules.TASK_GAP.nm))
        spots += [low + (high - low) * number / count for number in range(1, count + 1)]
    return TaskLine(rules.COUNTER, edge, (*spots, *_toward(held[-1], end)))


def _toward(held: Distance, end: Distance) -> Iterator[Distance]:
    """From a light to an end of the counter: as few as leave the last one half a gap or less inside."""
    reach = abs(end - held) - rules.COUNTER_END
    count = max(0, ceil(reach.nm / rules.TASK_GAP.nm))
    for number in range(1, count + 1):
        step = reach * number / count
        yield held + step if end > held else held - step


def island(start: Distance, end: Distance, center: Distance) -> TaskLine:
    """On the center line: ceil((length - 24 in) / 36 in) + 1 lights, the end ones 12 in inside the ends."""
    _length("Island", start, end)
    return TaskLine(rules.ISLAND, center, _inset(start, end, rules.ISLAND_END), (rules.ISLAND.caution,))


def _inset(start: Distance, end: Distance, inside: Length) -> tuple[Distance, ...]:
    span = end - start - 2 * inside
    if span <= ZERO:
        return ((start + end) / 2,)
    gaps = ceil(span.nm / rules.TASK_GAP.nm)
    return tuple(start + inside + span * number / gaps for number in range(gaps + 1))


def vanity(basins: tuple[Distance, ...], wall: Distance, edge: Distance) -> TaskLine:
    """One on either side of each basin, over the counter's front edge but 18 to 24 in from the mirror wall.

    wall, edge: the mirror wall and the front edge, on the coordinate across. Two lights that would stand nearer one
    another than half of what they stand off their basins are one, midway.
    """
    if not basins:
        raise TaskError("Vanity: say where the basins are.")
    off = min(max(abs(edge - wall), rules.VANITY_OFF[0]), rules.VANITY_OFF[1])
    beside = rules.BESIDE_BASIN
    spots = sorted(basin + sign * beside for basin in basins for sign in (-1, 1))
    merged: list[Distance] = []
    for spot in spots:
        if merged and spot - merged[-1] < beside / 2:
            merged[-1] = (merged[-1] + spot) / 2
        else:
            merged.append(spot)
    line = wall + off if edge >= wall else wall - off
    return TaskLine(rules.VANITY, line, tuple(merged), (rules.VANITY.caution,))


def desk(start: Distance, end: Distance, wall: Distance, edge: Distance) -> TaskLine:
    """Two, at the quarters of the desk, over its middle: in front of the user and to either side.

    wall: the desk's far side; edge: where the user sits.
    """
    _length("Desk", start, end)
    quarter = (end - start) / 4
    return TaskLine(rules.DESK, (wall + edge) / 2, (start + quarter, end - quarter), (rules.DESK.caution,))


def screen_free() -> Length:
    """How much of the room in front of a projection screen has no light over it. Rows run along the line of view."""
    return rules.SCREEN_FREE


def accent(ceiling: Distance, target: Distance) -> Off:
    """Off the wall for a light aimed at 30 degrees: d = (ceiling - target) tan 30. Heights from the floor."""
    if target >= ceiling:
        raise TaskError("Art: the target is as high as the ceiling. Give the height of its middle from the floor.")
    off = (ceiling - target) * rules.TAN_30
    return Off(rules.ACCENT, off, off)


def wall_wash(ceiling: Distance) -> Off:
    """A quarter to a third of the height, 24 to 36 in; gaps up to 1 1/4 of the most it stands off."""
    low, high = rules.WASH_OFF
    least = min(max(ceiling / 4, low), high)
    most = min(max(ceiling / 3, low), high)
    return Off(rules.WALL_WASH, least, most, most * rules.WASH_GAP)


def graze() -> Off:
    return Off(rules.GRAZE, *rules.GRAZE_OFF)


def hall(start: Distance, end: Distance, width: Distance, *, doors: tuple[Distance, ...] = ()) -> TaskLine:
    """One row on the center line, half a gap off both ends. doors: their middles; a light moves opposite where it is
    nearer than a quarter of a gap.
    """
    _length("Hall", start, end)
    spots = list(_half_gap(start, end, rules.HALL_GAP))
    gap = (end - start) / len(spots)
    for door in doors:
        nearest = min(range(len(spots)), key=lambda number: abs(spots[number] - door).nm)
        if abs(spots[nearest] - door) <= gap / 4:
            spots[nearest] = door
    notes = ("Under 48 in wide: a 3 to 4 in light.",) if width < rules.HALL_NARROW else ()
    return TaskLine(rules.HALL, width / 2, tuple(spots), notes)


def _half_gap(start: Distance, end: Distance, widest: Length) -> Iterator[Distance]:
    count = max(1, ceil((end - start).nm / widest.nm))
    gap = (end - start) / count
    return (start + gap * number + gap / 2 for number in range(count))


def stairs(landings: tuple[tuple[Distance, Distance], ...], width: Distance) -> TaskLine:
    """One over the middle of each landing; none over the flight. landings: where each starts and ends."""
    if len(landings) < 2:
        raise TaskError("Stairs: give both landings, top and bottom.")
    middles = tuple((start + end) / 2 for start, end in landings)
    return TaskLine(rules.STAIRS, width / 2, middles, (rules.STAIRS.caution,))


def closet(start: Distance, end: Distance, center: Distance) -> TaskLine:
    """One for each 5 ft at most, half a gap off the ends."""
    _length("Closet", start, end)
    return TaskLine(rules.CLOSET, center, tuple(_half_gap(start, end, rules.CLOSET_GAP)), (rules.CLOSET.caution,))


def _length(name: str, start: Distance, end: Distance) -> None:
    if end <= start:
        raise TaskError(f"{name}: it has no length. Give where it starts and, farther from zero, where it ends.")
