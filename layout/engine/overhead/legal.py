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
        return min((self._worst(each, along, across) for each in self._of(turn)), key=lambda by: by.nm)

    def shorts(self, along: Distance, across: Distance, turn: int) -> tuple[Short, ...]:
        """Everything too near, the worst first. One entry for each thing or member."""
        (grown_at,) = self._of(turn)
        worst: dict[int, Short] = {}
        for short in self._shorts(grown_at, along, across):
            known = worst.get(id(short.of))
            if known is None or known.by < short.by:
                worst[id(short.of)] = short
        return tuple(sorted(worst.values(), key=lambda short: -short.by.nm))

    def room_beside_framing(self, along: Distance, across: Distance, turn: int) -> Distance | None:
        """From the keep-clear line of the nearest member; below 0 it is crossed. None where there is no framing."""
        (grown_at,) = self._of(turn)
        at = {Direction.ALONG: self._scaled(along), Direction.ACROSS: self._scaled(across)}
        free = [
            abs(at[direction] - band.at) - band.half
            for direction, bands in grown_at.bands.items()
            for band in bands
        ]
        return Distance(Fraction(min(free)) / self.scale) if free else None

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
        (grown_at,) = self._of(turn)
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
            for direction, each in grown_at.bands.items()
            for band in each
        ]
        things = [
            Zone(each.thing.name, each.thing.fixed, *(self._distance(number) for number in each[:5]))
            for each in (*grown_at.alike.keep_outs, *grown_at.above.keep_outs)
        ]
        return (*bands, *things)

    # Whole numbers from here on

    def _of(self, turn: int | None) -> tuple[Grown, ...]:
        return self.grown if turn is None else tuple(each for each in self.grown if each.turn == turn)

    def _scaled(self, distance: Distance) -> int:
        """A coordinate finer than the scale stays a fraction; all that is done with it works on either."""
        scaled = distance.nm * self.scale
        return scaled.numerator if scaled.denominator == 1 else cast(int, scaled)

    def _distance(self, scaled: int) -> Distance:
        return ZERO + Distance(Fraction(scaled, self.scale))

    def _worst(self, grown_at: Grown, along: Distance, across: Distance) -> Distance:
        return max((short.by for short in self._shorts(grown_at, along, across)), key=lambda by: by.nm, default=ZERO)

    def _shorts(self, grown_at: Grown, along: Distance, across: Distance) -> Iterator[Short]:
        u, v = self._scaled(along), self._scaled(across)
        for direction, at in ((Direction.ALONG, u), (Direction.ACROSS, v)):
            for band in grown_at.near_bands(direction, at):
                by = band.half - abs(at - band.at)
                if by > 0:
                    yield Short(ZERO + Distance(Fraction(by) / self.scale), band.part, band.member)
        for each in grown_at.near_things(Direction.ALONG, u):
            missing = self._missing(each, u, v)
            if missing:
                yield Short(missing, each.part, each.thing)

    def _missing(self, each: KeepOut, u: int, v: int) -> Distance:
        """How much is missing to a keep-out's rim. 0 outside and on it."""
        du, dv = abs(u - each.along) - each.half_along, abs(v - each.across) - each.half_across
        if du >= each.radius or dv >= each.radius:
            return ZERO
        if du <= 0 or dv <= 0:
            return ZERO + Distance(Fraction(each.radius - max(du, dv)) / self.scale)
        squared = du * du + dv * dv
        if squared >= each.radius * each.radius:
            return ZERO
        root = isqrt(int(squared))
        by = Fraction(each.radius - root, self.scale)
        return ZERO + Distance(by if root * root == squared else Fraction(ceil(by)))

    def _free(self, grown_at: Grown, direction: Direction, other: Distance | None) -> Stretches:
        size = int(self._scaled(self.standing.size(direction)))
        blocked = [(band.at - band.half, band.at + band.half) for band in grown_at.bands[direction]]
        if other is not None:
            v = self._scaled(other)
            if any(abs(v - band.at) < band.half for band in grown_at.near_bands(direction.other, v)):
                return []
            blocked += _blocked(grown_at.near_things(direction.other, v), direction, v)
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
