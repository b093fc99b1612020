"""What is computed for the place where a meter lay: of the lights alone, without the shop's own correction."""

from __future__ import annotations

import numpy as np

from layout.engine.lengths import meters
from layout.engine.light.values import Dims, LightError
from layout.engine.marks import Side
from layout.engine.shape.on_plan import holds
from layout.light.kept import KeptSolved
from layout.light.models import ReadOn
from layout.light.queries import RoomLight
from projects.jobs.models import SideChoice

OFF_M = 1e-3  # a meter's cell is a little off the surface it lies on


def dims_at(percents) -> Dims:
    return Dims(zones={letter: percent / 100 for letter, percent in percents.items()})


def predicted(light: RoomLight, fields, dims: Dims) -> float | None:
    """Lux at the reading's place; None where it can't be computed or the place is outside the room.

    fields: as ReadingForm.fields_of_record gives them.
    """
    if light.solved is None or light.made is None:
        return None
    placed = place_of(light.made, fields)
    if placed is None:
        return None
    point, normal = (np.array([one]) for one in placed)
    try:
        lux = _nearest(light.solved, *placed, dims) if isinstance(light.solved, KeptSolved) else float(
            light.solved.at(point, normal, dims)[0]
        )  # fmt: skip
    except LightError:
        return None
    own = light.setup.as_read
    return lux if own is None or lux is None else lux / float(own)


def place_of(made, fields):
    """(point, normal), meters; None outside the room."""
    room, walls = made.scene.room, made.walls
    on = fields["on"]
    if on in SideChoice.values:
        number = walls.on(Side(on))
        if number is None:
            return None
        (bx, by), (ax, ay) = walls.corners[number], walls.corners[(number + 1) % len(walls.corners)]
        length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        along, height = meters(fields["along"]), meters(fields["height"])
        if not (0 <= along <= length and 0 <= height < room.height_m + _most_rise(room)):
            return None
        ux, uy = (bx - ax) / length, (by - ay) / length
        normal = (uy, -ux, 0.0)
        return (ax + ux * along + normal[0] * OFF_M, ay + uy * along + normal[1] * OFF_M, height), normal
    x, y = meters(fields["from_left"]), meters(fields["from_door"])
    if not holds(walls.corners, x, y):
        return None
    x0, y0 = room.corners[0]
    top = room.height_m + (x - x0) * room.slope[0] + (y - y0) * room.slope[1]
    if on == ReadOn.CEILING:
        return (x, y, top - OFF_M), (0.0, 0.0, -1.0)
    height = OFF_M if on == ReadOn.FLOOR else meters(fields["height"])
    return ((x, y, max(height, OFF_M)), (0.0, 0.0, 1.0)) if height < top else None


def _most_rise(room) -> float:
    x0, y0 = room.corners[0]
    return max((x - x0) * room.slope[0] + (y - y0) * room.slope[1] for x, y in room.corners)


def _nearest(solved: KeptSolved, point, normal, dims: Dims) -> float | None:
    """A kept room's nearest grid point that faces the same way, within half a meter."""
    best, lux = 0.5, None
    for grid in solved.grids:
        if float(grid.normal @ np.array(normal)) < 0.99:
            continue
        away = np.linalg.norm(grid.points - np.array(point), axis=1)
        at = int(away.argmin())
        if away[at] < best:
            best, lux = float(away[at]), float(solved.lux(grid.name, dims)[at])
    return lux
