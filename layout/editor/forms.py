"""What the plan editor's page sends: the ceiling's rows, and what a person holds. Lays nothing out, stores nothing."""

import re
from dataclasses import replace

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.editor.rows import Rows
from layout.engine.ceiling import Corner
from layout.engine.lengths import ZERO, LengthError, feet, inches
from layout.engine.marks import Kind, Side
from layout.engine.pins import Line, Moved, Pin
from layout.engine.shape.outline import OutlineError, outline_of
from layout.engine.shape.turns import Hand, Legs, Turn
from layout.engine.shape.walls import Wall, finished_corners, said, walk
from projects.ceilings.forms import ACROSS, CornerForm, GridForm, JoistForm, MemberForm, RegionForm, RowForm, ThingForm
from projects.ceilings.models import (
    MOST_CORNERS,
    MOST_MEMBERS,
    MOST_REGIONS,
    MOST_RUNS,
    MOST_THINGS,
    Framing,
    OutlineCorner,
    Region,
)
from projects.ceilings.values import Entered
from projects.platform.forms import LengthFormField, TapeForm

LINE_BOX = re.compile(r"(column|row)-([1-9]\d{0,2})")
MOVED_BOX = re.compile(r"moved-(light|speaker|subwoofer)-(\d{1,3})-([1-9]\d{0,2})-(along|across)")
MOST_HELD = 2000


class WallForm(RowForm):
    """One wall in the order they are walked, and the turn at its end."""

    length = LengthFormField(label=_("This wall is long"), low=inches("1/4"), high=feet(300))
    turn = forms.ChoiceField(
        label=_("At its end, turn"), choices=[("right", _("right")), ("left", _("left"))], initial="right"
    )
    over = LengthFormField(
        label=_("Not square: to the side"), required=False, allow_zero=True, help_text=_("Empty: a square corner.")
    )
    run = LengthFormField(label=_("for each, straight on"), required=False)

    def clean(self):
        data = super().clean()
        over, run = data.get("over"), data.get("run")
        if (over is None) != (run is None) and not self.errors:
            self.add_error("run" if run is None else "over", _("3 over 12 takes both numbers. Give this one too."))
        return data

    @property
    def wall(self):
        data = self.cleaned_data
        angle = Legs(data["over"], data["run"]) if data["run"] is not None else None
        return Wall(data["length"], Turn(Hand(data["turn"]), angle))


class PartForm(RegionForm):
    """A part of the ceiling at its own height, as a rectangle. Other shapes are entered by their corners elsewhere."""

    x = LengthFormField(label=_("From the left"), low=ACROSS[0], high=ACROSS[1], allow_zero=True)
    y = LengthFormField(label=_("From the door side"), low=ACROSS[0], high=ACROSS[1], allow_zero=True)
    wide = LengthFormField(label=_("Left to right"), high=ACROSS[1])
    deep = LengthFormField(label=_("Door to far"), high=ACROSS[1])

    BOX = ("x", "y", "wide", "deep")

    @property
    def values(self):
        return {name: value for name, value in super().values.items() if name not in self.BOX}

    @property
    def corners(self):
        x, y, wide, deep = (self.cleaned_data[name] for name in self.BOX)
        return ((x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep))

    @classmethod
    def start_from_corners(cls, region, corners):
        x, y = min(x for x, _ in corners), min(y for _, y in corners)
        box = {"x": x, "y": y, "wide": max(a for a, _ in corners) - x, "deep": max(b for _, b in corners) - y}
        return cls.start_from(region) | box


def is_box(corners):
    return len(corners) == 4 and len({x for x, _ in corners}) == 2 and len({y for _, y in corners}) == 2


class HeldForm(TapeForm):
    """The boxes of columns, rows and single marks. A filled one is held there, from the ceiling's zero corner."""

    symmetric = forms.BooleanField(
        label=_("The other side moves along"), required=False, initial=True,
        help_text=_("Held at one end, a column or row is held as far off the other end too."),
    )  # fmt: skip

    def __init__(self, data=None, **kwargs):
        super().__init__(data, **kwargs)
        self.tape = kwargs.get("tape")
        sent = [name for name in data or () if LINE_BOX.fullmatch(name) or MOVED_BOX.fullmatch(name)]
        self.add_boxes([*kwargs.get("initial", {}), *sent])

    def add_boxes(self, names):
        """Boxes that are not there yet; names that are none of theirs are left out."""
        for name in list(names)[:MOST_HELD]:
            if name not in self.fields and (LINE_BOX.fullmatch(name) or MOVED_BOX.fullmatch(name)):
                label = _held_label(name)
                self.fields[name] = LengthFormField(label=label, required=False, allow_zero=True, high=feet(300))
        self.settle_boxes(self.tape)

    def clean(self):
        data = super().clean()
        for name in list(data):
            found = MOVED_BOX.fullmatch(name)
            if found and data.get(name) is not None and data.get(_twin_box(name)) is None:
                missing = _twin_box(name) if _twin_box(name) in self.fields else name
                if missing not in self.errors:
                    self.add_error(missing, _("A mark is moved to two numbers: along and across. Give both."))
        return data

    @property
    def pins(self):
        for name, at in self.cleaned_data.items():
            if (found := LINE_BOX.fullmatch(name)) and at is not None:
                yield Pin(Line(found[1]), int(found[2]), at)

    @property
    def moved(self):
        for name, along in self.cleaned_data.items():
            found = MOVED_BOX.fullmatch(name)
            across = self.cleaned_data.get(_twin_box(name)) if found and found[4] == "along" else None
            if along is not None and across is not None:
                yield Moved(Kind(found[1]), int(found[2]), int(found[3]), along, across)


def _in_order(pin):
    return pin.line.value, pin.number


def _held_label(name):
    found = LINE_BOX.fullmatch(name)
    if found:
        return (_("Column %s") if found[1] == "column" else _("Row %s")) % found[2]
    return _("Moved mark")


def _twin_box(name):
    head, _dash, way = name.rpartition("-")
    return f"{head}-{'across' if way == 'along' else 'along'}"


def line_box(pin):
    return f"{pin.line.value}-{pin.number}"


def moved_box(one, way):
    return f"moved-{one.kind.value}-{one.row}-{one.number}-{way}"


def held_start(pins, moved):
    start = {line_box(pin): pin.at for pin in pins}
    for one in moved:
        start[moved_box(one, "along")], start[moved_box(one, "across")] = one.along, one.across
    return start


class PlanForm:
    """All the boxes of the editor's page. `adding`: the rows that get one more, when a button asked for it."""

    def __init__(self, entry: Entered, pins, moved, *, tape, walls, data=None, adding="", may_override=True):
        common = {"tape": tape}
        extra = {name: int(name == adding) for name in ("joist", "member", "thing", "corner", "wall", "part")}
        self.tape, self._entry, self._pins, self._moved = tape, entry, pins, moved
        self.held = HeldForm(data, initial=held_start(pins, moved), **common)
        self.grid = GridForm(data, initial=entry.columns, prefix="grid", **common)
        self.joists = Rows(
            JoistForm, "joist", data, map(JoistForm.start_from, entry.joists), most=MOST_RUNS,
            extra=extra["joist"], walls=walls, **common,
        )
        self.members = Rows(
            MemberForm, "member", data, map(MemberForm.start_from, entry.members), most=MOST_MEMBERS,
            extra=extra["member"], walls=walls, **common,
        )
        self.things = Rows(
            ThingForm, "thing", data, map(ThingForm.start_from, entry.things), most=MOST_THINGS,
            extra=extra["thing"], may_override=may_override, **common,
        )
        self.corners = Rows(
            CornerForm, "corner", data, map(CornerForm.start_from, entry.corners), most=MOST_CORNERS,
            extra=extra["corner"], **common,
        )
        self.walls = Rows(WallForm, "wall", data, (), most=MOST_CORNERS, extra=extra["wall"] and 4, **common)
        boxes = [PartForm.start_from_corners(*one) for one in entry.regions if is_box(one[1])]
        self.parts = Rows(PartForm, "part", data, boxes, most=MOST_REGIONS, extra=extra["part"], **common)
        self.toward = (data or {}).get("toward", Side.FAR.value)

    @property
    def rows(self):
        return (self.joists, self.members, self.things, self.corners, self.walls, self.parts)

    def is_valid(self):
        read = [self.held.is_valid(), self.grid.is_valid(), *(rows.is_valid() for rows in self.rows)]
        return all(read) and not self.outline_words

    @property
    def error_words(self):
        """What can't be read, a sentence each, with the box's own words before it."""
        each = [self.held, self.grid, *(row for rows in self.rows for row in rows.meant)]
        for form in each:
            if not form.is_valid():
                for name, errors in form.errors.items():
                    label = form.fields[name].label if name in form.fields else ""
                    yield from (f"{label}: {error}".removeprefix(": ") for error in errors)

    # The outline, from its corners or from walls just entered

    @property
    def walked(self):
        """The walls as walked, where at least three are entered; None otherwise."""
        walls = [row.wall for row in self.walls.good]
        if len(walls) < 3:
            return None
        try:
            toward = Side(self.toward)
        except ValueError:
            toward = Side.FAR
        return walk(walls, toward)

    @property
    def left_open(self):
        """The corners of walls that don't close, and where the last one ends."""
        walked = self.walked
        if walked is None or walked.closing is None:
            return ()
        first = walked.corners[0]
        return (*walked.corners, Corner(first.x + walked.closing.dx, first.y + walked.closing.dy))

    @property
    def closing_words(self):
        walked = self.walked
        if walked is None:
            return _("Enter at least three walls, in the order you walk along them.") if self.walls.good else ""
        return said(walked, self.tape) or _("The walls close.")

    @property
    def outline(self):
        """Corners, or none: the rectangle. Walls that close take the place of the corners that stand."""
        walked = self.walked
        if walked is not None and walked.closing is None and walked.turning is None:
            return finished_corners(walked)
        return tuple(Corner(row.cleaned_data["x"], row.cleaned_data["y"]) for row in self.corners.good)

    @property
    def outline_words(self):
        """Why the corners are no ceiling; empty where they are, or where there are none."""
        try:
            corners = self.outline
            if corners:
                outline_of(corners)
        except OutlineError as wrong:
            return wrong.said(self.tape)
        except LengthError as wrong:
            return str(wrong)
        walked = self.walked
        if walked is not None and (walked.closing or walked.turning):
            return said(walked, self.tape)
        return ""

    # What was read

    @property
    def entered(self) -> Entered:
        """As typed; what can't be read is left as it stands, or left out where it is a row."""
        if not self.held.is_bound:
            return self._entry
        joists = tuple(row.record for row in self.joists.good)
        members = tuple(row.record for row in self.members.good)
        columns = self._entry.columns | (self.grid.values if self.grid.is_valid() else {})
        if (joists or members) and not columns.get("framing"):
            columns["framing"] = Framing.FOUND.value
        others = tuple(one for one in self._entry.regions if not is_box(one[1]))
        corners = () if self.outline_words else self.outline
        return replace(
            self._entry,
            columns=columns,
            joists=joists,
            members=members,
            things=tuple(row.record for row in self.things.good),
            corners=tuple(OutlineCorner(x=corner.x.exact(), y=corner.y.exact()) for corner in corners),
            regions=(*others, *((Region(**row.values), row.corners) for row in self.parts.good)),
        )

    # What is held: what can be read of it, whatever else can't

    @property
    def pins(self):
        if not self.held.is_bound:
            return self._pins
        self.held.is_valid()  # whatever is wrong, what is right can be read after it
        return tuple(sorted(self.held.pins, key=_in_order))

    @property
    def moved(self):
        if not self.held.is_bound:
            return self._moved
        self.held.is_valid()  # whatever is wrong, what is right can be read after it
        return tuple(self.held.moved)

    @property
    def symmetric(self):
        return self.held.is_bound and bool(self.held.cleaned_data.get("symmetric"))


def with_twins(pins, columns, rows, along, across):
    """What is held at one end, held as far off the other end too. columns, rows: how many there are.

    along, across: the ceiling's sizes, whole tape marks. A twin that has a number of its own keeps it.
    """
    held = {(pin.line, pin.number): pin for pin in pins}
    for pin in pins:
        count, size = (columns, along) if pin.line is Line.COLUMN else (rows, across)
        twin = count + 1 - pin.number
        if 1 <= twin != pin.number and size - pin.at >= ZERO:
            held.setdefault((pin.line, twin), Pin(pin.line, twin, (size - pin.at).exact()))
    return tuple(sorted(held.values(), key=_in_order))
