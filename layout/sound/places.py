"""Where a room's speakers, seats and screen stand, in meters from the left wall, the door wall and the finished floor.

From records and a worked-out layout to floats: exact lengths end here. Asks the database nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from layout.engine.finished_walls import Walls, gaps_of, walls_of
from layout.engine.lengths import Length, meters, nanometers
from layout.engine.marks import Axis, Kind, Side
from layout.engine.room import RoomLayout
from projects.jobs.sizes import finished_height

HEARD = (Kind.SPEAKER, Kind.SUBWOOFER)


@dataclass(frozen=True, slots=True)
class Size:
    """The finished room. wide_m: left to right. deep_m: door to far. high_m: None where no height was taped.

    rectangle: a flat box, as closed forms ask for.
    """

    wide_m: float
    deep_m: float
    high_m: float | None
    walls: Walls
    rectangle: bool = True


@dataclass(frozen=True, slots=True)
class Speaker:
    """One mark that gives sound, and what it plays; channel: empty where nobody said."""

    id: str
    kind: Kind
    x_m: float
    y_m: float
    channel: str = ""


def place_of(mark, layout: RoomLayout) -> tuple[Length, Length]:
    """A mark's center from the finished left wall and the finished door wall."""
    return place_at(mark.along, mark.across, layout)


def place_at(along, across, layout: RoomLayout) -> tuple[Length, Length]:
    """A place of the ceiling from the finished left wall and the finished door wall."""
    sizes = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    x, y = layout.inputs.orientation.plan_xy(along, across, *sizes)
    gaps = gaps_of(layout)
    return _whole(x + gaps[Side.LEFT]), _whole(y + gaps[Side.DOOR])


def mark_at(x_m: float, y_m: float, layout: RoomLayout) -> tuple[Length, Length]:
    """The other way: a place in the finished room as along and across, from the ceiling's zero corner."""
    gaps = gaps_of(layout)
    x, y = from_meters(x_m) - gaps[Side.LEFT], from_meters(y_m) - gaps[Side.DOOR]
    turn = layout.inputs.orientation
    from_left = x if turn.zero_x is Side.LEFT else layout.wide.datums.ceiling - x
    from_door = y if turn.zero_y is Side.DOOR else layout.deep.datums.ceiling - y
    along, across = (from_left, from_door) if turn.rows_run is Axis.LEFT_RIGHT else (from_door, from_left)
    return _whole(along), _whole(across)


def _whole(distance) -> Length:
    """To the nanometer: floats follow."""
    return nanometers(round(distance.nm))


def from_meters(value_m: float) -> Length:
    """A computed place as a length, to the tenth of a millimeter."""
    return nanometers(round(value_m * 10_000) * 100_000)


def size_of(room, layout: RoomLayout) -> Size:
    gaps = gaps_of(layout)
    high = finished_height(room)
    flat = not layout.inputs.outline and not layout.inputs.regions and layout.inputs.slope is None
    return Size(
        meters(layout.wide.datums.ceiling + gaps[Side.LEFT] + gaps[Side.RIGHT]),
        meters(layout.deep.datums.ceiling + gaps[Side.DOOR] + gaps[Side.FAR]),
        None if high is None else meters(high),
        walls_of(layout),
        flat,
    )


def speakers_of(layout: RoomLayout, roles) -> tuple[Speaker, ...]:
    """Every speaker and subwoofer on the ceiling, with the channel its mark was given."""
    channels = {role.mark: role.channel for role in roles}
    found = []
    for mark in layout.arrangement.marks:
        if mark.kind in HEARD:
            x, y = place_of(mark, layout)
            found.append(Speaker(mark.id, mark.kind, meters(x), meters(y), channels.get(mark.id, "")))
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
