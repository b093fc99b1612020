"""The way through a room, mark after mark, for the person on the floor: numbers as they are pulled and read aloud.

Values for a page; nothing is asked of anyone on a ladder.
"""

import re
from dataclasses import dataclass
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.as_built.models import Step
from layout.as_built.words import off_in_words
from layout.drawing.values import last_to_wall
from layout.engine.marks import Kind
from layout.plans import insets, sides_of, wall_from_zero

PART = re.compile(r"(?:(\d+)'-?)?(?:(\d+))?(?: ?(\d+)/(\d+))?(\"| mm)?")


@dataclass(frozen=True, slots=True)
class Stop:
    """One mark on the way. along, across: from the card's face, as printed. aloud: the same, to be spoken."""

    ident: str
    what: str
    kind: Kind
    along: str
    across: str
    aloud: str
    version: int  # of what is entered at this step; 0 for nothing
    done: bool
    astray: str = ""  # how far from where it goes it was set, in words
    moved: str = ""  # how far it goes off the card's own place
    waits: bool = False  # a move of it waits for a yes
    stop: str = ""  # why it must not be cut


@dataclass(frozen=True, slots=True)
class Row:
    """The marks of one row in walking order. last: from its last mark to the wall, as printed."""

    number: int
    stops: tuple[Stop, ...]
    last: str
    to_wall: str

    @property
    def idents(self):
        return " ".join(stop.ident for stop in self.stops)

    @property
    def done(self):
        return all(stop.done for stop in self.stops)


def rows_of(now, layout, room, tape, datum, step, stopped=()) -> list[Row]:
    """Row after row, every second one backward, so that nobody walks back. stopped: (ident, why not to cut)."""
    inset = [insets(result, datum)[0] for result in (layout.along, layout.across)]
    waits = {move.ident for move in now.waits}
    why_not = dict(stopped)
    order = sorted(now.marks, key=lambda one: (one.mark.row, one.place[0].nm))
    wall, end = wall_from_zero(layout.along, datum), sides_of(layout.along, layout.inputs.orientation)[1]
    rows = []
    for number, found in groupby(order, key=lambda one: one.mark.row):
        marks = list(found)
        last = last_to_wall(wall, marks[-1].place[0] + inset[0], tape)
        walked = marks if len(rows) % 2 == 0 else marks[::-1]
        stops = tuple(_stop(one, inset, tape, step, waits, why_not) for one in walked)
        rows.append(Row(number, stops, last, room.wall_name(end)))
    return rows


def _stop(one, inset, tape, step, waits, why_not):
    along, across = (tape.show(at + by, mark=False) for at, by in zip(one.place, inset, strict=True))
    entered = one.steps.get(step)
    done = one.stands(step)
    astray = ""
    if entered is not None and not done:
        astray = off_in_words([at - to for at, to in zip(entered.place, one.place, strict=True)], tape)
    had = one.mark.along, one.mark.across
    moved = off_in_words([at - to for at, to in zip(one.place, had, strict=True)], tape) if one.move else ""
    return Stop(
        one.ident,
        one.mark.fixture_type.name,
        Kind(one.mark.kind),
        along,
        across,
        aloud(one.ident, along, across),
        entered.version if entered else 0,
        done,
        astray,
        moved,
        one.ident in waits,
        why_not.get(one.ident, "") if step == Step.CUT else "",
    )


def aloud(ident, along, across) -> str:
    """A1: along 11 feet 6 and a half, across 30 and 3 sixteenths."""
    return _("%(mark)s. Along: %(along)s. Across: %(across)s.") % {
        "mark": " ".join(ident), "along": spoken(along), "across": spoken(across),
    }  # fmt: skip


def spoken(text) -> str:
    """A printed length as one says it: 3'-6 1/2" is 3 feet 6 and a half."""
    feet, whole, part, of, _mark = PART.fullmatch(text.strip()).groups()
    said = []
    if feet:
        said.append(ngettext("%s foot", "%s feet", int(feet)) % feet)
    if whole and (whole != "0" or not (feet or part)):
        said.append(whole)
    if part:
        fraction = _fraction(int(part), int(of))
        said.append(_("and %s") % fraction if said else fraction)
    return " ".join(said)


def _fraction(part, of):
    if of == 2:
        return _("a half")
    words = {
        4: ngettext("%s quarter", "%s quarters", part),
        8: ngettext("%s eighth", "%s eighths", part),
        16: ngettext("%s sixteenth", "%s sixteenths", part),
        32: ngettext("%s thirty-second", "%s thirty-seconds", part),
        64: ngettext("%s sixty-fourth", "%s sixty-fourths", part),
    }
    return words[of] % part


