"""Finding a box that is covered: each mark from two finished walls, and from the two across. Words and values."""

from dataclasses import dataclass

from layout.as_built.models import Step
from layout.as_built.queries import marks_of
from layout.engine.lengths import Distance
from layout.engine.marks import Datum
from layout.plans import insets, sides_of, wall_from_zero
from layout.services import thawed


@dataclass(frozen=True, slots=True)
class FromWall:
    """How far a mark is from one wall's finished face, as printed."""

    wall: str
    far: str


@dataclass(frozen=True, slots=True)
class Box:
    """One mark where it is. first: from the two walls the zero corner stands between; other: from those across.

    known: the last step it was entered at, in words; "" where nothing was entered and the revision's place is shown.
    """

    ident: str
    what: str
    hole: str
    first: tuple[FromWall, ...]
    other: tuple[FromWall, ...]
    known: str
    by: str
    at: object
    covered: bool


def box_of(now, layout, room, ident) -> Box | None:
    mark = now.of(ident)
    return None if mark is None else _box(mark, layout, room)


def boxes_of(now, layout, room) -> list[Box]:
    return [_box(mark, layout, room) for mark in now.marks]


def _box(one, layout, room):
    tape = room.job.tape
    first, other = [], []
    for place, result in zip(one.built, (layout.along, layout.across), strict=True):
        start, end = sides_of(result, layout.inputs.orientation)
        here = tape.rounded(place + insets(result, Datum.FINISHED)[0])
        across = tape.rounded(wall_from_zero(result, Datum.FINISHED)) - here
        first.append(FromWall(room.wall_name(start), tape.show(here)))
        other.append(FromWall(room.wall_name(end), tape.show(across)))
    last = next((one.steps[step.value] for step in reversed(Step) if step.value in one.steps), None)
    return Box(
        one.ident,
        one.mark.fixture_type.name,
        tape.show(one.mark.fixture_type.cutout),
        tuple(first),
        tuple(other),
        last.get_step_display() if last else "",
        last.by.user.name if last and last.by else "",
        last.at if last else None,
        Step.CUT.value not in one.steps,
    )


def nearest(now, layout, x: Distance, y: Distance):
    """The mark nearest a point of the plan, from the left and the door wall's side of the ceiling's edge."""
    turn, wide, deep = layout.inputs.orientation, layout.wide.datums.ceiling, layout.deep.datums.ceiling

    def away(mark):
        left, door = turn.plan_xy(*mark.built, wide, deep)
        return (left - x).nm ** 2 + (door - y).nm ** 2

    return min(now.marks, key=away, default=None)


def found(room):
    """The room's marks and its layout. Raises NotAsIssued; (now, None) before a revision is issued."""
    now = marks_of(room)
    return now, None if now.revision is None else thawed(now.revision)
