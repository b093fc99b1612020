"""What a way moves and what it takes from a shop's taste, from the layouts before and after. Judges nothing."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from layout.engine.lengths import ZERO, Distance, Length
from layout.engine.overhead.stand import Direction
from layout.engine.room import RoomLayout
from layout.engine.rows.wish import Mode
from layout.engine.ways.read import lines_at
from layout.engine.ways.rules import Cost, Move, Taste


def moves(before: RoomLayout, after: RoomLayout) -> tuple[Move, ...]:
    """Every line that stands elsewhere, then every mark that was moved by itself. Other counts don't compare."""
    found = []
    for direction in Direction:
        old, new = lines_at(before, direction), lines_at(after, direction)
        if len(old) == len(new):
            pairs = enumerate(zip(old, new, strict=True), 1)
            found += [Move(direction, number, there - here) for number, (here, there) in pairs if here != there]
    return (*found, *_alone(before, after))


def _alone(before: RoomLayout, after: RoomLayout) -> Iterator[Move]:
    was = {mark.id: mark.moved_from is not None for mark in before.arrangement.marks}
    for mark in after.arrangement.marks:
        if mark.moved_from is None or was.get(mark.id):
            continue
        for direction, here, there in (
            (Direction.ALONG, mark.moved_from[0], mark.along),
            (Direction.ACROSS, mark.moved_from[1], mark.across),
        ):
            if here != there:
                yield Move(direction, mark.row, there - here, mark.id)


def costs(before: RoomLayout, after: RoomLayout) -> tuple[Cost, ...]:
    found: list[Cost] = []
    for direction in Direction:
        found += _of_axis(before, after, direction)
    alone = [abs(move.by) for move in _alone(before, after)]
    if alone:
        found.append(Cost(Taste.STRAIGHT, Direction.ALONG, max(alone, key=lambda by: by.nm)))
    if after.inputs.light != before.inputs.light:
        found.append(Cost(Taste.CUTOUT, Direction.ALONG, before.inputs.light.cutout - after.inputs.light.cutout))
    if set(before.inputs.pins) - set(after.inputs.pins) or set(before.inputs.moved) - set(after.inputs.moved):
        found.append(Cost(Taste.PINNED, Direction.ALONG))
    return tuple(found)


def _of_axis(before: RoomLayout, after: RoomLayout, direction: Direction) -> Iterator[Cost]:
    old, new = lines_at(before, direction), lines_at(after, direction)
    if not new or old == new:
        return
    size = after.along.laid_out if direction is Direction.ALONG else after.across.laid_out
    if len(new) != len(old):
        yield Cost(Taste.COUNT, direction, lines=len(new) - len(old))
    off, was_off = off_center(new, size), off_center(old, size)
    if off > was_off:
        yield Cost(Taste.MIRRORED, direction, off)
    elif old and len(new) > 1 and new[0] != old[0] and (len(new) == len(old) or _held(before, direction)):
        yield Cost(Taste.OFF_THE_WALL, direction, new[0] - old[0])
    uneven = differ(new)
    if uneven > max(after.inputs.unit.tick, differ(old), key=lambda each: each.nm):
        yield Cost(Taste.GAPS_ALIKE, direction, uneven)
    # No limit is held between rows, but a crew hears of rows pushed farther apart than lights may be.
    over, was_over = (_widest(lines) - after.inputs.spacing_limit for lines in (new, old))
    if over > ZERO and over > was_over:
        yield Cost(Taste.SPACING, direction, over)


def _held(layout: RoomLayout, direction: Direction) -> bool:
    inputs = layout.inputs
    return (inputs.mode_along if direction is Direction.ALONG else inputs.mode_across) is Mode.WALL_HELD


def off_center(lines: tuple[Length, ...], size: Length) -> Distance:
    """How far lines are from mirroring: of all of them, where they shifted together; else of the worst pair. A middle
    line is off the center by itself.
    """
    sums = [abs(a + b - size) for a, b in zip(lines, reversed(lines), strict=True)]
    if not sums:
        return ZERO
    if all(each == sums[0] for each in sums):
        return sums[0] / 2
    if len(lines) % 2:
        sums[len(lines) // 2] = sums[len(lines) // 2] / 2
    return max(sums)


def differ(lines: tuple[Length, ...]) -> Distance:
    """By how much the gaps differ, widest less narrowest."""
    gaps = [(b - a).nm for a, b in pairwise(lines)]
    return Distance(max(gaps) - min(gaps)) if gaps else ZERO


def _widest(lines: tuple[Length, ...]) -> Distance:
    return max((b - a for a, b in pairwise(lines)), key=lambda each: each.nm, default=ZERO)
