"""Changes to what was asked for: lines held where a search put them, one line more or fewer. Tries nothing."""

from __future__ import annotations

from layout.engine.lengths import nanometers
from layout.engine.overhead.stand import Direction
from layout.engine.pins import Line, Pin
from layout.engine.placement.problem import MOST_LINES
from layout.engine.room import RoomInputs, RoomLayout
from layout.engine.rows.wish import Mode

Change = dict[str, object]

LINE = {Direction.ALONG: Line.COLUMN, Direction.ACROSS: Line.ROW}


def mode_of(inputs: RoomInputs, direction: Direction) -> Mode:
    return inputs.mode_along if direction is Direction.ALONG else inputs.mode_across


def held_at(inputs: RoomInputs, direction: Direction, places: tuple[int, ...]) -> Change:
    """Holds the lines of one axis at these nanometers: pinned, or typed where they were typed."""
    at = tuple(nanometers(place) for place in places)
    if mode_of(inputs, direction) is Mode.LOCKED:
        return {"typed_along" if direction is Direction.ALONG else "typed_across": at}
    pins = (Pin(LINE[direction], number, place) for number, place in enumerate(at, 1))
    in_wings = [pin for pin in inputs.pins if pin.line is Line.ROW is LINE[direction] and pin.number > len(at)]
    return {"pins": (*_other_pins(inputs, direction), *pins, *in_wings)}


def with_ends(inputs: RoomInputs, direction: Direction, places: tuple[int, ...]) -> Change:
    """Both outer lines asked for that far off their walls, those between spread anew."""
    end = nanometers(places[0])
    if direction is Direction.ACROSS:
        return {"mode_across": Mode.WALL_HELD, "row_setback": end}
    return {"mode_along": Mode.WALL_HELD, "end_setback": end, "lights_per_row": len(places)}


def with_count(layout: RoomLayout, direction: Direction, more: int) -> Change | None:
    """That many columns (rows) more. None where lines were typed, none are left, or speakers lose their place."""
    inputs = layout.inputs
    now = _count(layout, direction)
    count = now + more
    if mode_of(inputs, direction) is Mode.LOCKED or not 1 <= count <= MOST_LINES:
        return None
    change: Change = {"pins": _other_pins(inputs, direction), "moved": ()}
    if direction is Direction.ALONG:
        change["lights_per_row"] = count
        change["speaker_gaps"] = mirrored_again(inputs.speaker_gaps, now - 1, count - 1)
        change["speaker_columns"] = mirrored_again(inputs.speaker_columns, now, count)
    else:
        change["rows"] = count
        change["speaker_rows"] = tuple(row for row in inputs.speaker_rows if row <= count)
        change["speakers_between"] = tuple(row for row in inputs.speakers_between if row < count)
    changed = {name: value for name, value in change.items() if value != getattr(inputs, name)}
    return None if loses_speakers(inputs, changed) else changed


def loses_speakers(inputs: RoomInputs, change: Change) -> bool:
    """Whether gaps, rows or lines between rows that carry speakers would be fewer."""
    places = ("speaker_gaps", "speaker_columns", "speaker_rows", "speakers_between")
    return any(_count_of(change[name]) < _count_of(getattr(inputs, name)) for name in places if name in change)


def _count_of(numbers: object) -> int:
    return len(numbers) if isinstance(numbers, tuple) else 0


def _count(layout: RoomLayout, direction: Direction) -> int:
    arrangement, inputs = layout.arrangement, layout.inputs
    if direction is Direction.ACROSS:
        return len(arrangement.rows) or inputs.rows
    return len(arrangement.columns) or inputs.lights_per_row or 1


def _other_pins(inputs: RoomInputs, direction: Direction) -> tuple[Pin, ...]:
    return tuple(pin for pin in inputs.pins if pin.line is not LINE[direction])


def mirrored_again(numbers: tuple[int, ...], was: int, now: int) -> tuple[int, ...]:
    """Numbers of `was` places, kept as far from either end in `now` places; all of them stay all of them.

    The middle place goes where the new count has none.
    """
    if numbers and len(numbers) == was:
        return tuple(range(1, now + 1))
    near = [number for number in numbers if 2 * number < min(was, now) + 1]
    middle = [(now + 1) // 2] if was % 2 and now % 2 and (was + 1) // 2 in numbers else []
    return tuple(sorted({*near, *middle, *(now + 1 - number for number in near)}))
