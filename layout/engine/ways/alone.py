"""A line that leaves the symmetry, or a light that leaves one of its lines: the least move. Tries nothing for real."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from layout.engine.lengths import nanometers
from layout.engine.marks import Mark
from layout.engine.overhead.stand import Direction
from layout.engine.pins import Moved
from layout.engine.ways import search
from layout.engine.ways.changes import Change, held_at
from layout.engine.ways.lines import Lines, common, nearest_first, steps, within
from layout.engine.ways.read import Ceiling, coordinate, place_of, read_lines, whole

Found = tuple[Direction, Change]

MOST_ALONE = 2  # lights off their lines; more than that and the pattern is gone. Common practice, no source


def ways_alone(ceiling: Ceiling, directions: tuple[Direction, ...], most: int) -> Iterator[Found]:
    """Lines first where all that stands on them is in the way; else single lights first. most: ticks."""
    stuck = {each.mark for each in ceiling.left}
    marks = [mark for mark in ceiling.layout.arrangement.marks if mark.id in stuck]
    lines = (found for each in directions if (found := _lines_alone(ceiling, marks, each, most)))
    single = _marks_alone(ceiling, marks, directions, most)
    whole_lines = any(_whole_lines(ceiling, marks, direction) for direction in directions)
    yield from (*lines, *single) if whole_lines else (*single, *lines)


def _whole_lines(ceiling: Ceiling, stuck: list[Mark], direction: Direction) -> bool:
    """Whether everything on each line concerned is in the way, and that is more than one mark."""
    layout = ceiling.layout
    theirs = {place_of(mark, layout, direction) for mark in stuck}
    on_them = [mark for mark in layout.arrangement.marks if place_of(mark, layout, direction) in theirs]
    return len(on_them) == len(stuck) > len(theirs)


def _lines_alone(ceiling: Ceiling, stuck: list[Mark], direction: Direction, most: int) -> Found | None:
    """Each line concerned by itself, one after another."""
    lines = read_lines(ceiling, direction)
    if (at := _middle_and_pairs(lines, most)) is not None:
        return direction, held_at(ceiling.inputs, direction, at)
    places = [place_of(mark, ceiling.layout, direction) for mark in stuck]
    if not places or any(place.midway for place in places):
        return None
    for number in sorted({place.line for place in places}):
        at = search.alone(lines, number, most)
        if at is None:
            return None
        lines = replace(lines, at=at)
    return direction, held_at(ceiling.inputs, direction, lines.at)


def _middle_and_pairs(lines: Lines, most: int) -> search.Places | None:
    """A middle line that is in the way off the center line, the others in pairs."""
    middle = len(lines.at) // 2
    if len(lines.at) % 2 == 0 or within(lines.at[middle], lines.may_stand[middle]) or middle in lines.held:
        return None
    for move in nearest_first(steps(lines.at[middle], lines.may_stand[middle], lines.tick), most):
        at = (*lines.at[:middle], lines.at[middle] + move * lines.tick, *lines.at[middle + 1 :])
        if len(at) == 1:
            return at
        places = search.paired(replace(lines, at=at), most)
        if places is not None:
            return places
    return None


def _marks_alone(
    ceiling: Ceiling, stuck: list[Mark], directions: tuple[Direction, ...], most: int
) -> Iterator[Found]:
    """Each light along its row or across it, whichever is nearer: it stays on one of its two lines."""
    if len(stuck) > MOST_ALONE:
        return
    moved = list(ceiling.inputs.moved)
    first: Direction | None = None
    for mark in stuck:
        options = [
            (abs(by), rank, by)
            for rank, direction in enumerate(directions)
            if (by := _least_move(ceiling, mark, direction, most)) is not None
        ]
        if not options:
            return
        _, rank, by = min(options)
        first = first or directions[rank]
        moved.append(_moved(ceiling, mark, directions[rank], by))
    if first is not None:
        yield first, {"moved": tuple(moved)}


def _least_move(ceiling: Ceiling, mark: Mark, direction: Direction, most: int) -> int | None:
    """In nanometers; None when nothing within reach is clear."""
    layout, inputs = ceiling.layout, ceiling.inputs
    size = int(layout.along.laid_out if direction is Direction.ALONG else layout.across.laid_out)
    edge = ceil((ceiling.fittings[mark.kind].cutout / 2 + inputs.edge_min).nm)
    free = whole(ceiling.legal[mark.kind].legal_intervals(direction, coordinate(mark, direction.other)))
    inside = common(free, ((edge, size - edge),))
    tick = int(inputs.unit.tick)
    moves = nearest_first(steps(int(coordinate(mark, direction)), inside, tick), most)
    return next((move * tick for move in moves if move), None)


def _moved(ceiling: Ceiling, mark: Mark, direction: Direction, by: int) -> Moved:
    marks = ceiling.layout.arrangement.marks
    theirs = [each.id for each in marks if each.kind is mark.kind and each.row == mark.row]
    along, across = (by, 0) if direction is Direction.ALONG else (0, by)
    return Moved(
        mark.kind,
        mark.row,
        theirs.index(mark.id) + 1,
        nanometers(int(mark.along) + along),
        nanometers(int(mark.across) + across),
    )
