"""A ceiling's parts: the rectangles that are laid out each by itself, and where they join. Nothing is laid out here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import combinations

from layout.engine.ceiling import Region, ZoneWish
from layout.engine.lengths import ZERO, Distance, Length, Unit
from layout.engine.marks import Axis, Kind, Mark, Orientation, Side
from layout.engine.rows.arrange import Arrangement
from layout.engine.rows.wish import WishError
from layout.engine.shape.outline import Cutout, Outline, outline_of
from layout.engine.shape.rectangles import Box, TooManyPieces, cut


@dataclass(frozen=True, slots=True)
class Joint:
    """Where two rectangles meet edge to edge. runs: the way the common edge runs.

    at: where it stands on the other axis. low, high: its two ends, in plan.
    """

    runs: Axis
    at: Distance
    low: Distance
    high: Distance


def joint(one: Box, other: Box) -> Joint | None:
    """None where they have no edge in common; a corner is none."""
    for a, b in ((one, other), (other, one)):
        door, far = max(a.door, b.door), min(a.far, b.far)
        if a.right == b.left and door < far:
            return Joint(Axis.DOOR_FAR, a.right, door, far)
        left, right = max(a.left, b.left), min(a.right, b.right)
        if a.far == b.door and left < right:
            return Joint(Axis.LEFT_RIGHT, a.far, left, right)
    return None


@dataclass(frozen=True, slots=True)
class Shape:
    """A room's ceiling where it is more than one rectangle.

    outline: the ceiling's true edge, in the rectangle that encloses it: wide left to right, deep door to far. holes:
    what is cut, by what goes in. regions: those at the main ceiling's own height are zones drawn by hand. wishes: by a
    zone's letter or a region's name.
    """

    outline: Outline
    wide: Distance
    deep: Distance
    orientation: Orientation
    holes: Mapping[Kind, Cutout]
    regions: tuple[Region, ...] = ()
    wishes: tuple[ZoneWish, ...] = ()


@dataclass(frozen=True, slots=True)
class Zone:
    """A rectangle that is laid out by itself. along, across: where it starts, from the zero corner, whole ticks.

    name: the letter before its lights' numbers. title: the region it is; empty for a part of the main ceiling.
    """

    name: str
    title: str
    box: Box
    along: Length
    across: Length
    size_along: Length
    size_across: Length


@dataclass(frozen=True, slots=True)
class LaidZone:
    """A zone with its layout, which counts from the zone's own corner. rows_before: rows of the zones laid before.

    arrangement: None where the zone gets no lights: too narrow for one, or no typed number falls in it.
    through: the neighbor's columns and rows that run through a zone without lights, a doorway, to the next one.
    """

    zone: Zone
    arrangement: Arrangement | None
    rows_before: int
    through: tuple[tuple[Length, ...], tuple[Length, ...]] = ((), ())

    @property
    def columns(self) -> tuple[Length, ...]:
        """From the room's zero corner."""
        lines = self.arrangement.columns if self.arrangement else ()
        return tuple((self.zone.along + line).exact() for line in lines)

    @property
    def rows(self) -> tuple[Length, ...]:
        lines = self.arrangement.rows if self.arrangement else ()
        return tuple((self.zone.across + line).exact() for line in lines)


def zones_of(shape: Shape, unit: Unit) -> tuple[Zone, ...]:
    """The main ceiling's, the largest first and each next one joined to those before where it can be.

    Of zones of one size the one nearest the zero corner comes first. None where the outline is too jagged to be cut and
    zones are drawn by hand.
    """
    try:
        boxes = cut(shape.outline, unit)
    except TooManyPieces:
        if not any(region.laid_out and not region.rise for region in shape.regions):
            raise
        return ()
    placed = (_zone(shape, unit, "", "", box) for box in boxes)
    waiting = [zone for zone in placed if zone.size_along > ZERO and zone.size_across > ZERO]
    waiting.sort(key=lambda zone: (-zone.box.area_nm2, zone.across.nm, zone.along.nm))
    ordered: list[Zone] = []
    while waiting:
        joined = (zone for zone in waiting if any(joint(zone.box, other.box) for other in ordered))
        ordered.append(next(joined, waiting[0]))
        waiting.remove(ordered[-1])
    return tuple(replace(zone, name=letter(n)) for n, zone in enumerate(ordered))


def region_zones(shape: Shape, unit: Unit, before: int) -> tuple[Zone, ...]:
    """Those of the regions that get lights of their own. before: how many letters are taken. Raises WishError where
    two lie over one another.
    """
    outlines = [(region.name, outline_of(region.corners)) for region in shape.regions if region.laid_out]
    boxes = [(name, box) for name, outline in outlines for box in cut(outline, unit)]
    for (name, one), (other_name, other) in combinations(boxes, 2):
        if one.left < other.right and other.left < one.right and one.door < other.far and other.door < one.far:
            raise WishError(f"Parts of the ceiling: {name} and {other_name} overlap. Move an edge of one of them.")
    placed = (_zone(shape, unit, letter(before + n), name, box) for n, (name, box) in enumerate(boxes))
    return tuple(zone for zone in placed if zone.size_along > ZERO and zone.size_across > ZERO)


def letter(number: int) -> str:
    """A to Z, then AA, AB: a zone's, counted from 0."""
    first, last = divmod(number, 26)
    return (letter(first - 1) if first else "") + chr(ord("A") + last)


def _zone(shape: Shape, unit: Unit, name: str, title: str, box: Box) -> Zone:
    turn = shape.orientation
    x = _stretch(box.left, box.right, shape.wide, turn.zero_x is Side.LEFT, unit)
    y = _stretch(box.door, box.far, shape.deep, turn.zero_y is Side.DOOR, unit)
    along, across = (x, y) if turn.rows_run is Axis.LEFT_RIGHT else (y, x)
    return Zone(name, title, box, along[0], across[0], along[1], across[1])


def _stretch(low: Distance, high: Distance, size: Distance, from_low: bool, unit: Unit) -> tuple[Length, Length]:
    """Start and size from the zero side, the whole ticks inside."""
    start, end = (low, high) if from_low else (size - high, size - low)
    tick = unit.tick.nm
    first, last = -(-start.nm // tick), end.nm // tick
    return (first * unit.tick).exact(), (max(0, last - first) * unit.tick).exact()


def plan_of(mark: Mark, shape: Shape) -> tuple[Distance, Distance]:
    """A mark's place from the left and the door side."""
    return shape.orientation.plan_xy(mark.along, mark.across, shape.wide, shape.deep)
