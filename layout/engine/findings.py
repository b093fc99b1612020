"""A layout's marks held against a shop's limits, and what to say of each that is broken. Not how marks are found.

Limits are the shop's own, common practice, no source. Touching a limit keeps it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from math import isqrt

from layout.engine.lengths import ZERO, Distance, Length, Tape
from layout.engine.marks import Kind, Mark


class Code(StrEnum):
    GAP_OVER_LIMIT = "gap_over_limit"
    SETBACK_OUTSIDE = "setback_outside"
    TOO_CLOSE_TO_EDGE = "too_close_to_edge"
    HOLES_TOO_CLOSE = "holes_too_close"
    SPEAKER_NEAR_LIGHT = "speaker_near_light"
    NOTHING_INSIDE_CAPS = "nothing_inside_caps"


@dataclass(frozen=True, slots=True)
class Finding:
    """One limit broken: the marks it is about ("A1", "A1, A2"), or "along" / "across" where it is about all of them.

    short_by: what is missing, or too much, at the worst place. limit: what was asked for. more: other places like it.
    """

    code: Code
    subject: str
    short_by: Distance | None = None
    limit: Distance | None = None
    more: int = 0


@dataclass(frozen=True, slots=True)
class Limits:
    """What a shop holds its layouts to. Edge and web run from rim to edge and from rim to rim, the rest by centers."""

    spacing: Length
    edge_min: Length
    web_min: Length
    speaker_to_light: Length


def check(
    marks: tuple[Mark, ...], cutouts: Mapping[Kind, Length], along: Length, across: Length, limits: Limits
) -> tuple[Finding, ...]:
    """Every limit the marks break, the worst place of each kind and how many more there are.

    Args: cutouts: diameter by what goes in. along, across: the ceiling's two sizes.
    """
    rows: dict[int, list[Mark]] = {}
    for mark in sorted((m for m in marks if m.kind is not Kind.SUBWOOFER), key=lambda m: m.along):
        rows.setdefault(mark.row, []).append(mark)
    ordered = [rows[row] for row in sorted(rows)]
    groups = (
        *(_gaps(row, limits.spacing) for row in _first_of_each(ordered)),
        *_edges(marks, cutouts, along, across, limits.edge_min),
        _webs(marks, ordered, cutouts, limits.web_min),
        _speakers(ordered, limits.speaker_to_light),
    )
    return tuple(worst for group in groups if (worst := _worst(group)) is not None)


def _worst(found: Iterable[Finding]) -> Finding | None:
    broken = [each for each in found if each.short_by is not None and each.short_by > ZERO]
    if not broken:
        return None
    worst = max(broken, key=lambda each: each.short_by.nm if each.short_by else Fraction(0))
    return Finding(worst.code, worst.subject, worst.short_by, worst.limit, len(broken) - 1)


def _first_of_each(rows: list[list[Mark]]) -> Iterator[list[Mark]]:
    """Rows alike say the same thing: the first of each pattern speaks for them."""
    seen = set()
    for row in rows:
        pattern = tuple((mark.kind, mark.along) for mark in row)
        if pattern not in seen:
            seen.add(pattern)
            yield row


def _gaps(row: list[Mark], limit: Length) -> Iterator[Finding]:
    lights = [mark for mark in row if mark.kind is Kind.LIGHT]
    for a, b in pairwise(lights):
        yield Finding(Code.GAP_OVER_LIMIT, f"{a.id}, {b.id}", b.along - a.along - limit, limit)


def _edges(
    marks: tuple[Mark, ...], cutouts: Mapping[Kind, Length], along: Length, across: Length, limit: Length
) -> Iterator[Iterator[Finding]]:
    def short(mark: Mark, there: Distance) -> Finding:
        return Finding(Code.TOO_CLOSE_TO_EDGE, mark.id, cutouts[mark.kind] / 2 + limit - there, limit)

    yield (short(mark, mark.along) for mark in marks)
    yield (short(mark, along - mark.along) for mark in marks)
    yield (short(mark, mark.across) for mark in marks)
    yield (short(mark, across - mark.across) for mark in marks)


def apart(a: Mark, b: Mark) -> Distance:
    """Center to center; between marks on no common line, to the nanometer below."""
    dx, dy = abs(a.along - b.along), abs(a.across - b.across)
    if not dx or not dy:
        return dx + dy
    return Distance(Fraction(isqrt(int(dx.nm) ** 2 + int(dy.nm) ** 2)))


def _webs(
    marks: tuple[Mark, ...], rows: list[list[Mark]], cutouts: Mapping[Kind, Length], limit: Length
) -> Iterator[Finding]:
    def short(a: Mark, b: Mark) -> Finding:
        needed = (cutouts[a.kind] + cutouts[b.kind]) / 2 + limit
        return Finding(Code.HOLES_TOO_CLOSE, f"{a.id}, {b.id}", needed - apart(a, b), limit)

    for row in rows:
        yield from (short(a, b) for a, b in pairwise(row))
    for row, after in pairwise(rows):
        beyond = {mark.along: mark for mark in after}
        yield from (short(mark, beyond[mark.along]) for mark in row if mark.along in beyond)
    for sub in (mark for mark in marks if mark.kind is Kind.SUBWOOFER):
        yield from (short(sub, mark) for mark in marks if mark is not sub)


def _speakers(rows: list[list[Mark]], limit: Length) -> Iterator[Finding]:
    lights = [[mark for mark in row if mark.kind is Kind.LIGHT] for row in rows]
    for i, row in enumerate(rows):
        for speaker in (mark for mark in row if mark.kind is Kind.SPEAKER):
            beside = [light for near in lights[max(0, i - 1) : i + 2] for light in _neighbors(near, speaker.along)]
            if beside:
                nearest = min(beside, key=lambda light: apart(light, speaker))
                short_by = limit - apart(nearest, speaker)
                yield Finding(Code.SPEAKER_NEAR_LIGHT, f"{speaker.id}, {nearest.id}", short_by, limit)


def _neighbors(row: list[Mark], along: Distance) -> list[Mark]:
    at = bisect_left(row, along, key=lambda mark: mark.along)
    return row[max(0, at - 1) : at + 1]


def say(finding: Finding, tape: Tape) -> str:
    """A finding in plain words, with the shop's own tape fractions."""
    limit = finding.limit or ZERO
    short_by = finding.short_by or ZERO
    first, _, second = finding.subject.partition(", ")
    wanted, short = tape.show(limit), _at_least_a_mark(short_by, tape)
    match finding.code:
        case Code.GAP_OVER_LIMIT:
            said = f"{first} to {second} is {tape.show(limit + short_by)}: {short} over the {wanted} limit"
        case Code.SETBACK_OUTSIDE:
            lights = "The outer lights" if finding.subject == "along" else "The outer rows"
            return f"{lights} can't stand {wanted} off the wall here; the nearest they get is {short} from that."
        case Code.TOO_CLOSE_TO_EDGE:
            said = f"{first} is {short} too close to the ceiling's edge: {_left(limit - short_by, tape)}, not {wanted}"
        case Code.HOLES_TOO_CLOSE:
            said = f"{first} and {second} are {short} too close: {_left(limit - short_by, tape)}, not {wanted}"
        case Code.SPEAKER_NEAR_LIGHT:
            there = tape.show(limit - short_by)
            said = f"{first} is {there} from {second}, center to center: {short} under the {wanted} you keep"
        case Code.NOTHING_INSIDE_CAPS:
            what = "lights in a row" if finding.subject == "along" else "rows"
            return f"That many {what} won't fit. Take fewer."
    return f"{said} ({finding.more} more like it)." if finding.more else f"{said}."


def _at_least_a_mark(distance: Distance, tape: Tape) -> str:
    return tape.show(distance) if tape.rounded(distance) else f"less than {tape.show(tape.step)}"


def _left(rim_to_rim: Distance, tape: Tape) -> str:
    if rim_to_rim < ZERO:
        return "nothing is left between"
    return f"{tape.show(rim_to_rim)} is left"
