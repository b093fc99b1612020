"""Where a room's speakers, seats and screen stand, in meters from the left wall, the door wall and the finished floor.

From records and a worked-out layout to floats: exact lengths end here. Asks the database nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from layout.engine.lengths import Length, nanometers
from layout.engine.marks import Axis, Kind, Side
from layout.engine.room import RoomLayout
from layout.plans import sides_of
from projects.jobs.sizes import finished_height

HEARD = (Kind.SPEAKER, Kind.SUBWOOFER)


@dataclass(frozen=True, slots=True)
class Size:
    """The finished room. wide_m: left to right. deep_m: door to far. high_m: None where no height was taped.

    corners_m: the ceiling's outline where it is no rectangle. rectangle: a flat box, as closed forms ask for.
    """

    wide_m: float
    deep_m: float
    high_m: float | None
    rectangle: bool = True
    corners_m: tuple[tuple[float, float], ...] = ()

    @property
    def volume_m3(self) -> float | None:
        return None if self.high_m is None else self.wide_m * self.deep_m * self.high_m


@dataclass(frozen=True, slots=True)
class Speaker:
    """One mark that gives sound, and what it plays; channel: empty where nobody said."""

    id: str
    kind: Kind
    x_m: float
    y_m: float
    channel: str = ""


def _gaps(layout: RoomLayout):
    """Finished wall to ceiling's edge, at the left and at the door."""
    gaps = {}
    for result in (layout.along, layout.across):
        start, end = sides_of(result, layout.inputs.orientation)
        gaps[start], gaps[end] = result.datums.start_gap, result.datums.end_gap
    return gaps


def place_of(mark, layout: RoomLayout) -> tuple[Length, Length]:
    """A mark's center from the finished left wall and the finished door wall."""
    return place_at(mark.along, mark.across, layout)


def place_at(along, across, layout: RoomLayout) -> tuple[Length, Length]:
    """A place of the ceiling from the finished left wall and the finished door wall."""
    sizes = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    x, y = layout.inputs.orientation.plan_xy(along, across, *sizes)
    gaps = _gaps(layout)
    return _whole(x + gaps[Side.LEFT]), _whole(y + gaps[Side.DOOR])


def mark_at(x_m: float, y_m: float, layout: RoomLayout) -> tuple[Length, Length]:
    """The other way: a place in the finished room as along and across, from the ceiling's zero corner."""
    gaps = _gaps(layout)
    x, y = meters(x_m) - gaps[Side.LEFT], meters(y_m) - gaps[Side.DOOR]
    turn = layout.inputs.orientation
    from_left = x if turn.zero_x is Side.LEFT else layout.wide.datums.ceiling - x
    from_door = y if turn.zero_y is Side.DOOR else layout.deep.datums.ceiling - y
    along, across = (from_left, from_door) if turn.rows_run is Axis.LEFT_RIGHT else (from_door, from_left)
    return _whole(along), _whole(across)


def _whole(distance) -> Length:
    """To the nanometer: floats follow."""
    return nanometers(round(distance.nm))


def meters(value_m: float) -> Length:
    """A computed place as a length, to the tenth of a millimeter."""
    return nanometers(round(value_m * 10_000) * 100_000)


def in_m(length) -> float:
    return float(length.nm) / 1e9


def size_of(room, layout: RoomLayout) -> Size:
    gaps = _gaps(layout)
    high = finished_height(room)
    flat = not layout.inputs.outline and not layout.inputs.regions and layout.inputs.slope is None
    return Size(
        in_m(layout.wide.datums.ceiling + gaps[Side.LEFT] + gaps[Side.RIGHT]),
        in_m(layout.deep.datums.ceiling + gaps[Side.DOOR] + gaps[Side.FAR]),
        None if high is None else in_m(high),
        flat,
        tuple(
            (in_m(corner.x + gaps[Side.LEFT]), in_m(corner.y + gaps[Side.DOOR])) for corner in layout.inputs.outline
        ),
    )


def speakers_of(layout: RoomLayout, roles) -> tuple[Speaker, ...]:
    """Every speaker and subwoofer on the ceiling, with the channel its mark was given."""
    channels = {role.mark: role.channel for role in roles}
    found = []
    for mark in layout.arrangement.marks:
        if mark.kind in HEARD:
            x, y = place_of(mark, layout)
            found.append(Speaker(mark.id, mark.kind, in_m(x), in_m(y), channels.get(mark.id, "")))
    return tuple(found)


def gone(layout: RoomLayout, roles):
    """Roles of marks that aren't there now, in words."""
    there = {mark.id for mark in layout.arrangement.marks if mark.kind in HEARD}
    for role in roles:
        if role.mark not in there:
            yield _("%(channel)s was %(mark)s, which is not on the ceiling now. It is kept until you change it.") % {
                "channel": role.channel,
                "mark": role.mark,
            }
