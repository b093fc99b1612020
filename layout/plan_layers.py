"""From a worked-out room to what its plan shows besides marks. Knows no records and not how a plan is drawn."""

from dataclasses import replace

from layout.drawing.layers import Ghost, Layers, Member, Part, Patch, Place, Thing, Tiles
from layout.engine.lengths import ZERO, Distance
from layout.engine.marks import Axis, Kind, Mark, Side
from layout.engine.overhead.footprint import frame
from layout.engine.overhead.legal import clear_at
from layout.engine.overhead.stand import Direction, Standing
from layout.engine.pins import Line
from layout.engine.room import RoomLayout


def layers_of(layout: RoomLayout, tape) -> Layers:
    inputs = layout.inputs
    return Layers(
        corners=tuple(place_of(layout, corner.x, corner.y) for corner in inputs.outline),
        parts=tuple(
            Part(
                region.name,
                tuple(place_of(layout, corner.x, corner.y) for corner in region.corners),
                _height(region.rise, tape),
                f"region-{number}",
            )
            for number, region in enumerate(inputs.regions)
        ),
        tiles=_tiles(layout),
        members=_members(layout),
        things=_things(layout.standing),
    )


def place_of(layout: RoomLayout, x: Distance, y: Distance) -> Place:
    """A point from the left and the door side of the ceiling's edge, along and across from its zero corner."""
    turn = layout.inputs.orientation
    from_x = x if turn.zero_x is Side.LEFT else layout.wide.datums.ceiling - x
    from_y = y if turn.zero_y is Side.DOOR else layout.deep.datums.ceiling - y
    return Place(from_x, from_y) if turn.rows_run is Axis.LEFT_RIGHT else Place(from_y, from_x)


def _height(rise: Distance, tape) -> str:
    if not rise:
        return ""
    return f"+{tape.show(rise)}" if rise > ZERO else f"−{tape.show(abs(rise))}"


def _tiles(layout: RoomLayout) -> Tiles | None:
    along, across = layout.arrangement.wish.tiles_along, layout.arrangement.wish.tiles_across
    return Tiles(along.lines, across.lines) if along and across else None


def _members(layout: RoomLayout) -> tuple[Member, ...]:
    own = {member.name for member in layout.inputs.overhead.members}
    return tuple(
        Member(one.name, one.on is Direction.ALONG, one.at, one.width, one.clear, named=one.name in own)
        for one in layout.standing.members
    )


def _things(standing: Standing) -> tuple[Thing, ...]:
    return tuple(
        Thing(
            one.name,
            Place(one.along, one.across),
            one.size_along,
            one.size_across,
            one.round,
            one.clear,
            f"thing-{number}",
        )
        for number, one in enumerate(standing.things)
    )


def frames_of(layout: RoomLayout) -> dict[str, Patch]:
    """Where each mark's housing lies above the drywall, turned as it clears best, by the mark's ID."""
    fittings = layout.inputs.fittings
    return {
        mark.id: _frame(mark, fittings[mark.kind].frame, layout.turns.get(mark.id, 0), layout.inputs.orientation)
        for mark in layout.arrangement.marks
        if fittings[mark.kind].frame
    }


def _frame(mark: Mark, plate, turn, orientation) -> Patch:
    lies = frame(plate, turn, orientation)
    along, across = mark.along + lies.off_along, mark.across + lies.off_across
    return Patch(along - lies.half_along, across - lies.half_across, along + lies.half_along, across + lies.half_across)


def with_ghosts(layers: Layers, marks) -> Layers:
    """marks: the saved revision's, as stored."""
    return replace(
        layers,
        ghosts=tuple(
            Ghost(Kind(mark.kind), Place(mark.along, mark.across), mark.fixture_type.cutout) for mark in marks
        ),
    )


# Where what is being moved may stand


def line_may_stand(layout: RoomLayout, line: Line, number: int) -> tuple[Patch, ...]:
    """Where a whole column or row may stand: legal for every light on it."""
    arrangement, standing = layout.arrangement, layout.standing
    along = line is Line.COLUMN
    at = (arrangement.columns if along else arrangement.rows)[number - 1 : number]
    marks = [mark for mark in arrangement.marks if (mark.along if along else mark.across) in at]
    others = {(mark.across if along else mark.along) for mark in marks}
    legal = clear_at(layout.inputs.fittings[marks[0].kind] if marks else layout.inputs.light, standing)
    direction = Direction.ALONG if along else Direction.ACROSS
    stretches = legal.legal_line(direction, sorted(others, key=lambda one: one.nm))
    low, high = ZERO, standing.size(direction.other)
    return tuple(Patch(a, low, b, high) if along else Patch(low, a, high, b) for a, b in stretches)


def mark_may_stand(layout: RoomLayout, mark: Mark) -> tuple[Patch, ...]:
    """Along the rows at its own place across them, and across them at its own place along."""
    fitting = layout.inputs.fittings[mark.kind]
    legal, half = clear_at(fitting, layout.standing), fitting.cutout / 2
    on_row = legal.legal_intervals(Direction.ALONG, mark.across)
    on_column = legal.legal_intervals(Direction.ACROSS, mark.along)
    return (
        *(Patch(a, mark.across - half, b, mark.across + half) for a, b in on_row),
        *(Patch(mark.along - half, a, mark.along + half, b) for a, b in on_column),
    )
