"""Where a room lands on the sheet: its scale, its three outlines and the bands kept free around it, in millimeters.

Positions are exact until here; a float is fit for ink.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from layout.drawing.hatch import Point, corners_of, crosses, inside
from layout.drawing.layers import Patch, Place
from layout.drawing.symbols import drawn_size
from layout.drawing.tags import tags_of
from layout.drawing.text import MM_PER_POINT, Box, width
from layout.drawing.values import Datum, PerSide, PlanDrawing, RunningDimension
from layout.engine.lengths import Distance
from layout.engine.marks import Axis, Side

NAME_PT = 9
NAME_HIGH = NAME_PT * MM_PER_POINT
DIMENSION_OFF = 3.2  # outermost wall to dimension line
LEADER = 5.0  # dimension line to the numbers
BETWEEN = 1.8  # numbers apart
BOX_PAD = 0.9  # round the boxed last-to-wall number
NAME_OFF = 2.2
LEAST_APART = 1.3  # outlines that differ are drawn at least this far apart
NORTH_BAND = 10.0
NARROW = 17.0  # a room drawn narrower than this has no space inside for the marks' IDs
ID_BAND = 9.0
TAG_PT = 7.5
TAG_HIGH = TAG_PT * MM_PER_POINT + 0.5
CROWDED = 0.45  # of the ceiling under symbols and IDs: beyond it the IDs are told by row, outside the wall


@dataclass(frozen=True, slots=True)
class Run:
    """The running dimensions of one axis and how their numbers are set. number_pt: their type size."""

    axis: Axis
    dimensions: tuple[RunningDimension, ...]
    last: str
    number_pt: float
    level: bool = True  # numbers stand level; otherwise they read from the bottom up

    @property
    def number_high(self) -> float:
        return self.number_pt * MM_PER_POINT

    @property
    def texts(self) -> tuple[str, ...]:
        return (*(one.text for one in self.dimensions), *((self.last,) if self.last and self.dimensions else ()))

    def along_axis(self) -> list[float]:
        """What each number takes along the axis, the space between included."""
        sideways = self.level == (self.axis is Axis.LEFT_RIGHT)
        return [
            BETWEEN
            + (width(text, self.number_high) if sideways else self.number_high)
            + (2 * BOX_PAD if boxed else 0)
            for text, boxed in self._marked()
        ]

    def band(self) -> float:
        """How far the numbers reach away from the wall."""
        if not self.texts:
            return 0
        sideways = self.level != (self.axis is Axis.LEFT_RIGHT)
        deepest = max(width(text, self.number_high) for text in self.texts) if sideways else self.number_high
        return DIMENSION_OFF + LEADER + deepest + 2 * BOX_PAD

    def _marked(self) -> list[tuple[str, bool]]:
        return [(text, number >= len(self.dimensions)) for number, text in enumerate(self.texts)]


@dataclass(frozen=True, slots=True)
class Frame:
    """A plan's place on the sheet. wide, high: the sheet's own size. Boxes run y downward; the far wall is on top."""

    plan: PlanDrawing
    scale: float  # sheet mm per room mm
    wide: float
    high: float
    outer: Box
    finished: Box
    ceiling: Box
    x_run: Run
    y_run: Run
    ids_beside: Side | None  # the wall outside which IDs stand
    tagged: bool  # too many marks for IDs of their own: each row's stand together there
    ids_deep: float  # how far those IDs reach away from that wall
    shape: tuple[Point, ...]  # the ceiling's edge: its true outline where one was drawn

    def length(self, distance: Distance) -> float:
        return in_mm(distance) * self.scale

    def point(self, along: Distance, across: Distance) -> tuple[float, float]:
        return _point(self.plan, self.ceiling, self.scale, along, across)

    def place(self, place: Place) -> Point:
        return self.point(place.along, place.across)

    def patch(self, patch: Patch) -> Box:
        (x1, y1), (x2, y2) = self.point(patch.along, patch.across), self.point(patch.along_to, patch.across_to)
        return Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))

    def holds(self, box: Box) -> bool:
        """Whether a box lies within the ceiling's edge, clear of its line."""
        if not within(box, self.ceiling):
            return False
        return not self.plan.layers.corners or (inside(box.middle, self.shape) and not crosses(box, self.shape))

    def face(self, datum: Datum) -> Box:
        return {Datum.FRAMING: self.outer, Datum.FINISHED: self.finished, Datum.EDGE: self.ceiling}[datum]

    def wall(self, side: Side, datum: Datum) -> float:
        """Where this face of the wall crosses its axis."""
        return edge_of(self.face(datum), side)


def in_mm(distance: Distance) -> float:
    """Near enough for ink, and without the cost of a fraction's division."""
    return distance.nm.numerator / (distance.nm.denominator * 1_000_000)


def _point(plan: PlanDrawing, ceiling: Box, scale: float, along: Distance, across: Distance) -> Point:
    turn = plan.orientation
    x, y = (along, across) if turn.rows_run is Axis.LEFT_RIGHT else (across, along)
    right, down = in_mm(x) * scale, in_mm(y) * scale
    return (
        ceiling.left + right if turn.zero_x is Side.LEFT else ceiling.right - right,
        ceiling.bottom - down if turn.zero_y is Side.DOOR else ceiling.top + down,
    )


def within(box: Box, room: Box) -> bool:
    return (
        box.left > room.left + 0.15 and box.right < room.right - 0.15
        and box.top > room.top + 0.15 and box.bottom < room.bottom - 0.15
    )


def edge_of(box: Box, side: Side) -> float:
    return {Side.LEFT: box.left, Side.RIGHT: box.right, Side.FAR: box.top, Side.DOOR: box.bottom}[side]


def outward(side: Side) -> int:
    """+1 where going out of the room means going right or down the sheet."""
    return 1 if side in (Side.RIGHT, Side.DOOR) else -1


def runs(plan: PlanDrawing, wide: float, number_pt: float) -> tuple[Run, Run]:
    along_x = plan.orientation.rows_run is Axis.LEFT_RIGHT
    along, across = (plan.along, plan.last_along), (plan.across, plan.last_across)
    x, y = (along, across) if along_x else (across, along)
    level = Run(Axis.LEFT_RIGHT, _ascending(x[0]), x[1], number_pt)
    if sum(level.along_axis()) > wide:
        level = replace(level, level=False)
    return level, Run(Axis.DOOR_FAR, _ascending(y[0]), y[1], number_pt)


def frame(plan: PlanDrawing, wide: float, high: float, number_pt: float) -> Frame:
    """The largest room that fits a sheet of about wide x high mm with its numbers and names around it."""
    x_run, y_run = runs(plan, wide, number_pt)
    bands = {side: _band(plan, side, x_run, y_run) for side in Side}
    scale = max(
        min(
            (wide - bands[Side.LEFT] - bands[Side.RIGHT]) / float(plan.wide.mm),
            (high - bands[Side.FAR] - bands[Side.DOOR]) / float(plan.deep.mm),
        ),
        12 / float(max(plan.wide, plan.deep).mm),
    )
    gap, build_up = _apart(plan.gap, scale), _apart(plan.build_up, scale)
    room_wide = float(plan.ceiling_wide.mm) * scale + sum(gap[s] + build_up[s] for s in (Side.LEFT, Side.RIGHT))
    room_high = float(plan.ceiling_deep.mm) * scale + sum(gap[s] + build_up[s] for s in (Side.FAR, Side.DOOR))
    missing = sum(x_run.along_axis()) - (room_wide + bands[Side.LEFT] + bands[Side.RIGHT])
    if missing > 0:
        bands[Side.LEFT] += missing / 2
        bands[Side.RIGHT] += missing / 2
    bands[plan.orientation.end_side(Axis.DOOR_FAR)] += max(0.0, sum(y_run.along_axis()) - room_high)
    tagged = _crowded(plan, scale)
    rows_run = plan.orientation.rows_run
    beside = plan.orientation.end_side(rows_run) if tagged else _ids_beside(plan, room_wide, room_high)
    deep = _tag_band(plan) if tagged else ID_BAND
    if beside:
        bands[beside] += deep
    if tagged:
        before, room = (Side.FAR, room_high) if rows_run is Axis.LEFT_RIGHT else (Side.LEFT, room_wide)
        bands[before] = max(bands[before], len(tags_of(plan.marks)) * TAG_HIGH - room)
    left, top = bands[Side.LEFT], bands[Side.FAR]
    outer = Box(left, top, left + room_wide, top + room_high)
    finished = _inside(outer, build_up)
    ceiling = _inside(finished, gap)
    corners = plan.layers.corners
    shape = tuple(_point(plan, ceiling, scale, corner.along, corner.across) for corner in corners)
    return Frame(
        plan, scale, outer.right + bands[Side.RIGHT], outer.bottom + bands[Side.DOOR],
        outer, finished, ceiling, x_run, y_run, beside, tagged, deep, shape or corners_of(ceiling),
    )


def _ids_beside(plan: PlanDrawing, room_wide: float, room_high: float) -> Side | None:
    if min(room_wide, room_high) > NARROW:
        return None
    return plan.orientation.end_side(Axis.LEFT_RIGHT if room_wide < room_high else Axis.DOOR_FAR)


def _crowded(plan: PlanDrawing, scale: float) -> bool:
    least = 6.5 * MM_PER_POINT
    taken = sum(
        (drawn_size(one.mark.kind, float(one.cutout.mm) * scale) + 1) ** 2
        + (width(one.mark.id, least) + 0.4) * (least + 0.6)
        for one in plan.marks
    )
    return taken > CROWDED * float(plan.ceiling_wide.mm) * float(plan.ceiling_deep.mm) * scale**2


def _tag_band(plan: PlanDrawing) -> float:
    return 4 + max(width(text, TAG_PT * MM_PER_POINT) for text in tags_of(plan.marks).values())


def _ascending(dimensions: Sequence[RunningDimension]) -> tuple[RunningDimension, ...]:
    return tuple(sorted(dimensions, key=lambda one: one.at))


def _band(plan: PlanDrawing, side: Side, x_run: Run, y_run: Run) -> float:
    run = y_run if side in (Side.LEFT, Side.RIGHT) else x_run
    zero = plan.orientation.zero_side(run.axis.other) is side
    numbers = run.band() if zero else 0
    named = plan.names.of(side) or (plan.door_name and side is Side.DOOR)
    least = NORTH_BAND if plan.north and not zero else 1.0
    return max(numbers + (NAME_OFF + NAME_HIGH + 1 if named else 1), least)


def _apart(distances: PerSide, scale: float) -> dict[Side, float]:
    return {side: max(float(d.mm) * scale, LEAST_APART) if (d := distances.of(side)) else 0.0 for side in Side}


def _inside(box: Box, by: dict[Side, float]) -> Box:
    return Box(
        box.left + by[Side.LEFT], box.top + by[Side.FAR], box.right - by[Side.RIGHT], box.bottom - by[Side.DOOR]
    )
