"""The moves a crew lead needs when the first joist isn't where the plan has it, or a duct turns up. Whole numbers only.

layout/static/layout/on-site.js gives the same answers on a phone with no signal; both are held to the same cases. So
everything is in parts of a tick, 100 to a tick: 1/1600 in or 0.01 mm. That holds 1/64 in, half ticks and joists 19.2 in
apart, and squares of it stay below 2^53. Speakers and what else is overhead are not looked at: once there is signal the
whole layout is worked out again, and that answer rules.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from layout.engine.lengths import Distance, Length, LengthError, Unit
from layout.engine.overhead.stand import Direction
from layout.engine.room import RoomLayout

PARTS = 100  # to a tick


@dataclass(frozen=True, slots=True)
class Joists:
    """Measured on site: center to center, width, and the center of any one from the zero corner."""

    spacing: int
    width: int
    first: int


@dataclass(frozen=True, slots=True)
class Found:
    """A duct found on site: a rectangle on both coordinates, and what the hole's center keeps from it."""

    low: int
    high: int
    other_low: int
    other_high: int
    keep: int  # the hole's radius and what is kept clear


@dataclass(frozen=True, slots=True)
class Within:
    """How far a crew may move without asking, in ticks; set with the layout."""

    pair: int
    end: int
    slide: int


@dataclass(frozen=True, slots=True)
class Site:
    """Lines that joists stand in the way of, and the lines across them, from the zero corner. In parts of a tick.

    keep: the hole's radius and what is kept clear of framing. least: center to center of two lines. edge: from a center
    to the ceiling's edge.
    """

    size: int
    lines: tuple[int, ...]
    other_size: int
    others: tuple[int, ...]
    keep: int
    least: int
    edge: int
    within: Within
    joists: Joists | None = None
    found: Found | None = None


@dataclass(frozen=True, slots=True)
class Pair:
    """Ticks each pair moves, from the walls inward, toward the middle when above 0."""

    moves: tuple[int, ...]
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Equal:
    """Ticks the ends move, away from the walls when above 0, and where all lines then stand."""

    move: int
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Slide:
    """Ticks the lines across move, all together, away from the zero corner when above 0."""

    move: int
    others: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OnSite:
    """clear: nothing has to move. Each of the others is None where it doesn't clear within its limit."""

    clear: bool
    pair: Pair | None
    equal: Equal | None
    slide: Slide | None


def on_site(site: Site) -> OnSite:
    if all(_stands(site, at, site.others) for at in site.lines):
        return OnSite(True, None, None, None)
    return OnSite(False, _pair(site), _equal(site), _slide(site))


def _stands(site: Site, at: int, others: tuple[int, ...]) -> bool:
    """Whether a line clears the joists, the edges and what was found."""
    if not site.edge <= at <= site.size - site.edge:
        return False
    joists = site.joists
    if joists is not None:
        off = (at - joists.first) % joists.spacing
        if 2 * min(off, joists.spacing - off) < 2 * site.keep + joists.width:
            return False
    return all(_clears_found(site.found, at, other) for other in others)


def _clears_found(found: Found | None, at: int, other: int) -> bool:
    if found is None:
        return True
    past = max(found.low - at, at - found.high, 0)
    beside = max(found.other_low - other, other - found.other_high, 0)
    return past * past + beside * beside >= found.keep * found.keep


def _apart(site: Site, lines: tuple[int, ...]) -> bool:
    return all(b - a >= site.least for a, b in pairwise(lines))


def _nearest(most: int) -> Iterator[int]:
    """0, 1, -1, 2, -2 and so on."""
    yield 0
    for move in range(1, most + 1):
        yield move
        yield -move


def _pair(site: Site) -> Pair | None:
    """Each pair the least it needs, toward the middle where both ways are alike."""
    count = len(site.lines)
    half = count // 2
    middle = site.lines[half : half + count % 2]
    mirrored = all(a + b == site.size for a, b in zip(site.lines, reversed(site.lines), strict=True))
    if not half or not mirrored or not all(_stands(site, at, site.others) for at in middle):
        return None
    moves = []
    for at in site.lines[:half]:
        move = next(
            (
                move
                for move in _nearest(site.within.pair)
                if _stands(site, at + move * PARTS, site.others)
                and _stands(site, site.size - at - move * PARTS, site.others)
            ),
            None,
        )
        if move is None:
            return None
        moves.append(move)
    near = tuple(at + move * PARTS for at, move in zip(site.lines, moves, strict=False))
    lines = (*near, *middle, *(site.size - at for at in reversed(near)))
    return Pair(tuple(moves), lines) if _apart(site, lines) else None


def _equal(site: Site) -> Equal | None:
    count = len(site.lines)
    if count < 2:
        return None
    for move in _nearest(site.within.end):
        end = site.lines[0] + move * PARTS
        if move == 0 or 2 * end >= site.size:
            continue
        lines = spread(end, count, site.size)
        if _apart(site, lines) and all(_stands(site, at, site.others) for at in lines):
            return Equal(move, lines)
    return None


def spread(end: int, count: int, size: int) -> tuple[int, ...]:
    """Both ends alike and even between, mirrored, each to the nearest tick; halves toward the middle."""
    span, gaps = size - 2 * end, count - 1
    near = [end + (2 * number * span + gaps * PARTS) // (2 * gaps * PARTS) * PARTS for number in range(count // 2)]
    middle = [size // 2] if count % 2 else []
    return (*near, *middle, *(size - at for at in reversed(near)))


def _slide(site: Site) -> Slide | None:
    for move in _nearest(site.within.slide):
        others = tuple(at + move * PARTS for at in site.others)
        inside = others and others[0] >= site.edge and others[-1] <= site.other_size - site.edge
        if move and inside and all(_stands(site, at, others) for at in site.lines):
            return Slide(move, others)
    return None


# From a layout


class FinerThanATick(LengthError):
    """A length that isn't a whole hundredth of a tick, so a phone can't hold it."""

    def __init__(self) -> None:
        super().__init__("On site: that length is finer than a phone holds. Give it to 1/64 in or 0.01 mm.")


def parts(distance: Distance, unit: Unit) -> int:
    """Raises FinerThanATick."""
    whole: Fraction = distance.nm * PARTS / unit.tick.nm
    if whole.denominator != 1:
        raise FinerThanATick
    return int(whole)


def site_of(
    layout: RoomLayout, direction: Direction, clear: Length, within: Within, joists: Joists | None, found: Found | None
) -> Site:
    """A layout's lines on one axis as a phone takes them. Raises FinerThanATick.

    direction: the coordinate the joists stand on. clear: kept free beside framing.
    """
    arrangement, inputs = layout.arrangement, layout.inputs
    along = direction is Direction.ALONG
    sizes, lines = (layout.along.laid_out, layout.across.laid_out), (arrangement.columns, arrangement.rows)
    if not along:
        sizes, lines = (sizes[1], sizes[0]), (lines[1], lines[0])
    fitting = inputs.fittings[inputs.rows_of]
    radius, unit = fitting.cutout / 2, inputs.unit
    return Site(
        size=parts(sizes[0], unit),
        lines=tuple(parts(at, unit) for at in lines[0]),
        other_size=parts(sizes[1], unit),
        others=tuple(parts(at, unit) for at in lines[1]),
        keep=parts(radius + clear, unit),
        least=parts(fitting.cutout + inputs.web_min, unit),
        edge=parts(radius + inputs.edge_min, unit),
        within=within,
        joists=joists,
        found=found,
    )
