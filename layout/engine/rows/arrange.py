"""A shop's layout of one rectangular ceiling: how many lights, where they stand, what doesn't fit. Knows no records.

The shop chooses how far the outer lights stand off the walls and how many there are, and gets exactly that: the lights
between spread evenly, on the tape's marks, or in the middles of a lay-in grid's tiles. What then breaks one of the
shop's limits is said, not hidden by moving a light nobody asked to move. The ways of spacing are common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from layout.engine import checks
from layout.engine.checks import Limits
from layout.engine.findings import Code, Finding, counted, say
from layout.engine.lengths import Distance, Length
from layout.engine.marks import Kind, Mark
from layout.engine.rows import grid, lines, set_out
from layout.engine.rows.grid import Tiles
from layout.engine.rows.lines import Lines
from layout.engine.rows.wish import Hole, Mode, Wish, WishError, check_wish

__all__ = ["Arrangement", "AxisFacts", "Code", "Finding", "Hole", "Mode", "Wish", "WishError", "arrange", "say"]


@dataclass(frozen=True, slots=True)
class AxisFacts:
    """How an axis stands beside an even split. Measured from the zero corner's wall to the other."""

    off_wall: Distance  # the first light or row
    last_to_wall: Distance
    even_split: Distance  # off the wall at equal parts
    nearer_wall_by: Distance  # than the even split; below 0 it is farther


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Where everything goes. Empty, with a finding, when what was asked for won't fit at all."""

    wish: Wish
    columns: tuple[Length, ...]
    rows: tuple[Length, ...]
    speaker_positions: tuple[Length, ...]  # along the row: in gaps, and in place of lights
    marks: tuple[Mark, ...]  # lights row by row, then speakers, then the subwoofer
    findings: tuple[Finding, ...]

    @property
    def fits(self) -> bool:
        return all(finding.code is Code.PITCH_OF_OTHER_UNIT for finding in self.findings)

    @property
    def along_gaps(self) -> tuple[Distance, ...]:
        return tuple(b - a for a, b in pairwise(self.columns))

    @property
    def across_gaps(self) -> tuple[Distance, ...]:
        return tuple(b - a for a, b in pairwise(self.rows))

    @property
    def along_facts(self) -> AxisFacts | None:
        return _facts(self.columns, self.wish.along)

    @property
    def across_facts(self) -> AxisFacts | None:
        return _facts(self.rows, self.wish.across)


def _facts(at: tuple[Length, ...], size: Length) -> AxisFacts | None:
    if not at:
        return None
    even = size / (len(at) + 1)
    return AxisFacts(
        off_wall=at[0],
        last_to_wall=size - at[-1],
        even_split=even,
        nearer_wall_by=even - at[0],
    )


def arrange(wish: Wish) -> Arrangement:
    """The layout a shop asked for, and every limit of its own that it breaks. Raises WishError."""
    check_wish(wish)
    along, across = lines.columns(wish), lines.rows(wish)
    if along is None or across is None:
        stuck = "along" if along is None else "across"
        return Arrangement(wish, (), (), (), (), (Finding(Code.NOTHING_INSIDE_CAPS, stuck),))
    if wish.tiles_along is not None:
        along = _columns_on_tiles(wish, along, wish.tiles_along)
    if wish.tiles_across is not None:
        across = _on_tiles(across, wish.tiles_across, wish.mode_across, "across", None)
    held = (*along.findings, *across.findings)
    if not along.at or not across.at:
        return Arrangement(wish, (), (), (), (), held)
    marks, missing = _marks(wish, along, across)
    found = (
        *held,
        *missing,
        *lines.problems_off_the_wall(wish, along, across),
        *checks.check(marks, cutouts(wish), wish.along, wish.across, limits(wish), wish.rows_of, cut_square(wish)),
        *_off_tiles(marks, wish.tiles_along, wish.tiles_across),
        *_pitches(wish),
    )
    speakers = set_out.speaker_positions(wish, along.at, along.between)
    return Arrangement(wish, along.at, across.at, speakers, marks, found)


def _holes(wish: Wish) -> dict[Kind, Hole]:
    holes = ((Kind.LIGHT, wish.light), (Kind.SPEAKER, wish.speaker), (Kind.SUBWOOFER, wish.subwoofer))
    return {kind: hole for kind, hole in holes if hole is not None}


def cutouts(wish: Wish) -> dict[Kind, Length]:
    return {kind: hole.cutout for kind, hole in _holes(wish).items()}


def cut_square(wish: Wish) -> frozenset[Kind]:
    return frozenset(kind for kind, hole in _holes(wish).items() if hole.square)


def limits(wish: Wish) -> Limits:
    return Limits(wish.spacing_limit, wish.edge_min, wish.web_min, wish.speaker_to_light_min)


def _marks(wish: Wish, along: Lines, across: Lines) -> tuple[tuple[Mark, ...], tuple[Finding, ...]]:
    marks = set_out.set_out(
        wish,
        along.at,
        across.at,
        along.between,
        (along.held, across.held),
        snap_along=_snap(wish.tiles_along),
        snap_across=_snap(wish.tiles_across),
    )
    return set_out.moved(marks, wish.moved)


# In a lay-in grid


def _snap(tiles: Tiles | None) -> Callable[[Distance, frozenset[Length]], Length] | None:
    if tiles is None:
        return None

    def onto(at: Distance, taken: frozenset[Length]) -> Length:
        return tiles.nearest(at, taken) or tiles.nearest(at) or grid.on_the_nanometer(at)

    return onto


def _on_tiles(asked: Lines, tiles: Tiles, mode: Mode, axis: str, limit: Length | None) -> Lines:
    """Lines moved to the middles of tiles. Typed ones stand where they were typed."""
    if mode is Mode.LOCKED:
        return asked
    held = {number: asked.at[number - 1] for number in asked.held}
    chosen = grid.choose(tiles, asked.at, held, limit)
    there = counted(len(tiles.middles), "tile")
    if chosen is None:
        few = Finding(Code.TOO_FEW_TILES, axis, near=there)
        return replace(asked, at=(), between=(), findings=(*asked.findings, few))
    found = asked.findings
    if chosen.off_middle:
        found = (*found, Finding(Code.OFF_THE_MIDDLE, axis, chosen.off_middle, near=there))
    return replace(asked, at=chosen.at, findings=found)


def _columns_on_tiles(wish: Wish, asked: Lines, tiles: Tiles) -> Lines:
    """Columns, and the speakers in their gaps, each at the middle of a tile of its own where there is one."""
    found = _on_tiles(asked, tiles, wish.mode_along, "along", wish.spacing_limit)
    if not found.at:
        return found
    between = []
    for gap in sorted(wish.speaker_gaps):
        middle = (found.at[gap - 1] + found.at[gap]) / 2
        at = tiles.nearest(middle, frozenset(found.at))
        inside = at is not None and found.at[gap - 1] < at < found.at[gap]
        between.append(at if at is not None and inside else grid.on_the_nanometer(middle))
    return replace(found, between=tuple(between))


def _off_tiles(marks: tuple[Mark, ...], along: Tiles | None, across: Tiles | None) -> tuple[Finding, ...]:
    """Marks off the middles of tiles, axis by axis, and those in cut tiles nobody said may be used."""
    found: list[Finding] = []
    if along is not None:
        found += _off([(mark, mark.along) for mark in marks], along)
    if across is not None:
        found += _off([(mark, mark.across) for mark in marks], across)
    codes = (Code.OFF_TILE, Code.IN_A_CUT_TILE)
    return checks.worst_of_each([each for each in found if each.code is code] for code in codes)


def _off(places: list[tuple[Mark, Length]], tiles: Tiles) -> Iterator[Finding]:
    offs = {at: tiles.off(at) for at in {at for _, at in places}}
    for mark, at in places:
        if offs[at]:
            wide = tiles.cut_tile(at)
            code = Code.OFF_TILE if wide is None else Code.IN_A_CUT_TILE
            yield Finding(code, mark.id, offs[at], wide)


def _pitches(wish: Wish) -> Iterator[Finding]:
    """A tile of the other system: 600 mm is 23 5/8 in, and ten of them are nearly 4 in short of ten of 24 in."""
    pitches = {tiles.pitch for tiles in (wish.tiles_along, wish.tiles_across) if tiles is not None}
    for pitch in sorted(pitches, key=int):
        if nominal := grid.other_units_nominal(pitch, wish.unit):
            yield Finding(Code.PITCH_OF_OTHER_UNIT, "along", limit=pitch, near=nominal)
