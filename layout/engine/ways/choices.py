"""Layouts of one room that differ in kind, each with its numbers, for a person to choose from. Ranks and judges none.

Every layout is within the spacing limit where its kind allows it; what doesn't fit is told with each. Source of the
kinds: common practice, no source. How bright any of them is isn't said here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from layout.engine.findings import Finding
from layout.engine.lengths import ZERO, Distance, Length, LengthError, Tape, Unit, inches, mm
from layout.engine.marks import Kind
from layout.engine.overhead.stand import Direction
from layout.engine.pins import Line, Pin
from layout.engine.room import RoomInputs, RoomLayout, lay_out
from layout.engine.rows.lines import on_a_tick
from layout.engine.rows.wish import Mode, fewest
from layout.engine.ways.changes import Change, loses_speakers, mirrored_again
from layout.engine.ways.read import lines_at
from layout.engine.ways.tasks import TaskLine

ALIKE = {Unit.INCH: inches(2), Unit.MM: mm(50)}  # lines nearer than this are the same layout to the eye
OFF_THE_WALL_MOST = {Unit.INCH: inches(42), Unit.MM: mm(1050)}  # farther off, the walls go dark
OFF_THE_WALL_LEAST = {Unit.INCH: inches(18), Unit.MM: mm(450)}  # nearer, the light scallops down the wall
MOST = 5


class ChoiceKind(StrEnum):
    WALL_HELD = "wall_held"  # as far off the walls as the shop keeps
    FOCUS = "focus"  # a light or a gap on the middle of a fireplace, a screen, a bed
    TASK = "task"  # a row over a counter or another task
    FEWER = "fewer"  # one fewer in each row, farther off the walls
    HALF_GAP = "half_gap"
    EVEN = "even"
    CLOSER = "closer"  # one more in each row


@dataclass(frozen=True, slots=True)
class Focus:
    """What a room looks at. at: its middle, along the rows from the zero corner."""

    name: str
    at: Distance


@dataclass(frozen=True, slots=True)
class Choice:
    """One layout and its numbers.

    change: the fields of RoomInputs to replace. off_wall, gaps: of a row, first light and narrowest to widest;
    off_wall_across, gaps_across: of the rows. end_ratio: off the wall as a part of the gap, None for a single light.
    over_limit: by how much the widest gap passes the spacing limit. left: what doesn't fit. speakers_left_out: another
    count of lights has no gap for all of them.
    """

    kind: ChoiceKind
    change: Mapping[str, object]
    layout: RoomLayout
    lights: int
    columns: int
    rows: int
    off_wall: Distance
    gaps: tuple[Distance, Distance] | None
    off_wall_across: Distance
    gaps_across: tuple[Distance, Distance] | None
    end_ratio: Fraction | None
    over_limit: Distance
    watts: Decimal | None
    left: tuple[Finding, ...]
    speakers_left_out: bool = False
    focus: str = ""


def choices(
    inputs: RoomInputs, *, focus: Focus | None = None, task: TaskLine | None = None, watts: Decimal | None = None
) -> tuple[Choice, ...]:
    """Three to five layouts that differ by more than 2 in (50 mm) somewhere, or in count; fewer in a room too small.

    watts: of one light. What a person pinned or moved is left out of all of them. Raises what lay_out raises.
    """
    plain = replace(inputs, pins=(), moved=())
    base = lay_out(plain)
    found: list[Choice] = []
    for kind, change in _candidates(base, focus, task):
        if any(choice.kind is kind for choice in found):
            continue
        whole = _with_speakers(base, {**_unpinned(inputs), **change})
        try:
            layout = lay_out(replace(inputs, **whole), base)  # type: ignore[arg-type]
        except LengthError:
            continue
        if layout.arrangement.columns and not any(_alike(layout, other.layout) for other in found):
            named = focus.name if focus is not None and kind is ChoiceKind.FOCUS else ""
            found.append(_choice(kind, whole, layout, watts, named, loses_speakers(plain, whole)))
        if len(found) == MOST:
            break
    return tuple(found)


def _unpinned(inputs: RoomInputs) -> Change:
    return {name: () for name in ("pins", "moved") if getattr(inputs, name)}


def _candidates(base: RoomLayout, focus: Focus | None, task: TaskLine | None) -> Iterator[tuple[ChoiceKind, Change]]:
    inputs = base.inputs
    held = _spread(base, Mode.WALL_HELD, inputs.end_setback, inputs.row_setback)
    yield ChoiceKind.WALL_HELD, held
    if focus is not None:
        yield from ((ChoiceKind.FOCUS, {**held, **change}) for change in _focused(base, held, focus))
    if task is not None:
        yield from ((ChoiceKind.TASK, {**held, **change}) for change in _over_a_task(base, held, task))
    fewer = _fewer(base, held)
    if fewer is not None:
        yield ChoiceKind.FEWER, fewer
    yield ChoiceKind.HALF_GAP, _spread(base, Mode.HALF_GAP, inputs.end_setback, inputs.row_setback)
    yield ChoiceKind.EVEN, _spread(base, Mode.EVEN, inputs.end_setback, inputs.row_setback)
    more = held["lights_per_row"]
    assert isinstance(more, int)
    yield ChoiceKind.CLOSER, {**held, "lights_per_row": more + 1}


def _spread(base: RoomLayout, mode: Mode, end: Length, row: Length) -> Change:
    """Both axes in one mode, as few lights as the spacing limit allows; two rows at least where a shop wants rows."""
    wish = base.arrangement.wish
    along = replace(wish, mode_along=mode, end_setback=end)
    across = replace(wish, along=wish.across, mode_along=mode, end_setback=row)
    return {
        "mode_along": mode,
        "mode_across": mode,
        "end_setback": end,
        "row_setback": row,
        "lights_per_row": fewest(along),
        "rows": max(fewest(across), min(base.inputs.rows, 2)),
    }


def _fewer(base: RoomLayout, held: Change) -> Change | None:
    """One light fewer in each row, the ends as much farther off the walls as the limit asks; None past 3'-6"."""
    inputs, size = base.inputs, base.along.laid_out
    columns = held["lights_per_row"]
    assert isinstance(columns, int)
    if columns < 3:
        return None
    least = (size - inputs.spacing_limit * (columns - 2)) / 2
    tick = inputs.unit.tick
    end = max((tick * -(-least.nm // tick.nm)).exact(), inputs.end_setback)
    if end > OFF_THE_WALL_MOST[inputs.unit]:
        return None
    return {**held, "lights_per_row": columns - 1, "end_setback": end}


def _focused(base: RoomLayout, held: Change, focus: Focus) -> list[Change]:
    """Columns as far apart as wall-held ones, a light or a gap on the focus; ends as asked first."""
    inputs, size = base.inputs, base.along.laid_out
    columns = held["lights_per_row"]
    assert isinstance(columns, int)
    if not ZERO < focus.at < size:
        return []
    span = size - 2 * inputs.end_setback
    gap = on_a_tick(span / max(1, columns - 1), inputs.unit)
    if gap <= ZERO:
        return []
    wanted = inputs.end_setback
    least = min(wanted, OFF_THE_WALL_LEAST[inputs.unit])
    options = [_about(focus.at, gap, start, least, size, inputs.unit) for start in (ZERO, gap / 2)]
    ordered = sorted((each for each in options if each), key=lambda each: _off_as_asked(each, size, wanted))
    return [{"mode_along": Mode.LOCKED, "typed_along": at, "lights_per_row": len(at)} for at in ordered]


def _about(
    middle: Distance, gap: Length, start: Distance, least: Length, size: Length, unit: Unit
) -> tuple[Length, ...]:
    """Lines either way from the middle, no nearer a wall than `least`."""
    found = set()
    for sign in (1, -1):
        at = middle + sign * start
        while least <= at <= size - least:
            found.add(on_a_tick(at, unit))
            at = at + sign * gap
    return tuple(sorted(found))


def _off_as_asked(at: tuple[Length, ...], size: Length, wanted: Length) -> Fraction:
    return abs(at[0].nm - wanted.nm) + abs((size - at[-1]).nm - wanted.nm)


def _over_a_task(base: RoomLayout, held: Change, task: TaskLine) -> Iterator[Change]:
    """The row nearest to the task's line, on it; the other rows spread anew."""
    try:
        layout = lay_out(replace(base.inputs, **held), base)  # type: ignore[arg-type]
    except LengthError:
        return
    rows = layout.arrangement.rows
    if rows:
        number = min(range(len(rows)), key=lambda each: abs(rows[each] - task.line).nm) + 1
        yield {"pins": (Pin(Line.ROW, number, on_a_tick(task.line, base.inputs.unit)),)}


def _with_speakers(base: RoomLayout, change: Change) -> Change:
    """Speakers keep their places from the ends; typed columns and other counts have other gaps."""
    inputs = base.inputs
    was, now = len(base.arrangement.columns), change.get("lights_per_row")
    rows = change.get("rows", inputs.rows)
    assert isinstance(rows, int)
    new: Change = {
        "speaker_rows": tuple(row for row in inputs.speaker_rows if row <= rows),
        "speakers_between": tuple(row for row in inputs.speakers_between if row < rows),
    }
    if isinstance(now, int) and now != was:
        new["speaker_gaps"] = mirrored_again(inputs.speaker_gaps, was - 1, now - 1)
        new["speaker_columns"] = mirrored_again(inputs.speaker_columns, was, now)
        if not new["speaker_gaps"] and not new["speaker_columns"]:
            new["speakers_between"] = ()
    return {**change, **{name: value for name, value in new.items() if value != getattr(inputs, name)}}


def _alike(one: RoomLayout, other: RoomLayout) -> bool:
    """The same counts, and no line farther than 2 in (50 mm) from its like."""
    for direction in Direction:
        these, those = lines_at(one, direction), lines_at(other, direction)
        if len(these) != len(those):
            return False
        if any(abs(a - b) > ALIKE[one.inputs.unit] for a, b in zip(these, those, strict=True)):
            return False
    return True


def _choice(
    kind: ChoiceKind, change: Change, layout: RoomLayout, watts: Decimal | None, focus: str, fewer_speakers: bool
) -> Choice:
    arrangement = layout.arrangement
    columns, rows = arrangement.columns, arrangement.rows
    lights = sum(mark.kind is Kind.LIGHT for mark in arrangement.marks)
    gaps = _gaps(columns)
    over = gaps[1] - layout.inputs.spacing_limit if gaps else ZERO
    return Choice(
        kind=kind,
        change=change,
        layout=layout,
        lights=lights,
        columns=len(columns),
        rows=len(rows),
        off_wall=columns[0],
        gaps=gaps,
        off_wall_across=rows[0],
        gaps_across=_gaps(rows),
        end_ratio=columns[0].nm / gaps[1].nm if gaps else None,
        over_limit=max(over, ZERO),
        watts=watts * lights if watts is not None else None,
        left=arrangement.findings,
        speakers_left_out=fewer_speakers,
        focus=focus,
    )


def _gaps(lines: tuple[Length, ...]) -> tuple[Distance, Distance] | None:
    gaps = [b - a for a, b in pairwise(lines)]
    return (min(gaps), max(gaps)) if gaps else None


TITLES = {
    ChoiceKind.WALL_HELD: "Held to the walls",
    ChoiceKind.FOCUS: "Centered on what the room looks at",
    ChoiceKind.TASK: "A row over the task",
    ChoiceKind.FEWER: "Fewer, farther off the walls",
    ChoiceKind.HALF_GAP: "Half a gap off the walls",
    ChoiceKind.EVEN: "A whole gap off the walls",
    ChoiceKind.CLOSER: "Closer together",
}


def say_choice(choice: Choice, tape: Tape) -> tuple[str, ...]:
    """Title, count, along the rows, across them, power: a line each."""
    title = f"Centered on the {choice.focus}" if choice.focus else TITLES[choice.kind]
    rows = "1 row" if choice.rows == 1 else f"{choice.rows} rows"
    lights = "1 light" if choice.lights == 1 else f"{choice.lights} lights"
    said = [
        title,
        f"{lights}: {choice.columns} in a row, {rows}",
        f"ends {_said(choice.off_wall, choice.gaps, tape)}",
        f"rows {_said(choice.off_wall_across, choice.gaps_across, tape)}",
    ]
    if choice.end_ratio is not None:
        said.append(f"off the wall by {round(choice.end_ratio * 100)}% of a gap")
    if choice.over_limit:
        said.append(f"widest gap {tape.show(choice.over_limit)} over the spacing limit")
    if choice.speakers_left_out:
        said.append("speakers left out: there is no gap for all of them")
    if choice.watts is not None:
        said.append(f"{choice.watts.normalize():f} W")
    return tuple(said)


def _said(off: Distance, gaps: tuple[Distance, Distance] | None, tape: Tape) -> str:
    wall = f"{tape.show(off)} off the wall"
    if gaps is None:
        return wall
    least, most = gaps
    return f"{wall}, gaps {tape.show(least)}" + ("" if most - least <= tape.step else f" to {tape.show(most)}")
