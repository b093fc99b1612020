"""Whether what goes through a hole is too deep for what is above it. Knows framing, ducts and pipes; judges no layout.

    ------------------------------------ underside of what is above
         keep: what is left free at the top
       +---------+
       | housing |      ( duct )
       +---------+      leaves: what is left under it
    ====================================  drywall's face
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from layout.engine.lengths import Distance, Length
from layout.engine.marks import Kind, Mark
from layout.engine.overhead.bays import bay_at
from layout.engine.overhead.check import best_turns, places_of
from layout.engine.overhead.footprint import Cut
from layout.engine.overhead.legal import Legal
from layout.engine.overhead.stand import Direction, Standing, StandingThing


@dataclass(frozen=True, slots=True)
class TooDeep:
    """One mark whose fixture is deeper than what is free where it stands."""

    mark: str
    kind: Kind
    bay: str  # 'joists 3 and 4'; '' where no framing is known
    under: str  # the thing above it, 'duct'; '' where it is the cavity itself
    free: Distance
    takes: Length
    short_by: Distance
    fixed: bool = True


def too_deep(
    marks: Iterable[Mark],
    fittings: Mapping[Kind, Cut],
    standing: Standing,
    turns: Mapping[str, int] | None = None,
    legal: Mapping[Kind, Legal] | None = None,
) -> tuple[TooDeep, ...]:
    """Every mark whose fixture is too deep where it stands, at its tightest place. turns: as best_turns gives them.
    legal: as places_of gives it, where it was worked out before.

    A fixture whose depth nobody gave, or a cavity nobody measured, is not judged: nothing is known.
    """
    marks = tuple(marks)
    legal = places_of(marks, fittings, standing) if legal is None else legal
    if turns is None:
        turns = best_turns(marks, fittings, standing, legal)
    found = (_tightest(mark, fittings[mark.kind], standing, legal[mark.kind], turns[mark.id]) for mark in marks)
    return tuple(each for each in found if each is not None)


def _tightest(mark: Mark, fitting: Cut, standing: Standing, legal: Legal, turn: int) -> TooDeep | None:
    if fitting.depth is None:
        return None
    free = min(_free(mark, standing, legal, turn), key=lambda one: one[0].nm, default=None)
    if free is None or free[0] >= fitting.depth:
        return None
    room, under = free
    return TooDeep(mark.id, mark.kind, _bay(mark, standing), under, room, fitting.depth, fitting.depth - room)


def _free(mark: Mark, standing: Standing, legal: Legal, turn: int) -> Iterator[tuple[Distance, str]]:
    """The depths that are free over a mark, and what each is under. What is only too near a duct is not under it."""
    if standing.cavity is not None:
        yield standing.cavity.depth - standing.cavity.keep, ""
    for short in legal.shorts(mark.along, mark.across, turn):
        of = short.of
        if isinstance(of, StandingThing) and of.above and of.leaves is not None and short.by > of.clear:
            yield of.leaves, of.name


def _bay(mark: Mark, standing: Standing) -> str:
    places = ((Direction.ALONG, mark.along), (Direction.ACROSS, mark.across))
    bays = [bay for direction, at in places if (bay := bay_at(standing, direction, at))]
    return ", ".join(bay.name for bay in bays)
