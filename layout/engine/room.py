"""A room from tape readings to marks: each step one function, a value on both sides. Knows nothing of records or pages.

readings -> span (framing less build-up) -> datums (what was measured rules) -> whole ticks -> arrangement -> marks
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from layout.engine import overhead_findings
from layout.engine.ceiling import Corner, Grid, Region, Slope, ZoneWish
from layout.engine.lengths import ZERO, Distance, Length, LengthError, Unit
from layout.engine.marks import Axis, Datum, Kind, Orientation, Side
from layout.engine.overhead.check import Conflict, best_turns, in_the_way, places_of
from layout.engine.overhead.depth import TooDeep, too_deep
from layout.engine.overhead.legal import Legal
from layout.engine.overhead.stand import Standing, stand
from layout.engine.overhead.values import Frame, Overhead
from layout.engine.pins import Moved, Pin
from layout.engine.rows.arrange import Arrangement, Hole, Mode, Wish, arrange
from layout.engine.rows.grid import GridError, Tiles, tiles_of
from layout.engine.shape.outline import Cutout, outline_of, rectangle
from layout.engine.stacks import (
    Datums,
    Holds,
    SideBuildUp,
    Span,
    as_computed,
    as_measured,
    net_span,
    on_whole_ticks,
    reconcile,
)
from layout.engine.switching import Switched, named
from layout.engine.zones.lay_out import LaidZone, Shape, lay_out_zones

NOTHING_OVERHEAD = Overhead()


class NotMeasured(LengthError):
    """A size of the room was never taped, from a plan, between framing or on the finished ceiling."""

    def __init__(self, axis: Axis) -> None:
        way = "left to right" if axis is Axis.LEFT_RIGHT else "from the door wall to the far wall"
        super().__init__(f"The room was not taped {way}. Enter that reading first.")
        self.axis = axis


class Lies(StrEnum):
    """Where the difference between the measured and the computed ceiling lies, in the plan's own order."""

    LOW = "low"  # all at the left wall, or the door wall
    HIGH = "high"
    SPLIT = "split"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class AxisSurvey:
    """What was taped on one axis, and what stands at its two sides (low: left or door; high: right or far)."""

    framing: Distance | None
    finished: Distance | None  # the finished ceiling, edge to edge
    shortest: Length | None  # the shortest reading of the size that rules
    low: SideBuildUp
    high: SideBuildUp
    difference_lies: Lies = Lies.UNKNOWN


@dataclass(frozen=True, slots=True)
class Fitting:
    """The fixture type a mark is cut for, as it was when the layout was made."""

    key: str
    name: str
    cutout: Length  # across: a diameter, or a square's side
    square: bool = False
    frame: Frame | None = None
    depth: Length | None = None  # what it takes above the drywall's face, connector and bend included


@dataclass(frozen=True, slots=True)
class RoomInputs:
    """All that a layout depends on. The same inputs give the same layout, always."""

    unit: Unit
    orientation: Orientation
    left_right: AxisSurvey
    door_far: AxisSurvey
    rows: int
    lights_per_row: int | None
    mode_along: Mode
    mode_across: Mode
    end_setback: Length
    row_setback: Length
    spacing_limit: Length
    edge_min: Length
    web_min: Length
    light_to_speaker: Length
    light: Fitting
    speaker: Fitting | None = None
    subwoofer: Fitting | None = None
    speaker_gaps: tuple[int, ...] = ()
    speaker_columns: tuple[int, ...] = ()
    typed_along: tuple[Length, ...] = ()
    typed_across: tuple[Length, ...] = ()
    # What stands in the way, and what the ceiling is when it isn't one flat rectangle
    overhead: Overhead = field(default_factory=Overhead)
    outline: tuple[Corner, ...] = ()  # empty: the rectangle
    regions: tuple[Region, ...] = ()
    zones: tuple[ZoneWish, ...] = ()
    grid: Grid | None = None
    slope: Slope | None = None
    # What a person holds
    pins: tuple[Pin, ...] = ()
    moved: tuple[Moved, ...] = ()
    # Speakers where they are wanted
    rows_of: Kind = Kind.LIGHT  # SPEAKER: no lights, the rows are speakers
    speaker_rows: tuple[int, ...] = ()  # the rows that carry speakers; empty: every row
    speakers_between: tuple[int, ...] = ()  # 1: on a line of their own, midway between rows 1 and 2
    switched: tuple[Switched, ...] = ()  # lights on another switch than their ceiling's own

    def survey(self, axis: Axis) -> AxisSurvey:
        return self.left_right if axis is Axis.LEFT_RIGHT else self.door_far

    @property
    def fittings(self) -> dict[Kind, Fitting]:
        """What is cut for, by what goes in."""
        found = {Kind.LIGHT: self.light, Kind.SPEAKER: self.speaker, Kind.SUBWOOFER: self.subwoofer}
        return {kind: fitting for kind, fitting in found.items() if fitting is not None}


@dataclass(frozen=True, slots=True)
class AxisResult:
    """One axis of the ceiling, from the zero side: what is left of the framing, and what the marks stand on."""

    axis: Axis
    span: Span | None  # None where the framing was never measured
    datums: Datums
    laid_out: Length  # whole ticks
    remainder: Distance  # less than a tick, held at the far side
    shortest: Length | None
    measured: bool  # the finished ceiling itself was taped


@dataclass(frozen=True, slots=True)
class RoomLayout:
    """A room laid out. turns: how each mark's frame is turned on the plan, by the mark's ID. legal: where
    each kind may stand beside what is overhead; empty where nothing is.

    In a room of zones the arrangement's columns and rows are the largest zone's; its marks are the whole room's.
    unswitched: the switch was said of a light that isn't there now; it is told, and kept until somebody takes it out.

    Its findings, overhead included, are the arrangement's.
    """

    inputs: RoomInputs
    along: AxisResult
    across: AxisResult
    arrangement: Arrangement
    standing: Standing
    zones: tuple[LaidZone, ...] = ()  # where the ceiling is more than one rectangle, the largest first
    unswitched: tuple[Switched, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    too_deep: tuple[TooDeep, ...] = ()
    turns: Mapping[str, int] = field(default_factory=dict)
    legal: Mapping[Kind, Legal] = field(default_factory=dict, repr=False, compare=False)

    def slope_on(self, result: AxisResult) -> Slope | None:
        """The slope that a tape on the ceiling reads along this axis; None where it reads plan distances."""
        slope = self.inputs.slope
        return slope if slope is not None and slope.along is result.axis else None

    @property
    def wide(self) -> AxisResult:
        return self.along if self.along.axis is Axis.LEFT_RIGHT else self.across

    @property
    def deep(self) -> AxisResult:
        return self.across if self.along.axis is Axis.LEFT_RIGHT else self.along


def axis_result(inputs: RoomInputs, axis: Axis) -> AxisResult:
    """Raises NotMeasured, NothingLeft, LargerThanFraming."""
    survey = inputs.survey(axis)
    from_low = inputs.orientation.zero_side(axis) in (Side.LEFT, Side.DOOR)
    start, end = (survey.low, survey.high) if from_low else (survey.high, survey.low)
    span = net_span(survey.framing, start, end) if survey.framing is not None else None
    if span and survey.finished is not None:
        datums = reconcile(span, survey.finished, _which_holds(survey.difference_lies, from_low))
    elif span:
        datums = as_computed(span)
    elif survey.finished is not None:
        datums = as_measured(survey.finished, start.gap, end.gap)
    else:
        raise NotMeasured(axis)
    laid_out, remainder = on_whole_ticks(datums.ceiling, inputs.unit)
    return AxisResult(axis, span, datums, laid_out, remainder, survey.shortest, survey.finished is not None)


def _which_holds(lies: Lies, from_low: bool) -> Holds:
    """The side where the difference does not lie stands as planned."""
    if lies in (Lies.SPLIT, Lies.UNKNOWN):
        return Holds(lies.value)
    lies_at_start = (lies is Lies.LOW) == from_low
    return Holds.END if lies_at_start else Holds.START


def lay_out(inputs: RoomInputs, like: RoomLayout | None = None) -> RoomLayout:
    """The whole way from readings to marks.

    like: another layout of the same room under the same ceiling, whose readings aren't worked out again.

    Raises NotMeasured, NothingLeft, LargerThanFraming, WishError, GridError, OverheadError, OutlineError; a layout that
    breaks a rule is given with its findings.
    """
    if like is not None and _same_ceiling(inputs, like.inputs):
        along, across, standing = like.along, like.across, like.standing
    else:
        like = None
        along = axis_result(inputs, inputs.orientation.rows_run)
        across = axis_result(inputs, inputs.orientation.rows_run.other)
        standing = stand(inputs.overhead, inputs.orientation, along.datums, across.datums)
    arrangement, zones = _arranged(inputs, along, across)
    named_so = named(arrangement, inputs.switched)
    layout = RoomLayout(inputs, along, across, named_so.arrangement, standing, zones, named_so.gone)
    return _beside_what_is_overhead(layout, like)


def _same_ceiling(one: RoomInputs, other: RoomInputs) -> bool:
    """Whether all that readings, framing and what else is overhead depend on is the very same."""
    return (
        one.unit is other.unit
        and one.orientation == other.orientation
        and one.left_right is other.left_right
        and one.door_far is other.door_far
        and one.overhead is other.overhead
    )


def _arranged(
    inputs: RoomInputs, along: AxisResult, across: AxisResult
) -> tuple[Arrangement, tuple[LaidZone, ...]]:
    """One rectangle, or zone by zone where there is an outline or a region."""
    wish = wish_of(inputs, along, across)
    if not inputs.outline and not inputs.regions:
        return arrange(wish), ()
    wide, deep = (along, across) if along.axis is Axis.LEFT_RIGHT else (across, along)
    sizes = wide.datums.ceiling, deep.datums.ceiling
    outline = outline_of(inputs.outline) if inputs.outline else rectangle(*sizes)
    holes = {kind: Cutout(fitting.cutout, fitting.square) for kind, fitting in inputs.fittings.items()}
    zoned = lay_out_zones(wish, Shape(outline, *sizes, inputs.orientation, holes, inputs.regions, inputs.zones))
    first = zoned.zones[0]
    heard = {mark.along for mark in zoned.marks if mark.kind is Kind.SPEAKER}
    speakers = tuple(sorted(heard, key=int))
    return Arrangement(wish, first.columns, first.rows, speakers, zoned.marks, zoned.findings), zoned.zones


def _beside_what_is_overhead(layout: RoomLayout, like: RoomLayout | None) -> RoomLayout:
    """The layout with what its marks are too near to, their frames turned the best way."""
    if layout.inputs.overhead == NOTHING_OVERHEAD:
        return layout
    fittings = layout.inputs.fittings
    marks, standing = layout.arrangement.marks, layout.standing
    known = like.legal if like is not None else {}
    same = {kind for kind in known if like is not None and like.inputs.fittings[kind] == fittings.get(kind)}
    others = (mark for mark in marks if mark.kind not in same)
    legal = {**{kind: known[kind] for kind in same}, **places_of(others, fittings, standing)}
    turns = best_turns(marks, fittings, standing, legal)
    conflicts = in_the_way(marks, fittings, standing, turns, legal)
    deep = too_deep(marks, fittings, standing, turns, legal)
    found = (*overhead_findings.told(conflicts, deep), *layout.arrangement.findings)
    return replace(
        layout,
        arrangement=replace(layout.arrangement, findings=found),
        conflicts=conflicts,
        too_deep=deep,
        turns=turns,
        legal=legal,
    )


def wish_of(inputs: RoomInputs, along: AxisResult, across: AxisResult) -> Wish:
    """What the shop wants of the rectangle these two axes leave."""
    speaker = inputs.speaker
    return Wish(
        along=along.laid_out,
        across=across.laid_out,
        unit=inputs.unit,
        mode_along=inputs.mode_along,
        mode_across=inputs.mode_across,
        rows=inputs.rows,
        columns=inputs.lights_per_row,
        end_setback=inputs.end_setback,
        row_setback=inputs.row_setback,
        spacing_limit=inputs.spacing_limit,
        light=_hole(inputs.light),
        speaker=_hole(speaker) if speaker else None,
        speaker_gaps=inputs.speaker_gaps if speaker else (),
        speaker_columns=inputs.speaker_columns if speaker else (),
        subwoofer=_hole(inputs.subwoofer) if inputs.subwoofer else None,
        edge_min=inputs.edge_min,
        web_min=inputs.web_min,
        speaker_to_light_min=inputs.light_to_speaker,
        typed_along=inputs.typed_along,
        typed_across=inputs.typed_across,
        pins=inputs.pins,
        moved=inputs.moved,
        rows_of=inputs.rows_of,
        speaker_rows=inputs.speaker_rows if speaker else (),
        speakers_between=inputs.speakers_between if speaker else (),
        tiles_along=_tiles(inputs.grid, along, inputs.orientation),
        tiles_across=_tiles(inputs.grid, across, inputs.orientation),
    )


def _hole(fitting: Fitting) -> Hole:
    return Hole(fitting.cutout, fitting.square)


def _tiles(grid: Grid | None, result: AxisResult, orientation: Orientation) -> Tiles | None:
    """One axis of the grid, from the zero corner."""
    if grid is None:
        return None
    wide = result.axis is Axis.LEFT_RIGHT
    pitch, line = (grid.pitch_x, grid.line_x) if wide else (grid.pitch_y, grid.line_y)
    if line is not None:
        line = _from_zero(line, grid.datum, result, orientation)
    return tiles_of(
        result.datums.ceiling, pitch, line, half_tiles=grid.half_tiles, cut_tiles=grid.cut_tiles
    )


def _from_zero(line: Distance, datum: Datum, result: AxisResult, orientation: Orientation) -> Distance:
    """A grid line found from the left or the door side, from the zero corner's edge."""
    from_low = orientation.zero_side(result.axis) in (Side.LEFT, Side.DOOR)
    datums = result.datums
    gap, offset = (
        (datums.start_gap, datums.start_offset) if from_low else (datums.end_gap, datums.end_offset)
    )
    face = {Datum.EDGE: ZERO, Datum.FINISHED: gap, Datum.FRAMING: offset}[datum]
    if face is None:
        raise GridError("Grid line: the framing was not taped this way. Measure the line from the finished wall.")
    return line - face if from_low else datums.ceiling - (line - face)
