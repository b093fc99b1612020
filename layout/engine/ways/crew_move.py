"""What a crew may move on site without asking: a mark's line along the joists, the line that mirrors it with it.

Within a limit set for the job, counted from the layout itself and not from the last move, so that moves don't creep.
Nothing is stored and nobody is asked here: what asks for a yes is named. Source: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from math import isqrt

from layout.engine import checks
from layout.engine.findings import Finding
from layout.engine.lengths import ZERO, Distance, Length, inches
from layout.engine.marks import Mark
from layout.engine.overhead.check import best_turns, in_the_way, places_of
from layout.engine.overhead.depth import too_deep
from layout.engine.overhead.stand import Direction
from layout.engine.room import RoomLayout
from layout.engine.rows.arrange import cut_square, cutouts, limits

# A mark no farther off than this stands where it was meant to. People see a row waver by more than 1/8 in; common
# practice, no source.
ON_THE_MARK = inches("1/8")
# Past this a moved mark changes the cable count and the bid. Common practice, no source.
CHANGES_THE_CABLE = inches(12)

Place = tuple[Length, Length]  # along and across, from the ceiling's zero corner


class Asks(StrEnum):
    """Why somebody has to be asked."""

    ALONE = "alone"  # the mark would leave its line
    MIDDLE = "middle"  # its line is the middle one: nothing mirrors it
    SHAPE = "shape"  # zones, an outline or tiles: lines there don't stand for themselves
    FRAMING = "framing"  # nobody entered which way the joists run
    ACROSS = "across"  # not along the joists
    LIMIT = "limit"  # farther from the layout than may move
    OVERHEAD = "overhead"  # onto a joist, too near something overhead, or too deep there
    RULES = "rules"  # past a limit of the shop that the layout kept


@dataclass(frozen=True, slots=True)
class Why:
    """One reason to ask. mark: the one it is told of. by: how far too far or too near. near: beside what."""

    asks: Asks
    mark: str
    by: Distance | None = None
    near: str = ""
    finding: Finding | None = None
    fixed: bool = False  # nothing takes from it, and no hole is cut there


@dataclass(frozen=True, slots=True)
class CrewMove:
    """What moves with one mark, and why somebody has to be asked; no why: nobody has to be.

    moves: where each mark then goes that goes elsewhere, by its ID, in the layout's order, the asked one among them.
    far: the farthest of them from where the layout has it.
    """

    moves: Mapping[str, Place]
    asks: tuple[Why, ...]
    far: Distance

    @property
    def free(self) -> bool:
        return not self.asks

    @property
    def changes_the_cable(self) -> bool:
        return self.far > CHANGES_THE_CABLE


def on_the_mark(at: Place, to: Place) -> bool:
    """Whether a mark is set where it was to go, to what is seen in a row."""
    return all(abs(one - other) <= ON_THE_MARK for one, other in zip(at, to, strict=True))


def crew_move(
    layout: RoomLayout, moved: Mapping[str, Place], ident: str, to: Place, most: Length, *, alone: bool = False
) -> CrewMove:
    """What follows when a mark is put elsewhere: its lines go with it, and the lines that mirror them the other way.

    moved: where marks go by now that were moved before. most: how far from the layout is nobody's business.
    alone: this mark leaves its line. Raises KeyError where there is no such mark.
    """
    now = {mark.id: moved.get(mark.id, (mark.along, mark.across)) for mark in layout.arrangement.marks}
    by = to[0] - now[ident][0], to[1] - now[ident][1]
    kinds = {mark.id: mark.kind for mark in layout.arrangement.marks}
    sizes = layout.along.laid_out, layout.across.laid_out
    shifted = {ident: to} if alone else _lines(now, kinds, ident, by, sizes)
    marks = tuple(_at(mark, shifted.get(mark.id, now[mark.id])) for mark in layout.arrangement.marks)
    before = tuple(_at(mark, now[mark.id]) for mark in layout.arrangement.marks)
    far = _farthest(layout, shifted)
    why = (
        *_out_of_line(now, kinds, ident, by, sizes, alone),
        *_joists(layout, ident, by),
        *_past(ident, far, most),
        *_overhead(layout, marks, shifted),
        *_rules(layout, before, marks),
    )
    in_order = {mark.id: shifted[mark.id] for mark in layout.arrangement.marks if mark.id in shifted}
    return CrewMove(in_order, why, far[1])


def _at(mark: Mark, place: Place) -> Mark:
    return replace(mark, along=place[0], across=place[1])


def _lines(
    now: Mapping[str, Place], kinds: Mapping[str, object], ident: str, by: tuple[Distance, Distance],
    sizes: tuple[Length, Length],
) -> dict[str, Place]:  # fmt: skip
    """The marks on its line with it, those on the mirror line as far the other way; each coordinate by itself."""
    shifted: dict[str, list[Length]] = {}
    for way in (0, 1):
        if not by[way]:
            continue
        line = now[ident][way]
        mirror = sizes[way] - line
        both = line != mirror and _alike(now, kinds, way, line, mirror)
        for one, place in now.items():
            step = by[way] if place[way] == line else -by[way] if both and place[way] == mirror else ZERO
            if step:
                shifted.setdefault(one, list(place))[way] = (place[way] + step).exact()
    return {one: (place[0], place[1]) for one, place in shifted.items()}


def _alike(now: Mapping[str, Place], kinds: Mapping[str, object], way: int, line: Distance, mirror: Distance) -> bool:
    """Whether two lines carry the same at the same places: then the one mirrors the other."""
    here, there = (
        sorted((str(kinds[one]), int(place[1 - way])) for one, place in now.items() if place[way] == at)
        for at in (line, mirror)
    )
    return here == there


def _out_of_line(
    now: Mapping[str, Place], kinds: Mapping[str, object], ident: str, by: tuple[Distance, Distance],
    sizes: tuple[Length, Length], alone: bool,
) -> Iterator[Why]:  # fmt: skip
    if alone:
        yield Why(Asks.ALONE, ident)
        return
    for way in (0, 1):
        if by[way] and now[ident][way] * 2 == sizes[way]:
            yield Why(Asks.MIDDLE, ident)


def _joists(layout: RoomLayout, ident: str, by: tuple[Distance, Distance]) -> Iterator[Why]:
    """Along the joists nothing comes onto one; the other way it may."""
    inputs, standing = layout.inputs, layout.standing
    if inputs.outline or inputs.regions or inputs.grid is not None:
        yield Why(Asks.SHAPE, ident)
    if not standing.looked:
        yield Why(Asks.FRAMING, ident)
    spaced_on = {member.on for member in (*standing.members, *standing.beyond)}
    for way, direction in enumerate(Direction):
        if by[way] and direction in spaced_on:
            yield Why(Asks.ACROSS, ident, abs(by[way]))


def _farthest(layout: RoomLayout, shifted: Mapping[str, Place]) -> tuple[int, Distance, str]:
    """From where the layout has it: the square of the farthest, that to the nanometer above, and whose it is."""
    from_layout = {
        mark.id: (int(shifted[mark.id][0]) - int(mark.along), int(shifted[mark.id][1]) - int(mark.across))
        for mark in layout.arrangement.marks
        if mark.id in shifted
    }
    squares = ((dx * dx + dy * dy, one) for one, (dx, dy) in from_layout.items())
    square, one = max(squares, key=lambda found: found[0], default=(0, ""))
    root = isqrt(square)
    return square, Distance(Fraction(root + (root * root < square))), one


def _past(ident: str, far: tuple[int, Distance, str], most: Length) -> Iterator[Why]:
    if far[0] > int(most) ** 2:
        yield Why(Asks.LIMIT, far[2] or ident, far[1] - most)


def _overhead(layout: RoomLayout, marks: tuple[Mark, ...], shifted: Iterable[str]) -> Iterator[Why]:
    fittings, standing = layout.inputs.fittings, layout.standing
    legal = places_of(marks, fittings, standing)
    turns = best_turns(marks, fittings, standing, legal)
    there = set(shifted)
    for one in in_the_way(marks, fittings, standing, turns, legal):
        if one.mark in there:
            yield Why(Asks.OVERHEAD, one.mark, one.short_by, one.what, fixed=one.fixed)
    for deep in too_deep(marks, fittings, standing, turns, legal):
        if deep.mark in there:
            yield Why(Asks.OVERHEAD, deep.mark, deep.short_by, deep.under or deep.bay, fixed=deep.fixed)


def _rules(layout: RoomLayout, before: tuple[Mark, ...], after: tuple[Mark, ...]) -> Iterator[Why]:
    """What the shop holds its layouts to and the layout kept, or broke by less."""
    old = {finding.code: finding for finding in _found(layout, before)}
    for finding in _found(layout, after):
        if finding.code not in old or _worse(finding, old[finding.code]):
            yield Why(Asks.RULES, finding.subject.partition(",")[0], finding.short_by, finding=finding)


def _worse(one: Finding, other: Finding) -> bool:
    return one.short_by is not None and (other.short_by is None or one.short_by > other.short_by)


def _found(layout: RoomLayout, marks: tuple[Mark, ...]) -> tuple[Finding, ...]:
    wish = layout.arrangement.wish
    return checks.check(
        marks, cutouts(wish), wish.along, wish.across, limits(wish), wish.rows_of, cut_square(wish)
    )


def may_stay(layout: RoomLayout, ident: str, place: Place) -> tuple[Why, ...]:
    """What a hole at a place would cut into or stop short under: framing, alarms, hot and rated things, depth.

    What a person may waive is left out: it is told with the layout.
    """
    marks = tuple(_at(mark, place) if mark.id == ident else mark for mark in layout.arrangement.marks)
    return tuple(why for why in _overhead(layout, marks, (ident,)) if why.fixed)
