"""Where nothing clears: the layout with the fewest things in the way, then the least deep. Offers it, decides nothing.

Looked through, to the tick: every shift of all lines and every move of mirrored pairs within reach, on either axis.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from layout.engine.lengths import Distance, LengthError, Unit, inches, mm, nanometers
from layout.engine.marks import Mark
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


def best_compromise(asked: Ceiling) -> Compromise:
    best, change = asked, Change()
    for candidate in _candidates(asked):
        try:
            layout = lay_out(replace(asked.inputs, **candidate))  # type: ignore[arg-type]
        except LengthError:
            continue
        tried = ceiling_of(layout, asked)
        if _depth(tried) < _depth(best):
            best, change = tried, candidate
    return Compromise(moves(asked.layout, best.layout), change, best.layout, best.left)


def _depth(ceiling: Ceiling) -> tuple[int, int, Fraction]:
    deep = sum((each.short_by.nm for each in ceiling.left), start=Fraction(0))
    return len(ceiling.broken), len(ceiling.left), deep


def _candidates(asked: Ceiling) -> Iterator[Change]:
    for direction in Direction:
        axis = _Axis(asked, direction, read_lines(asked, direction), _carried(asked, direction))
        if not axis.lines.held:
            for places in (axis.best_shift(), axis.best_pairs()):
                if places is not None and places != axis.lines.at:
                    yield held_at(asked.inputs, direction, places)


def _carried(asked: Ceiling, direction: Direction) -> dict[Place, list[Mark]]:
    carried: dict[Place, list[Mark]] = {}
    for mark in asked.layout.arrangement.marks:
        if on_lines(mark) and mark.id not in asked.in_wings:
            carried.setdefault(place_of(mark, asked.layout, direction), []).append(mark)
    return carried


@dataclass(frozen=True, slots=True)
class _Axis:
    ceiling: Ceiling
    direction: Direction
    lines: Lines
    carried: dict[Place, list[Mark]]

    @property
    def reach(self) -> range:
        ticks = int(REACH[self.ceiling.inputs.unit].nm) // self.lines.tick
        return range(-ticks, ticks + 1)

    def best_shift(self) -> tuple[int, ...] | None:
        def shifted(move: int) -> tuple[int, ...]:
            return tuple(at + move * self.lines.tick for at in self.lines.at)

        inside = [move for move in self.reach if shifted(move)[0] >= 0 and shifted(move)[-1] <= self.lines.size]
        best = min(inside, key=lambda move: (self.depth_of_all(shifted(move)), abs(move), move), default=None)
        return None if best is None else shifted(best)

    def best_pairs(self) -> tuple[int, ...] | None:
        """Each pair by itself; a pair that comes too near its neighbor stays where it is."""
        lines, count = self.lines, len(self.lines.at)
        if not lines.mirrored:
            return None
        places = list(lines.at)
        for pair in range(count // 2):
            near, low = lines.at[pair], places[pair - 1] + lines.least[pair - 1] if pair else 0
            most = lines.size // 2 - lines.tick

            def deep(move: int, pair: int = pair, near: int = near) -> tuple[Depth, int, int]:
                at = near + move * lines.tick
                far = self.depth(Place(count - 1 - pair), lines.size - at)
                return _sum(self.depth(Place(pair), at), far), abs(move), -move

            open_to = [move for move in self.reach if low <= near + move * lines.tick <= most]
            best = min(open_to, key=deep, default=0)
            places[pair] = near + best * lines.tick
            places[count - 1 - pair] = lines.size - places[pair]
        return tuple(places)

    def depth_of_all(self, places: tuple[int, ...]) -> Depth:
        total = NONE
        for place in self.carried:
            at = places[place.line]
            if place.midway and place.line + 1 < len(places):
                at = self.lines.midway(at, places[place.line + 1])
            total = _sum(total, self.depth(place, at))
        return total

    def depth(self, place: Place, at: int) -> Depth:
        total = NONE
        for mark in self.carried.get(place, ()):
            legal, other = self.ceiling.legal[mark.kind], coordinate(mark, self.direction.other)
            here: Distance = nanometers(at)
            along, across = (here, other) if self.direction is Direction.ALONG else (other, here)
            turned = [[short.by.nm for short in legal.shorts(along, across, turn)] for turn in legal.turns]
            total = _sum(total, min((len(each), sum(each, start=Fraction(0))) for each in turned))
        return total


def _sum(first: Depth, second: Depth) -> Depth:
    return first[0] + second[0], first[1] + second[1]
