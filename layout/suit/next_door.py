"""Lines of the room next door that can be seen through an opening, held in this room. Writes nothing.

Both rooms are measured along the wall they share, from its end at this room's zero corner, on the finished wall.
"""

from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from layout.engine.lengths import LengthError
from layout.engine.marks import Axis, Orientation, Side
from layout.engine.pins import Line
from layout.engine.room import RoomLayout, lay_out
from layout.engine.zones.lines import Opening, OwnRows, rows_through
from layout.offers.ways import Offer
from layout.suit.held import lines_of, offers, result_of

# The end of each wall that comes first when one goes round the room with it on the right hand: door wall left to right.
FIRST_END = {Side.DOOR: Side.LEFT, Side.RIGHT: Side.DOOR, Side.FAR: Side.RIGHT, Side.LEFT: Side.FAR}


@dataclass(frozen=True, slots=True)
class NextDoorPage:
    """seen: their lines as they stand on the common wall line. notes: what they were worked out from."""

    seen: tuple[str, ...]
    notes: tuple[str, ...]
    offers: tuple[Offer, ...] = ()
    refused: tuple[str, ...] = ()


def next_door_page(room, layout: RoomLayout, neighbor, theirs: RoomLayout, asked, *, drawn=True) -> NextDoorPage:
    """asked: a NextDoorForm's cleaned boxes. Raises LengthError."""
    tape, side, their_side = room.job.tape, Side(asked["wall"]), Side(asked["their_wall"])
    own_line, their_line = lines_through(layout, side), lines_through(theirs, their_side)
    opening = Opening(asked["from_corner"], asked["from_corner"] + asked["wide"])
    places = on_the_wall_line(layout, theirs, asked)
    seen = tuple(at for at in places if opening.start <= at <= opening.end)
    notes = tuple(_notes(room, layout, neighbor, theirs))
    if not seen:
        words = _("None of its lines passes the opening: they would stand at %s along the wall.")
        return NextDoorPage((words % (", ".join(map(tape.show, places)) or "-"),), notes)
    axis = result_of(layout, own_line)
    free = _without(layout, own_line)
    own = OwnRows(
        axis.datums.start_gap, axis.laid_out, tuple(at for _n, at in lines_of(free, own_line)), layout.inputs.unit
    )
    before = lines_of(free, own_line)[0][0] - 1 if lines_of(free, own_line) else 0
    pins = tuple(
        replace(pin, line=own_line, number=pin.number + before) for pin in rows_through(places, opening, own)
    )
    said = _("%(lines)s of %(room)s pass the opening, at %(at)s along the wall.") % {
        "lines": _("Rows") if their_line is Line.ROW else _("Columns"),
        "room": neighbor.name,
        "at": ", ".join(tape.show(at) for at in seen),
    }
    if not pins:
        return NextDoorPage((said, _("None of them comes out over this ceiling.")), notes)
    kept = tuple(pin for pin in layout.inputs.pins if pin.line is not own_line)
    wanted = {
        "change": {"pins": (*kept, *pins)},
        "kind": "next_door",
        "title": _("Hold these lines"),
        "words": _held_said(pins, tape),
    }
    found, refused = offers(layout, room, (wanted,), drawn=drawn)
    return NextDoorPage((said,), notes, found, refused)


def _held_said(pins, tape):
    words = {Line.ROW: _("row %(n)s at %(at)s"), Line.COLUMN: _("column %(n)s at %(at)s")}
    told = "; ".join(words[pin.line] % {"n": pin.number, "at": tape.show(pin.at)} for pin in pins)
    return _("Held: %s, from the ceiling's edge.") % told


def _without(layout, line):
    """The lines where they would stand if nobody held them."""
    others = tuple(pin for pin in layout.inputs.pins if pin.line is not line)
    return layout if others == layout.inputs.pins else lay_out(replace(layout.inputs, pins=others), layout)


def lines_through(layout: RoomLayout, side: Side) -> Line:
    """Which of a room's lines run at a wall, square to it, so that they pass an opening in it."""
    return Line.ROW if _along(side) is not layout.inputs.orientation.rows_run else Line.COLUMN


def on_the_wall_line(layout, theirs, asked):
    """Where the neighbor's lines stand along the common wall line, ascending."""
    side, their_side = Side(asked["wall"]), Side(asked["their_wall"])
    line = lines_through(theirs, their_side)
    gap = result_of(theirs, line).datums.start_gap
    from_jamb = [at + gap - asked["their_corner"] for _number, at in lines_of(theirs, line)]
    if not same_way(layout.inputs.orientation, side, theirs.inputs.orientation, their_side):
        from_jamb = [-at for at in from_jamb]
    return tuple(sorted((asked["from_corner"] + at for at in from_jamb), key=lambda one: one.nm))


def same_way(own: Orientation, side: Side, other: Orientation, their_side: Side) -> bool:
    """Whether two rooms back to back count along their common wall the same way.

    Each goes round its own room, so along the wall between them they go opposite ways.
    """
    forward = own.zero_side(_along(side)) is FIRST_END[side]
    theirs = other.zero_side(_along(their_side)) is FIRST_END[their_side]
    return forward is not theirs


def _along(side: Side) -> Axis:
    return Axis.LEFT_RIGHT if side in (Side.DOOR, Side.FAR) else Axis.DOOR_FAR


def _notes(room, layout, neighbor, theirs):
    for one, found in ((room, layout), (neighbor, theirs)):
        if not (found.along.measured and found.across.measured):
            yield _("%s: its finished ceiling was not taped, so this is worked out from the framing.") % one.name
        if found.zones:
            yield _("%s is laid out in parts: the lines of the largest part are used.") % one.name


class RoomNotReady(LengthError):
    """One of the two rooms can't be laid out. The message names it, and what is missing."""

    def __init__(self, room, why):
        super().__init__(_("%(room)s can't be laid out yet. %(why)s") % {"room": room.name, "why": why})
