"""What doesn't fit in a room of zones: within each, across the joins, and against the ceiling's true edge.

A zone's own edges are not walls where it joins another, so holes are held against the outline alone. Limits are the
shop's own, common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

from layout.engine import checks
from layout.engine.ceiling import Region
from layout.engine.findings import Code, Finding, counted
from layout.engine.lengths import ZERO, Distance, Length, inches
from layout.engine.marks import Axis, Mark
from layout.engine.pins import Line
from layout.engine.rows.wish import Wish
from layout.engine.shape.outline import Outline, outline_of
from layout.engine.square import IGNORE_UP_TO
from layout.engine.zones.parts import LaidZone, Shape, joint, plan_of

REGION_EDGE = inches(2)  # a hole's rim stands at least this far off a region's edge; common practice, no source
LOOKED_AT_HERE = {Code.GAP_OVER_LIMIT, Code.TOO_CLOSE_TO_EDGE, Code.HOLES_TOO_CLOSE, Code.SPEAKER_NEAR_LIGHT}
OF_WHAT_IS_HELD = {Code.PINNED_OUT_OF_ORDER, Code.PINNED_PAST_EDGE, Code.NO_SUCH_MARK}

Renamed = dict[str, dict[str, str]]  # by zone, the ID a mark had in it: the one it has in the room


def check(
    base: Wish, shape: Shape, laid: Sequence[LaidZone], marks: tuple[Mark, ...], renamed: Renamed
) -> tuple[Finding, ...]:
    """Every limit the marks break, the worst place of each kind and how many more there are."""
    cutouts = {kind: hole.size for kind, hole in shape.holes.items()}
    square = frozenset(kind for kind, hole in shape.holes.items() if hole.square)
    groups = (
        *checks.gaps(_unbroken_rows(laid, marks, renamed), base.spacing_limit, base.rows_of),
        _across_joins(base, shape, laid, marks),
        *_off_the_outline(base, shape, marks),
        *(_on_edges(shape, region, marks) for region in shape.regions if region.rise),
        checks.webs(marks, cutouts, base.web_min, square),
        checks.speakers_near_lights(marks, base.speaker_to_light_min),
    )
    off_tape = _off_the_tape(shape)
    own = (finding for one in laid for finding in _own(one, renamed.get(one.zone.name, {})))
    return tuple(dict.fromkeys((*off_tape, *own, *_not_there(base, laid), *checks.worst_of_each(groups))))


def _own(one: LaidZone, renamed: Mapping[str, str]) -> Iterator[Finding]:
    """What a zone's layout says by itself, under the room's IDs; nothing of marks that gave way."""
    marks = {mark.id for mark in one.arrangement.marks} if one.arrangement else set()
    for finding in one.arrangement.findings if one.arrangement else ():
        about = finding.subject.split(", ")
        gone = any(name in marks and name not in renamed for name in about)
        if finding.code not in LOOKED_AT_HERE and not gone:
            renumbered = _in_the_room(finding, one) if finding.code in OF_WHAT_IS_HELD else finding
            names = renumbered.subject.split(", ")
            yield replace(renumbered, subject=", ".join(renamed.get(name, name) for name in names))


def _in_the_room(finding: Finding, one: LaidZone) -> Finding:
    """What a person holds, by the room's row numbers and from its zero corner."""
    subject, near = (_renumbered(words, one.rows_before) for words in (finding.subject, finding.near))
    if finding.subject.startswith(Line.COLUMN) and finding.code is Code.NO_SUCH_MARK:
        near = f"{near} in the largest part, and only there can a column be held"
    start = one.zone.along if finding.subject.startswith(Line.COLUMN) else one.zone.across
    limit = None if finding.limit is None else finding.limit + start
    return replace(finding, subject=subject, near=near, limit=limit)


def _renumbered(words: str, rows_before: int) -> str:
    """'row 1', and 'light 2 of row 1', in a zone with three rows before it: row 4."""
    return re.sub(r"\brow (\d+)", lambda found: f"row {int(found[1]) + rows_before}", words)


def _not_there(base: Wish, laid: Sequence[LaidZone]) -> Iterator[Finding]:
    """Rows and marks held past the last row of the room."""
    rows = sum(len(one.rows) for one in laid)
    for pin in base.pins:
        if pin.line is Line.ROW and pin.number > rows:
            yield Finding(Code.NO_SUCH_MARK, f"{pin.line} {pin.number}", near=counted(rows, "row"))
    for move in base.moved:
        if move.row > rows:
            yield Finding(Code.NO_SUCH_MARK, f"{move.kind} {move.number} of row {move.row}", near=counted(rows, "row"))


def _unbroken_rows(laid: Sequence[LaidZone], marks: tuple[Mark, ...], renamed: Renamed) -> tuple[Mark, ...]:
    """The marks with a new row number wherever one between gave way to a region: no gap is counted across it."""
    by_id = {mark.id: mark for mark in marks}
    pieces: list[Mark] = []
    number = 0
    for one in laid:
        names = renamed.get(one.zone.name, {})
        own = sorted(one.arrangement.marks, key=lambda m: (m.row, m.along.nm)) if one.arrangement else []
        row = None
        for mark in own:
            if mark.row != row or mark.id not in names:
                row, number = mark.row, number + 1
            if mark.id in names:
                pieces.append(replace(by_id[names[mark.id]], row=number))
    return tuple(pieces)


# Across a join


def _across_joins(
    base: Wish, shape: Shape, laid: Sequence[LaidZone], marks: tuple[Mark, ...]
) -> Iterator[Finding]:
    """From the last line of one zone to the first of the next, square to the edge they have in common."""
    rows = {one.zone.name: range(one.rows_before + 1, one.rows_before + 1 + len(one.rows)) for one in laid}
    of_rows = [mark for mark in marks if mark.kind is base.rows_of]
    for one, other in combinations([each for each in laid if not each.zone.title], 2):
        common = joint(one.zone.box, other.zone.box)
        if common is None:
            continue
        facing = [
            [(*_on_the_join(mark, shape, common.runs), mark) for mark in of_rows if mark.row in rows[each.zone.name]]
            for each in (one, other)
        ]
        near, far = ([spot for spot in side if common.low <= spot[0] <= common.high] for side in facing)
        if not near or not far:
            continue
        first = min(near, key=lambda spot: (abs(spot[1] - common.at).nm, spot[0].nm))
        second = min(far, key=lambda spot: (abs(spot[1] - common.at).nm, abs(spot[0] - first[0]).nm))
        gap = abs(first[1] - second[1])
        yield Finding(
            Code.GAP_OVER_LIMIT, f"{first[2].id}, {second[2].id}", gap - base.spacing_limit, base.spacing_limit
        )


def _on_the_join(mark: Mark, shape: Shape, runs: Axis) -> tuple[Distance, Distance]:
    """A mark's place along a common edge, and on the axis square to it."""
    x, y = plan_of(mark, shape)
    return (x, y) if runs is Axis.LEFT_RIGHT else (y, x)


# Against the true edge


def _off_the_tape(shape: Shape) -> Iterator[Finding]:
    """An outline that isn't the room's: a wall was furred after it was entered, or a corner was misread."""
    corners = shape.outline.corners
    for way, size, places in (
        ("left to right", shape.wide, [corner.x for corner in corners]),
        ("door to far", shape.deep, [corner.y for corner in corners]),
    ):
        reach = [at.nm for at in places]
        off = Distance(max(abs(min(reach)), abs(max(reach) - size.nm)))
        if off > IGNORE_UP_TO:
            yield Finding(Code.OUTLINE_OFF_TAPE, way, off, size)


def _off_the_outline(base: Wish, shape: Shape, marks: tuple[Mark, ...]) -> Iterator[list[Finding]]:
    near, outside = [], []
    for mark in marks:
        x, y = plan_of(mark, shape)
        short = shape.outline.hole_inside(x, y, shape.holes[mark.kind], base.edge_min)
        if not shape.outline.holds(x, y):
            outside.append(Finding(Code.OUTSIDE_OUTLINE, mark.id, shape.outline.distance(x, y)))
        elif short > ZERO:
            near.append(Finding(Code.TOO_CLOSE_TO_EDGE, mark.id, short, base.edge_min))
    yield near
    yield outside


def _on_edges(shape: Shape, region: Region, marks: tuple[Mark, ...]) -> Iterator[Finding]:
    """Holes cut through a region's edge, or too near it from either side."""
    edge: Outline = outline_of(region.corners)
    limit: Length = REGION_EDGE
    for mark in marks:
        x, y = plan_of(mark, shape)
        short = edge.hole_beside(x, y, shape.holes[mark.kind], limit)
        if short > ZERO:
            yield Finding(Code.ON_REGION_EDGE, f"{mark.id}, {region.name}", short, limit)
