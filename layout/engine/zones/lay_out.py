"""A room laid out zone by zone: each a rectangle with rows about its own center lines, lined up with its neighbors.

The largest zone is laid out as the room was asked for; a zone that joins it takes its lines where both have them, and
gets as many more as the spacing limit needs. A region at its own height (a tray, a coffer) is a zone of its own. Knows
how one rectangle is laid out only through `arrange`; what doesn't fit between zones is looked for in zone_checks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from layout.engine.ceiling import ZoneWish
from layout.engine.findings import Finding
from layout.engine.lengths import ZERO, Distance, Length
from layout.engine.marks import Axis, Kind, Mark
from layout.engine.pins import Line, Moved
from layout.engine.rows.arrange import Arrangement, arrange
from layout.engine.rows.grid import Tiles
from layout.engine.rows.set_out import not_there
from layout.engine.rows.wish import Mode, Wish, WishError
from layout.engine.shape.outline import Outline, outline_of
from layout.engine.shape.rectangles import LEAST, MOST_PIECES
from layout.engine.zones import checks as zone_checks
from layout.engine.zones.lines import drawn_onto, filled, lines_needed, shared
from layout.engine.zones.parts import LaidZone, Shape, Zone, joint, plan_of, region_zones, zones_of

__all__ = ["LaidZone", "Shape", "Zone", "Zoned", "lay_out_zones"]


Beside = tuple[tuple[Length, ...], tuple[Length, ...]]  # a neighbor's columns and rows


@dataclass(frozen=True, slots=True)
class Zoned:
    """A whole room: marks from its zero corner, no row number and no ID twice, each light with its zone's letter."""

    zones: tuple[LaidZone, ...]
    marks: tuple[Mark, ...]
    findings: tuple[Finding, ...]


def lay_out_zones(base: Wish, shape: Shape) -> Zoned:
    """The room's layout, zone by zone.

    Args: base: what is wanted of the room; along and across are the enclosing rectangle. Its rows, columns, speakers
    and pinned columns are the largest zone's; pinned rows and moved marks go by the room's row numbers.
    Raises WishError, OutlineError (a region's), TooManyPieces.
    """
    if len(shape.regions) > MOST_PIECES:
        raise WishError(f"Parts of the ceiling: {len(shape.regions)} are entered. A room takes {MOST_PIECES}.")
    laid: list[LaidZone] = []
    main = zones_of(shape, base.unit)
    own = region_zones(shape, base.unit, len(main))
    if not main and not own:
        raise WishError("Outline: no upright rectangle fits inside. Check the corners.")
    for zone in main:
        laid.append(_lay(base, shape, zone, laid, _beside(zone, laid, shape.orientation.rows_run)))
    for zone in own:
        laid.append(_lay_region(base, shape, zone, laid))
    _check_typed(base, laid)
    marks, renamed = _marks(laid, shape)
    return Zoned(tuple(laid), marks, zone_checks.check(base, shape, laid, marks, renamed))


# Laying one out


def _beside(zone: Zone, laid: Sequence[LaidZone], rows_run: Axis) -> Beside:
    """The columns and the rows of the zones laid before that it joins: columns where one lies before or behind it,
    rows where one lies at either end of them.
    """
    columns: tuple[Length, ...] = ()
    rows: tuple[Length, ...] = ()
    for other in laid:
        common = joint(zone.box, other.zone.box)
        if common is None:
            continue
        if common.runs is rows_run:
            columns = columns or other.columns or other.through[0]
        else:
            rows = rows or other.rows or other.through[1]
    return columns, rows


def _lay(
    base: Wish, shape: Shape, zone: Zone, laid: Sequence[LaidZone], beside: Beside
) -> LaidZone:
    rows_before = sum(len(one.rows) for one in laid)
    asked = next((wish for wish in shape.wishes if wish.name in (zone.name, zone.title)), None)
    too_narrow = min(zone.size_along, zone.size_across) < LEAST[base.unit] and not zone.title
    if laid and asked is None and too_narrow:
        return LaidZone(zone, None, rows_before, _seen_through(zone, beside))
    wish = _own_wish(base, zone, first=not laid)
    if asked is not None or laid:
        hole = shape.holes.get(base.rows_of)
        margin = (hole.size / 2 if hole else ZERO) + base.edge_min
        wish = _columns(wish, asked, shared(beside[0], zone.along, zone.size_along, margin), counted=not laid)
        wish = _rows(wish, asked, shared(beside[1], zone.across, zone.size_across, margin), counted=not laid)
    if Mode.LOCKED in (wish.mode_along, wish.mode_across) and not (_has_columns(wish) and _has_rows(wish)):
        return LaidZone(zone, None, rows_before)
    return LaidZone(zone, _held(base, shape, wish, zone, rows_before, first=not laid), rows_before)


def _seen_through(zone: Zone, beside: Beside) -> Beside:
    """The lines that pass between a doorway's sides."""
    columns, rows = beside
    return (
        tuple(line for line in columns if zone.along <= line <= zone.along + zone.size_along),
        tuple(line for line in rows if zone.across <= line <= zone.across + zone.size_across),
    )


def _has_columns(wish: Wish) -> bool:
    return wish.mode_along is not Mode.LOCKED or bool(wish.typed_along)


def _has_rows(wish: Wish) -> bool:
    return wish.mode_across is not Mode.LOCKED or bool(wish.typed_across)


def _own_wish(base: Wish, zone: Zone, *, first: bool) -> Wish:
    """What is wanted of the room, of this zone. Typed numbers and tiles count from its own corner."""
    wish = replace(
        base,
        along=zone.size_along,
        across=zone.size_across,
        typed_along=_typed(base.typed_along, zone.along, zone.size_along, base.along),
        typed_across=_typed(base.typed_across, zone.across, zone.size_across, base.across),
        tiles_along=_tiles(base.tiles_along, zone.along, zone.size_along),
        tiles_across=_tiles(base.tiles_across, zone.across, zone.size_across),
        pins=(),
        moved=(),
    )
    if first:
        return wish
    return replace(wish, subwoofer=None, speaker_gaps=(), speaker_columns=(), speaker_rows=(), speakers_between=())


def _typed(at: Sequence[Length], start: Length, size: Length, room: Length) -> tuple[Length, ...]:
    """A number typed on the very join is the zone's that begins there."""
    end = start + size
    return tuple((line - start).exact() for line in at if start <= line and (line < end or line == end == room))


def _tiles(tiles: Tiles | None, start: Length, size: Length) -> Tiles | None:
    if tiles is None:
        return None
    middles = tuple((at - start).exact() for at in tiles.middles if start <= at <= start + size)
    tees = tuple(at - start for at in tiles.lines if start < at < start + size)
    mirrored = tuple(sorted((size - at for at in middles), key=lambda at: at.nm))
    return replace(tiles, size=size, middles=middles, lines=tees, full=len(middles), mirrors=middles == mirrored)


def _columns(wish: Wish, asked: ZoneWish | None, beside: tuple[Length, ...], *, counted: bool) -> Wish:
    """A zone's columns. counted: the room's own count is this zone's."""
    if wish.mode_along is Mode.LOCKED:
        return wish
    count = asked.columns if asked else None
    off_wall = _off_wall(wish.mode_along, wish.end_setback, wish.spacing_limit)
    lines = _with_neighbor(beside, wish.along, off_wall, wish, wish.tiles_along, count)
    if lines:
        return replace(wish, mode_along=Mode.LOCKED, typed_along=lines)
    if count is None and counted:
        return wish
    return replace(wish, columns=count or lines_needed(wish.along, off_wall, wish.spacing_limit))


def _rows(wish: Wish, asked: ZoneWish | None, beside: tuple[Length, ...], *, counted: bool) -> Wish:
    if wish.mode_across is Mode.LOCKED:
        return wish
    count = asked.rows if asked else None
    off_wall = _off_wall(wish.mode_across, wish.row_setback, wish.spacing_limit)
    lines = _with_neighbor(beside, wish.across, off_wall, wish, wish.tiles_across, count)
    if lines:
        return replace(wish, mode_across=Mode.LOCKED, typed_across=lines, rows=len(lines))
    if count is None and counted:
        return wish
    return replace(wish, rows=count or lines_needed(wish.across, off_wall, wish.spacing_limit))


def _off_wall(mode: Mode, chosen: Length | None, limit: Length) -> Distance:
    """How far off the wall the outer lines are wanted; half the limit where nobody chose."""
    return chosen if mode is Mode.WALL_HELD and chosen is not None else limit / 2


def _with_neighbor(
    beside: tuple[Length, ...], size: Length, off_wall: Distance, wish: Wish, tiles: Tiles | None, count: int | None
) -> tuple[Length, ...]:
    """A neighbor's lines and those that fill up to the walls; nothing where that isn't the number asked for.

    In a lay-in grid the neighbor's stand in the middles of tiles, and the others are moved there.
    """
    if not beside:
        return ()
    lines = filled(beside, size, off_wall, wish.spacing_limit, wish.unit)
    if tiles is not None:
        moved = {line if line in beside else tiles.nearest(line) or line for line in lines}
        lines = tuple(sorted(moved, key=int))
    if count is None or count == len(lines):
        return lines
    return beside if count == len(beside) else ()


def _held(base: Wish, shape: Shape, wish: Wish, zone: Zone, rows_before: int, *, first: bool) -> Arrangement:
    """The zone's layout with what a person holds in it. A row's number counts over the whole room."""
    rows = len(wish.typed_across) if wish.mode_across is Mode.LOCKED else wish.rows

    def own(row: int) -> bool:
        return rows_before < row <= rows_before + rows or (first and row < 1)

    pins = [
        replace(pin, number=pin.number - rows_before, at=(pin.at - zone.across).exact())
        for pin in base.pins
        if pin.line is Line.ROW and own(pin.number)
    ]
    if first:
        pins += [replace(pin, at=(pin.at - zone.along).exact()) for pin in base.pins if pin.line is Line.COLUMN]
    moved = [
        replace(
            move,
            row=move.row - rows_before,
            along=(move.along - zone.along).exact(),
            across=(move.across - zone.across).exact(),
        )
        for move in base.moved
        if own(move.row)
    ]
    wish = replace(wish, pins=tuple(pins))
    if moved and not zone.title and any(region.laid_out for region in shape.regions):
        return _moved_past_regions(wish, LaidZone(zone, arrange(wish), rows_before), moved, shape)
    return arrange(replace(wish, moved=tuple(moved)))


def _moved_past_regions(wish: Wish, laid: LaidZone, moved: Sequence[Moved], shape: Shape) -> Arrangement:
    """A moved mark's number counts what is there: not what gave way to a region."""
    marks = laid.arrangement.marks if laid.arrangement else ()
    regions, kept, gone = _regions(shape), [], []
    for move in moved:
        theirs = [mark for mark in marks if (mark.kind, mark.row) == (move.kind, move.row)]
        there = [n for n, mark in enumerate(theirs, 1) if not _gives_way(_in_room(mark, laid), laid, shape, regions)]
        if 1 <= move.number <= len(there):
            kept.append(replace(move, number=there[move.number - 1]))
        else:
            gone.append(not_there(move, len(there)))
    arrangement = arrange(replace(wish, moved=tuple(kept)))
    return replace(arrangement, findings=(*gone, *arrangement.findings))


def _lay_region(base: Wish, shape: Shape, zone: Zone, laid: Sequence[LaidZone]) -> LaidZone:
    """About its own center lines, then onto the main ceiling's where those are so near that it would look missed.

    A coffer no longer than the spacing limit either way gets one light, in its middle.
    """
    own = _lay(base, shape, zone, laid, ((), ()))
    if own.arrangement is None:
        return own
    columns, rows = own.columns, own.rows
    main = [one for one in laid if not one.zone.title]
    onto_columns = drawn_onto(columns, [line for one in main for line in one.columns])
    onto_rows = drawn_onto(rows, [line for one in main for line in one.rows])
    if (onto_columns, onto_rows) == (columns, rows):
        return own
    wish = replace(
        own.arrangement.wish,
        mode_along=Mode.LOCKED,
        mode_across=Mode.LOCKED,
        typed_along=tuple((line - zone.along).exact() for line in onto_columns),
        typed_across=tuple((line - zone.across).exact() for line in onto_rows),
    )
    return replace(own, arrangement=arrange(wish))


def _check_typed(base: Wish, laid: Sequence[LaidZone]) -> None:
    """No typed number may vanish between zones."""
    for name, mode, typed, ends in (
        ("Along the rows", base.mode_along, base.typed_along, [(z.zone.along, z.zone.size_along) for z in laid]),
        ("Across the rows", base.mode_across, base.typed_across, [(z.zone.across, z.zone.size_across) for z in laid]),
    ):
        for at in typed if mode is Mode.LOCKED else ():
            if not any(start <= at <= start + size for start, size in ends):
                raise WishError(f"{name}: {at.inches} in is on no part of this ceiling. Check the typed numbers.")


# Marks


def _marks(laid: Sequence[LaidZone], shape: Shape) -> tuple[tuple[Mark, ...], zone_checks.Renamed]:
    """Lights zone by zone, then speakers, then the subwoofer, counted on over the room.

    The main ceiling's marks that fall in a region with lights of its own give way to those. renamed: by zone, the ID a
    mark had in it.
    """
    regions = _regions(shape)
    moved_out: list[tuple[LaidZone, Mark, Mark]] = []
    for one in laid:
        for mark in one.arrangement.marks if one.arrangement else ():
            placed = _in_room(mark, one)
            if not _gives_way(placed, one, shape, regions):
                moved_out.append((one, mark, placed))
    counts = dict.fromkeys(Kind, 0)
    marks: list[Mark] = []
    renamed: zone_checks.Renamed = {}
    for kind in Kind:
        for one, mark, placed in moved_out:
            if mark.kind is kind:
                counts[kind] += 1
                prefix = {Kind.LIGHT: one.zone.name, Kind.SPEAKER: "SP", Kind.SUBWOOFER: "SW"}[kind]
                name = f"{prefix}{counts[kind]}"
                renamed.setdefault(one.zone.name, {})[mark.id] = name
                zone = one.zone.name if kind is Kind.LIGHT else ""
                marks.append(replace(placed, id=name, zone=zone))
    return tuple(marks), renamed


def _regions(shape: Shape) -> list[Outline]:
    return [outline_of(region.corners) for region in shape.regions if region.laid_out]


def _gives_way(placed: Mark, one: LaidZone, shape: Shape, regions: Sequence[Outline]) -> bool:
    """Whether a mark of the main ceiling falls in a region by its lines. Where a person put it, it stays."""
    if one.zone.title:
        return False
    along, across = placed.moved_from or (placed.along, placed.across)
    x, y = plan_of(replace(placed, along=along, across=across), shape)
    return any(region.holds(x, y) for region in regions)


def _in_room(mark: Mark, one: LaidZone) -> Mark:
    zone = one.zone

    def out(along: Length, across: Length) -> tuple[Length, Length]:
        return (zone.along + along).exact(), (zone.across + across).exact()

    along, across = out(mark.along, mark.across)
    came = out(*mark.moved_from) if mark.moved_from else None
    return replace(mark, along=along, across=across, row=mark.row + one.rows_before, moved_from=came)
