"""From a room's records to the engine's values: which readings rule a size, and what stands on each side of it.

Reads records that queries.room_of has fetched; asks the database nothing.
"""

from dataclasses import dataclass
from datetime import date

from layout.engine import survey
from layout.engine.lengths import Distance, Length
from layout.engine.marks import Axis, Side
from layout.engine.stacks import Layer, SideBuildUp
from projects.jobs.models import MeasurementSet, Subject, Surface, SurveyKind

# The two walls along which an axis is taped: the one nearer the zero corner is the one pulled along.
WALLS_OF = {Axis.LEFT_RIGHT: (Side.DOOR, Side.FAR), Axis.DOOR_FAR: (Side.LEFT, Side.RIGHT)}


@dataclass(frozen=True, slots=True)
class Size:
    """One size of a room as its newest set has it: what is centered on, and the shortest, which must be cleared."""

    center: Distance
    shortest: Length
    kind: SurveyKind
    taken_on: date
    taken_by: str
    instrument: str
    walls_differ: Distance | None  # the other wall less this one, where both were taped

    @property
    def said(self):
        return (
            f"{self.instrument}, {SurveyKind(self.kind).label}, {self.taken_on:%b} {self.taken_on.day}, {self.taken_by}"
        )


def readings_of(visit: MeasurementSet, subject):
    return tuple(survey.WallReading(r.value, r.taken_at_height) for r in visit.readings.all() if r.subject == subject)


def size_of(room, axis: Axis, kinds) -> Size | None:
    """The newest reading of this size among sets of these kinds; along the zero corner's wall if that was taped."""
    walls = WALLS_OF[axis]
    zero = room.zero_y if axis is Axis.LEFT_RIGHT else room.zero_x
    first, second = walls if walls[0] == zero else (walls[1], walls[0])
    for visit in reversed(room.measurement_sets.all()):
        if visit.kind not in kinds:
            continue
        taped = [survey.WallReadings(found) for wall in (first, second) if (found := readings_of(visit, wall.value))]
        if taped:
            return Size(
                center=taped[0].center,
                shortest=min(wall.clearance for wall in taped),
                kind=SurveyKind(visit.kind),
                taken_on=visit.taken_on,
                taken_by=visit.taken_by,
                instrument=visit.get_instrument_display(),
                walls_differ=taped[1].center - taped[0].center if len(taped) == 2 else None,
            )
    return None


def framing_size(room, axis):
    """As framed; before the framing is open, as planned."""
    return size_of(room, axis, (SurveyKind.FRAMING,)) or size_of(room, axis, (SurveyKind.PLAN,))


def finished_size(room, axis):
    return size_of(room, axis, (SurveyKind.FINISHED,))


def height_of(room) -> Length | None:
    """The lowest height of the newest set that has one."""
    for visit in reversed(room.measurement_sets.all()):
        heights = [r.value for r in visit.readings.all() if r.subject == Subject.HEIGHT]
        if heights:
            return min(heights)
    return None


def build_up_of(room, side: Side) -> SideBuildUp:
    return SideBuildUp(_layers(room, side.value), room.gap(side))


def ceiling_build_up(room) -> SideBuildUp:
    return SideBuildUp(_layers(room, Surface.CEILING))


def floor_build_up(room) -> SideBuildUp:
    return SideBuildUp(_layers(room, Surface.FLOOR))


def _layers(room, surface):
    return tuple(Layer(layer.name, layer.thickness) for layer in room.layers.all() if layer.surface == surface)


def squared(room) -> bool:
    """Has a set with diagonals, or a 3-4-5, been taken? Until then a card says NOT SQUARED."""
    taken = {r.subject for visit in room.measurement_sets.all() for r in visit.readings.all()}
    return {"d1", "d2"} <= taken or {"leg_a", "leg_b", "leg_c"} <= taken
