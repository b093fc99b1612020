"""Framing that is still to be laid, a cloud's or a furred lid's: where it misses every hole and every frame.

A pattern is a direction, a spacing and a first member. For one direction and spacing each mark forbids the first
members that would bring one too near; what no mark forbids is found exactly, once round the spacing. Whether the
framing carries its load is not looked at: whoever is licensed for it says what size and spacing do.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, product
from math import lcm

from layout.engine.lengths import ZERO, Distance, Length, Unit, inches, mm
from layout.engine.marks import Datum, Kind, Mark, Orientation
from layout.engine.overhead.footprint import Cut, frame, hole, turns_of
from layout.engine.overhead.stand import Direction, OverheadError
from layout.engine.overhead.values import Joists

# What framing is spaced at, center to center. Common practice, no source.
SPACINGS: dict[Unit, tuple[Distance, ...]] = {
    Unit.INCH: (inches(12), inches(16), inches("19.2"), inches(24)),
    Unit.MM: (mm(300), mm(400), mm(600)),
}
HEADERS = 2  # one at each side of a hole, where a member is cut: common practice, no source


@dataclass(frozen=True, slots=True)
class Framing:
    """One pattern. runs: the way its members run; first and to_edge: from the zero edge to the first member's center,
    from the last one's to the far edge. hits: the marks it does not miss; blocking: the pieces their openings take.
    play: how far the first member may be off either way, with nothing lost. turns: how each kind's frame is turned.
    """

    runs: Direction
    spacing: Distance
    first: Distance
    members: int
    to_edge: Distance
    hits: tuple[str, ...]
    blocking: int
    play: Distance
    turns: tuple[tuple[Kind, int], ...]


@dataclass(frozen=True, slots=True)
class Lid:
    """What is framed: its sizes edge to edge, the members' width, and the free material kept beside each."""

    orientation: Orientation
    along: Distance
    across: Distance
    unit: Unit
    width: Length
    clear: Length


def framings(
    marks: Iterable[Mark],
    fittings: Mapping[Kind, Cut],
    lid: Lid,
    spacings: Iterable[Distance] = (),
) -> tuple[Framing, ...]:
    """The best pattern for each direction and spacing: what misses most comes first, then what takes fewest members.

    spacings: SPACINGS of the ceiling's unit where none are given. Raises OverheadError.
    """
    marks = tuple(marks)
    wanted = tuple(spacings) or SPACINGS[lid.unit]
    if any(spacing <= lid.width for spacing in wanted) or lid.width <= ZERO:
        raise OverheadError("Framing: give a width of more than 0, and a spacing, center to center, wider than that.")
    found = [
        _best(marks, fittings, lid, runs, spacing) for runs in Direction for spacing in wanted
    ]
    return tuple(sorted(found, key=lambda each: (len(each.hits), each.members, -each.play.nm)))


def as_joists(framing: Framing, lid: Lid) -> Joists:
    """A pattern as what is overhead, measured from the ceiling's edge at the zero corner."""
    run = lid.orientation.rows_run
    axis = run if framing.runs is Direction.ALONG else run.other
    return Joists(
        runs=axis,
        spacing=framing.spacing,
        width=lid.width,
        first=framing.first,
        first_from=lid.orientation.zero_side(axis.other),
        datum=Datum.EDGE,
        clear=lid.clear,
    )


def _best(
    marks: tuple[Mark, ...], fittings: Mapping[Kind, Cut], lid: Lid, runs: Direction, spacing: Distance
) -> Framing:
    """Every way the kinds' frames may be turned is tried."""
    kinds = sorted({mark.kind for mark in marks})
    ways = product(*(turns_of(fittings[kind]) for kind in kinds))
    tried = [_laid(marks, fittings, lid, runs, spacing, dict(zip(kinds, turns, strict=True))) for turns in ways]
    return min(tried, key=lambda each: (len(each.hits), -each.play.nm))


def _laid(
    marks: tuple[Mark, ...],
    fittings: Mapping[Kind, Cut],
    lid: Lid,
    runs: Direction,
    spacing: Distance,
    turns: dict[Kind, int],
) -> Framing:
    """Distances are whole numbers in here: nanometers times a scale that leaves no fraction, halves included."""
    on = runs.other
    size = lid.along if on is Direction.ALONG else lid.across
    scale = 2 * lcm(spacing.nm.denominator, size.nm.denominator)
    pitch, end = int(spacing.nm * scale), int(size.nm * scale)
    reach = {kind: _reach(fittings[kind], turn, lid, on) for kind, turn in turns.items()}
    past = int((lid.width.nm / 2 + lid.clear.nm) * scale)
    bans = []
    for mark in marks:
        at = mark.along if on is Direction.ALONG else mark.across
        low, high = (int((at.nm + each.nm) * scale) for each in reach[mark.kind])
        bans.append((max(low, -past), min(high, end + past)))  # what is farther past an edge is not there
    low, high = quietest(bans, pitch)
    first = _on_a_tick(low, high, int(lid.unit.tick.nm * scale), pitch)
    hits = tuple(mark.id for mark, ban in zip(marks, bans, strict=True) if _meets(ban, first, pitch))
    members = max(0, (end - first) // pitch + 1)
    return Framing(
        runs=runs,
        spacing=spacing,
        first=_distance(first, scale),
        members=members,
        to_edge=_distance(end - first - pitch * max(0, members - 1), scale),
        hits=hits,
        blocking=HEADERS * len(hits),
        play=_distance(min(first - low, high - first), scale),
        turns=tuple(turns.items()),
    )


def _reach(fitting: Cut, turn: int, lid: Lid, on: Direction) -> tuple[Distance, Distance]:
    """From a mark to the centers of the nearest members it leaves alone, before it and after it."""
    prints = [hole(fitting)]
    if fitting.frame is not None:
        prints.append(frame(fitting.frame, turn, lid.orientation))
    beside = lid.clear + lid.width / 2
    ends = []
    for each in prints:
        off, half = (each.off_along, each.half_along) if on is Direction.ALONG else (each.off_across, each.half_across)
        ends.append((off - half - each.radius - beside, off + half + each.radius + beside))
    return min(low for low, _ in ends), max(high for _, high in ends)


def quietest(bans: Iterable[tuple[int, int]], pitch: int) -> tuple[int, int]:
    """The widest stretch of first members that the fewest bans forbid, its middle within 0 to pitch.

    A ban is an open stretch of places for a member; a pattern has one at each first + k x pitch. The stretch found is
    closed, and may be one point. What is longer than the pitch is forbidden anywhere and changes no choice.
    """
    arcs = Counter((low % pitch, high - low) for low, high in bans if 0 < high - low <= pitch)
    places = sorted({end % pitch for low, length in arcs for end in (low, low + length)})
    if not places:
        return 0, pitch
    crowd = _crowd(arcs, places, pitch)
    least = min(crowd)
    low, high = max(_stretches([each == least for each in crowd], places, pitch), key=lambda one: one[1] - one[0])
    turns = (low + high) // 2 // pitch * pitch
    return low - turns, high - turns


def _crowd(arcs: Counter[tuple[int, int]], places: list[int], pitch: int) -> list[int]:
    """How many bans forbid each place, and the open stretch after it, by turns: place 0, stretch 0, place 1, ..."""
    number = {place: 2 * at for at, place in enumerate(places)}
    round_it = 2 * len(places)
    change = [0] * (2 * round_it + 1)
    for (low, length), count in arcs.items():
        start, end = number[low] + 1, number[(low + length) % pitch]
        change[start] += count
        change[end if end > start else end + round_it] -= count
    twice = list(accumulate(change[:-1]))
    return [first + second for first, second in zip(twice[:round_it], twice[round_it:], strict=True)]


def _stretches(quiet: list[bool], places: list[int], pitch: int) -> Iterator[tuple[int, int]]:
    """The closed stretches of quiet places, once round."""
    count = len(places)
    if all(quiet):
        yield 0, pitch
        return
    for at, place in enumerate(places):
        if not quiet[2 * at] or quiet[2 * at - 1]:
            continue  # no stretch begins here
        end = at
        while quiet[(2 * end + 1) % (2 * count)]:
            end += 1
        yield place, places[end % count] + pitch * (end // count)


def _on_a_tick(low: int, high: int, tick: int, pitch: int) -> int:
    """The tape mark nearest the middle of a stretch, or its middle where no mark is in it."""
    middle = (low + high) // 2
    beside = (middle // tick * tick, -(-middle // tick) * tick)
    inside = [at for at in beside if max(low, 0) <= at <= min(high, pitch - 1)]
    return min(inside, key=lambda at: abs(at - middle), default=middle)


def _meets(ban: tuple[int, int], first: int, pitch: int) -> bool:
    """Whether a member of the pattern stands in an open stretch."""
    low, high = ban
    return low + ((first - low - 1) % pitch) + 1 < high


def _distance(whole: int, scale: int) -> Distance:
    return ZERO + Distance(Fraction(whole, scale))
