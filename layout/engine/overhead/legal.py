"""Where the center of one fixture may stand, beside everything overhead: exactly, and fast. Names no mark.

Each thing, grown by what the fixture takes and by what is kept free, is a rectangle with round corners the center must
stay out of; each member is a band. Touching is allowed. Inside, whole numbers stand for distances: nanometers times a
factor that leaves no fraction, so that squares compare exactly. Only the length of a slanted distance is rounded, to
the nanometer that asks for more.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, isqrt, lcm
from typing import NamedTuple, cast

from layout.engine.lengths import ZERO, Distance
from layout.engine.overhead.footprint import CENTER, Cut, Footprint, frame, hole, turns_of
from layout.engine.overhead.intervals import Stretches, free_of, in_any, in_both
from layout.engine.overhead.stand import Direction, Standing, StandingMember, StandingThing
from layout.engine.overhead.values import ClearTo

BINS = 64
Intervals = tuple[tuple[Distance, Distance], ...]


class Band(NamedTuple):
    """A member's band: a center stays out of (at - half, at + half). In scaled whole numbers."""

    at: int
    half: int
    part: str
    member: StandingMember


class KeepOut(NamedTuple):
    """A thing's zone: a rectangle with round corners the center stays out of. In scaled whole numbers."""

    along: int
    across: int
    half_along: int
    half_across: int
    radius: int
    part: str
    thing: StandingThing


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
class _AtTurn:
    """All that stands in the way of a fixture turned one way."""

    turn: int
    bands: dict[Direction, tuple[Band, ...]]  # each by `at`
    widest: dict[Direction, int]
    keep_outs: tuple[KeepOut, ...]
    bins: dict[Direction, tuple[tuple[int, ...], ...]]  # numbers into keep_outs, by the coordinate they lie on
    bin_size: dict[Direction, int]

    def near_bands(self, direction: Direction, at: int) -> tuple[Band, ...]:
        bands, reach = self.bands[direction], self.widest[direction]
        first = bisect_left(bands, at - reach, key=lambda band: band.at)
        return bands[first : bisect_right(bands, at + reach, key=lambda band: band.at)]

    def near_things(self, direction: Direction, at: int) -> Iterator[KeepOut]:
        bins = self.bins[direction]
        place = min(max(int(at // self.bin_size[direction]), 0), len(bins) - 1)
        return (self.keep_outs[number] for number in bins[place])


@dataclass(frozen=True, slots=True)
class Legal:
    """Where one fixture may stand. Its frame may be turned any of `turns`; a place is legal if one of them clears."""

    standing: Standing
    scale: int
    at_turns: tuple[_AtTurn, ...]

    @property
    def turns(self) -> tuple[int, ...]:
        return tuple(each.turn for each in self.at_turns)

    def shortfall(self, along: Distance, across: Distance, turn: int | None = None) -> Distance:
        """How much is missing at the worst thing or member with the center there; 0 where it may stand."""
        return min((self._worst(each, along, across) for each in self._of(turn)), key=lambda by: by.nm)

    def shorts(self, along: Distance, across: Distance, turn: int) -> tuple[Short, ...]:
        """Everything too near, the worst first. One entry for each thing or member."""
        (at_turn,) = self._of(turn)
        worst: dict[int, Short] = {}
        for short in self._shorts(at_turn, along, across):
            known = worst.get(id(short.of))
            if known is None or known.by < short.by:
                worst[id(short.of)] = short
        return tuple(sorted(worst.values(), key=lambda short: -short.by.nm))

    def room_beside_framing(self, along: Distance, across: Distance, turn: int) -> Distance | None:
        """From the keep-clear line of the nearest member; below 0 it is crossed. None where there is no framing."""
        (at_turn,) = self._of(turn)
        at = {Direction.ALONG: self._scaled(along), Direction.ACROSS: self._scaled(across)}
        free = [
            abs(at[direction] - band.at) - band.half
            for direction, bands in at_turn.bands.items()
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
            for each in at_turn.keep_outs
        ]
        return (*bands, *things)

    # Whole numbers from here on

    def _of(self, turn: int | None) -> tuple[_AtTurn, ...]:
        return self.at_turns if turn is None else tuple(each for each in self.at_turns if each.turn == turn)

    def _scaled(self, distance: Distance) -> int:
        """A coordinate finer than the scale stays a fraction; all that is done with it works on either."""
        scaled = distance.nm * self.scale
        return scaled.numerator if scaled.denominator == 1 else cast(int, scaled)

    def _distance(self, scaled: int) -> Distance:
        return ZERO + Distance(Fraction(scaled, self.scale))

    def _worst(self, at_turn: _AtTurn, along: Distance, across: Distance) -> Distance:
        return max((short.by for short in self._shorts(at_turn, along, across)), key=lambda by: by.nm, default=ZERO)

    def _shorts(self, at_turn: _AtTurn, along: Distance, across: Distance) -> Iterator[Short]:
        u, v = self._scaled(along), self._scaled(across)
        for direction, at in ((Direction.ALONG, u), (Direction.ACROSS, v)):
            for band in at_turn.near_bands(direction, at):
                by = band.half - abs(at - band.at)
                if by > 0:
                    yield Short(ZERO + Distance(Fraction(by) / self.scale), band.part, band.member)
        for each in at_turn.near_things(Direction.ALONG, u):
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

    def _free(self, at_turn: _AtTurn, direction: Direction, other: Distance | None) -> Stretches:
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
    scale = _scale(standing)
    return Legal(standing, scale, tuple(_at_turn(fitting, standing, each, scale) for each in turns))


def _above(fitting: Cut, turn: int, standing: Standing) -> tuple[Footprint, ...]:
    """What stands above the drywall: the frame, and the hole where no frame reaches past it all round."""
    cut = hole(fitting)
    if fitting.frame is None:
        return (cut,)
    plate = frame(fitting.frame, turn, standing.orientation)
    half = fitting.cutout / 2
    holds = abs(plate.off_along) + half <= plate.half_along and abs(plate.off_across) + half <= plate.half_across
    return (plate,) if holds else (cut, plate)


def _scale(standing: Standing) -> int:
    """A factor that leaves no fraction of a nanometer, halves of whole sizes included."""
    found = {standing.along.nm.denominator, standing.across.nm.denominator}
    found |= {member.at.nm.denominator for member in (*standing.members, *standing.beyond)}
    found |= {at.nm.denominator for thing in standing.things for at in (thing.along, thing.across)}
    return 2 * lcm(*found)


def _at_turn(fitting: Cut, standing: Standing, turn: int, scale: int) -> _AtTurn:
    whole = _Whole(scale)
    above = _above(fitting, turn, standing)
    members = (*standing.members, *standing.beyond)
    bands = {
        direction: tuple(
            sorted(
                (whole.band(member, each) for member in members if member.on is direction for each in above),
                key=lambda band: band.at,
            )
        )
        for direction in Direction
    }
    keep_outs = tuple(
        whole.keep_out(thing, each)
        for thing in standing.things
        if not _stands_under(fitting, thing)
        for each in _against(thing, fitting, above)
    )
    sizes = {direction: max(whole(standing.size(direction)) // BINS, 1) for direction in Direction}
    return _AtTurn(
        turn=turn,
        bands=bands,
        widest={direction: max((band.half for band in each), default=0) for direction, each in bands.items()},
        keep_outs=keep_outs,
        bins={direction: _bins(keep_outs, direction, sizes[direction]) for direction in Direction},
        bin_size=sizes,
    )


def _stands_under(fitting: Cut, thing: StandingThing) -> bool:
    """Whether the depth left under a thing takes the fixture."""
    return thing.above and thing.leaves is not None and fitting.depth is not None and fitting.depth <= thing.leaves


def _against(thing: StandingThing, fitting: Cut, above: tuple[Footprint, ...]) -> tuple[Footprint, ...]:
    if thing.clear_to is ClearTo.CENTER:
        return (CENTER,)
    return above if thing.above else (hole(fitting),)


@dataclass(frozen=True, slots=True)
class _Whole:
    """Distances as whole numbers."""

    scale: int

    def __call__(self, distance: Distance) -> int:
        return int(distance.nm * self.scale)

    def band(self, member: StandingMember, of: Footprint) -> Band:
        on_along = member.on is Direction.ALONG
        off, half = (of.off_along, of.half_along) if on_along else (of.off_across, of.half_across)
        reach = half.nm + of.radius.nm + member.clear.nm + member.width.nm / 2
        return Band(int((member.at.nm - off.nm) * self.scale), int(reach * self.scale), of.part, member)

    def keep_out(self, thing: StandingThing, of: Footprint) -> KeepOut:
        half_along, half_across, radius = of.half_along.nm, of.half_across.nm, of.radius.nm + thing.clear.nm
        if thing.round:
            radius += thing.size_along.nm / 2
        else:
            half_along += thing.size_along.nm / 2
            half_across += thing.size_across.nm / 2
        return KeepOut(
            int((thing.along.nm - of.off_along.nm) * self.scale),
            int((thing.across.nm - of.off_across.nm) * self.scale),
            int(half_along * self.scale),
            int(half_across * self.scale),
            int(radius * self.scale),
            of.part,
            thing,
        )


def _bins(keep_outs: tuple[KeepOut, ...], direction: Direction, size: int) -> tuple[tuple[int, ...], ...]:
    """Which keep-outs reach into each strip of the ceiling. What lies past an edge is in the strip along it."""
    bins: list[list[int]] = [[] for _ in range(BINS + 1)]
    for number, each in enumerate(keep_outs):
        at, half = (
            (each.along, each.half_along) if direction is Direction.ALONG else (each.across, each.half_across)
        )
        reach = half + each.radius
        low, high = ((at + sign * reach) // size for sign in (-1, 1))
        for place in range(min(max(low, 0), BINS), min(max(high, 0), BINS) + 1):
            bins[place].append(number)
    return tuple(tuple(each) for each in bins)


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
