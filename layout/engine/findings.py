"""What doesn't fit on a ceiling, and what to say of it. Not how it was found, nor what could be done about it.

What a safety rule forbids says "Won't fit" first. Nothing here ever says that a design complies.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.lengths import ZERO, Distance, Tape


class Code(StrEnum):
    # The shop's own limits
    GAP_OVER_LIMIT = "gap_over_limit"
    SETBACK_OUTSIDE = "setback_outside"
    TOO_CLOSE_TO_EDGE = "too_close_to_edge"
    HOLES_TOO_CLOSE = "holes_too_close"
    SPEAKER_NEAR_LIGHT = "speaker_near_light"
    NOTHING_INSIDE_CAPS = "nothing_inside_caps"
    # What a person holds
    PINNED_OUT_OF_ORDER = "pinned_out_of_order"
    PINNED_PAST_EDGE = "pinned_past_edge"
    NO_SUCH_MARK = "no_such_mark"
    # What stands overhead
    ON_A_JOIST = "on_a_joist"
    NEAR_A_THING = "near_a_thing"
    TOO_DEEP = "too_deep"
    # The ceiling's shape
    OUTSIDE_OUTLINE = "outside_outline"
    ON_REGION_EDGE = "on_region_edge"
    OUTLINE_OFF_TAPE = "outline_off_tape"
    # A lay-in grid
    OFF_TILE = "off_tile"
    IN_A_CUT_TILE = "in_a_cut_tile"
    TOO_FEW_TILES = "too_few_tiles"
    OFF_THE_MIDDLE = "off_the_middle"
    PITCH_OF_OTHER_UNIT = "pitch_of_other_unit"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that doesn't fit: the marks it is about ("A1", "A1, A2"), a line ("column 2"), or "along" / "across"
    where it is about all of them.

    short_by: what is missing, or too much, at the worst place. limit: what was asked for, or where it is held. more:
    other places like it. near: what it is about besides, 'joist 3'. part: hole, frame or center, where that matters.
    fixed: a safety rule; no way out takes from it. source, note: of the clearance, and why it isn't the table's.
    """

    code: Code
    subject: str
    short_by: Distance | None = None
    limit: Distance | None = None
    more: int = 0
    near: str = ""
    part: str = ""
    fixed: bool = False
    source: str = ""
    note: str = ""


def counted(number: int, one: str) -> str:
    """'1 column', '4 columns'."""
    return f"{number or 'no'} {one}{'' if number == 1 else 's'}"


def say(finding: Finding, tape: Tape) -> str:
    """A finding in plain words, with the shop's own tape fractions."""
    words = _WORDS[finding.code](finding, tape)
    if finding.note:
        words = f"{words} ({finding.note})"
    return f"{words} ({finding.more} more like it)." if finding.more else f"{words}."


def _sizes(finding: Finding, tape: Tape) -> tuple[str, str]:
    """What is kept or wanted, and what is missing."""
    return tape.show(finding.limit or ZERO), _at_least_a_mark(finding.short_by or ZERO, tape)


def _at_least_a_mark(distance: Distance, tape: Tape) -> str:
    return tape.show(distance) if tape.rounded(distance) else f"less than {tape.show(tape.step)}"


def _left(finding: Finding, tape: Tape) -> str:
    rim_to_rim = (finding.limit or ZERO) - (finding.short_by or ZERO)
    if rim_to_rim < ZERO:
        return "nothing is left between"
    return f"{tape.show(rim_to_rim)} is left"


def _whole(finding: Finding, along: str, across: str) -> str:
    return along if finding.subject == "along" else across


# The shop's own limits


def _gap(finding: Finding, tape: Tape) -> str:
    wanted, over = _sizes(finding, tape)
    first, _, second = finding.subject.partition(", ")
    there = tape.show((finding.limit or ZERO) + (finding.short_by or ZERO))
    return f"{first} to {second} is {there}: {over} over the {wanted} limit"


def _setback(finding: Finding, tape: Tape) -> str:
    wanted, off = _sizes(finding, tape)
    what = _whole(finding, "The outer lights", "The outer rows")
    return f"{what} can't stand {wanted} off the wall here; the nearest they get is {off} from that"


def _edge(finding: Finding, tape: Tape) -> str:
    wanted, short = _sizes(finding, tape)
    return f"{finding.subject} is {short} too close to the ceiling's edge: {_left(finding, tape)}, not {wanted}"


def _holes(finding: Finding, tape: Tape) -> str:
    wanted, short = _sizes(finding, tape)
    first, _, second = finding.subject.partition(", ")
    return f"{first} and {second} are {short} too close: {_left(finding, tape)}, not {wanted}"


def _speaker(finding: Finding, tape: Tape) -> str:
    wanted, short = _sizes(finding, tape)
    first, _, second = finding.subject.partition(", ")
    there = tape.show((finding.limit or ZERO) - (finding.short_by or ZERO))
    return f"{first} is {there} from {second}, center to center: {short} under the {wanted} you keep"


def _too_many(finding: Finding, tape: Tape) -> str:
    return f"That many {_whole(finding, 'lights in a row', 'rows')} won't fit. Take fewer"


# What a person holds


def _out_of_order(finding: Finding, tape: Tape) -> str:
    at, short = _sizes(finding, tape)
    remedy = "take a pin off" if finding.near == "the wall" else f"move {finding.near}"
    return (
        f"{_begun(finding.subject)} is pinned at {at}, {short} too near {finding.near} to keep its place in the order. "
        f"Pin it {short} farther from there, or {remedy}"
    )


def _past_edge(finding: Finding, tape: Tape) -> str:
    at, past = _sizes(finding, tape)
    line = _begun(finding.subject)
    return f"{line} is pinned at {at}, {past} past the ceiling's edge. Pin it inside, or take the pin off"


def _no_such(finding: Finding, tape: Tape) -> str:
    return f"{_begun(finding.subject)} is held, but {_there_are(finding.near)}. Let it go, or bring it back"


# What stands overhead


def _overhead(finding: Finding, tape: Tape) -> str:
    kept, short = _sizes(finding, tape)
    part = f"{finding.subject}'s {finding.part}" if finding.part in ("hole", "frame") else finding.subject
    said = f"{part} is {short} too near {finding.near}: {_left(finding, tape)}, and {kept} is kept"
    return f"Won't fit: {said}" if finding.fixed else said


def _too_deep(finding: Finding, tape: Tape) -> str:
    free, short = _sizes(finding, tape)
    where = f" ({finding.near})" if finding.near else ""
    return f"Won't fit: {finding.subject} is {short} too deep for the {free} that is free there{where}"


def _outside(finding: Finding, tape: Tape) -> str:
    _, short = _sizes(finding, tape)
    return f"{finding.subject} stands outside the ceiling, {short} past its edge"


def _region_edge(finding: Finding, tape: Tape) -> str:
    wanted, short = _sizes(finding, tape)
    first, _, region = finding.subject.partition(", ")
    return f"{first} is {short} too close to the edge of the {region}: {_left(finding, tape)}, not {wanted}"


def _off_tape(finding: Finding, tape: Tape) -> str:
    taped, differ = _sizes(finding, tape)
    return (
        f"The outline and the finished ceiling differ by {differ} {finding.subject}: the tape says {taped}. Enter the "
        "corners again, or check the reading"
    )


# A lay-in grid


def _off_tile(finding: Finding, tape: Tape) -> str:
    _, off = _sizes(finding, tape)
    return f"{finding.subject} is {off} off the middle of a tile, toward a tee. Move it to the middle"


def _cut_tile(finding: Finding, tape: Tape) -> str:
    wide, _ = _sizes(finding, tape)
    return (
        f"{finding.subject} stands in a cut tile at the border, {wide} wide. Ask whether a cut tile may carry it, then "
        "say so for this grid"
    )


def _few_tiles(finding: Finding, tape: Tape) -> str:
    what = _whole(finding, "lights in a row", "rows")
    return f"That many {what} won't fit: {_there_are(finding.near)}. Take fewer"


def _off_the_middle(finding: Finding, tape: Tape) -> str:
    _, off = _sizes(finding, tape)
    what = _whole(finding, "The lights of a row", "The rows")
    return (
        f"{what} can't mirror in {finding.near}: they stand up to {off} off the middle. Take one more or one fewer, or "
        "ask whether the grid can still be shifted"
    )


def _pitch(finding: Finding, tape: Tape) -> str:
    pitch, _ = _sizes(finding, tape)
    return (
        f"A tile of {pitch} is one of {finding.near}. Grids of the two systems drift apart tile by tile: measure over "
        "ten tiles on site"
    )


def _there_are(counted_things: str) -> str:
    return f"{'there is' if counted_things.startswith('1 ') else 'there are'} {counted_things}"


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]


_WORDS = {
    Code.GAP_OVER_LIMIT: _gap,
    Code.SETBACK_OUTSIDE: _setback,
    Code.TOO_CLOSE_TO_EDGE: _edge,
    Code.HOLES_TOO_CLOSE: _holes,
    Code.SPEAKER_NEAR_LIGHT: _speaker,
    Code.NOTHING_INSIDE_CAPS: _too_many,
    Code.PINNED_OUT_OF_ORDER: _out_of_order,
    Code.PINNED_PAST_EDGE: _past_edge,
    Code.NO_SUCH_MARK: _no_such,
    Code.ON_A_JOIST: _overhead,
    Code.NEAR_A_THING: _overhead,
    Code.TOO_DEEP: _too_deep,
    Code.OUTSIDE_OUTLINE: _outside,
    Code.ON_REGION_EDGE: _region_edge,
    Code.OUTLINE_OFF_TAPE: _off_tape,
    Code.OFF_TILE: _off_tile,
    Code.IN_A_CUT_TILE: _cut_tile,
    Code.TOO_FEW_TILES: _few_tiles,
    Code.OFF_THE_MIDDLE: _off_the_middle,
    Code.PITCH_OF_OTHER_UNIT: _pitch,
}
