"""From lines to marks: what stands where the lines cross and between them, numbered as a crew counts it.

Numbers run along each row from the zero corner, row after row.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from layout.engine.findings import Code, Finding, counted
from layout.engine.lengths import Distance, Length
from layout.engine.marks import Kind, Mark
from layout.engine.pins import Moved
from layout.engine.rows.lines import mirrored_tick, on_a_tick
from layout.engine.rows.wish import Wish

LIGHTS_ZONE = "A"  # until somebody says which light is on which switch: layout.engine.switching

Place = tuple[int, Length, Length]  # row, along, across
Snap = Callable[[Distance, frozenset[Length]], Length]  # onto a tile's middle, past those that are taken


def set_out(
    wish: Wish,
    columns: tuple[Length, ...],
    rows: tuple[Length, ...],
    in_gaps: tuple[Length, ...],
    held: tuple[frozenset[int], frozenset[int]],
    snap_across: Snap | None = None,
    snap_along: Snap | None = None,
) -> tuple[Mark, ...]:
    """Lights row by row, then speakers, then the subwoofer. held: the numbers of the pinned columns and rows."""
    pinned_at = (
        frozenset(columns[number - 1] for number in held[0]),
        frozenset(rows[number - 1] for number in held[1]),
    )
    if wish.rows_of is Kind.SPEAKER:
        lights: list[Place] = []
        heard = [(row, along, across) for row, across in enumerate(rows, 1) for along in columns]
    else:
        lights = list(_lights(wish, columns, rows))
        heard = list(_speakers(wish, columns, rows, in_gaps, snap_across))

    def mark(ident: str, kind: Kind, place: Place, zone: str = "") -> Mark:
        row, along, across = place
        return Mark(ident, kind, along, across, row, zone, pinned=along in pinned_at[0] or across in pinned_at[1])

    marks = [mark(f"{LIGHTS_ZONE}{n}", Kind.LIGHT, place, LIGHTS_ZONE) for n, place in enumerate(lights, 1)]
    marks += [mark(f"SP{n}", Kind.SPEAKER, place) for n, place in enumerate(heard, 1)]
    if wish.subwoofer is not None:
        row, along, across = _subwoofer(wish, rows)
        if snap_along is not None:
            along = snap_along(along, frozenset(columns) if snap_across is None else frozenset())
        if snap_across is not None:
            across = snap_across(across, frozenset(rows))
        marks.append(Mark("SW1", Kind.SUBWOOFER, along, across, row))
    return tuple(marks)


def rows_with_speakers(wish: Wish, rows: int) -> frozenset[int]:
    if wish.speaker_rows:
        return frozenset(wish.speaker_rows)
    return frozenset() if wish.speakers_between else frozenset(range(1, rows + 1))


def speaker_positions(wish: Wish, columns: tuple[Length, ...], in_gaps: tuple[Length, ...]) -> tuple[Length, ...]:
    """Along a row or a line of their own."""
    if wish.rows_of is Kind.SPEAKER:
        return columns
    return tuple(sorted((*in_gaps, *(columns[number - 1] for number in wish.speaker_columns))))


def _lights(wish: Wish, columns: tuple[Length, ...], rows: tuple[Length, ...]) -> Iterator[Place]:
    with_speakers = rows_with_speakers(wish, len(rows))
    for row, across in enumerate(rows, 1):
        for number, along in enumerate(columns, 1):
            if row not in with_speakers or number not in wish.speaker_columns:
                yield row, along, across


def _speakers(
    wish: Wish,
    columns: tuple[Length, ...],
    rows: tuple[Length, ...],
    in_gaps: tuple[Length, ...],
    snap: Snap | None,
) -> Iterator[Place]:
    """Each row's own, then those on a line midway to the next row."""
    positions = speaker_positions(wish, columns, in_gaps)
    with_speakers = rows_with_speakers(wish, len(rows))
    for row, across in enumerate(rows, 1):
        if row in with_speakers:
            yield from ((row, along, across) for along in positions)
        if row in wish.speakers_between:
            middle = (across + rows[row]) / 2
            line = snap(middle, frozenset(rows)) if snap else mirrored_tick(middle, wish.across, wish.unit)
            yield from ((row, along, line) for along in positions)


def _subwoofer(wish: Wish, rows: tuple[Length, ...]) -> Place:
    """On the center line, halfway between the two middle rows: the middle of the room. With a row in the middle,
    halfway from that row to the next one; with one row, halfway from it to the far edge. Common practice, no source.
    """
    before = (len(rows) + 1) // 2
    near, beyond = rows[before - 1], (*rows, wish.across)[before]
    between = (near + beyond) / 2
    if between.nm * 2 % wish.unit.tick.nm:  # the middle of a room may stand on half a mark, nothing else does
        between = on_a_tick(between, wish.unit)
    return before, (wish.along / 2).exact(), between.exact()


def moved(marks: tuple[Mark, ...], moves: tuple[Moved, ...]) -> tuple[tuple[Mark, ...], tuple[Finding, ...]]:
    """The marks with each moved one alone where it was put, and what can't be moved because it isn't there."""
    found, placed = [], list(marks)
    for move in moves:
        theirs = [n for n, mark in enumerate(marks) if mark.kind is move.kind and mark.row == move.row]
        if not 1 <= move.number <= len(theirs):
            found.append(not_there(move, len(theirs)))
            continue
        at = theirs[move.number - 1]
        was = marks[at]
        placed[at] = replace(was, along=move.along, across=move.across, moved_from=(was.along, was.across))
    return tuple(placed), tuple(found)


def not_there(move: Moved, there: int) -> Finding:
    """there: how many of its kind are in its row."""
    name = f"{move.kind} {move.number} of row {move.row}"
    return Finding(Code.NO_SUCH_MARK, name, near=f"{counted(there, move.kind)} in that row")
