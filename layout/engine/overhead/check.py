"""Marks held against all that is overhead: what each is too near to, by how much, and how its frame is best turned.

Nothing is moved, and nothing is said to comply: clearances are what was entered, local code decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from layout.engine.lengths import ZERO, Distance
from layout.engine.marks import Kind, Mark
from layout.engine.overhead.footprint import Cut
from layout.engine.overhead.legal import Legal, Short, clear_at
from layout.engine.overhead.stand import Direction, Standing, StandingMember

FRAMING = "free material beside framing: common practice, no source"


@dataclass(frozen=True, slots=True)
class Conflict:
    """One mark too near one thing. on: the coordinate to move on where it is a member; None for a thing, whose
    distance is the shortest one. short_by: exact, or to the nanometer above where the distance is slanted.
    """

    mark: str
    kind: Kind
    what: str  # 'joist 3', 'supply register'
    entry: str  # the entry of the clearance table; '' for framing
    part: str  # what of the fixture is too near: hole, frame, center
    on: Direction | None
    short_by: Distance
    clear: Distance  # what is to be kept
    fixed: bool  # no way out takes from it
    source: str
    note: str
    turn: int  # how the frame was turned, on the plan


def in_the_way(
    marks: Iterable[Mark],
    fittings: Mapping[Kind, Cut],
    standing: Standing,
    turns: Mapping[str, int] | None = None,
    legal: Mapping[Kind, Legal] | None = None,
) -> tuple[Conflict, ...]:
    """Every conflict of every mark, in the marks' order, each mark's worst first. turns: as best_turns gives them.

    legal: as places_of gives it, where it was worked out before.
    """
    marks = tuple(marks)
    legal = places_of(marks, fittings, standing) if legal is None else legal
    chosen = _turns(marks, legal) if turns is None else turns
    return tuple(
        _conflict(mark, short, chosen[mark.id])
        for mark in marks
        for short in legal[mark.kind].shorts(mark.along, mark.across, chosen[mark.id])
    )


def best_turns(
    marks: Iterable[Mark],
    fittings: Mapping[Kind, Cut],
    standing: Standing,
    legal: Mapping[Kind, Legal] | None = None,
) -> dict[str, int]:
    """How each mark's frame is turned so that it clears best, by the mark's ID.

    One turn for all of a kind where one clears them all, else one for each row where one does, else for each mark. Of
    turns that clear alike, the one with the most room beside framing.
    """
    marks = tuple(marks)
    return _turns(marks, places_of(marks, fittings, standing) if legal is None else legal)


def places_of(marks: Iterable[Mark], fittings: Mapping[Kind, Cut], standing: Standing) -> dict[Kind, Legal]:
    """Where each kind of these marks may stand."""
    return {kind: clear_at(fittings[kind], standing) for kind in {mark.kind for mark in marks}}


def _turns(marks: tuple[Mark, ...], legal: Mapping[Kind, Legal]) -> dict[str, int]:
    chosen: dict[str, int] = {}
    for kind, places in legal.items():
        alike = [mark for mark in marks if mark.kind is kind]
        if len(places.turns) == 1:
            chosen |= {mark.id: places.turns[0] for mark in alike}
        else:
            chosen |= _turned_together(alike, places)
    return chosen


def _turned_together(marks: list[Mark], places: Legal) -> dict[str, int]:
    missing = {
        (mark.id, turn): places.shortfall(mark.along, mark.across, turn) for mark in marks for turn in places.turns
    }

    beside = {
        (mark.id, turn): places.room_beside_framing(mark.along, mark.across, turn)
        for mark in marks
        for turn in places.turns
    }

    def best(group: list[Mark], turns: Iterable[int]) -> int:
        return min(turns, key=lambda turn: (max(missing[mark.id, turn].nm for mark in group), -room(group, turn)))

    def room(group: list[Mark], turn: int) -> Fraction:
        free = (beside[mark.id, turn] for mark in group)
        return min((each.nm for each in free if each is not None), default=ZERO.nm)

    chosen: dict[str, int] = {}
    for group in _groups(marks):
        clearing = [turn for turn in places.turns if all(not missing[mark.id, turn] for mark in group)]
        for mark in group:
            if mark.id not in chosen and (clearing or len(group) == 1):
                chosen[mark.id] = best(group, clearing or places.turns)
    return chosen


def _groups(marks: list[Mark]) -> Iterator[list[Mark]]:
    """All of them, then row by row, then one by one."""
    yield marks
    for row in sorted({mark.row for mark in marks}):
        yield [mark for mark in marks if mark.row == row]
    yield from ([mark] for mark in marks)


def _conflict(mark: Mark, short: Short, turn: int) -> Conflict:
    of = short.of
    if isinstance(of, StandingMember):
        entry, on, fixed, source, note = "", of.on, True, FRAMING, ""
    else:
        entry, on, fixed, source, note = of.what, None, of.fixed, of.source, of.note
    return Conflict(
        mark.id, mark.kind, of.name, entry, short.part, on, short.by, of.clear, fixed, source, note, turn
    )
