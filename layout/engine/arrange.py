"""A shop's layout of one rectangular ceiling: how many lights, where they stand, what doesn't fit. Knows no records.

The shop chooses how far the outer lights stand off the walls and how many there are, and gets exactly that: the lights
between spread evenly, on the tape's marks. What then breaks one of the shop's limits is said, not hidden by moving a
light nobody asked to move. The ways of spacing are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from math import ceil

from layout.engine import findings
from layout.engine.findings import Code, Finding, Limits, say
from layout.engine.lengths import ZERO, Distance, Length, LengthError, Unit
from layout.engine.marks import Kind, Mark
from layout.engine.placement import problem as placement
from layout.engine.placement.solve import solve_row, solve_rows

__all__ = ["Arrangement", "AxisFacts", "Code", "Finding", "Hole", "Mode", "Wish", "WishError", "arrange", "say"]

LIGHTS_ZONE = "A"  # until somebody draws zones, all lights are on one switch leg


class WishError(LengthError):
    """What was asked for can't be laid out as asked. The message names the field and the remedy."""


class Mode(StrEnum):
    """How the lights of an axis stand off its two walls."""

    EVEN = "even"  # as far off the wall as from one another: two rows at equal thirds
    HALF_GAP = "half_gap"  # half as far off the wall as from one another
    WALL_HELD = "wall_held"  # as far off the wall as chosen
    LOCKED = "locked"  # at typed distances from the zero corner


@dataclass(frozen=True, slots=True)
class Hole:
    """What is cut for a fixture: across, a diameter or a square's side."""

    cutout: Length


@dataclass(frozen=True, slots=True)
class Wish:
    """What a shop wants on a ceiling. `along` is the rows' direction, `across` the other; both whole tape ticks.

    columns: lights in each row; None lets the spacing limit decide. end_setback and row_setback: off the walls, used
    where the mode is WALL_HELD. speaker_gaps: gap 1 lies between the first two lights; speaker_columns: columns that
    carry a speaker instead of a light, in every row; both mirror, unless the columns are typed.
    """

    along: Length
    across: Length
    unit: Unit
    mode_along: Mode
    mode_across: Mode
    rows: int
    columns: int | None
    end_setback: Length | None
    row_setback: Length | None
    spacing_limit: Length
    light: Hole
    speaker: Hole | None
    speaker_gaps: tuple[int, ...]
    speaker_columns: tuple[int, ...]
    subwoofer: Hole | None
    edge_min: Length
    web_min: Length
    speaker_to_light_min: Length
    typed_along: tuple[Length, ...] = ()
    typed_across: tuple[Length, ...] = ()


@dataclass(frozen=True, slots=True)
class AxisFacts:
    """How an axis stands beside an even split. Measured from the zero corner's wall to the other."""

    off_wall: Distance  # the first light or row
    last_to_wall: Distance
    even_split: Distance  # off the wall at equal parts
    nearer_wall_by: Distance  # than the even split; below 0 it is farther


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Where everything goes. Empty, with a finding, when what was asked for won't fit at all."""

    wish: Wish
    columns: tuple[Length, ...]
    rows: tuple[Length, ...]
    speaker_positions: tuple[Length, ...]  # along the row: in gaps, and in place of lights
    marks: tuple[Mark, ...]  # lights row by row, then speakers, then the subwoofer
    findings: tuple[Finding, ...]

    @property
    def fits(self) -> bool:
        return not self.findings

    @property
    def along_gaps(self) -> tuple[Distance, ...]:
        return tuple(b - a for a, b in pairwise(self.columns))

    @property
    def across_gaps(self) -> tuple[Distance, ...]:
        return tuple(b - a for a, b in pairwise(self.rows))

    @property
    def along_facts(self) -> AxisFacts | None:
        return _facts(self.columns, self.wish.along)

    @property
    def across_facts(self) -> AxisFacts | None:
        return _facts(self.rows, self.wish.across)


def _facts(lines: tuple[Length, ...], size: Length) -> AxisFacts | None:
    if not lines:
        return None
    even = size / (len(lines) + 1)
    return AxisFacts(
        off_wall=lines[0],
        last_to_wall=size - lines[-1],
        even_split=even,
        nearer_wall_by=even - lines[0],
    )


def arrange(wish: Wish) -> Arrangement:
    """The layout a shop asked for, and every limit of its own that it breaks. Raises WishError."""
    _check_wish(wish)
    count = _columns(wish)
    _check_speakers(wish, count)
    row, rows = _row(wish, count), _rows(wish)
    if row is None or rows is None:
        stuck = "along" if row is None else "across"
        return Arrangement(wish, (), (), (), (), (Finding(Code.NOTHING_INSIDE_CAPS, stuck),))
    columns, in_gaps = row
    speakers = tuple(sorted((*in_gaps, *(columns[number - 1] for number in wish.speaker_columns))))
    marks = _marks(wish, columns, rows, speakers)
    cutouts = {
        kind: hole.cutout
        for kind, hole in ((Kind.LIGHT, wish.light), (Kind.SPEAKER, wish.speaker), (Kind.SUBWOOFER, wish.subwoofer))
        if hole is not None
    }
    limits = Limits(wish.spacing_limit, wish.edge_min, wish.web_min, wish.speaker_to_light_min)
    found = (
        *_off_wall(wish.mode_along, "along", _setback(wish, count), columns, wish.unit),
        *_off_wall(wish.mode_across, "across", _row_setback(wish), rows, wish.unit),
        *findings.check(marks, cutouts, wish.along, wish.across, limits),
    )
    return Arrangement(wish, columns, rows, speakers, marks, found)


# What was asked for


def _check_wish(wish: Wish) -> None:
    tick = wish.unit.tick
    for name, size in (("Along the rows", wish.along), ("Across the rows", wish.across)):
        if size <= ZERO or size.nm % tick.nm:
            raise WishError(f"{name}: lay out on whole tape marks, more than 0, and hold the rest at the far wall.")
    for mode, typed in ((wish.mode_along, wish.typed_along), (wish.mode_across, wish.typed_across)):
        if mode is Mode.LOCKED and not typed:
            raise WishError("Locked means your own numbers: type them, from the zero corner.")
        if mode is Mode.LOCKED and len(set(typed)) > placement.MOST_LINES:
            raise WishError(f"{len(set(typed))} numbers are typed. A row or a room takes {placement.MOST_LINES}.")
    if wish.spacing_limit <= ZERO:
        raise WishError("Spacing limit: give more than 0.")
    if not 1 <= wish.rows <= placement.MOST_LINES:
        raise WishError(f"Rows: {wish.rows}. Give 1 to {placement.MOST_LINES}.")
    for name, mode, setback in (
        ("ends of a row", wish.mode_along, wish.end_setback),
        ("outer rows", wish.mode_across, wish.row_setback),
    ):
        if mode is Mode.WALL_HELD and (setback is None or setback < ZERO):
            raise WishError(f"Off the wall, {name}: say how far the outer lights stand off the wall.")


def _columns(wish: Wish) -> int:
    """Lights in a row: as chosen, or the fewest that keep every gap within the limit."""
    if wish.mode_along is Mode.LOCKED:
        return len(set(wish.typed_along))
    count = wish.columns if wish.columns is not None else fewest(wish)
    if not 1 <= count <= placement.MOST_LINES:
        raise WishError(f"Lights in a row: {count}. Give 1 to {placement.MOST_LINES}, or a wider spacing limit.")
    return count


def fewest(wish: Wish) -> int:
    """The fewest lights in a row whose gaps keep the spacing limit.

    Wall-held: ceil((length - 2 x off the wall) / limit) + 1. Half gap: ceil(length / limit). Even: one fewer, as the
    walls take a whole gap each. Common practice, no source.
    """
    limit = wish.spacing_limit.nm
    if wish.mode_along is Mode.WALL_HELD and wish.end_setback is not None:
        return max(1, ceil((wish.along.nm - 2 * wish.end_setback.nm) / limit) + 1)
    gaps = ceil(wish.along.nm / limit)
    return max(1, gaps if wish.mode_along is Mode.HALF_GAP else gaps - 1)


def _check_speakers(wish: Wish, count: int) -> None:
    if (wish.speaker_gaps or wish.speaker_columns) and wish.speaker is None:
        raise WishError("Speakers: choose the speaker that goes in before saying where.")
    for what, numbers, most in (
        ("gap", wish.speaker_gaps, count - 1),
        ("light", wish.speaker_columns, count),
    ):
        for number in numbers:
            if not 1 <= number <= most:
                raise WishError(
                    f"Speakers: there is no {what} {number}; a row of {count} has {most or 'none'}. Name another."
                )
            twin = most + 1 - number
            if wish.mode_along is not Mode.LOCKED and twin not in numbers:
                raise WishError(f"Speakers: {what} {number} has no twin at the other end. Add {twin}.")
        if len(set(numbers)) != len(numbers):
            raise WishError(f"Speakers: a {what} is named twice. Name each once.")


def _setback(wish: Wish, count: int) -> Distance:
    return _wanted(wish.mode_along, wish.along, count, wish.end_setback)


def _row_setback(wish: Wish) -> Distance:
    return _wanted(wish.mode_across, wish.across, wish.rows, wish.row_setback)


def _wanted(mode: Mode, size: Length, count: int, chosen: Length | None) -> Distance:
    """How far off the wall the outer lights are wanted, exactly."""
    if mode is Mode.EVEN:
        return size / (count + 1)
    if mode is Mode.HALF_GAP:
        return size / (2 * count)
    return chosen or ZERO


# Where they go


def _row(wish: Wish, count: int) -> tuple[tuple[Length, ...], tuple[Length, ...]] | None:
    """The columns, and the speakers in their gaps."""
    if wish.mode_along is Mode.LOCKED:
        columns = tuple(sorted(set(wish.typed_along)))
        gaps = sorted(wish.speaker_gaps)
        return columns, tuple(_on_a_tick((columns[gap - 1] + columns[gap]) / 2, wish.unit) for gap in gaps)
    found = solve_row(_problem(wish, count))
    if found is None:
        return None
    return tuple(_length(at, wish.unit) for at in found[0]), tuple(_length(at, wish.unit) for at in found[1])


def _rows(wish: Wish) -> tuple[Length, ...] | None:
    if wish.mode_across is Mode.LOCKED:
        return tuple(sorted(set(wish.typed_across)))
    found = solve_rows(_problem(wish, 1))
    return None if found is None else tuple(_length(at, wish.unit) for at in found)


def _problem(wish: Wish, count: int) -> placement.Problem:
    """Setback as wanted, gaps alike to a tick. Limits and hole sizes stay out: they are checked on what comes out."""
    point = placement.Hole(0)
    try:
        return placement.Problem(
            unit=wish.unit,
            length=int(wish.along.nm / wish.unit.tick.nm),
            width=int(wish.across.nm / wish.unit.tick.nm),
            rows=wish.rows,
            cols=count,
            light=point,
            end_setback=_held_at(_setback(wish, count), wish.unit),
            row_setback=_held_at(_row_setback(wish), wish.unit),
            spacing_max=placement.LONGEST[wish.unit],
            speakers=placement.Speakers(point, wish.speaker_gaps if count > 1 else ()),
            uneven_max=1,
        )
    except placement.ProblemError as error:
        raise WishError(str(error)) from None


def _held_at(setback: Distance, unit: Unit) -> placement.Setback:
    tick = _ticks(setback, unit)
    return placement.Setback(tick, tick, tick)


def _ticks(distance: Distance, unit: Unit) -> int:
    """The nearest whole tick; halves go up."""
    return int((2 * distance.nm / unit.tick.nm + 1) // 2)


def _on_a_tick(distance: Distance, unit: Unit) -> Length:
    return (unit.tick * _ticks(distance, unit)).exact()


def _length(quarters: int, unit: Unit) -> Length:
    return (unit.tick * Fraction(quarters, placement.QUARTERS)).exact()


def _off_wall(
    mode: Mode, axis: str, wanted: Distance, lines: tuple[Length, ...], unit: Unit
) -> tuple[Finding, ...]:
    """Whether the outer lights stand where they were wanted, to the nearest tape mark."""
    if mode is Mode.LOCKED or len(lines) < 2:
        return ()
    off = abs(lines[0] - wanted)
    return (Finding(Code.SETBACK_OUTSIDE, axis, off, wanted),) if off >= unit.tick else ()


# Marks


def _marks(
    wish: Wish, columns: tuple[Length, ...], rows: tuple[Length, ...], speakers: tuple[Length, ...]
) -> tuple[Mark, ...]:
    """Numbered along each row from the zero corner, row after row."""
    replaced = {columns[number - 1] for number in wish.speaker_columns}
    lights = [at for at in columns if at not in replaced]
    places = [(row, along, across) for row, across in enumerate(rows, 1) for along in lights]
    heard = [(row, along, across) for row, across in enumerate(rows, 1) for along in speakers]
    marks = [
        Mark(f"{LIGHTS_ZONE}{n}", Kind.LIGHT, along, across, row, zone=LIGHTS_ZONE)
        for n, (row, along, across) in enumerate(places, 1)
    ]
    marks += [Mark(f"SP{n}", Kind.SPEAKER, along, across, row) for n, (row, along, across) in enumerate(heard, 1)]
    if wish.subwoofer is not None:
        marks.append(_subwoofer(wish, rows))
    return tuple(marks)


def _subwoofer(wish: Wish, rows: tuple[Length, ...]) -> Mark:
    """On the center line, halfway between the two middle rows: the middle of the room. With a row in the middle,
    halfway from that row to the next one; with one row, halfway from it to the far edge. Common practice, no source.
    """
    before = (len(rows) + 1) // 2
    near, beyond = rows[before - 1], (*rows, wish.across)[before]
    between = (near + beyond) / 2
    if between.nm * 2 % wish.unit.tick.nm:  # the middle of a room may stand on half a mark, nothing else does
        between = _on_a_tick(between, wish.unit)
    return Mark("SW1", Kind.SUBWOOFER, (wish.along / 2).exact(), between.exact(), before)
