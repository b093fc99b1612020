"""One axis of a room: `count` lines (columns or rows) mirrored about its middle, speakers between some of them.

A room without obstructions comes apart into its two axes. With them, once the rows stand, every obstruction is a cost
on the places along a row, and the other way round: an `Axis` takes such costs as more costs by tick.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from layout.engine.lengths import Unit
from layout.engine.placement.costs import (
    Array,
    edges,
    edges_at,
    joists,
    joists_at,
    mirrored,
    off_tile,
    off_tile_at,
    shortfalls,
)
from layout.engine.placement.problem import QUARTERS, Hole, Problem, Setback, Work


@dataclass(frozen=True, slots=True)
class Need:
    """A distance that `subjects` pairs of holes each need, in quarter ticks."""

    distance: int
    subjects: int


@dataclass(frozen=True, slots=True, eq=False)
class AxisSpeakers:
    """Speakers between the lines. Distances in quarter ticks; `subjects` is how many rows carry the same speaker."""

    gaps: frozenset[int]
    off_max: int  # cap on the distance from mid-gap
    light: int  # needed from center to the center of a neighboring light
    subjects: int
    places: Array  # the cost of a speaker at each tick before the middle, and of its mirror


@dataclass(frozen=True, slots=True, eq=False)
class Axis:
    """Length, setback and spacing in ticks; needs and evenness in quarter ticks.

    lines: the cost of a line at each tick before the middle, and of its mirror. fixed: of what can't move.
    boxes: the ticks each free line is held to, for a search that halves them; None leaves all.
    """

    unit: Unit
    length: int
    count: int
    setback: Setback
    setback_subjects: int  # at each end
    spacing: int | None
    spacing_subjects: int  # for each gap
    webs: tuple[Need, ...]  # each line to the next
    even_tol: int
    uneven_cap: int
    lines: Array
    fixed: int
    speakers: AxisSpeakers | None = None
    boxes: tuple[range, ...] | None = None
    work: Work = field(default_factory=Work)
    gap_costs: Array = field(default_factory=lambda: np.zeros(0, np.int64))  # by whole ticks, for one side

    @property
    def free(self) -> int:
        """Lines before the middle; their mirrors and a middle line follow from them."""
        return self.count // 2

    @property
    def ticks(self) -> int:
        """How many ticks lie before the middle, 0 among them."""
        return len(self.lines)

    @property
    def middle(self) -> int:
        """The center line, in quarter ticks."""
        return 2 * self.length

    def box(self, line: int) -> range:
        """The ticks that free line 1, 2 ... may stand on."""
        return self.boxes[line - 1] if self.boxes else range(self.ticks)

    def middle_gap(self, x: int) -> int:
        """The gap that touches or straddles the center line when the last free line is at x, in quarter ticks."""
        return self.middle - QUARTERS * x if self.count % 2 else 2 * (self.middle - QUARTERS * x)

    def has_speaker(self, gap: int) -> bool:
        return self.speakers is not None and gap in self.speakers.gaps

    def gaps(self, gaps: Array) -> Array:
        """The costs of gaps, in quarter ticks, for one side: spacing, and the web between two holes."""
        costs = np.zeros(len(gaps), np.int64)
        for need in self.webs:
            costs += need.subjects * shortfalls(need.distance, gaps)
        if self.spacing is not None:
            costs += self.spacing_subjects * shortfalls(0, QUARTERS * self.spacing - gaps)
        return costs

    def with_more(self, lines: Array, places: Array | None, fixed: int) -> Axis:
        """The axis with more standing in its way."""
        speakers = self.speakers
        if speakers is not None and places is not None:
            speakers = replace(speakers, places=speakers.places + places)
        return replace(self, lines=self.lines + lines, fixed=self.fixed + fixed, speakers=speakers)

    def mirror(self, near: tuple[int, ...]) -> tuple[int, ...]:
        """All lines in quarter ticks, from those before the middle in ticks."""
        ends = QUARTERS * self.length
        middle = (self.middle,) if self.count % 2 else ()
        return (*(QUARTERS * x for x in near), *middle, *(ends - QUARTERS * x for x in reversed(near)))


class Alone:
    """What one hole meets on one axis, whatever stands on the other."""

    def __init__(self, problem: Problem, along: bool) -> None:
        self.problem = problem
        self.along = along
        self.length = problem.length if along else problem.width
        self.joists = [entry for entry in problem.joists if entry.across == along]
        tile = problem.tile
        self.tile = (tile.pitch[0 if along else 1], tile.line[0 if along else 1]) if tile else None

    def costs(self, hole: Hole) -> Array:
        costs = edges(hole.radius + self.problem.edge_min, self.length)
        for entry in self.joists:
            costs += joists(entry, hole.radius + hole.clear + entry.half_width, self.length)
        if self.tile:
            costs += off_tile(*self.tile, self.length)
        return costs

    def at_middle(self, hole: Hole) -> int:
        return self.at(hole, 2 * self.length)

    def at(self, hole: Hole, at: int) -> int:
        """The cost of a hole at a place in quarter ticks."""
        cost = edges_at(hole.radius + self.problem.edge_min, self.length, at)
        cost += sum(joists_at(entry, hole.radius + hole.clear + entry.half_width, at) for entry in self.joists)
        return cost + (off_tile_at(*self.tile, at) if self.tile else 0)


def along_axis(problem: Problem) -> Axis:
    """The columns and the speakers between them. Every rule counts once for each row."""
    rows, alone = problem.rows, Alone(problem, along=True)
    fixed = rows * alone.at_middle(problem.light) if problem.cols % 2 else 0
    speakers = None
    if problem.speakers is not None and problem.speakers.gaps:
        hole = problem.speakers.hole
        speakers = AxisSpeakers(
            gaps=frozenset(problem.speakers.gaps),
            off_max=max(QUARTERS * problem.speakers.off_max, QUARTERS // 2),
            light=problem.light.radius + hole.radius + problem.web_min,
            subjects=rows,
            places=rows * mirrored(alone.costs(hole)),
        )
        if problem.cols % 2 == 0 and problem.cols // 2 in speakers.gaps:
            fixed += rows * alone.at_middle(hole)
    return _with_gap_costs(
        Axis(
            unit=problem.unit,
            length=problem.length,
            count=problem.cols,
            setback=problem.end_setback,
            setback_subjects=rows,
            spacing=problem.spacing_max,
            spacing_subjects=rows,
            webs=(Need(2 * problem.light.radius + problem.web_min, rows),),
            even_tol=QUARTERS * problem.even_tol,
            uneven_cap=QUARTERS * problem.uneven_cap,
            lines=rows * mirrored(alone.costs(problem.light)),
            fixed=fixed,
            speakers=speakers,
        )
    )


def across_axis(problem: Problem) -> Axis:
    """The rows. Edge and web rules count once for each hole of a row, spacing and setback once for each row."""
    alone, holes = Alone(problem, along=False), problem.holes
    return _with_gap_costs(
        Axis(
            unit=problem.unit,
            length=problem.width,
            count=problem.rows,
            setback=problem.row_setback,
            setback_subjects=1,
            spacing=problem.row_spacing_max,
            spacing_subjects=1,
            webs=tuple(Need(2 * hole.radius + problem.web_min, number) for hole, number in holes),
            even_tol=QUARTERS * problem.even_tol,
            uneven_cap=QUARTERS * problem.row_uneven_cap,
            lines=mirrored(np.sum([number * alone.costs(hole) for hole, number in holes], axis=0)),
            fixed=sum(number * alone.at_middle(hole) for hole, number in holes) if problem.rows % 2 else 0,
        )
    )


def _with_gap_costs(axis: Axis) -> Axis:
    return replace(axis, gap_costs=axis.gaps(QUARTERS * np.arange(axis.length + 1, dtype=np.int64)))
