"""A layout's marks held against a shop's own limits: spacing, edges, material between holes, speakers beside lights.

Limits are the shop's own, common practice, no source. Touching a limit keeps it. What stands overhead and the tiles of
a grid are looked at elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import isqrt

from layout.engine.findings import Code, Finding
from layout.engine.lengths import ZERO, Distance, Length
from layout.engine.marks import Kind, Mark

Cutouts = Mapping[Kind, Length]  # across, a diameter or a square's side, by what goes in


@dataclass(frozen=True, slots=True)
class Limits:
    """What a shop holds its layouts to. Edge and web run from rim to edge and from rim to rim, the rest by centers."""

    spacing: Length
    edge_min: Length
    web_min: Length
    speaker_to_light: Length


def check(
    marks: tuple[Mark, ...],
    cutouts: Cutouts,
    along: Length,
    across: Length,
    limits: Limits,
    rows_of: Kind = Kind.LIGHT,
    square: frozenset[Kind] = frozenset(),
) -> tuple[Finding, ...]:
    """Every limit the marks break on a rectangle, the worst place of each kind and how many more there are.

    Args: along, across: the ceiling's two sizes.
    """
    groups = (
        *gaps(marks, limits.spacing, rows_of),
        *edges(marks, cutouts, along, across, limits.edge_min),
        webs(marks, cutouts, limits.web_min, square),
        speakers_near_lights(marks, limits.speaker_to_light),
    )
    return worst_of_each(groups)


def worst_of_each(groups: Iterable[Iterable[Finding]]) -> tuple[Finding, ...]:
    return tuple(found for group in groups if (found := worst(group)) is not None)


def worst(found: Iterable[Finding]) -> Finding | None:
    """The worst place of one kind, and how many more there are."""
    broken = [each for each in found if each.short_by is not None and each.short_by > ZERO]
    if not broken:
        return None
    first = max(broken, key=lambda each: each.short_by.nm if each.short_by else Fraction(0))
    return replace(first, more=len(broken) - 1)


def gaps(marks: tuple[Mark, ...], limit: Length, rows_of: Kind = Kind.LIGHT) -> Iterator[Iterator[Finding]]:
    """Row by row. Rows alike say the same thing: the first of each pattern speaks for them."""
    rows: dict[tuple[str, int], list[Mark]] = {}
    for mark in marks:
        if mark.kind is rows_of:
            rows.setdefault((mark.zone, mark.row), []).append(mark)
    seen = set()
    for key in sorted(rows):
        row = sorted(rows[key], key=lambda mark: int(mark.along))
        pattern = tuple(int(mark.along) for mark in row)
        if pattern not in seen:
            seen.add(pattern)
            yield _gaps_of(row, limit)


def _gaps_of(row: list[Mark], limit: Length) -> Iterator[Finding]:
    for a, b in pairwise(row):
        if int(b.along) - int(a.along) > int(limit):
            yield Finding(Code.GAP_OVER_LIMIT, f"{a.id}, {b.id}", b.along - a.along - limit, limit)


def edges(
    marks: tuple[Mark, ...], cutouts: Cutouts, along: Length, across: Length, limit: Length
) -> Iterator[Iterator[Finding]]:
    """Holes too near one of the rectangle's four edges, edge by edge."""
    needed = {kind: int(cutout) + 2 * int(limit) for kind, cutout in cutouts.items()}  # twice, so that halves are whole
    for places in (
        [int(mark.along) for mark in marks],
        [int(along) - int(mark.along) for mark in marks],
        [int(mark.across) for mark in marks],
        [int(across) - int(mark.across) for mark in marks],
    ):
        yield (
            Finding(Code.TOO_CLOSE_TO_EDGE, mark.id, Distance(Fraction(short, 2)), limit)
            for mark, there in zip(marks, places, strict=True)
            if (short := needed[mark.kind] - 2 * there) > 0
        )


def apart(a: Mark, b: Mark) -> Distance:
    """Center to center; between marks on no common line, to the nanometer below."""
    dx, dy = abs(int(a.along) - int(b.along)), abs(int(a.across) - int(b.across))
    return Distance(Fraction(isqrt(dx * dx + dy * dy)))


def near_pairs(marks: tuple[Mark, ...], reach: int) -> Iterator[tuple[Mark, Mark]]:
    """Every pair that may be nearer than `reach` nanometers, the mark that is listed first in front.

    Marks are put in square boxes as wide as the reach; only marks of touching boxes are looked at.
    """
    boxes: dict[tuple[int, int], list[int]] = {}
    reach = max(1, reach)
    for number, mark in enumerate(marks):
        boxes.setdefault((int(mark.along) // reach, int(mark.across) // reach), []).append(number)
    for number, mark in enumerate(marks):
        x, y = int(mark.along) // reach, int(mark.across) // reach
        around = (boxes.get((x + dx, y + dy), ()) for dx in (-1, 0, 1) for dy in (-1, 0, 1))
        for other in sorted(each for box in around for each in box if each > number):
            yield mark, marks[other]


def webs(
    marks: tuple[Mark, ...], cutouts: Cutouts, limit: Length, square: frozenset[Kind] = frozenset()
) -> Iterator[Finding]:
    """Every two holes with too little material between their rims. square: what is cut square to the rows."""
    most = max((int(cutout) for cutout in cutouts.values()), default=0) + int(limit)
    for a, b in near_pairs(marks, most):
        short = _web_short(a, b, cutouts, limit, square)
        if short > ZERO:
            first, second = _in_order(a, b)
            yield Finding(Code.HOLES_TOO_CLOSE, f"{first.id}, {second.id}", short, limit)


def _web_short(a: Mark, b: Mark, cutouts: Cutouts, limit: Length, square: frozenset[Kind]) -> Distance:
    """What is missing between two rims; above 0 it is too little. Slanted, to the nanometer that asks for more.

    A square hole is nearest at its side or its corner, a round one on the line to its center: what a square takes comes
    off each coordinate, what a circle takes off the distance. All of it twice, so that halves are whole.
    """
    sides = sum(int(cutouts[mark.kind]) for mark in (a, b) if mark.kind in square)
    round_ = sum(int(cutouts[mark.kind]) for mark in (a, b) if mark.kind not in square)
    dx, dy = (2 * abs(int(one) - int(other)) - sides for one, other in ((a.along, b.along), (a.across, b.across)))
    if dx <= 0 and dy <= 0:
        apart_twice = max(dx, dy)  # they overlap: as far as the nearer way out
    else:
        x, y = max(0, dx), max(0, dy)
        apart_twice = isqrt(x * x + y * y)
    return Distance(Fraction(round_ + 2 * int(limit) - apart_twice, 2))


def _in_order(a: Mark, b: Mark) -> tuple[Mark, Mark]:
    """A subwoofer first, for it is the one to move; else along the row."""
    if Kind.SUBWOOFER in (a.kind, b.kind):
        return (a, b) if a.kind is Kind.SUBWOOFER else (b, a)
    return (a, b) if (int(a.along), int(a.across)) <= (int(b.along), int(b.across)) else (b, a)


def speakers_near_lights(marks: tuple[Mark, ...], limit: Length) -> Iterator[Finding]:
    """Each speaker that is nearer than the limit to a light, by its nearest one, center to center."""
    nearest: dict[str, tuple[Distance, Mark, Mark]] = {}
    for a, b in near_pairs(marks, int(limit)):
        if {a.kind, b.kind} != {Kind.LIGHT, Kind.SPEAKER}:
            continue
        light, speaker = (a, b) if a.kind is Kind.LIGHT else (b, a)
        there = apart(light, speaker)
        if there < limit and (speaker.id not in nearest or there < nearest[speaker.id][0]):
            nearest[speaker.id] = there, speaker, light
    for there, speaker, light in nearest.values():
        yield Finding(Code.SPEAKER_NEAR_LIGHT, f"{speaker.id}, {light.id}", limit - there, limit)
