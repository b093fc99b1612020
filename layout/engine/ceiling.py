"""The shape of a ceiling that is not one flat rectangle: outline, regions, tiles, slope. Values; nothing is laid out.

Plan directions: x from the left, y from the door wall. An outline stands in the rectangle that encloses it, whose sides
are what was taped left to right and door to far.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.engine.lengths import Distance, Length
from layout.engine.marks import Axis, Datum


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of the finished ceiling, from the left and the door side of the rectangle that encloses it."""

    x: Distance
    y: Distance


@dataclass(frozen=True, slots=True)
class Region:
    """A part of the ceiling at its own height: a tray's field, a coffer, a soffit.

    rise: how far above the main ceiling; below 0 it hangs under it. laid_out: it gets lights of its own, about its own
    center lines; otherwise the room's rows run on through it.
    """

    name: str
    corners: tuple[Corner, ...]
    rise: Distance
    laid_out: bool = True


@dataclass(frozen=True, slots=True)
class ZoneWish:
    """What one zone of a room is to have where it differs from the rest. name: the zone's or the region's."""

    name: str
    rows: int | None = None
    columns: int | None = None


@dataclass(frozen=True, slots=True)
class Grid:
    """A lay-in grid. line_x, line_y: any grid line as found, from the left and the door side; None: the border rule.

    half_tiles: a mark may also stand at the middle of half a tile, which only the architect may say. cut_tiles: it may
    also stand in the middle of a border tile that is cut.
    """

    pitch_x: Length
    pitch_y: Length
    line_x: Distance | None = None
    line_y: Distance | None = None
    datum: Datum = Datum.EDGE
    half_tiles: bool = False
    cut_tiles: bool = False


@dataclass(frozen=True, slots=True)
class Slope:
    """A ceiling that rises along one axis of the plan: `rise` for each `run`. Sizes and marks are plan distances."""

    along: Axis
    rise: Length
    run: Length
