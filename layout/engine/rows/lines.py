"""Where the lines of one ceiling stand, columns and rows: as the walls give them, as typed, or as pinned.

Knows no fixture and no limit: what breaks a shop's limits is looked for on the marks that come out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from layout.engine.findings import Code, Finding, counted
from layout.engine.lengths import ZERO, Distance, Length, Unit
from layout.engine.marks import Kind
from layout.engine.pins import Line, Pin
from layout.engine.rows.even import even
from layout.engine.rows.wish import Mode, Wish, lights_in_a_row


@dataclass(frozen=True, slots=True)
class Lines:
    """The columns or the rows from the zero corner. between: the middles of the gaps that were asked for."""

    at: tuple[Length, ...]
    between: tuple[Length, ...] = ()
    held: frozenset[int] = frozenset()  # the numbers of those a person pinned
    findings: tuple[Finding, ...] = ()


def columns(wish: Wish) -> Lines | None:
    """None when that many don't fit at all."""
    if wish.mode_along is Mode.LOCKED:
        base: Lines | None = Lines(tuple(sorted(set(wish.typed_along))))
    else:
        base = _spread_columns(wish)
    pins = wish.pinned(Line.COLUMN)
    if base is None:
        return None
    lines = _pinned(base, pins, wish.mode_along, wish.along, wish.unit) if pins else base
    if wish.mode_along is not Mode.LOCKED and not pins:
        return lines
    middles = (_middle(lines.at, gap) for gap in sorted(wish.speaker_gaps) if wish.rows_of is Kind.LIGHT)
    if wish.mode_along is Mode.LOCKED:
        between = tuple(on_a_tick(at, wish.unit) for at in middles)
    else:
        between = tuple(mirrored_tick(at, wish.along, wish.unit) for at in middles)
    return Lines(lines.at, between, lines.held, lines.findings)


def rows(wish: Wish) -> Lines | None:
    if wish.mode_across is Mode.LOCKED:
        base: Lines | None = Lines(tuple(sorted(set(wish.typed_across))))
    else:
        base = _even(wish.across, wish.rows, wish.setback_across, wish.unit)
    pins = wish.pinned(Line.ROW)
    if base is None or not pins:
        return base
    return _pinned(base, pins, wish.mode_across, wish.across, wish.unit)


def _middle(lines: tuple[Length, ...], gap: int) -> Distance:
    return (lines[gap - 1] + lines[gap]) / 2


# As the walls give them


def _spread_columns(wish: Wish) -> Lines | None:
    count = lights_in_a_row(wish)
    gaps = frozenset(wish.speaker_gaps) if count > 1 and wish.rows_of is Kind.LIGHT else frozenset()
    return _even(wish.along, count, wish.setback_along, wish.unit, gaps)


def _even(size: Length, count: int, setback: Distance, unit: Unit, gaps: frozenset[int] = frozenset()) -> Lines | None:
    found = even(int(size.nm / unit.tick.nm), count, _ticks(setback, unit), unit, gaps)
    if found is None:
        return None
    lines, speakers = (tuple((unit.tick * half / 2).exact() for half in each) for each in found)
    return Lines(lines, speakers)


# Onto the tape's marks


def _ticks(distance: Distance, unit: Unit) -> int:
    """The nearest whole tick; halves go up."""
    return int((2 * distance.nm / unit.tick.nm + 1) // 2)


def on_a_tick(distance: Distance, unit: Unit) -> Length:
    return (unit.tick * _ticks(distance, unit)).exact()


def mirrored_tick(at: Distance, size: Length, unit: Unit) -> Length:
    """The nearest tick, so that what mirrors still mirrors afterward: halves go toward the middle.

    The middle itself may stand on half a mark, nothing else does. size: the axis, whole ticks.
    """
    if at * 2 == size:
        return at.exact()
    return on_a_tick(at, unit) if at * 2 < size else (size - on_a_tick(size - at, unit)).exact()


# As pinned


def _pinned(base: Lines, pins: tuple[Pin, ...], mode: Mode, size: Length, unit: Unit) -> Lines:
    """The pinned lines where they are held, the rest spread evenly between them and what the mode holds at the walls.

    A pin that can't be kept is left out and said.
    """
    count, found = len(base.at), []
    held: dict[int, Length] = {}
    for pin in pins:
        name = f"{pin.line} {pin.number}"
        if not 1 <= pin.number <= count:
            found.append(Finding(Code.NO_SUCH_MARK, name, near=counted(count, pin.line)))
        elif not ZERO <= pin.at <= size:
            past = -pin.at if pin.at < ZERO else pin.at - size
            found.append(Finding(Code.PINNED_PAST_EDGE, name, past, pin.at))
        else:
            held[pin.number] = pin.at
    walls = _held_by_the_walls(base.at, mode, size)
    while (clash := _out_of_order(held, walls, pins[0].line, count, unit)) is not None:
        number, finding = clash
        del held[number]
        found.append(finding)
    anchors = sorted({**walls, **{Fraction(number): at for number, at in held.items()}}.items())
    lines = tuple(
        held[number] if number in held else _spread(Fraction(number), anchors, size, unit)
        for number in range(1, count + 1)
    )
    return Lines(lines, (), frozenset(held), tuple(found))


def _held_by_the_walls(lines: tuple[Length, ...], mode: Mode, size: Length) -> Mapping[Fraction, Distance]:
    """What stands without a pin, by number: an outer line held off its wall, or the wall itself.

    Evenly spread lines stand a whole gap off the wall, so the walls are lines 0 and last + 1; half a gap, 1/2 and
    last + 1/2. Typed lines all stand where they were typed.
    """
    count = len(lines)
    if mode is Mode.LOCKED:
        return {Fraction(number): at for number, at in enumerate(lines, 1)}
    if mode is Mode.WALL_HELD:
        return {Fraction(1): lines[0], Fraction(count): lines[-1]}
    off = Fraction(1) if mode is Mode.EVEN else Fraction(1, 2)
    return {1 - off: ZERO, count + off: size}


def _out_of_order(
    held: Mapping[int, Length], walls: Mapping[Fraction, Distance], line: Line, count: int, unit: Unit
) -> tuple[int, Finding] | None:
    """The first pin that leaves no tape mark for the lines between it and what stands beside it."""
    anchors = sorted({**walls, **{Fraction(number): at for number, at in held.items()}}.items())
    for (low, start), (high, end) in pairwise(anchors):
        number = int(high) if high in held else int(low)
        if number not in held:  # two lines as typed
            continue
        missing = start + unit.tick * (high - low) - end
        if missing > ZERO:
            other = low if number == high else high
            beside = f"{line} {other}" if other.denominator == 1 and 1 <= other <= count else "the wall"
            finding = Finding(Code.PINNED_OUT_OF_ORDER, f"{line} {number}", missing, held[number], near=beside)
            return number, finding
    return None


def _spread(number: Fraction, anchors: list[tuple[Fraction, Distance]], size: Length, unit: Unit) -> Length:
    """Where an unpinned line stands between the two anchors around it."""
    for (low, start), (high, end) in pairwise(anchors):
        if low == number or high == number:
            return (start if low == number else end).exact()
        if low < number < high:
            at = start + (end - start) * ((number - low) / (high - low))
            return mirrored_tick(at, size, unit)
    return anchors[0][1].exact()  # a single line of lights is its own only anchor


def problems_off_the_wall(wish: Wish, along: Lines, across: Lines) -> Iterator[Finding]:
    """Whether the outer lights stand where they were wanted, to the nearest tape mark."""
    asked = (
        ("along", wish.mode_along, along, wish.tiles_along),
        ("across", wish.mode_across, across, wish.tiles_across),
    )
    for axis, mode, lines, tiles in asked:
        if mode is Mode.LOCKED or len(lines.at) < 2 or lines.held or tiles is not None:
            continue
        wanted = wish.setback_along if axis == "along" else wish.setback_across
        off = abs(lines.at[0] - wanted)
        if off >= wish.unit.tick:
            yield Finding(Code.SETBACK_OUTSIDE, axis, off, wanted)
