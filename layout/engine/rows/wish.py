"""What a shop wants on one rectangular ceiling, and whether it can be asked for at all. Nothing is placed here."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import ceil

from layout.engine.lengths import ZERO, Distance, Length, LengthError, Unit, feet
from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.engine.rows.grid import Tiles

MOST_LINES = 60  # rows, or lights in one: more than any room's ceiling carries
LONGEST = feet(300)


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
    """What is cut for a fixture: across, a diameter or a square's side. A square hole lies square to the rows."""

    cutout: Length
    square: bool = False


@dataclass(frozen=True, slots=True)
class Wish:
    """What a shop wants on a ceiling. `along` is the rows' direction, `across` the other; both whole tape ticks.

    columns: lights in each row; None lets the spacing limit decide. end_setback and row_setback: off the walls, used
    where the mode is WALL_HELD. speaker_gaps: gap 1 lies between the first two lights; speaker_columns: columns that
    carry a speaker instead of a light; both mirror, unless the columns are typed. speaker_rows: the rows that do so,
    every row when empty. speakers_between: 1 is a line of speakers midway between rows 1 and 2; then no row carries
    any, unless speaker_rows names it. rows_of SPEAKER: the rows are speakers laid like lights, and nothing else.
    tiles_along, tiles_across: the lay-in grid's tiles, from the zero corner.
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
    pins: tuple[Pin, ...] = ()
    moved: tuple[Moved, ...] = ()
    rows_of: Kind = Kind.LIGHT
    speaker_rows: tuple[int, ...] = ()
    speakers_between: tuple[int, ...] = ()
    tiles_along: Tiles | None = None
    tiles_across: Tiles | None = None

    def pinned(self, line: Line) -> tuple[Pin, ...]:
        return tuple(pin for pin in self.pins if pin.line is line)

    @property
    def setback_along(self) -> Distance:
        """How far off the wall the first light is wanted, exactly. Not for typed columns."""
        return _wanted(self.mode_along, self.along, lights_in_a_row(self), self.end_setback)

    @property
    def setback_across(self) -> Distance:
        return _wanted(self.mode_across, self.across, self.rows, self.row_setback)


def _wanted(mode: Mode, size: Length, count: int, chosen: Length | None) -> Distance:
    if mode is Mode.EVEN:
        return size / (count + 1)
    if mode is Mode.HALF_GAP:
        return size / (2 * count)
    return chosen or ZERO


def check_wish(wish: Wish) -> None:
    """Raises WishError."""
    tick = wish.unit.tick
    for name, size in (("Along the rows", wish.along), ("Across the rows", wish.across)):
        if size <= ZERO or size.nm % tick.nm:
            raise WishError(f"{name}: lay out on whole tape marks, more than 0, and hold the rest at the far wall.")
        if size > LONGEST:
            raise WishError(f"{name}: a ceiling is at most 300 ft (91,440 mm). Check the reading.")
    for mode, typed in ((wish.mode_along, wish.typed_along), (wish.mode_across, wish.typed_across)):
        if mode is Mode.LOCKED and not typed:
            raise WishError("Locked means your own numbers: type them, from the zero corner.")
        if mode is Mode.LOCKED and len(set(typed)) > MOST_LINES:
            raise WishError(f"{len(set(typed))} numbers are typed. A row or a room takes {MOST_LINES}.")
    if wish.spacing_limit <= ZERO:
        raise WishError("Spacing limit: give more than 0.")
    _check_sizes(wish)
    if not 1 <= wish.rows <= MOST_LINES:
        raise WishError(f"Rows: {wish.rows}. Give 1 to {MOST_LINES}.")
    for name, mode, setback in (
        ("ends of a row", wish.mode_along, wish.end_setback),
        ("outer rows", wish.mode_across, wish.row_setback),
    ):
        if mode is Mode.WALL_HELD and (setback is None or setback < ZERO):
            raise WishError(f"Off the wall, {name}: say how far the outer lights stand off the wall.")
    if wish.rows_of is Kind.SUBWOOFER:
        raise WishError("Rows: they are lights or speakers. Choose one.")
    if wish.rows_of is Kind.SPEAKER and wish.speaker is None:
        raise WishError("Speakers: the rows are to be speakers. Choose the speaker that goes in.")
    count = lights_in_a_row(wish)
    if not 1 <= count <= MOST_LINES:
        raise WishError(f"Lights in a row: {count}. Give 1 to {MOST_LINES}, or a wider spacing limit.")
    if wish.rows_of is Kind.LIGHT:
        _check_speakers(wish, count)


def _check_sizes(wish: Wish) -> None:
    for name, hole in (("Light", wish.light), ("Speaker", wish.speaker), ("Subwoofer", wish.subwoofer)):
        if hole is not None and hole.cutout <= ZERO:
            raise WishError(f"{name}: its cutout is {hole.cutout.inches} in. Give more than 0.")
    for name, kept in (
        ("From a hole to the ceiling's edge", wish.edge_min),
        ("Between two holes", wish.web_min),
        ("From a speaker to a light", wish.speaker_to_light_min),
    ):
        if kept < ZERO:
            raise WishError(f"{name}: what is kept is not below zero.")


def lights_in_a_row(wish: Wish) -> int:
    """As chosen or typed, or the fewest that keep every gap within the limit."""
    if wish.mode_along is Mode.LOCKED:
        return len(set(wish.typed_along))
    return wish.columns if wish.columns is not None else fewest(wish)


def rows_of_lights(wish: Wish) -> int:
    return len(set(wish.typed_across)) if wish.mode_across is Mode.LOCKED else wish.rows


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
        _each_once(numbers, f"a {what}")
    rows = rows_of_lights(wish)
    for row in wish.speaker_rows:
        if not 1 <= row <= rows:
            raise WishError(f"Speakers: there is no row {row}; the room has {rows}. Name another.")
    for row in wish.speakers_between:
        if not 1 <= row < rows:
            raise WishError(
                f"Speakers: there is no line between rows {row} and {row + 1}; the room has {rows}. Name another."
            )
    _each_once(wish.speaker_rows, "a row")
    _each_once(wish.speakers_between, "a line between rows")
    if wish.speakers_between and not (wish.speaker_gaps or wish.speaker_columns):
        raise WishError("Speakers: they have a line of their own. Name the gaps or the lights they stand at.")


def _each_once(numbers: tuple[int, ...], what: str) -> None:
    if len(set(numbers)) != len(numbers):
        raise WishError(f"Speakers: {what} is named twice. Name each once.")
