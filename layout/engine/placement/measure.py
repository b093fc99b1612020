"""What a given layout is worth: every rule checked hole by hole, and the seven numbers layouts are compared by.

Takes any positions, mirrored or not, so it also checks a layout someone typed. Knows nothing of how one was found.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from math import isqrt

from layout.engine.placement.costs import away, entry_near, mark_cost, up
from layout.engine.placement.problem import QUARTERS, Hole, Problem, Setback


class Rule(StrEnum):
    END_SETBACK = "end_setback"
    SPACING = "spacing"
    ROW_SETBACK = "row_setback"
    ROW_SPACING = "row_spacing"
    JOIST = "joist"
    OBSTRUCTION = "obstruction"
    EDGE = "edge"
    HOLE_GAP = "hole_gap"
    TILE = "tile"


@dataclass(frozen=True, slots=True)
class Layout:
    """Columns, rows and the speakers of a row, ascending, in quarter ticks from the zero corner."""

    columns: tuple[int, ...]
    rows: tuple[int, ...]
    speakers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Broken:
    """One rule broken by one subject: where, and by how many quarter ticks. Distances to an obstruction are irrational:
    what one is short by is rounded up to a whole quarter tick."""

    rule: Rule
    where: str
    short_by: int | Fraction


@dataclass(frozen=True, slots=True, order=True)
class Objective:
    """What layouts are compared by, the first number first. `q` is quarter ticks."""

    violations: int
    excess_ticks: int
    uneven_q: int
    row_uneven_q: int
    speaker_off_q: int
    setback_off_ticks: int
    mark_cost: int


def broken_rules(problem: Problem, layout: Layout) -> tuple[Broken, ...]:
    """Every (rule, subject) the layout breaks. Touching is allowed."""
    checks = (_setbacks, _spacings, _joists, _obstructions, _edges, _webs, _tiles)
    return tuple(broken for check in checks for broken in check(problem, layout) if broken.short_by > 0)


def objective(problem: Problem, layout: Layout, broken: tuple[Broken, ...]) -> Objective:
    """The seven numbers of a mirrored layout whose first columns and rows stand on whole ticks."""
    near_columns = [at // QUARTERS for at in layout.columns[: problem.cols // 2]]
    near_rows = [at // QUARTERS for at in layout.rows[: problem.rows // 2]]
    near_speakers = [
        (gap, at)
        for gap, at in zip(sorted(problem.speaker_gaps), layout.speakers, strict=True)
        if 2 * gap < problem.cols
    ]
    marks = [*near_columns, *near_rows, *(at // QUARTERS for _, at in near_speakers)]
    return Objective(
        violations=len(broken),
        excess_ticks=sum(up(each.short_by, QUARTERS) for each in broken),
        uneven_q=_uneven(layout.columns, QUARTERS * problem.even_tol),
        row_uneven_q=_uneven(layout.rows, QUARTERS * problem.even_tol),
        speaker_off_q=sum(_off_middle(layout, gap, at) for gap, at in near_speakers),
        setback_off_ticks=_off(near_columns, problem.end_setback) + _off(near_rows, problem.row_setback),
        mark_cost=sum(mark_cost(problem.unit, tick) for tick in marks),
    )


def _uneven(lines: tuple[int, ...], tolerated: int) -> int:
    gaps = [b - a for a, b in pairwise(lines)]
    return max(0, max(gaps) - min(gaps) - tolerated) if gaps else 0


def _off_middle(layout: Layout, gap: int, at: int) -> int:
    # twice the distance, halved last: the middle of a gap is a whole quarter tick
    off = abs(2 * at - layout.columns[gap - 1] - layout.columns[gap]) // 2
    return off if 2 * off > QUARTERS else 0


def _off(lines: list[int], setback: Setback) -> int:
    return abs(lines[0] - setback.pref) if lines else 0


def _outside(setback: Setback, at: int) -> int:
    return max(QUARTERS * setback.min - at, at - QUARTERS * setback.max)


def _setbacks(problem: Problem, layout: Layout) -> Iterator[Broken]:
    length, width = QUARTERS * problem.length, QUARTERS * problem.width
    if problem.cols >= 2:
        for row in range(1, problem.rows + 1):
            for end, at in (("left", layout.columns[0]), ("right", length - layout.columns[-1])):
                yield Broken(Rule.END_SETBACK, f"row {row}, {end} end", _outside(problem.end_setback, at))
    if problem.rows >= 2:
        yield Broken(Rule.ROW_SETBACK, "row 1", _outside(problem.row_setback, layout.rows[0]))
        yield Broken(Rule.ROW_SETBACK, f"row {problem.rows}", _outside(problem.row_setback, width - layout.rows[-1]))


def _spacings(problem: Problem, layout: Layout) -> Iterator[Broken]:
    for gap, (a, b) in enumerate(pairwise(layout.columns), 1):
        for row in range(1, problem.rows + 1):
            yield Broken(Rule.SPACING, f"row {row}, gap {gap}", b - a - QUARTERS * problem.spacing_max)
    if problem.row_spacing_max is not None:
        for row, (a, b) in enumerate(pairwise(layout.rows), 1):
            yield Broken(Rule.ROW_SPACING, f"rows {row} and {row + 1}", b - a - QUARTERS * problem.row_spacing_max)


def _holes(problem: Problem, layout: Layout) -> Iterator[tuple[str, int, Hole]]:
    """The holes of every row: name, place along the row, hole."""
    for column, at in enumerate(layout.columns, 1):
        yield f"light {column}", at, problem.light
    if problem.speakers is not None:
        for gap, at in zip(sorted(problem.speaker_gaps), layout.speakers, strict=True):
            yield f"speaker in gap {gap}", at, problem.speakers.hole


def _joists(problem: Problem, layout: Layout) -> Iterator[Broken]:
    for row, y in enumerate(layout.rows, 1):
        for name, x, hole in _holes(problem, layout):
            for number, entry in enumerate(problem.joists, 1):
                at, needed = x if entry.across else y, hole.radius + hole.clear + entry.half_width
                for member, center in entry_near(entry, at, at, needed):
                    where = f"row {row}, {name}, {_joist_name(problem, number, member)}"
                    yield Broken(Rule.JOIST, where, needed - abs(at - center))


def _joist_name(problem: Problem, number: int, member: int) -> str:
    """Joist 1 is the first whose center stands on the ceiling, from the left or the lower edge."""
    entry = problem.joists[number - 1]
    first = -(entry.first // entry.spacing)
    direction = "across" if entry.across else "along"
    of = f" of joists {number}" if len(problem.joists) > 1 else ""
    if member < first:
        return f"joist {first - member} before the edge ({direction}){of}"
    return f"joist {member - first + 1} ({direction}){of}"


def _obstructions(problem: Problem, layout: Layout) -> Iterator[Broken]:
    for row, y in enumerate(layout.rows, 1):
        for name, x, hole in _holes(problem, layout):
            for number, each in enumerate(problem.obstructions, 1):
                needed, off_x, off_y = each.needs(hole), away(each.x0, each.x1, x), away(each.y0, each.y1, y)
                short_by = needed - isqrt(off_x * off_x + off_y * off_y)
                yield Broken(Rule.OBSTRUCTION, f"row {row}, {name}, obstruction {number}", short_by)


def _tiles(problem: Problem, layout: Layout) -> Iterator[Broken]:
    if problem.tile is None:
        return
    pitches, lines = problem.tile.pitch, problem.tile.line
    for row, y in enumerate(layout.rows, 1):
        for name, x, _ in _holes(problem, layout):
            for axis, at, pitch, line in zip(("along", "across"), (x, y), pitches, lines, strict=True):
                past = (at - line - pitch // 2) % pitch
                yield Broken(Rule.TILE, f"row {row}, {name}, {axis} the row", min(past, pitch - past))


def _edges(problem: Problem, layout: Layout) -> Iterator[Broken]:
    length, width = QUARTERS * problem.length, QUARTERS * problem.width
    for row, y in enumerate(layout.rows, 1):
        for name, x, hole in _holes(problem, layout):
            needed = hole.radius + problem.edge_min
            for edge, there in (("left", x), ("right", length - x), ("lower", y), ("upper", width - y)):
                yield Broken(Rule.EDGE, f"row {row}, {name}, {edge} edge", needed - there)


def _webs(problem: Problem, layout: Layout) -> Iterator[Broken]:
    columns, light, web = layout.columns, problem.light.radius, problem.web_min
    pairs = [
        (f"lights {i} and {i + 1}", 2 * light + web - (b - a)) for i, (a, b) in enumerate(pairwise(columns), 1)
    ]
    if problem.speakers is not None:
        needed = light + problem.speakers.hole.radius + web
        for gap, at in zip(sorted(problem.speaker_gaps), layout.speakers, strict=True):
            for column in (gap, gap + 1):
                there = abs(at - columns[column - 1])
                pairs.append((f"speaker in gap {gap} and light {column}", needed - there))
    for row in range(1, problem.rows + 1):
        for where, short_by in pairs:
            yield Broken(Rule.HOLE_GAP, f"row {row}, {where}", short_by)
    for row, (a, b) in enumerate(pairwise(layout.rows), 1):
        for name, _, hole in _holes(problem, layout):
            yield Broken(Rule.HOLE_GAP, f"rows {row} and {row + 1}, {name}", 2 * hole.radius + web - (b - a))
