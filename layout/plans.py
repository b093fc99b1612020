"""From a worked-out room to its plan drawing. Knows the room's names, not how a plan is drawn."""

from layout.drawing.layers import Place
from layout.drawing.values import Datum, Names, PerSide, PlanDrawing, PlanMark, last_to_wall, running
from layout.engine.lengths import ZERO, Distance
from layout.engine.marks import Axis, Kind, Side
from layout.engine.room import AxisResult, RoomLayout
from layout.plan_layers import frames_of, layers_of


def sides_of(result: AxisResult, orientation) -> tuple[Side, Side]:
    """The wall an axis starts from, and the one it ends at."""
    return orientation.zero_side(result.axis), orientation.end_side(result.axis)


def _between(layout: RoomLayout):
    """Per side: framing to finished wall, and finished wall to ceiling's edge."""
    build_up: dict[str, Distance] = {}
    gap: dict[str, Distance] = {}
    for result in (layout.along, layout.across):
        start, end = sides_of(result, layout.inputs.orientation)
        datums = result.datums
        gap[start.value], gap[end.value] = datums.start_gap, datums.end_gap
        if datums.start_offset is not None and datums.end_offset is not None:
            for side, offset in ((start, datums.start_offset), (end, datums.end_offset)):
                build_up[side.value] = offset - gap[side.value]
        else:
            build_up[start.value] = build_up[end.value] = ZERO
    return PerSide(**build_up), PerSide(**gap)


def natural_datum(layout: RoomLayout) -> Datum:
    """The face the sum column speaks from: the ceiling's own edge where it stands off any wall."""
    gaps = [gap for result in (layout.along, layout.across) for gap in (result.datums.start_gap, result.datums.end_gap)]
    return Datum.EDGE if any(gaps) else Datum.FINISHED


def plan_of(
    layout: RoomLayout, room, tape, *, datum: Datum | None = None, title: str, description: str = "", key="plan"
):
    datum = datum or natural_datum(layout)
    build_up, gap = _between(layout)
    marks = layout.arrangement.marks
    cutouts = {
        Kind.LIGHT: layout.inputs.light,
        Kind.SPEAKER: layout.inputs.speaker,
        Kind.SUBWOOFER: layout.inputs.subwoofer,
    }
    frames = frames_of(layout)
    framing_known = all(result.span is not None for result in (layout.along, layout.across))
    runs = {}
    for name, result in (("along", layout.along), ("across", layout.across)):
        inset, _at_end = insets(result, datum)
        positions = [(mark.id, getattr(mark, name)) for mark in marks]
        last = max((at for _id, at in positions), default=ZERO)
        runs[name] = running(positions, tape, inset, name)
        runs[f"last_{name}"] = last_to_wall(wall_from_zero(result, datum), last + inset, tape) if positions else ""
    return PlanDrawing(
        orientation=layout.inputs.orientation,
        wide=layout.wide.datums.ceiling + _both(build_up, gap, Axis.LEFT_RIGHT),
        deep=layout.deep.datums.ceiling + _both(build_up, gap, Axis.DOOR_FAR),
        names=Names(**{side.value: room.wall_name(side) for side in Side}),
        tape=tape,
        title=title,
        description=description,
        marks=tuple(_plan_mark(mark, cutouts[mark.kind].cutout, frames) for mark in marks),
        along=runs["along"],
        across=runs["across"],
        last_along=runs["last_along"],
        last_across=runs["last_across"],
        datum=datum,
        build_up=build_up,
        gap=gap,
        framing_known=framing_known,
        door_name=room.door_name,
        north=Side(room.north) if room.north else None,
        key=key,
        layers=layers_of(layout, tape),
    )


def _plan_mark(mark, cutout, frames):
    was = Place(*mark.moved_from) if mark.moved_from else None
    return PlanMark(mark, cutout, pinned=mark.pinned, was=was, frame=frames.get(mark.id))


def _both(build_up, gap, axis):
    low, high = axis.sides
    return build_up.of(low) + build_up.of(high) + gap.of(low) + gap.of(high)


def insets(result: AxisResult, datum: Datum) -> tuple[Distance, Distance]:
    """From this face in to the ceiling's edge, where the axis starts and where it ends."""
    datums = result.datums
    if datum is Datum.EDGE:
        return ZERO, ZERO
    if datum is Datum.FINISHED:
        return datums.start_gap, datums.end_gap
    if datums.start_offset is None or datums.end_offset is None:
        raise ValueError("The framing was never measured on this axis.")
    return datums.start_offset, datums.end_offset


def wall_from_zero(result: AxisResult, datum: Datum) -> Distance:
    """The length a running dimension ends at, from the face it starts at to the same face across the room."""
    start, end = insets(result, datum)
    return start + result.datums.ceiling + end
