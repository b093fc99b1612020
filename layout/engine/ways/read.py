"""From a layout to the lines of its two axes, each with where it may stand. Moves nothing.

What a person moved by itself, and the subwoofer, stand where they are: they belong to no line.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

from layout.engine.findings import Code, Finding
from layout.engine.lengths import Distance, Length
from layout.engine.marks import Kind, Mark
from layout.engine.overhead.check import Conflict
from layout.engine.overhead.legal import Legal, clear_at
from layout.engine.overhead.stand import Direction
from layout.engine.room import Fitting, RoomInputs, RoomLayout
from layout.engine.ways.changes import LINE
from layout.engine.ways.lines import Between, Lines, Stretch, Stretches, common

# What breaks a rule of taste: a way may leave it, and says so. All else has to be clear.
TASTE = frozenset(
    {
        Code.GAP_OVER_LIMIT,
        Code.SETBACK_OUTSIDE,
        Code.OFF_THE_MIDDLE,
        Code.PITCH_OF_OTHER_UNIT,
        Code.PINNED_OUT_OF_ORDER,
        Code.PINNED_PAST_EDGE,
        Code.NO_SUCH_MARK,
    }
)
OVERHEAD = frozenset({Code.ON_A_JOIST, Code.NEAR_A_THING})  # told again, one by one, by the layout's conflicts


@dataclass(frozen=True, slots=True)
class Place:
    """Where a mark belongs on one axis: on a line, or midway in the gap after it. Numbers from 0."""

    line: int
    midway: bool = False


@dataclass(frozen=True, slots=True)
class Ceiling:
    """A layout, and for each kind of fixture where its center may stand.

    loose: marks that stand on no line. in_wings: marks of the smaller zones of a room that is no rectangle; the lines
    that are moved are the largest zone's.
    """

    layout: RoomLayout
    legal: Mapping[Kind, Legal]
    loose: frozenset[str]
    in_wings: frozenset[str]

    @property
    def inputs(self) -> RoomInputs:
        return self.layout.inputs

    @property
    def fittings(self) -> Mapping[Kind, Fitting]:
        return self.layout.inputs.fittings

    @property
    def left(self) -> tuple[Conflict, ...]:
        """What is in the way of marks that ways can move."""
        return tuple(each for each in self.layout.conflicts if each.mark not in self.loose)

    @property
    def broken(self) -> tuple[Finding, ...]:
        """What else has to be clear, and isn't: edges, material between holes, the outline, tiles."""
        return tuple(
            each
            for each in self.layout.arrangement.findings
            if each.code not in TASTE | OVERHEAD and each.subject.partition(", ")[0] not in self.loose
        )

    @property
    def clears(self) -> bool:
        return not self.left and not self.broken and bool(self.layout.arrangement.columns)

    @property
    def still(self) -> tuple[Finding, ...]:
        return self.layout.arrangement.findings


def ceiling_of(layout: RoomLayout, asked: Ceiling | None = None) -> Ceiling:
    """asked: what the layout is a change of. Its places are used again where the fixture is the same, and what was
    moved in it by itself stays loose; what the change moves doesn't.
    """
    marks = layout.arrangement.marks
    legal = {kind: _legal(layout, kind, asked) for kind in {mark.kind for mark in marks}}
    loose = frozenset(mark.id for mark in marks if not on_lines(mark))
    if asked is not None:
        theirs = asked.loose if layout.inputs.moved else frozenset()
        loose &= theirs | {mark.id for mark in marks if mark.kind is Kind.SUBWOOFER}
    return Ceiling(layout, legal, loose, _in_wings(layout))


def _in_wings(layout: RoomLayout) -> frozenset[str]:
    columns, rows = layout.arrangement.columns, layout.arrangement.rows
    wings = {
        row
        for zone in layout.zones
        if (zone.columns, zone.rows) != (columns, rows)
        for row in range(zone.rows_before + 1, zone.rows_before + 1 + len(zone.rows))
    }
    return frozenset(
        mark.id for mark in layout.arrangement.marks if mark.kind is Kind.LIGHT and mark.row in wings
    )


def _legal(layout: RoomLayout, kind: Kind, asked: Ceiling | None) -> Legal:
    fitting = layout.inputs.fittings[kind]
    if asked is not None and kind in asked.legal and asked.fittings[kind] == fitting:
        return asked.legal[kind]
    return clear_at(fitting, layout.standing)


def on_lines(mark: Mark) -> bool:
    return mark.moved_from is None and mark.kind is not Kind.SUBWOOFER


def coordinate(mark: Mark, direction: Direction) -> Length:
    return mark.along if direction is Direction.ALONG else mark.across


def lines_at(layout: RoomLayout, direction: Direction) -> tuple[Length, ...]:
    return layout.arrangement.columns if direction is Direction.ALONG else layout.arrangement.rows


def held_lines(layout: RoomLayout, direction: Direction) -> frozenset[int]:
    """The numbers of the lines a pin really holds: one that can't be kept, or names no line here, holds none."""
    lines, pins = lines_at(layout, direction), layout.inputs.pins
    return frozenset(
        pin.number for pin in pins if pin.line is LINE[direction] and lines[pin.number - 1 : pin.number] == (pin.at,)
    )


def place_of(mark: Mark, layout: RoomLayout, direction: Direction) -> Place:
    at, lines = coordinate(mark, direction), lines_at(layout, direction)
    number = bisect_left(lines, at)
    if number < len(lines) and lines[number] == at:
        return Place(number)
    return Place(min(max(number - 1, 0), max(len(lines) - 2, 0)), midway=True)


def read_lines(ceiling: Ceiling, direction: Direction, *, keep_limit: bool = False) -> Lines:
    """The columns or the rows of a layout. keep_limit: no gap over the spacing limit, even if there is one now."""
    layout = ceiling.layout
    size = int(layout.along.laid_out if direction is Direction.ALONG else layout.across.laid_out)
    at = tuple(int(each) for each in lines_at(layout, direction))
    carried: dict[Place, list[Mark]] = {}
    for mark in layout.arrangement.marks:
        if on_lines(mark) and mark.id not in ceiling.in_wings:
            carried.setdefault(place_of(mark, layout, direction), []).append(mark)
    free = {place: _may_stand(ceiling, marks, direction, size) for place, marks in carried.items()}
    gaps = [b - a for a, b in pairwise(at)]
    limit = int(layout.inputs.spacing_limit) if direction is Direction.ALONG else size
    return Lines(
        size=size,
        tick=int(layout.inputs.unit.tick),
        at=at,
        may_stand=tuple(free.get(Place(number), ((0, size),)) for number in range(len(at))),
        between=tuple(Between(place.line, each) for place, each in free.items() if place.midway),
        least=tuple(_least(ceiling, carried, number, direction) for number in range(len(gaps))),
        most=limit if keep_limit or max(gaps, default=0) <= limit else size,
        held=frozenset(number - 1 for number in held_lines(layout, direction)),
    )


def _may_stand(ceiling: Ceiling, marks: list[Mark], direction: Direction, size: int) -> Stretches:
    """Where all of these marks are clear together, on the direction's coordinate."""
    found: Stretches = ((0, size),)
    for kind in {mark.kind for mark in marks}:
        others = {coordinate(mark, direction.other) for mark in marks if mark.kind is kind}
        stretches = ceiling.legal[kind].legal_line(direction, sorted(others))
        edge = ceil((ceiling.fittings[kind].cutout / 2 + ceiling.inputs.edge_min).nm)
        inside: Stretches = ((edge, size - edge),) if 2 * edge <= size else ()
        found = common(common(found, whole(stretches)), inside)
    wish = ceiling.layout.arrangement.wish
    tiles = wish.tiles_along if direction is Direction.ALONG else wish.tiles_across
    if tiles is not None:
        found = common(found, tuple((int(middle), int(middle)) for middle in tiles.middles))
    return found


def whole(stretches: tuple[tuple[Distance, Distance], ...]) -> Stretches:
    """To whole nanometers, inward."""
    inward: list[Stretch] = [(ceil(low.nm), floor(high.nm)) for low, high in stretches]
    return tuple((low, high) for low, high in inward if low <= high)


def _least(ceiling: Ceiling, carried: Mapping[Place, list[Mark]], gap: int, direction: Direction) -> int:
    """What two lines beside one another need between their centers, what stands midway between them included."""
    inputs = ceiling.inputs
    first, second = carried.get(Place(gap), []), carried.get(Place(gap + 1), [])
    midway = carried.get(Place(gap, midway=True), [])
    needs = [int(inputs.unit.tick)]
    needs += [_apart(ceiling, a, b) for a in first for b in second if _abreast(a, b, direction)]
    needs += [2 * _apart(ceiling, a, b) for a in (*first, *second) for b in midway if _abreast(a, b, direction)]
    return max(needs)


def _abreast(a: Mark, b: Mark, direction: Direction) -> bool:
    return coordinate(a, direction.other) == coordinate(b, direction.other)


def _apart(ceiling: Ceiling, a: Mark, b: Mark) -> int:
    """Center to center: the material between their holes, and how far a speaker is kept from a light."""
    inputs, fittings = ceiling.inputs, ceiling.fittings
    needed = (fittings[a.kind].cutout + fittings[b.kind].cutout) / 2 + inputs.web_min
    if {a.kind, b.kind} == {Kind.LIGHT, Kind.SPEAKER}:
        needed = max(needed, inputs.light_to_speaker, key=lambda each: each.nm)
    return ceil(needed.nm)

