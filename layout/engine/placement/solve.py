"""The best layout of a rectangular room: both axes solved, put together and measured. Knows nothing of files.

Without obstructions no rule joins the two axes: the least sum of two vectors, compared entry by entry, is the sum of
the least ones. With them, together.py searches.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.placement.axis import across_axis, along_axis
from layout.engine.placement.measure import Broken, Layout, Objective, broken_rules, objective
from layout.engine.placement.problem import Problem
from layout.engine.placement.search import solve_axis
from layout.engine.placement.together import solve_both, speakers_of


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
    layout = _together(problem) if problem.obstructions else _apart(problem)
    if layout is None:
        return Placement(Status.NO_LAYOUT)
    broken = broken_rules(problem, layout)
    return Placement(
        Status.INFEASIBLE if broken else Status.FEASIBLE, layout, objective(problem, layout, broken), broken
    )


def _apart(problem: Problem) -> Layout | None:
    row = solve_row(problem)
    rows = solve_rows(problem) if row else None
    return None if row is None or rows is None else Layout(row[0], rows, row[1])


def _together(problem: Problem) -> Layout | None:
    both = solve_both(problem)
    if both is None:
        return None
    along, across = along_axis(problem), across_axis(problem)
    columns, speakers = along.mirror(both.along.lines), speakers_of(along, both.along.speakers)
    return Layout(columns, across.mirror(both.across.lines), speakers)


def solve_row(problem: Problem) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """The columns and the speakers of each row, in quarter ticks, obstructions left out; None when the caps leave
    nothing."""
    axis = along_axis(problem)
    best = solve_axis(axis)
    return None if best is None else (axis.mirror(best.lines), speakers_of(axis, best.speakers))


def solve_rows(problem: Problem) -> tuple[int, ...] | None:
    """The rows, in quarter ticks, obstructions left out; None when the caps leave nothing."""
    axis = across_axis(problem)
    best = solve_axis(axis)
    return None if best is None else axis.mirror(best.lines)
