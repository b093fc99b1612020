"""What a draft does when its room is copied or turned: its numbers go along, and stay on their holes."""

from dataclasses import dataclass, replace

from django.db import models, transaction

from layout.engine.lengths import Distance, LengthError
from layout.engine.marks import Axis, Kind
from layout.engine.pins import Line, Pin
from layout.engine.room import axis_result, lay_out
from layout.engine.switching import places, said
from layout.inputs import NotLaidOutYet, inputs_of, numbers, orientation_of
from layout.kept import AXES, Numbers, numbers_of, write_rows, write_switched
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
    pin or a moved mark that can't be followed is let go. Each light keeps the switch of the light that hung nearest.
    """
    draft = Draft.objects.of(after.shop_id).filter(room=after).prefetch_related(*ROWS).first()
    if draft is None:
        return
    chosen = numbers_of(draft)
    speakers = draft.speaker_rows or draft.speakers_between
    if not (any(chosen.typed.values()) or chosen.pins or chosen.moved or speakers or chosen.switched):
        return
    was, now = orientation_of(before), orientation_of(after)
    turns = {}
    for name, axis in (("along", was.rows_run), ("across", was.rows_run.other)):
        turns[name] = _Turn(axis, was.zero_side(axis) is not now.zero_side(axis), _ceiling(before, draft, axis))
    swapped, lines = was.rows_run is not now.rows_run, _lines(before, draft)
    layout = _layout(before, draft)
    rows = _rows(layout, _layout(after, draft), lines[Line.ROW])
    turned = Numbers(
        {},
        _turned_typed(chosen, turns, swapped),
        tuple(_turned_pins(chosen, turns, swapped, lines, rows)),
        () if swapped else tuple(_turned_moved(chosen, turns, layout, rows)),
        chosen.zones,
    )
    write_rows(draft, turned)
    counted = _turned_speakers(draft, lines[Line.ROW]) if turns["across"].flipped and not swapped else {}
    Draft.objects.of(after.shop_id).filter(pk=draft.pk).update(version=models.F("version") + 1, **counted)
    if chosen.switched and layout is not None:
        _switch_alike(layout, after)


def _switch_alike(before, room):
    """The lights as they hang now on the switches of the lights that hung there; before: the layout as it was."""
    draft = Draft.objects.of(room.shop_id).filter(room=room).prefetch_related(*ROWS).get()
    draft.switched = tuple  # nothing said: each on its ceiling's own
    now = _layout(room, draft)
    if now is None:
        return
    was = [(_on_plan(mark, before), mark.zone) for mark in places(before.arrangement.marks).values()]
    letters = {}
    for place, mark in places(now.arrangement.marks).items():
        x, y = _on_plan(mark, now)
        letters[place] = min(was, key=lambda one: (one[0][0] - x) ** 2 + (one[0][1] - y) ** 2)[1]
    write_switched(draft, said(now.arrangement.marks, letters))
    Draft.objects.of(room.shop_id).filter(pk=draft.pk).update(switched_before="")


def _on_plan(mark, layout):
    """From the left and the door side, whole nanometers."""
    sizes = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    x, y = layout.inputs.orientation.plan_xy(mark.along, mark.across, *sizes)
    return int(x.nm), int(y.nm)


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


def _turned_pins(chosen, turns, swapped, lines, rows):
    """A pinned column is a pinned row once the rows run the other way; only the largest part's columns are pinned."""
    for pin in chosen.pins:
        on_row = pin.line is Line.ROW
        turn = turns["across" if on_row else "along"]
        at = turn.moved(pin.at)
        number = rows.turned(pin.number, turn.flipped) if on_row else _counted_back(pin, lines, turn)
        in_a_wing = on_row and pin.number > lines[Line.ROW]
        if at is None or number is None or number < 1 or (swapped and in_a_wing):
            continue
        line = {Line.COLUMN: Line.ROW, Line.ROW: Line.COLUMN}[pin.line] if swapped else pin.line
        yield Pin(line, number, at.exact())


def _counted_back(pin, lines, turn):
    return lines[pin.line] + 1 - pin.number if turn.flipped else pin.number


@dataclass(frozen=True, slots=True)
class _Rows:
    """The rows of each part of a ceiling, which are counted on over the whole room from part to part.

    parts: how many rows of other parts came before, how many come now, and how many it has.
    """

    parts: tuple[tuple[int, int, int], ...]

    def turned(self, number, flipped):
        """A row's number after the turn; None where there is no such row."""
        for before, now, count in self.parts:
            if before < number <= before + count:
                return now + (count + 1 - (number - before) if flipped else number - before)
        return None


def _rows(was, now, count):
    """Parts of one size are counted from the zero corner, so that a turn may change their order."""
    if was is None or not was.zones:
        return _Rows(((0, 0, count),))
    counts = {one.zone.box: len(one.rows) for one in was.zones}
    order = [one.zone.box for one in now.zones] if now else list(counts)
    if set(order) != set(counts):
        order = list(counts)
    before = {box: sum(counts[each] for each in order[: order.index(box)]) for box in order}
    return _Rows(tuple((one.rows_before, before[one.zone.box], len(one.rows)) for one in was.zones))


def _turned_moved(chosen, turns, layout, rows):
    """Rows and the marks in them are counted from the zero corner: turned, they are counted from the other end."""
    for one in chosen.moved:
        found = _counted_anew(one, layout, turns, rows) if layout else None
        along, across = turns["along"].moved(one.along), turns["across"].moved(one.across)
        if found is not None and along is not None and across is not None:
            row, number = found
            yield replace(one, row=row, number=number, along=along.exact(), across=across.exact())


def _counted_anew(one, layout, turns, rows):
    """The row and the number a moved mark has after the turn; None where there is no such mark."""
    marks = layout.arrangement.marks
    theirs = [mark for mark in marks if (mark.kind, mark.row) == (one.kind, one.row)]
    row = rows.turned(one.row, turns["across"].flipped)
    if row is None or not 1 <= one.number <= len(theirs):
        return None
    if one.kind is Kind.SUBWOOFER:  # it has no twin: it stands after the same row from either side
        return one.row, one.number
    line = _line_of(theirs[one.number - 1])
    beside = [mark for mark in theirs if _line_of(mark) == line]
    at = beside.index(theirs[one.number - 1])
    at = len(beside) - at if turns["along"].flipped else at + 1
    on_rows = {at for zone in layout.zones for at in zone.rows} or set(layout.arrangement.rows)
    if line in on_rows:
        return row, at
    # A line of speakers midway to the next row counts with the row before it, after that row's own.
    if turns["across"].flipped:
        row, theirs = row - 1, [mark for mark in marks if (mark.kind, mark.row) == (one.kind, one.row + 1)]
    return row, sum(_line_of(mark) in on_rows for mark in theirs) + at


def _line_of(mark):
    """Where its line runs, whether or not a person moved it off."""
    return mark.moved_from[1] if mark.moved_from else mark.across
