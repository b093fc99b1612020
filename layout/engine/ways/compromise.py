"""Where nothing clears: the layout with the fewest things in the way, then the least deep. Offers it, decides nothing.

Looked through, to the tick: every shift of all lines and every move of mirrored pairs within reach, on one axis and
then on the other. A line stands least deep at an edge of what is kept clear, so only those are tried.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor, isqrt

from layout.engine.lengths import LengthError, Unit, inches, mm, nanometers
from layout.engine.marks import Mark
from layout.engine.overhead.legal import Zone
from layout.engine.overhead.stand import Direction
from layout.engine.room import lay_out
from layout.engine.ways.changes import Change, held_at
from layout.engine.ways.costs import moves
from layout.engine.ways.lines import Lines
from layout.engine.ways.read import Ceiling, Place, ceiling_of, coordinate, on_lines, place_of, read_lines
from layout.engine.ways.rules import Compromise

REACH = {Unit.INCH: inches(8), Unit.MM: mm(200)}

Depth = tuple[int, Fraction]  # how many are in the way, and how deep in all
NONE: Depth = (0, Fraction(0))


def least_in_the_way(asked: Ceiling) -> tuple[Ceiling, Change]:
    """The ceiling and the change that makes it; what was asked for where nothing is better."""
    tries = [_one_axis_then_the_other(asked, order) for order in ((*Direction,), (*reversed(Direction),))]
    return min(tries, key=lambda each: _depth(each[0]))


def as_compromise(asked: Ceiling, best: Ceiling, change: Change) -> Compromise:
    return Compromise(moves(asked.layout, best.layout), change, best.layout, best.left)


def _one_axis_then_the_other(asked: Ceiling, order: tuple[Direction, ...]) -> tuple[Ceiling, Change]:
    best, change = asked, Change()
    for direction in order:
        for candidate in _candidates(best, direction):
            whole = {**change, **candidate}
            try:
                layout = lay_out(replace(asked.inputs, **whole), asked.layout)  # type: ignore[arg-type]
            except LengthError:
                continue
            tried = ceiling_of(layout, asked)
            if _depth(tried) < _depth(best):
                best, change = tried, whole
    return best, change


def _depth(ceiling: Ceiling) -> tuple[int, int, Fraction]:
    deep = sum((each.short_by.nm for each in ceiling.left), start=Fraction(0))
    return len(ceiling.broken), len(ceiling.left), deep


def _candidates(ceiling: Ceiling, direction: Direction) -> Iterator[Change]:
    wish = ceiling.layout.arrangement.wish
    tiled = (wish.tiles_along if direction is Direction.ALONG else wish.tiles_across) is not None
    lines = read_lines(ceiling, direction)
    if tiled or not lines.at or lines.held:
        return
    axis = _Axis(ceiling, direction, lines, _carried(ceiling, direction))
    for places in (axis.best_shift(), axis.best_pairs()):
        if places is not None and places != lines.at:
            yield held_at(ceiling.inputs, direction, places)


def _carried(ceiling: Ceiling, direction: Direction) -> dict[Place, list[Mark]]:
    carried: dict[Place, list[Mark]] = {}
    for mark in ceiling.layout.arrangement.marks:
        if on_lines(mark) and mark.id not in ceiling.in_wings:
            carried.setdefault(place_of(mark, ceiling.layout, direction), []).append(mark)
    return carried


@dataclass(frozen=True, slots=True)
class _Axis:
    ceiling: Ceiling
    direction: Direction
    lines: Lines
    carried: dict[Place, list[Mark]]

    def best_shift(self) -> tuple[int, ...] | None:
        def shifted(move: int) -> tuple[int, ...]:
            return tuple(at + move * self.lines.tick for at in self.lines.at)

        turns = {move for place in self.carried for move in self.turns(place, self.at(place, self.lines.at))}
        inside = [move for move in turns if shifted(move)[0] >= 0 and shifted(move)[-1] <= self.lines.size]
        best = min(inside, key=lambda move: (self.depth_of_all(shifted(move)), abs(move), move), default=None)
        return None if best is None else shifted(best)

    def best_pairs(self) -> tuple[int, ...] | None:
        """Each pair by itself; a pair stays clear of the one before it."""
        lines, count = self.lines, len(self.lines.at)
        if not lines.mirrored:
            return None
        places = list(lines.at)
        for pair in range(count // 2):
            far = Place(count - 1 - pair)
            low = places[pair - 1] + lines.least[pair - 1] if pair else 0
            high = lines.size // 2 - lines.tick

            def deep(move: int, pair: int = pair, far: Place = far) -> tuple[Depth, int, int]:
                at = lines.at[pair] + move * lines.tick
                return _sum(self.depth(Place(pair), at), self.depth(far, lines.size - at)), abs(move), -move

            turns = self.turns(Place(pair), lines.at[pair]) | {-move for move in self.turns(far, lines.at[far.line])}
            open_to = [move for move in turns if low <= lines.at[pair] + move * lines.tick <= high]
            places[pair] = lines.at[pair] + min(open_to, key=deep, default=0) * lines.tick
            places[far.line] = lines.size - places[pair]
        return tuple(places)

    def at(self, place: Place, places: tuple[int, ...]) -> int:
        here = places[place.line]
        if place.midway and place.line + 1 < len(places):
            return self.lines.midway(here, places[place.line + 1])
        return here

    def turns(self, place: Place, at: int) -> set[int]:
        """The moves, in ticks within reach, at which something begins or ends to be in the way."""
        most = int(REACH[self.ceiling.inputs.unit].nm) // self.lines.tick
        found = {0, most, -most}
        for mark in self.carried.get(place, ()):
            legal, other = self.ceiling.legal[mark.kind], coordinate(mark, self.direction.other)
            for turn in legal.turns:
                for zone in legal.zones(turn):
                    for edge in _edges(zone, self.direction, other.nm):
                        ticks = (edge - at) / self.lines.tick
                        found |= {floor(ticks), ceil(ticks)}
        return {move for move in found if -most <= move <= most}

    def depth_of_all(self, places: tuple[int, ...]) -> Depth:
        total = NONE
        for place in self.carried:
            total = _sum(total, self.depth(place, self.at(place, places)))
        return total

    def depth(self, place: Place, at: int) -> Depth:
        total = NONE
        for mark in self.carried.get(place, ()):
            legal, other = self.ceiling.legal[mark.kind], coordinate(mark, self.direction.other)
            here = nanometers(at)
            along, across = (here, other) if self.direction is Direction.ALONG else (other, here)
            turned = [[short.by.nm for short in legal.shorts(along, across, turn)] for turn in legal.turns]
            total = _sum(total, min((len(each), sum(each, start=Fraction(0))) for each in turned))
        return total


def _edges(zone: Zone, direction: Direction, other: Fraction) -> tuple[Fraction, ...]:
    """Where a zone begins and ends on one coordinate, the other given."""
    at, half, beside, half_beside = zone.along, zone.half_along, zone.across, zone.half_across
    if direction is Direction.ACROSS:
        at, half, beside, half_beside = beside, half_beside, at, half
    if half is None:
        return ()
    past = abs(other - beside.nm) - half_beside.nm if half_beside is not None else -zone.radius.nm
    if past > 0 and past >= zone.radius.nm:
        return ()
    reach = half.nm + (zone.radius.nm if past <= 0 else isqrt(int(zone.radius.nm**2 - past**2)))
    return at.nm - reach, at.nm + reach


def _sum(first: Depth, second: Depth) -> Depth:
    return first[0] + second[0], first[1] + second[1]
