"""What a mark-out card says: values only, ready to print. Must not know how a position was found or how a page is set.

Every text and number arrives as it will be read; the plan arrives as a drawing's values. Nothing here is computed from
the database, so a card can be printed again, byte for byte, from what a revision kept.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from layout.drawing import Datum, PlanDrawing, RunningDimension, last_to_wall, running
from layout.engine.lengths import Distance
from layout.engine.marks import Axis, Kind, Side


class PullAt(StrEnum):
    """Where the tape lies when the big numbers are pulled."""

    BOTTOM_PLATE = "bottom plate"
    TOP_PLATE = "top plate"
    FINISHED_FACE = "finished face at the ceiling"


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One tape check before anything is marked: what to pull, and what the tape should say."""

    what: str
    expect: str


@dataclass(frozen=True, slots=True)
class CheckFirst:
    """The room is proved before it is marked.

    lines: length, width, and either both diagonals or a 3-4-5. allowed: how far off is still good.
    if_it_fails: the next move. squared: False when no diagonal was measured.
    framing: what is overhead, to be found where it was entered. if_framing_differs: the next move.
    """

    lines: tuple[CheckLine, ...]
    allowed: str
    if_it_fails: str
    squared: bool = True
    framing: tuple[CheckLine, ...] = ()
    if_framing_differs: str = ""


@dataclass(frozen=True, slots=True)
class NumberColumn:
    """One running number. big: from the card's own zero; small: (face, number) for the other faces.

    ids: the marks at this number; kinds: what they are, each once. also: (name, number) of what else a tape or a count
    says of this place, as the distance on a slope, or the tile.
    """

    big: str
    small: tuple[tuple[Datum, str], ...]
    ids: tuple[str, ...]
    kinds: tuple[Kind, ...]
    also: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class NumberRow:
    """All running numbers one way. pulled_from, to_wall: names of the walls. last: last mark to that wall, boxed.

    said: what has to be known to read them, if anything.
    """

    pulled_from: str
    to_wall: str
    columns: tuple[NumberColumn, ...]
    last: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class Cutout:
    """A hole's size for one type. verified_by: who held a fixture to a test hole; None prints "do not cut"."""

    type_name: str
    kind: Kind
    size: str
    verified_by: str | None = None


@dataclass(frozen=True, slots=True)
class Zone:
    """Lights switched together."""

    letter: str
    what: str


@dataclass(frozen=True, slots=True)
class Note:
    """What a crew has to know besides the numbers, under its own name."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MarkRow:
    """One mark from the card's own zero."""

    id: str
    kind: Kind
    along: str
    across: str


@dataclass(frozen=True, slots=True)
class CardSheet:
    """Everything on one room's card. datum: the face whose numbers are big.

    framing_checked: False prints that nobody has entered the framing. check_url: where a phone finds out whether this
    card is still right; None says that a phone can't. zero: the zero corner in words. center_lines: the other way to
    lay the room out, which needs no wall length. remainder: what the build-ups leave over and where it goes.
    not_cut: the marks that can't stay where they are, and wont_fit: why, in words. notes: frames, heights, what a
    person holds. may_move: how far a crew may move lines without asking. title: what this card is for, where it isn't
    the mark-out card. also: where there is more of it, in another language.
    """

    job_number: str
    job_name: str
    room: str
    level: str
    on: date
    revision: int
    hash: str
    datum: Datum
    pull_at: PullAt
    zero: str
    check: CheckFirst
    along: NumberRow
    across: NumberRow
    plan: PlanDrawing
    marks: tuple[MarkRow, ...]
    ask: str
    check_url: str | None = None
    measured: str = ""
    framing_checked: bool = True
    cutouts: tuple[Cutout, ...] = ()
    zones: tuple[Zone, ...] = ()
    height: str = ""
    remainder: str = ""
    cautions: tuple[str, ...] = ()
    center_lines: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    not_cut: str = ""
    wont_fit: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    may_move: str = ""
    title: str = ""
    also: str = ""


Also = Callable[[Distance], tuple[tuple[str, str], ...]]


def number_row(plan: PlanDrawing, way: Axis, also: Also | None = None, said: str = "") -> NumberRow:
    """All running numbers of a plan one way, from its datum, each with its marks and the other faces' numbers.

    also: what else is said of a position, from the ceiling's edge.
    """
    turn, tape = plan.orientation, plan.tape
    zero, end = turn.zero_side(way), turn.end_side(way)
    along = turn.rows_run is way
    inset = plan.inset(zero, plan.datum)
    at = {one.mark.id: one.mark.along if along else one.mark.across for one in plan.marks}
    kinds = {one.mark.id: one.mark.kind for one in plan.marks}
    columns = []
    numbers = running(at.items(), tape, inset, way.value)
    for number in numbers:
        ids = tuple(one for one, place in at.items() if tape.rounded(place + inset) == tape.rounded(number.at + inset))
        column = _column(plan, number, ids, tuple(dict.fromkeys(kinds[one] for one in ids)), zero)
        columns.append(replace(column, also=also(number.at)) if also else column)
    ceiling = plan.ceiling_wide if way is Axis.LEFT_RIGHT else plan.ceiling_deep
    wall = ceiling + inset + plan.inset(end, plan.datum)
    last = last_to_wall(wall, numbers[-1].at + inset, tape) if numbers else ""
    return NumberRow(plan.names.of(zero), plan.names.of(end), tuple(columns), last, said)


def _column(
    plan: PlanDrawing, number: RunningDimension, ids: tuple[str, ...], kinds: tuple[Kind, ...], zero: Side
) -> NumberColumn:
    others = tuple(
        (face, plan.tape.show(number.at + plan.inset(zero, face), mark=False))
        for face in plan.faces
        if face is not plan.datum
    )
    return NumberColumn(number.text, others, ids, kinds)


def mark_rows(plan: PlanDrawing) -> tuple[MarkRow, ...]:
    """The plan's marks from its datum, in its own order."""
    turn = plan.orientation
    along, across = (plan.inset(turn.zero_side(axis), plan.datum) for axis in (turn.rows_run, turn.rows_run.other))

    def show(place: Distance) -> str:
        return plan.tape.show(place, mark=False)

    return tuple(
        MarkRow(one.mark.id, one.mark.kind, show(one.mark.along + along), show(one.mark.across + across))
        for one in plan.marks
    )


ID = re.compile(r"(\D*)(\d+)")


def in_ranges(ids: Sequence[str]) -> str:
    """A1 A2 A3 SP1 as A1–A3 SP1: three or more in a row are written as a range."""
    runs: list[list[str]] = []
    for one in ids:
        if runs and _next(runs[-1][-1]) == one:
            runs[-1].append(one)
        else:
            runs.append([one])
    return " ".join(f"{run[0]}–{run[-1]}" if len(run) > 2 else " ".join(run) for run in runs)


def _next(one: str) -> str | None:
    parts = ID.fullmatch(one)
    return f"{parts[1]}{int(parts[2]) + 1}" if parts else None
