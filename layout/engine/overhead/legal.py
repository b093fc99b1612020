"""Where the center of one fixture may stand, beside everything overhead: exactly, and fast. Names no mark.

Each thing, grown by what the fixture takes and by what is kept free, is a rectangle with round corners the center must
stay out of; each member is a band. Touching is allowed. Only the length of a slanted distance is rounded, to the
nanometer that asks for more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, isqrt
from typing import cast

from layout.engine.lengths import ZERO, Distance
from layout.engine.overhead.footprint import Cut, turns_of
from layout.engine.overhead.grown import Grown, KeepOut, grow
from layout.engine.overhead.intervals import Stretches, free_of, in_any, in_both
from layout.engine.overhead.stand import Direction, Standing, StandingMember, StandingThing

Intervals = tuple[tuple[Distance, Distance], ...]
Raw = tuple[int, str, StandingMember | StandingThing]  # too near by, what part of the fixture, to what


@dataclass(frozen=True, slots=True)
class Short:
    """How much one thing or member is too near, at one point."""

    by: Distance
    part: str  # hole, frame, center
    of: StandingMember | StandingThing


@dataclass(frozen=True, slots=True)
class Zone:
    """A zone to draw: where no center may stand. half_along is None where it runs on without end, and so is the other.

    A rectangle grown by `radius` all round, its corners round.
    """

    name: str
    fixed: bool
    along: Distance
    across: Distance
    half_along: Distance | None
    half_across: Distance | None
    radius: Distance


@dataclass(frozen=True, slots=True)
class Legal:
    """Where one fixture may stand. Its frame may be turned any of `turns`; a place is legal if one of them clears."""

    standing: Standing
    scale: int
    grown: tuple[Grown, ...]

    @property
    def turns(self) -> tuple[int, ...]:
        return tuple(each.turn for each in self.grown)

    def shortfall(self, along: Distance, across: Distance, turn: int | None = None) -> Distance:
        """How much is missing at the worst thing or member with the center there; 0 where it may stand."""
        return self._distance(min(self._worst(each, along, across) for each in self._of(turn)))

    def shorts(self, along: Distance, across: Distance, turn: int) -> tuple[Short, ...]:
        """Everything too near, the worst first. One entry for each thing or member."""
        (at_turn,) = self._of(turn)
        worst: dict[int, Raw] = {}
        for raw in self._shorts(at_turn, along, across):
            by, _, of = raw
            if id(of) not in worst or worst[id(of)][0] < by:
                worst[id(of)] = raw
        found = sorted(worst.values(), key=lambda raw: -raw[0])
        return tuple(Short(self._distance(by), part, of) for by, part, of in found)

    def room_beside_framing(self, along: Distance, across: Distance, turn: int) -> Distance | None:
        """From the keep-clear line of the nearest member; below 0 it is crossed. None where there is no framing."""
        (at_turn,) = self._of(turn)
        at = {Direction.ALONG: self._scaled(along), Direction.ACROSS: self._scaled(across)}
        free = [
            abs(at[direction] - band.at) - band.half
            for direction, bands in at_turn.bands.items()
            for band in bands
        ]
        return self._distance(min(free)) if free else None

    def legal_intervals(
        self, direction: Direction, other: Distance | None = None, turn: int | None = None
    ) -> Intervals:
        """Where the center may stand on one coordinate, edge to edge, the other one given; without it beside members
        on this coordinate alone. Closed at both ends, which may be one point. Ends are exact beside framing and
        straight sides; beside a corner they are the nearest nanometer that is legal.
        """
        sets = [self._free(each, direction, other) for each in self._of(turn)]
        return tuple((self._distance(low), self._distance(high)) for low, high in in_any(sets))

    def legal_line(self, direction: Direction, others: Iterable[Distance], turn: int | None = None) -> Intervals:
        """Where a whole line may stand: legal at every one of the other coordinates."""
        common: Stretches | None = None
        for other in others:
            here = in_any([self._free(each, direction, other) for each in self._of(turn)])
            common = here if common is None else in_both(common, here)
        return tuple((self._distance(low), self._distance(high)) for low, high in common or ())

    def zones(self, turn: int) -> tuple[Zone, ...]:
        """All that the center stays out of, to be drawn."""
        (at_turn,) = self._of(turn)
        bands = [
            Zone(
                band.member.name,
                True,
                self._distance(band.at) if direction is Direction.ALONG else ZERO,
                self._distance(band.at) if direction is Direction.ACROSS else ZERO,
                self._distance(band.half) if direction is Direction.ALONG else None,
                self._distance(band.half) if direction is Direction.ACROSS else None,
                ZERO,
            )
            for direction, each in at_turn.bands.items()
            for band in each
        ]
        things = [
            Zone(each.thing.name, each.thing.fixed, *(self._distance(number) for number in each[:5]))
            for each in (*at_turn.alike.keep_outs, *at_turn.above.keep_outs)
        ]
        return (*bands, *things)

    # Whole numbers from here on

    def _of(self, turn: int | None) -> tuple[Grown, ...]:
        return self.grown if turn is None else tuple(each for each in self.grown if each.turn == turn)

    def _scaled(self, distance: Distance) -> int:
        """A coordinate finer than the scale stays a fraction; all that is done with it works on either."""
        nm = distance.nm
        return nm.numerator * self.scale if nm.denominator == 1 else cast(int, nm * self.scale)

    def _distance(self, scaled: int) -> Distance:
        return ZERO + Distance(Fraction(scaled) / self.scale)

    def _worst(self, at_turn: Grown, along: Distance, across: Distance) -> int:
        return max((by for by, _, _ in self._shorts(at_turn, along, across)), default=0)

    def _shorts(self, at_turn: Grown, along: Distance, across: Distance) -> Iterator[Raw]:
        u, v = self._scaled(along), self._scaled(across)
        for direction, at in ((Direction.ALONG, u), (Direction.ACROSS, v)):
            for band in at_turn.near_bands(direction, at):
                by = band.half - abs(at - band.at)
                if by > 0:
                    yield by, band.part, band.member
        for each in at_turn.near_things(Direction.ALONG, u):
            by = self._missing(each, u, v)
            if by > 0:
                yield by, each.part, each.thing

    def _missing(self, each: KeepOut, u: int, v: int) -> int:
        """How much is missing to a keep-out's rim. 0 or below outside and on it."""
        du, dv = abs(u - each.along) - each.half_along, abs(v - each.across) - each.half_across
        if du >= each.radius or dv >= each.radius:
            return 0
        if du <= 0 or dv <= 0:
            return each.radius - max(du, dv)
        squared = du * du + dv * dv
        if squared >= each.radius * each.radius:
            return 0
        root = isqrt(int(squared))
        by = each.radius - root
        return by if root * root == squared else -(-by // self.scale) * self.scale

    def _free(self, at_turn: Grown, direction: Direction, other: Distance | None) -> Stretches:
        size = int(self._scaled(self.standing.size(direction)))
        blocked = [(band.at - band.half, band.at + band.half) for band in at_turn.bands[direction]]
        if other is not None:
            v = self._scaled(other)
            if any(abs(v - band.at) < band.half for band in at_turn.near_bands(direction.other, v)):
                return []
            blocked += _blocked(at_turn.near_things(direction.other, v), direction, v)
        return free_of(blocked, size)


def clear_at(fitting: Cut, standing: Standing, turn: int | None = None) -> Legal:
    """Where a fixture may stand beside everything overhead. turn: None lets its frame be turned as it clears."""
    turns = turns_of(fitting) if turn is None else (turn,)
    scale, grown = grow(fitting, standing, turns)
    return Legal(standing, scale, grown)


def _blocked(things: Iterable[KeepOut], direction: Direction, v: int) -> Iterator[tuple[int, int]]:
    """The open stretches of one coordinate that things block where the other coordinate is v."""
    for each in things:
        if direction is Direction.ALONG:
            at, half, dv = each.along, each.half_along, abs(v - each.across) - each.half_across
        else:
            at, half, dv = each.across, each.half_across, abs(v - each.along) - each.half_along
        if dv >= each.radius:
            continue
        reach = half + (each.radius if dv <= 0 else _root_up(each.radius * each.radius - dv * dv))
        if reach > 0:
            yield at - reach, at + reach


def _root_up(square: int) -> int:
    """The smallest whole number whose square is no less."""
    return isqrt(ceil(square) - 1) + 1
