"""What a draft does when its room is copied or turned: its numbers go along, and stay on their holes."""

from dataclasses import dataclass, replace

from django.db import models, transaction

from layout.engine.lengths import Distance, LengthError
from layout.engine.marks import Axis
from layout.engine.pins import Line, Pin
from layout.engine.room import axis_result, lay_out
from layout.inputs import NotLaidOutYet, inputs_of, numbers, orientation_of
from layout.kept import AXES, Numbers, numbers_of, write_rows
from layout.models import Draft
from layout.services import ROWS


@transaction.atomic
def copy_draft(room, copy):
    """Registered with projects.jobs: a copied room keeps its layout chosen."""
    draft = Draft.objects.of(room.shop_id).filter(room=room).prefetch_related(*ROWS).first()
    if draft is None:
        return
    chosen = numbers_of(draft)
    twin = Draft(room=copy, shop_id=copy.shop_id, **chosen.changes)
    twin.save()
    write_rows(twin, chosen)


@dataclass(frozen=True, slots=True)
class _Turn:
    """One axis of the ceiling before and after: whether its zero side changed, and its size where that is known."""

    axis: Axis
    flipped: bool
    ceiling: Distance | None

    def moved(self, at: Distance) -> Distance | None:
        """Where a hole is from the new zero side. None: the size is not known."""
        if not self.flipped:
            return at
        return None if self.ceiling is None else self.ceiling - at


@transaction.atomic
def turn_draft(before, after):
    """Registered with projects.jobs: when the zero corner or the rows are turned, held numbers stay on their holes.

    before, after: the room as it was and as it is stored. A side that can't be worked out keeps its locked numbers; a
    pin or a moved mark that can't be followed is let go.
    """
    draft = Draft.objects.of(after.shop_id).filter(room=after).prefetch_related(*ROWS).first()
    if draft is None:
        return
    chosen = numbers_of(draft)
    speakers = draft.speaker_rows or draft.speakers_between
    if not (any(chosen.typed.values()) or chosen.pins or chosen.moved or speakers):
        return
    was, now = orientation_of(before), orientation_of(after)
    turns = {}
    for name, axis in (("along", was.rows_run), ("across", was.rows_run.other)):
        turns[name] = _Turn(axis, was.zero_side(axis) is not now.zero_side(axis), _ceiling(before, draft, axis))
    swapped, lines = was.rows_run is not now.rows_run, _lines(before, draft)
    turned = Numbers(
        {},
        _turned_typed(chosen, turns, swapped),
        tuple(_turned_pins(chosen, turns, swapped, lines)),
        () if swapped else tuple(_turned_moved(chosen, turns, before, draft)),
        chosen.zones,
    )
    write_rows(draft, turned)
    counted = _turned_speakers(draft, lines[Line.ROW]) if turns["across"].flipped and not swapped else {}
    Draft.objects.of(after.shop_id).filter(pk=draft.pk).update(version=models.F("version") + 1, **counted)


def _ceiling(room, draft, axis):
    try:
        return axis_result(inputs_of(room, draft), axis).datums.ceiling
    except (LengthError, NotLaidOutYet):
        return None


def _layout(room, draft):
    try:
        return lay_out(inputs_of(room, draft))
    except (LengthError, NotLaidOutYet):
        return None


def _lines(room, draft):
    """How many columns and rows there are; as asked for where nothing can be laid out."""
    layout = _layout(room, draft)
    if layout is None:
        return {Line.COLUMN: draft.lights_per_row or 0, Line.ROW: draft.rows}
    return {Line.COLUMN: len(layout.arrangement.columns), Line.ROW: len(layout.arrangement.rows)}


def _turned_typed(chosen, turns, swapped):
    turned = {}
    for name in AXES:
        positions = [turns[name].moved(at) for at in chosen.typed[name]]
        kept = chosen.typed[name] if None in positions else tuple(at.exact() for at in positions)
        turned[_other(name) if swapped else name] = kept
    return turned


def _other(name):
    return AXES[1 - AXES.index(name)]


def _turned_speakers(draft, rows):
    """Rows are counted from the zero corner: row 1 of three is row 3 from the other side."""
    if not rows:
        return {}
    return {
        "speaker_rows": _counted(rows + 1 - row for row in numbers(draft.speaker_rows)),
        "speakers_between": _counted(rows - row for row in numbers(draft.speakers_between)),
    }


def _counted(places):
    return ",".join(str(place) for place in sorted(places) if place >= 1)


def _turned_pins(chosen, turns, swapped, lines):
    """A pinned column is a pinned row once the rows run the other way."""
    for pin in chosen.pins:
        turn = turns["along" if pin.line is Line.COLUMN else "across"]
        at = turn.moved(pin.at)
        number = lines[pin.line] + 1 - pin.number if turn.flipped else pin.number
        if at is None or number < 1:
            continue
        line = {Line.COLUMN: Line.ROW, Line.ROW: Line.COLUMN}[pin.line] if swapped else pin.line
        yield Pin(line, number, at.exact())


def _turned_moved(chosen, turns, before, draft):
    """Rows and the marks in them are counted from the zero corner: turned, they are counted from the other end."""
    layout = _layout(before, draft)
    marks = layout.arrangement.marks if layout else ()
    for one in chosen.moved:
        row = max((mark.row for mark in marks), default=0) + 1 - one.row if turns["across"].flipped else one.row
        in_row = sum(mark.kind is one.kind and mark.row == one.row for mark in marks)
        number = in_row + 1 - one.number if turns["along"].flipped else one.number
        along, across = turns["along"].moved(one.along), turns["across"].moved(one.across)
        if along is None or across is None or row < 1 or number < 1:
            continue
        yield replace(one, row=row, number=number, along=along.exact(), across=across.exact())


