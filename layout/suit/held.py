"""Lines a person may hold where something asks for them: what would change, how it comes out, and its drawing.

Writes nothing: layout.offers.taking takes what is offered here, and puts it back.
"""

from dataclasses import replace

from layout.engine.findings import say
from layout.engine.lengths import LengthError
from layout.engine.pins import Line, Pin
from layout.engine.room import AxisResult, RoomInputs, RoomLayout, lay_out
from layout.offers.taking import key_of
from layout.offers.ways import Offer, small_plan


def result_of(layout: RoomLayout, line: Line) -> AxisResult:
    """The axis a line's place is on: rows stand across, columns along."""
    return layout.across if line is Line.ROW else layout.along


def lines_of(layout: RoomLayout, line: Line) -> tuple:
    """(number, place) of each row or column, from the ceiling's edge at the zero corner.

    In a ceiling of parts, the largest part's, numbered as the whole room's rows are.
    """
    rows = line is Line.ROW
    before = layout.zones[0].rows_before if layout.zones and rows else 0
    places = layout.arrangement.rows if rows else layout.arrangement.columns
    return tuple(enumerate(places, before + 1))


def with_pins(inputs: RoomInputs, pins: tuple[Pin, ...]) -> tuple[Pin, ...]:
    """What is held already, and these in the place of what holds the same line."""
    taken = {(pin.line, pin.number) for pin in pins}
    return (*(pin for pin in inputs.pins if (pin.line, pin.number) not in taken), *pins)


def offer(layout: RoomLayout, change, room, *, kind, title, words, lines=(), drawn=True) -> Offer:
    """Raises LengthError where the room can't be laid out with the change."""
    tape = room.job.tape
    changed = lay_out(replace(layout.inputs, **change), layout)
    return Offer(
        key=key_of(change),
        kind=kind,
        title=title,
        words=words,
        change=change,
        lines=tuple(lines),
        still=tuple(say(finding, tape) for finding in changed.arrangement.findings),
        svg=small_plan(changed, room, tape, key=kind.replace("_", "-")) if drawn else "",
    )


def offers(layout: RoomLayout, room, wanted, *, drawn=True):
    """Those of `wanted` (arguments of offer) that can be laid out, and the words of those that can't."""
    found, refused = [], []
    for one in wanted:
        try:
            found.append(offer(layout, room=room, drawn=drawn, **one))
        except LengthError as why:
            refused.append(f"{one['title']}: {why}")
    return tuple(found), tuple(refused)
