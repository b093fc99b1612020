"""The placement problem of one rectangular room, in whole ticks and quarter ticks. Knows nothing of files or solving.

A tick is the finest mark a layout stands on: 1/16 in, or 1 mm. Halving a room, and halving again for the speaker
beside its middle light, are the only sources of fractions, so a quarter tick holds every position exactly.

Rows run along the room's length. Every row has the same columns and the same speakers, and the whole pattern mirrors
about both center lines. Gap k lies between columns k and k + 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from layout.engine.lengths import Unit

EXCESS_BITS = 36  # a cost holds the excess of all rules, in ticks, in as many bits, and the broken rules above them
BROKEN_BITS = 23
MOST_OBSTRUCTIONS = 2_000
MOST_JOISTS = 10_000  # members on one ceiling; 300 ft at 1 in has 3,600
QUARTERS = 4  # quarter ticks in a tick
MOST_LINES = 60  # rows or columns: more than any room's ceiling carries, few enough to answer at once
LONGEST = {Unit.INCH: 300 * 12 * 16, Unit.MM: 91_440}  # ticks in 300 ft


class ProblemError(ValueError):
    """A placement problem that can't be stated. The message names the field and the remedy."""


class Work:
    """How much may be done for one axis of a room, about a thousand million numbers a second.

    Counted, not timed, so that a room is answered everywhere or nowhere: a minute or so. Rooms people build take a
    thousandth of it.
    """

    def __init__(self) -> None:
        self.left = 60_000_000_000

    def spend(self, numbers: int) -> None:
        self.left -= numbers + 1000
        if self.left < 0:
            raise ProblemError("This room takes too long to lay out. Narrow uneven_max, row_uneven_max or off_max.")


@dataclass(frozen=True, slots=True)
class Setback:
    """How far the outer lights stand off the wall, in ticks: the limits, and the distance preferred."""

    min: int
    max: int
    pref: int


@dataclass(frozen=True, slots=True)
class Hole:
    """A cutout: its radius, and the free material it asks for beside framing and obstructions, in quarter ticks."""

    radius: int
    clear: int = 0


@dataclass(frozen=True, slots=True)
class Speakers:
    """The speakers of each row: their hole, the gaps they sit in, and how far off mid-gap one may be, in ticks."""

    hole: Hole
    gaps: tuple[int, ...]
    off_max: int = 0


@dataclass(frozen=True, slots=True)
class Joists:
    """Parallel members that repeat without end, both ways. Quarter ticks; the spacing may be any exact fraction of one.

    across: they run across the rows, so they bind places along a row; else they run along and bind the rows.
    """

    across: bool
    spacing: Fraction
    half_width: int
    first: int  # the center of one of them, from the left or the lower net edge


@dataclass(frozen=True, slots=True)
class Obstruction:
    """A rectangle with a rim around it, in quarter ticks: a circle is a point with its radius for a rim."""

    x0: int
    y0: int
    x1: int
    y1: int
    rim: int = 0
    clear: int = 0

    def needs(self, hole: Hole) -> int:
        """How far a hole's center stays from the rectangle, the rim and the larger of the two clearances between."""
        return hole.radius + max(hole.clear, self.clear) + self.rim


@dataclass(frozen=True, slots=True)
class Tile:
    """A lay-in grid in quarter ticks: the pitch of its tiles along and across the rows, and one grid line on each."""

    pitch: tuple[int, int]
    line: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Problem:
    """A room to lay out. Lengths are ticks, except where a quarter tick is needed: radius, clear, edge_min, web_min."""

    unit: Unit
    length: int
    width: int
    rows: int
    cols: int
    light: Hole
    end_setback: Setback
    row_setback: Setback
    spacing_max: int
    speakers: Speakers | None = None
    edge_min: int = 0  # quarter ticks from a hole's rim to the net edge
    web_min: int = 0  # quarter ticks of material between two holes
    row_spacing_max: int | None = None
    even_tol: int = 1
    uneven_max: int | None = None  # None: 6 in or 150 mm
    row_uneven_max: int | None = None  # None: even_tol
    joists: tuple[Joists, ...] = ()
    obstructions: tuple[Obstruction, ...] = ()
    tile: Tile | None = None

    def __post_init__(self) -> None:
        for name, size in (("L", self.length), ("W", self.width)):
            if not 1 <= size <= LONGEST[self.unit]:
                shown = f"{Decimal(size) / 16:f} in" if self.unit is Unit.INCH else f"{size} mm"
                raise ProblemError(f"{name}: {shown}. A ceiling is more than 0 and at most 300 ft (91,440 mm).")
        for name, count in (("rows", self.rows), ("cols", self.cols)):
            if not 1 <= count <= MOST_LINES:
                raise ProblemError(f"{name}: {count}. Give 1 to {MOST_LINES}.")
        gaps = self.speaker_gaps
        if len(set(gaps)) != len(gaps):
            raise ProblemError(f"speaker.gaps: {list(gaps)} names a gap twice. Name each gap once.")
        for gap in gaps:
            if not 1 <= gap < self.cols:
                raise ProblemError(
                    f"speaker.gaps: {gap}. {self.cols} lights in a row leave gaps 1 to {self.cols - 1}."
                    if self.cols > 1
                    else f"speaker.gaps: {gap}. One light in a row leaves no gap: give an empty list."
                )
            if self.cols - gap not in gaps:
                raise ProblemError(f"speaker.gaps: {gap} has no mirror. Add gap {self.cols - gap} or leave out {gap}.")
        self._check_size()

    def _check_size(self) -> None:
        """Refuse what no ceiling has, before it takes minutes or costs run over their bits."""
        if len(self.obstructions) > MOST_OBSTRUCTIONS:
            raise ProblemError(f"obstructions: {len(self.obstructions):,}. Give at most {MOST_OBSTRUCTIONS:,}.")
        longest, each_hole, members = QUARTERS * self.length, [], 0
        for hole, number in self.holes:
            short = [hole.radius + self.edge_min] * 4 + [2 * hole.radius + self.web_min] * 3
            short += [each.needs(hole) for each in self.obstructions] + ([*self.tile.pitch] if self.tile else [])
            for entry in self.joists:
                needed = hole.radius + hole.clear + entry.half_width
                members += int((longest + 2 * needed) / entry.spacing) + 1
                if members > MOST_JOISTS:
                    raise ProblemError(f"joists: over {MOST_JOISTS:,} reach this ceiling. Check oc and the unit.")
                short += [needed] * (int(2 * needed / entry.spacing) + 2)
            each_hole.append((self.rows * number, short))
        lines = self.rows * (self.cols + 4)
        setbacks = max(self.end_setback.min, self.row_setback.min, self.length)
        broken = 2 * lines + sum(times * len(short) for times, short in each_hole)
        excess = 2 * lines * setbacks + sum(times * (sum(short) + len(short)) for times, short in each_hole)
        if broken >= 1 << BROKEN_BITS or excess >= 1 << EXCESS_BITS:
            raise ProblemError("The limits and sizes are too large to add up. Check cutouts, clearances and the unit.")

    @property
    def speaker_gaps(self) -> tuple[int, ...]:
        return self.speakers.gaps if self.speakers else ()

    @property
    def holes(self) -> tuple[tuple[Hole, int], ...]:
        """The kinds of hole in a row, and how many there are of each."""
        lights = (self.light, self.cols)
        if self.speakers is None or not self.speakers.gaps:
            return (lights,)
        return lights, (self.speakers.hole, len(self.speakers.gaps))

    @property
    def uneven_cap(self) -> int:
        """Most that gaps along a row may differ by, in ticks."""
        default = 6 * 16 if self.unit is Unit.INCH else 150
        return max(default if self.uneven_max is None else self.uneven_max, self.even_tol)

    @property
    def row_uneven_cap(self) -> int:
        """Most that gaps between rows may differ by, in ticks."""
        return max(self.even_tol if self.row_uneven_max is None else self.row_uneven_max, self.even_tol)
