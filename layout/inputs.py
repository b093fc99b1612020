"""From a room's records and its draft to the engine's inputs. Asks the database nothing: room_of fetched it all."""

from django.utils.translation import gettext as _

from layout.engine.ceiling import ZoneWish
from layout.engine.lengths import nanometers
from layout.engine.marks import Axis, Kind, Orientation, Side
from layout.engine.overhead.values import Frame
from layout.engine.room import AxisSurvey, Fitting, Lies, RoomInputs
from layout.engine.rows.arrange import Mode
from layout.engine.rows.grid import usual_grid
from projects.catalogue.models import Install, Shape
from projects.catalogue.tables import ceiling_systems
from projects.ceilings.services import ceiling_of
from projects.ceilings.values import entered, grid_of, outline_of, overhead_of, regions_of, slope_of
from projects.jobs.models import Held
from projects.jobs.sizes import build_up_of, finished_size, framing_size

LAY_IN = "grid"  # the ceiling system that is always a grid, whether or not somebody entered its tiles

LIES = {
    Held.LEFT: Lies.LOW,
    Held.DOOR: Lies.LOW,
    Held.RIGHT: Lies.HIGH,
    Held.FAR: Lies.HIGH,
    Held.SPLIT: Lies.SPLIT,
    Held.UNKNOWN: Lies.UNKNOWN,
}


class NotLaidOutYet(Exception):
    """This kind of ceiling can't be laid out; the message says why, and the room waits at its stage."""


def survey_of(room, axis):
    framing, finished = framing_size(room, axis), finished_size(room, axis)
    ruling = finished or framing
    low, high = axis.sides
    held = room.held_left_right if axis is Axis.LEFT_RIGHT else room.held_door_far
    return AxisSurvey(
        framing=framing.center if framing else None,
        finished=finished.center if finished else None,
        shortest=ruling.shortest if ruling else None,
        low=build_up_of(room, low),
        high=build_up_of(room, high),
        difference_lies=LIES[Held(held)],
    )


def rows_run(room):
    """The person's choice, else the longer way."""
    if room.rows_run:
        return Axis(room.rows_run)
    sizes = {}
    for axis in Axis:
        size = finished_size(room, axis) or framing_size(room, axis)
        sizes[axis] = size.center.nm if size else 0
    return Axis.LEFT_RIGHT if sizes[Axis.LEFT_RIGHT] >= sizes[Axis.DOOR_FAR] else Axis.DOOR_FAR


def orientation_of(room):
    return Orientation(rows_run(room), Side(room.zero_x), Side(room.zero_y))


def fitting(fixture_type):
    if fixture_type is None:
        return None
    return Fitting(
        key=fixture_type.key,
        name=fixture_type.name,
        cutout=fixture_type.cutout,
        square=fixture_type.shape == Shape.SQUARE,
        frame=_frame(fixture_type),
        depth=fixture_type.depth,
    )


def _frame(fixture_type):
    """New work stands in a frame between the joists; an opening nobody placed is taken at the frame's middle."""
    length, width = fixture_type.frame_length, fixture_type.frame_width
    if fixture_type.install != Install.NEW_WORK or not length or not width:
        return None
    end, side = fixture_type.opening_from_end, fixture_type.opening_from_side
    return Frame(
        length=length,
        width=width,
        from_end=_half(length) if end is None else end,
        from_side=_half(width) if side is None else side,
        may_turn=fixture_type.frame_may_turn,
    )


def _half(length):
    return nanometers(int(length) // 2)


def numbers(text):
    """'1,2' as (1, 2)."""
    return tuple(int(part) for part in text.split(",") if part.strip())


def inputs_of(room, draft, entry=None):
    """entry: what is entered about the ceiling, where it isn't what is stored. Raises NotLaidOutYet."""
    system = ceiling_systems()[room.ceiling_system]
    if not system.layout_ready:
        raise NotLaidOutYet(_(system.not_yet))
    shop, tape = room.shop, room.job.tape
    entry = entered(ceiling_of(room)) if entry is None else entry
    pins, moved = draft.held()
    return RoomInputs(
        unit=tape.unit,
        orientation=orientation_of(room),
        left_right=survey_of(room, Axis.LEFT_RIGHT),
        door_far=survey_of(room, Axis.DOOR_FAR),
        rows=draft.rows,
        lights_per_row=draft.lights_per_row,
        mode_along=Mode(draft.mode_along),
        mode_across=Mode(draft.mode_across),
        end_setback=draft.end_setback,
        row_setback=draft.row_setback,
        spacing_limit=draft.spacing_limit,
        edge_min=shop.edge_min,
        web_min=shop.web_min,
        light_to_speaker=shop.light_to_speaker,
        light=fitting(draft.light_type),
        speaker=fitting(draft.speaker_type),
        subwoofer=fitting(draft.subwoofer_type),
        speaker_gaps=numbers(draft.speaker_gaps),
        speaker_columns=numbers(draft.speaker_columns),
        typed_along=draft.typed("along"),
        typed_across=draft.typed("across"),
        overhead=overhead_of(entry, room, tape, draft.light_type.beam_deg),
        outline=outline_of(entry),
        regions=regions_of(entry),
        zones=tuple(ZoneWish(zone.name, zone.rows, zone.columns) for zone in draft.zone_numbers()),
        grid=grid_of(entry) or (usual_grid(tape.unit) if room.ceiling_system == LAY_IN else None),
        slope=slope_of(entry),
        pins=pins,
        moved=moved,
        rows_of=Kind(draft.rows_of),
        speaker_rows=numbers(draft.speaker_rows),
        speakers_between=numbers(draft.speakers_between),
        switched=draft.switched(),
    )
