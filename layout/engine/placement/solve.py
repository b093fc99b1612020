"""The best layout of a rectangular room: both axes solved apart, put together and measured. Knows nothing of files.

No rule joins the two axes here, so the least sum of two vectors, compared entry by entry, is the sum of the least ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.placement.costs import AxisProblem, AxisSpeakers, Need
from layout.engine.placement.measure import Broken, Layout, Objective, broken_rules, objective
from layout.engine.placement.problem import QUARTERS, Hole, Problem
from layout.engine.placement.search import solve_axis
from layout.engine.placement.window import AxisLayout


class Status(StrEnum):
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"  # the layout that breaks the fewest rules is given
    NO_LAYOUT = "no_layout"  # nothing lies inside the caps


@dataclass(frozen=True, slots=True)
class Placement:
    """The answer: with NO_LAYOUT there is no layout and no objective."""

    status: Status
    layout: Layout | None = None
    objective: Objective | None = None
    broken: tuple[Broken, ...] = ()


def solve(problem: Problem) -> Placement:
    """The layout of least objective; of equal ones always the same, by the fixed order of the search."""
    row = solve_row(problem)
    rows = solve_rows(problem) if row else None
    if row is None or rows is None:
        return Placement(Status.NO_LAYOUT)
    layout = Layout(columns=row[0], rows=rows, speakers=row[1])
    broken = broken_rules(problem, layout)
    return Placement(
        Status.INFEASIBLE if broken else Status.FEASIBLE, layout, objective(problem, layout, broken), broken
    )


def solve_row(problem: Problem) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """The columns and the speakers of each row, in quarter ticks; None when the caps leave nothing."""
    best = solve_axis(along_axis(problem))
    if best is None:
        return None
    half = [gap for gap in sorted(problem.speaker_gaps) if 2 * gap < problem.cols]
    near = [QUARTERS * z for z in best.speakers]
    middle = [2 * problem.length] if 2 * len(half) < len(problem.speaker_gaps) else []
    far = [QUARTERS * problem.length - at for at in reversed(near)]
    return _mirrored(best, problem.length, problem.cols), (*near, *middle, *far)


def solve_rows(problem: Problem) -> tuple[int, ...] | None:
    """The rows, in quarter ticks; None when the caps leave nothing."""
    best = solve_axis(across_axis(problem))
    return None if best is None else _mirrored(best, problem.width, problem.rows)


def along_axis(problem: Problem) -> AxisProblem:
    """The columns and the speakers between them. Every rule counts once for each row."""
    rows, light = problem.rows, problem.light.radius
    return AxisProblem(
        unit=problem.unit,
        length=problem.length,
        count=problem.cols,
        setback=problem.end_setback,
        setback_subjects=rows,
        spacing=problem.spacing_max,
        spacing_subjects=rows,
        edges=(Need(light + problem.edge_min, rows),),
        pairs=(Need(2 * light + problem.web_min, rows),),
        even_tol=QUARTERS * problem.even_tol,
        uneven_cap=QUARTERS * problem.uneven_cap,
        speakers=_axis_speakers(problem) if problem.speaker_gaps else None,
    )


def _axis_speakers(problem: Problem) -> AxisSpeakers:
    speakers = problem.speakers
    assert speakers is not None
    return AxisSpeakers(
        gaps=frozenset(speakers.gaps),
        off_max=max(QUARTERS * speakers.off_max, QUARTERS // 2),
        edge=speakers.hole.radius + problem.edge_min,
        light=problem.light.radius + speakers.hole.radius + problem.web_min,
        subjects=problem.rows,
    )


def across_axis(problem: Problem) -> AxisProblem:
    """The rows. Edge and web rules count once for each hole of a row, spacing and setback once for each row."""
    holes: list[tuple[Hole, int]] = [(problem.light, problem.cols)]
    if problem.speakers is not None and problem.speakers.gaps:
        holes.append((problem.speakers.hole, len(problem.speakers.gaps)))
    return AxisProblem(
        unit=problem.unit,
        length=problem.width,
        count=problem.rows,
        setback=problem.row_setback,
        setback_subjects=1,
        spacing=problem.row_spacing_max,
        spacing_subjects=1,
        edges=tuple(Need(hole.radius + problem.edge_min, number) for hole, number in holes),
        pairs=tuple(Need(2 * hole.radius + problem.web_min, number) for hole, number in holes),
        even_tol=QUARTERS * problem.even_tol,
        uneven_cap=QUARTERS * problem.row_uneven_cap,
    )


def _mirrored(best: AxisLayout, length: int, count: int) -> tuple[int, ...]:
    """All lines of an axis in quarter ticks, from those before its middle in ticks."""
    near = [QUARTERS * line for line in best.lines]
    middle = [2 * length] if count % 2 else []
    return (*near, *middle, *(QUARTERS * length - at for at in reversed(near)))
