"""What a plan is drawn from, and the same facts as rows of words. Must not know how anything is drawn.

Three outlines stand inside one another: the framing, the finished wall, and the ceiling's own edge (a floating ceiling
stands off the walls). Marks are given from the edge's zero corner; the other two are told by what lies between.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from layout.drawing.layers import Layers, Patch, Place
from layout.engine import lengths
from layout.engine.lengths import ZERO, Distance, Tape
from layout.engine.marks import Datum, Mark, Orientation, Side


@dataclass(frozen=True, slots=True)
class PerSide:
    """One distance for each wall."""

    door: Distance = ZERO
    left: Distance = ZERO
    far: Distance = ZERO
    right: Distance = ZERO

    def of(self, side: Side) -> Distance:
        return getattr(self, side.value)

    def __bool__(self) -> bool:
        return any((self.door, self.left, self.far, self.right))


@dataclass(frozen=True, slots=True)
class Names:
    """What the crew calls each wall."""

    door: str = ""
    left: str = ""
    far: str = ""
    right: str = ""

    def of(self, side: Side) -> str:
        return getattr(self, side.value)


@dataclass(frozen=True, slots=True)
class PlanMark:
    """One mark as drawn.

    pinned: held where it is. was: where it stood before it was moved. frame: its housing's, above the drywall.
    """

    mark: Mark
    cutout: Distance
    pinned: bool = False
    was: Place | None = None
    frame: Patch | None = None


@dataclass(frozen=True, slots=True)
class RunningDimension:
    """One running number. at: from the ceiling edge's zero corner, as marks are. text: as printed, from the datum.

    line: the name of the line in the sum column that this number belongs to; empty when it has none of its own.
    """

    id: str
    text: str
    at: Distance
    line: str = ""


@dataclass(frozen=True, slots=True)
class PlanDrawing:
    """A ceiling to draw. wide, deep: the outermost outline, left to right and door to far.

    build_up: outermost outline to finished wall, each side. gap: finished wall to ceiling edge, each side.
    framing_known: whether the outermost outline is framing that was measured; otherwise it is the finished wall.
    key: sets this drawing's element ids apart from another's on the same page.
    Raises ValueError when nothing is left of the ceiling.
    """

    orientation: Orientation
    wide: Distance
    deep: Distance
    names: Names
    tape: Tape
    title: str
    description: str = ""
    marks: tuple[PlanMark, ...] = ()
    along: tuple[RunningDimension, ...] = ()
    across: tuple[RunningDimension, ...] = ()
    last_along: str = ""
    last_across: str = ""
    datum: Datum = Datum.FINISHED
    build_up: PerSide = field(default_factory=PerSide)
    gap: PerSide = field(default_factory=PerSide)
    framing_known: bool = True
    door_name: str = ""
    north: Side | None = None
    key: str = "plan"
    layers: Layers = field(default_factory=Layers)

    def __post_init__(self) -> None:
        if self.ceiling_wide <= ZERO or self.ceiling_deep <= ZERO:
            raise ValueError("Nothing is left of the ceiling: the build-ups and gaps are as wide as the room.")

    @property
    def ceiling_wide(self) -> Distance:
        return self.wide - self.build_up.left - self.build_up.right - self.gap.left - self.gap.right

    @property
    def ceiling_deep(self) -> Distance:
        return self.deep - self.build_up.door - self.build_up.far - self.gap.door - self.gap.far

    def inset(self, side: Side, datum: Datum) -> Distance:
        """From the given face at this side in to the ceiling edge."""
        if datum is Datum.EDGE:
            return ZERO
        finished = self.gap.of(side)
        return finished if datum is Datum.FINISHED else finished + self.build_up.of(side)

    @property
    def faces(self) -> tuple[Datum, ...]:
        """The faces that stand apart in this room, outermost first; the datum is always one."""
        apart = {self.datum}
        if self.build_up:
            apart |= {Datum.FRAMING, Datum.FINISHED} if self.framing_known else {Datum.FINISHED}
        if self.gap:
            apart |= {Datum.EDGE} if apart & {Datum.FRAMING, Datum.FINISHED} else {Datum.FINISHED}
        return tuple(face for face in Datum if face in apart)


def running(
    marks: Iterable[tuple[str, Distance]], tape: Tape, inset: Distance, key: str
) -> tuple[RunningDimension, ...]:
    """Running numbers from the zero corner, one for each different printed number, nearest first.

    marks: id and position from the ceiling edge. inset: datum to ceiling edge on the zero side.
    Rounded once, from the exact position, so that no number carries another's rounding.
    """
    nearest: dict[Distance, Distance] = {}
    for _, at in sorted(marks, key=lambda one: one[1]):
        nearest.setdefault(tape.rounded(at + inset), at)
    return tuple(
        RunningDimension(f"{key}-{number}", tape.show(printed, mark=False), at, line=f"{key}-{number}")
        for number, (printed, at) in enumerate(nearest.items(), start=1)
    )


def last_to_wall(wall: Distance, last: Distance, tape: Tape) -> str:
    """Printed wall less printed last mark, so that the two printed numbers add up for a person with a pencil."""
    return tape.show(lengths.last_to_wall(wall, last, tape), mark=False)


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One mark in words. numbers: (face, along, across) for each face that stands apart, outermost first."""

    id: str
    what: str
    numbers: tuple[tuple[Datum, str, str], ...]


def plan_table(plan: PlanDrawing) -> tuple[PlanRow, ...]:
    """The drawing's marks as rows: what a screen reader reads, and what is read out loud from the floor."""
    turn = plan.orientation
    along, across = turn.zero_side(turn.rows_run), turn.zero_side(turn.rows_run.other)

    def numbers(mark: Mark, face: Datum) -> tuple[Datum, str, str]:
        show = plan.tape.show
        return face, show(mark.along + plan.inset(along, face)), show(mark.across + plan.inset(across, face))

    return tuple(
        PlanRow(one.mark.id, one.mark.kind.value, tuple(numbers(one.mark, face) for face in plan.faces))
        for one in plan.marks
    )
