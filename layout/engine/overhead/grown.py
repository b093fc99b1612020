"""Everything overhead grown by what one fixture takes, in whole numbers, sorted to be found fast. Asks no questions.

A whole number is nanometers times a scale that leaves no fraction, halves of sizes included, so that squares compare
exactly.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from math import lcm
from typing import NamedTuple

from layout.engine.lengths import Distance
from layout.engine.overhead.footprint import CENTER, Cut, Footprint, frame, hole
from layout.engine.overhead.stand import Direction, Standing, StandingMember, StandingThing
from layout.engine.overhead.values import ClearTo

BINS = 64


class Band(NamedTuple):
    """A member's band: a center stays out of (at - half, at + half)."""

    at: int
    half: int
    part: str
    member: StandingMember


class KeepOut(NamedTuple):
    """A thing's zone, which a center stays out of: a rectangle grown by `radius`, its corners round."""

    along: int
    across: int
    half_along: int
    half_across: int
    radius: int
    part: str
    thing: StandingThing


Binned = tuple[tuple[KeepOut, ...], ...]


@dataclass(frozen=True, slots=True)
class Sorted:
    """Keep-outs, and those that reach into each strip of the ceiling, `width` wide, by the coordinate it lies on."""

    keep_outs: tuple[KeepOut, ...]
    strips: dict[Direction, Binned]
    width: dict[Direction, int]

    def near(self, direction: Direction, at: int) -> tuple[KeepOut, ...]:
        return self.strips[direction][min(max(int(at // self.width[direction]), 0), BINS)]


@dataclass(frozen=True, slots=True)
class Grown:
    """All that stands in the way of a fixture turned one way. alike: what is the same at every turn."""

    turn: int
    bands: dict[Direction, tuple[Band, ...]]  # each by `at`
    widest: dict[Direction, int]
    alike: Sorted
    above: Sorted

    def near_bands(self, direction: Direction, at: int) -> tuple[Band, ...]:
        bands, reach = self.bands[direction], self.widest[direction]
        first = bisect_left(bands, at - reach, key=lambda band: band.at)
        return bands[first : bisect_right(bands, at + reach, key=lambda band: band.at)]

    def near_things(self, direction: Direction, at: int) -> Iterator[KeepOut]:
        return chain(self.alike.near(direction, at), self.above.near(direction, at))


def grow(fitting: Cut, standing: Standing, turns: Iterable[int]) -> tuple[int, tuple[Grown, ...]]:
    """The scale, and everything overhead grown by the fixture at each turn.

    Drywall-level things keep from the hole, what is above it from the frame; where a clearance runs to the center, it
    is the center that keeps it. What the fixture can stand under is left out.
    """
    scale = _scale(standing)
    width = {direction: max(_whole(standing.size(direction), scale) // BINS, 1) for direction in Direction}
    met = [
        (thing, _sizes(thing, scale))
        for thing in standing.things
        if thing.keeps_off and not _stands_under(fitting, thing)
    ]
    above = [one for one in met if one[0].above and one[0].clear_to is ClearTo.RIM]
    cut, point = _print(hole(fitting), scale), _print(CENTER, scale)
    alike = _sorted(
        (
            _keep_out(thing, size, point if thing.clear_to is ClearTo.CENTER else cut)
            for thing, size in met
            if not thing.above or thing.clear_to is ClearTo.CENTER
        ),
        width,
    )
    grown = []
    for turn in turns:
        prints = [_print(each, scale) for each in _above(fitting, turn, standing)]
        bands = {direction: _bands(standing, direction, prints, scale) for direction in Direction}
        widest = {direction: max((band.half for band in each), default=0) for direction, each in bands.items()}
        higher = _sorted((_keep_out(thing, size, each) for thing, size in above for each in prints), width)
        grown.append(Grown(turn, bands, widest, alike, higher))
    return scale, tuple(grown)


def _scale(standing: Standing) -> int:
    found = {standing.along.nm.denominator, standing.across.nm.denominator}
    found |= {member.at.nm.denominator for member in (*standing.members, *standing.beyond)}
    found |= {at.nm.denominator for thing in standing.things for at in (thing.along, thing.across)}
    return 2 * lcm(*found)


def _whole(distance: Distance, scale: int) -> int:
    return distance.nm.numerator * (scale // distance.nm.denominator)


def _stands_under(fitting: Cut, thing: StandingThing) -> bool:
    """Whether the depth left under a thing takes the fixture."""
    return thing.above and thing.leaves is not None and fitting.depth is not None and fitting.depth <= thing.leaves


def _above(fitting: Cut, turn: int, standing: Standing) -> tuple[Footprint, ...]:
    """What stands above the drywall: the frame, and the hole where no frame reaches past it all round."""
    cut = hole(fitting)
    if fitting.frame is None:
        return (cut,)
    plate = frame(fitting.frame, turn, standing.orientation)
    half = fitting.cutout / 2
    holds = abs(plate.off_along) + half <= plate.half_along and abs(plate.off_across) + half <= plate.half_across
    return (plate,) if holds else (cut, plate)


class _Print(NamedTuple):
    off_along: int
    off_across: int
    half_along: int
    half_across: int
    radius: int
    part: str


def _print(of: Footprint, scale: int) -> _Print:
    sizes = (of.off_along, of.off_across, of.half_along, of.half_across, of.radius)
    along, across, half_along, half_across, radius = (_whole(each, scale) for each in sizes)
    return _Print(along, across, half_along, half_across, radius, of.part)


def _bands(standing: Standing, direction: Direction, prints: list[_Print], scale: int) -> tuple[Band, ...]:
    on_along = direction is Direction.ALONG
    bands = [
        Band(
            _whole(member.at, scale) - (each.off_along if on_along else each.off_across),
            (each.half_along if on_along else each.half_across)
            + each.radius
            + _whole(member.clear, scale)
            + _whole(member.width, scale) // 2,
            each.part,
            member,
        )
        for member in (*standing.members, *standing.beyond)
        if member.on is direction
        for each in prints
    ]
    return tuple(sorted(bands, key=lambda band: band.at))


def _sizes(thing: StandingThing, scale: int) -> tuple[int, int, int, int, int]:
    """Its center, half its straight sides, and the radius of its corners with the clearance. The scale is even."""
    half_along, half_across = _whole(thing.size_along, scale) // 2, _whole(thing.size_across, scale) // 2
    clear = _whole(thing.clear, scale)
    along, across = _whole(thing.along, scale), _whole(thing.across, scale)
    return (along, across, 0, 0, clear + half_along) if thing.round else (along, across, half_along, half_across, clear)


def _keep_out(thing: StandingThing, size: tuple[int, int, int, int, int], of: _Print) -> KeepOut:
    along, across, half_along, half_across, radius = size
    return KeepOut(
        along - of.off_along,
        across - of.off_across,
        half_along + of.half_along,
        half_across + of.half_across,
        radius + of.radius,
        of.part,
        thing,
    )


def _sorted(found: Iterable[KeepOut], width: dict[Direction, int]) -> Sorted:
    keep_outs = tuple(found)
    along: list[list[KeepOut]] = [[] for _ in range(BINS + 1)]
    across: list[list[KeepOut]] = [[] for _ in range(BINS + 1)]
    for each in keep_outs:
        u, v, half_u, half_v, radius, _, _ = each
        for strips, at, reach, wide in (
            (along, u, half_u + radius, width[Direction.ALONG]),
            (across, v, half_v + radius, width[Direction.ACROSS]),
        ):
            low, high = (at - reach) // wide, (at + reach) // wide
            for place in range(min(max(low, 0), BINS), min(max(high, 0), BINS) + 1):
                strips[place].append(each)
    return Sorted(keep_outs, {Direction.ALONG: _frozen(along), Direction.ACROSS: _frozen(across)}, width)


def _frozen(strips: list[list[KeepOut]]) -> Binned:
    return tuple(tuple(each) for each in strips)
