"""From a room's records to the engine's values: which readings rule a size, and what stands on each side of it.

Reads records that queries.room_of has fetched; asks the database nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from layout.engine import square, survey
from layout.engine.lengths import Distance, Length, LengthError
from layout.engine.marks import Axis, Side
from layout.engine.stacks import Layer, NothingLeft, SideBuildUp, net_span
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

    @property
    def said(self):
        return (
            f"{self.instrument}, {SurveyKind(self.kind).label}, {self.taken_on:%b} {self.taken_on.day}, {self.taken_by}"
        )


def readings_of(visit: MeasurementSet, subject):
    return tuple(survey.WallReading(r.value, r.taken_at_height) for r in visit.readings.all() if r.subject == subject)


def visits_of(room, until: int | None = None) -> list[MeasurementSet]:
    """Newest first. until: the last set a revision knew; sets are never changed, so this is what it stood on."""
    return [visit for visit in reversed(room.measurement_sets.all()) if until is None or visit.pk <= until]


def size_of(room, axis: Axis, kinds, until: int | None = None) -> Size | None:
    """The newest reading of this size among sets of these kinds; along the zero corner's wall if that was taped."""
    walls = WALLS_OF[axis]
    zero = room.zero_y if axis is Axis.LEFT_RIGHT else room.zero_x
    first, second = walls if walls[0] == zero else (walls[1], walls[0])
    for visit in visits_of(room, until):
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
            )
    return None


def framing_size(room, axis, until: int | None = None):
    """As framed; before the framing is open, as planned."""
    return size_of(room, axis, (SurveyKind.FRAMING,), until) or size_of(room, axis, (SurveyKind.PLAN,), until)


def finished_size(room, axis, until: int | None = None):
    return size_of(room, axis, (SurveyKind.FINISHED,), until)


def height_of(room) -> Length | None:
    """The lowest height of the newest set that has one."""
    for visit in visits_of(room):
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


def finished_height(room) -> Distance | None:
    """Finished floor to finished ceiling; None when no height was taped, or the build-up leaves nothing."""
    height = height_of(room)
    if height is None:
        return None
    try:
        return net_span(height, floor_build_up(room), ceiling_build_up(room)).net
    except NothingLeft:
        return None


def room_readings(visit: MeasurementSet) -> survey.RoomReadings:
    """Four walls and two diagonals of one visit, each as it is centered on; None for what was not taped."""
    found = {}
    for name in ("door", "far", "left", "right"):
        if readings := readings_of(visit, name):
            found[name] = survey.WallReadings(readings).center
    for name in ("d1", "d2"):
        if readings := readings_of(visit, name):
            found[name] = readings[0].value
    return survey.RoomReadings(**found)


class Squared(StrEnum):
    NOT_TAPED = "not taped"
    SQUARE = "square"
    OUT = "out of square"


def squared(room, until: int | None = None) -> Squared:
    """What the newest visit with both diagonals, or with a 3-4-5, says."""
    return squared_by(visits_of(room, until))


def squared_by(visits: Iterable[MeasurementSet]) -> Squared:
    """The same from visits with their readings, the newest first. A plan's diagonals prove nothing."""
    for visit in visits:
        if visit.kind == SurveyKind.PLAN:
            continue
        verdict = _by_diagonals(visit) or _by_three_four_five(visit)
        if verdict:
            return verdict
    return Squared.NOT_TAPED


def _by_diagonals(visit):
    room = room_readings(visit)
    wide, deep = room.door or room.far, room.left or room.right
    if not (wide and deep and room.d1 and room.d2):
        return None
    found = square.square_check(wide, deep, room.d1, room.d2)
    return Squared.SQUARE if found.squareness is square.Squareness.SQUARE else Squared.OUT


def _by_three_four_five(visit):
    legs = {r.subject: r.value for r in visit.readings.all() if r.subject.startswith("leg")}
    if len(legs) < 3:
        return None
    room = room_readings(visit)
    over = room.left or room.right or legs[Subject.LEG_B]
    try:
        corner = square.three_four_five(legs[Subject.LEG_A], legs[Subject.LEG_B], legs[Subject.LEG_C], over)
    except LengthError:
        return Squared.OUT
    return Squared.SQUARE if corner.square else Squared.OUT
