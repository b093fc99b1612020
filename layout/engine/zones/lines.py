"""Lines that several zones, or a room and its neighbor, stand on together: shared across a join, filled up to the
walls, drawn onto near ones, held through a doorway. One axis at a time. Knows no outline and no marks.

Common practice, no source: what is seen in one look reads as one line, or as a mistake.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from layout.engine.lengths import Distance, Length, Unit, inches
from layout.engine.pins import Line, Pin
from layout.engine.rows.lines import on_a_tick

ALIKE_WITHIN = inches(1)  # lines of two ceilings nearer than this look like one line put down badly


@dataclass(frozen=True, slots=True)
class Opening:
    """A doorway or the mouth of a hall, from the end of the wall line both rooms are measured along."""

    start: Distance
    end: Distance


@dataclass(frozen=True, slots=True)
class OwnRows:
    """A room's own rows beside a neighbor. edge: its ceiling's edge on the zero side, along the common wall line.

    rows: where they would stand without the neighbor, from that edge. backward: they count against the wall line.
    """

    edge: Distance
    size: Length
    rows: tuple[Distance, ...]
    unit: Unit
    backward: bool = False


def rows_through(neighbor_rows: Sequence[Distance], opening: Opening, own: OwnRows) -> tuple[Pin, ...]:
    """The pins that hold own rows on the neighbor's lines that can be seen through an opening.

    Args: neighbor_rows: from the end of the common wall line the opening is measured from.
    Each line takes one row, in order, so that the rows move least in all. Lines that pass no opening, or stand on no
    part of the own ceiling, hold nothing.
    """
    seen = sorted({at.nm for at in neighbor_rows if opening.start <= at <= opening.end})
    from_edge = [own.edge.nm - at if own.backward else at - own.edge.nm for at in seen]
    lines = sorted(at for at in from_edge if 0 < at < own.size.nm)
    pairs = _in_order(lines, [row.nm for row in sorted(own.rows, key=lambda row: row.nm)])
    return tuple(Pin(Line.ROW, number + 1, on_a_tick(Distance(at), own.unit)) for at, number in pairs)


def _in_order(lines: Sequence[Fraction], rows: Sequence[Fraction]) -> list[tuple[Fraction, int]]:
    """As many pairs of a line and a row as there can be, neither crossing another, moved least in all."""
    if len(lines) > len(rows):
        return [(lines[line], row) for row, line in enumerate(_chosen(rows, lines))]
    return [(lines[line], row) for line, row in enumerate(_chosen(lines, rows))]


def _chosen(few: Sequence[Fraction], many: Sequence[Fraction]) -> list[int]:
    """For each of the few, the number of its own one of the many: ascending, the sum of the distances least."""
    best: list[tuple[Fraction, list[int]] | None] = [(Fraction(0), [])] * (len(many) + 1)
    for n, at in enumerate(few):
        longer: list[tuple[Fraction, list[int]] | None] = [None] * (len(many) + 1)
        for taken in range(n + 1, len(many) + 1):
            without, before = longer[taken - 1], best[taken - 1]
            if before is not None:
                cost = before[0] + abs(at - many[taken - 1])
                if without is None or cost < without[0]:
                    without = cost, [*before[1], taken - 1]
            longer[taken] = without
        best = longer
    found = best[-1]
    return found[1] if found else []


def shared(lines: Sequence[Length], start: Length, size: Length, margin: Distance) -> tuple[Length, ...]:
    """A neighbor's lines a zone takes over, from the zone's own edge: those a hole's margin or more inside it."""
    inside = (line - start for line in lines)
    return tuple(at.exact() for at in inside if margin <= at <= size - margin)


def filled(
    held: Sequence[Length], size: Length, off_wall: Distance, limit: Length, unit: Unit
) -> tuple[Length, ...]:
    """Shared lines and what stands between them and the zone's two edges, spread evenly.

    A stretch gets lines of its own where the first shared one stands more than half the spacing limit farther from the
    edge than the outer lights are wanted.
    """
    before = [on_a_tick(off_wall + part, unit) for part in _parts(held[0] - off_wall, limit)]
    after = [on_a_tick(size - off_wall - part, unit) for part in _parts(size - held[-1] - off_wall, limit)]
    return (*before, *held, *reversed(after))


def _parts(stretch: Distance, limit: Length) -> list[Distance]:
    """Where lines stand on a stretch whose far end has one already."""
    if 2 * stretch.nm <= limit.nm:
        return []
    count = ceil(stretch.nm / limit.nm)
    return [stretch * Fraction(n, count) for n in range(count)]


def lines_needed(size: Length, off_wall: Distance, limit: Length) -> int:
    """How many lines a zone gets that nobody counted: the fewest that keep the limit between the outer ones.

    One down its middle, as in a hall, up to the spacing limit, and where two would stand nearer than half of it.
    """
    between = size - 2 * off_wall
    if size <= limit or 2 * between < limit:
        return 1
    return ceil(between.nm / limit.nm) + 1


def drawn_onto(own: Sequence[Length], others: Sequence[Length]) -> tuple[Length, ...]:
    """A region's lines on the room's where they are within ALIKE_WITHIN; mirrored lines move both or neither."""
    near: list[Length | None] = []
    for at in own:
        line = min(others, key=lambda other: (abs(other - at).nm, other.nm), default=None)
        near.append(line if line is not None and abs(line - at) <= ALIKE_WITHIN else None)
    pairs = zip(own, near, reversed(near), strict=True)
    return tuple(at if line is None or twin is None else line for at, line, twin in pairs)
