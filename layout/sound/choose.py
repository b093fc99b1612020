"""The page where looks and angle disagree: what keeping the pattern and meeting the angle cost each other.

One speaker is looked at, all are listed. The choice is a person's; taking one moves that mark alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import dist
from string import ascii_uppercase

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.drawing.picture import Picture, Table
from layout.engine.lengths import LengthError, meters
from layout.engine.marks import Kind
from layout.engine.pins import Moved
from layout.engine.room import lay_out
from layout.engine.rows.arrange import say
from layout.engine.sound import disagree
from layout.engine.sound.values import SoundError
from layout.sound import missing
from layout.sound.angles import listening_of
from layout.sound.moves import STEP_M, fits_of, in_steps, landed
from layout.sound.pictures.choices import Way, choices_picture
from layout.sound.pictures.values import length
from layout.sound.places import place_at, place_of
from layout.sound.words import move_in_words, off, refusal

TITLES = {
    disagree.Kind.KEEP: gettext_lazy("Keep the pattern"),
    disagree.Kind.OTHER: gettext_lazy("Another place of the pattern"),
    disagree.Kind.IN_LINE: gettext_lazy("Off its place, in line with the lights"),
    disagree.Kind.COMPROMISE: gettext_lazy("Part of the way"),
    disagree.Kind.MEET: gettext_lazy("Meet the angle"),
}
TICK_STEPS = (1, 2, 4, 6, 12, 24, 48, 96, 240)  # half inches or centimeters
THERE_M = 0.002  # nearer than this a mark needn't be moved
MOST_WEIGHED = 32  # speakers; the largest layout of ITU-R BS.2051 has 24 channels


@dataclass(frozen=True, slots=True)
class Choice:
    """One way. at: along and across, as a mark is moved there, on the tape's marks. here: it stands there now."""

    kind: str
    letter: str  # of its point in the picture
    title: str
    off_pattern: str
    off_angle: str
    move: str
    at: tuple
    here: bool
    found: tuple[str, ...] = ()  # what the room says of this mark then


@dataclass(frozen=True, slots=True)
class Row:
    """One speaker in the list."""

    mark: str
    channel: str
    off_kept: str
    off_met: str
    away: str


@dataclass(frozen=True, slots=True)
class ChoosePage:
    missing: tuple[missing.Missing, ...] = ()
    notes: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    mark: str = ""
    channel: str = ""
    choices: tuple[Choice, ...] = ()
    picture: Picture | None = None
    azimuth_only: bool = False
    costs: object = None

    def choice(self, kind):
        return next((one for one in self.choices if one.kind == kind), None)


def choose_page(heard, asked="") -> ChoosePage:
    """asked: the mark to look at; nothing, or one that isn't there: the one that is furthest off."""
    found, lacking, notes = listening_of(heard)
    if found is None or not found.speakers:
        return ChoosePage(lacking, notes)
    if len(found.speakers) > MOST_WEIGHED:
        return ChoosePage((_too_many(len(found.speakers)),), notes)
    pattern = pattern_of(heard.layout)
    try:
        all_costs = {one.id: _costs(one, found, pattern, heard) for one in found.speakers}
    except SoundError as refused:
        cannot = missing.Missing(_("What each choice gives up can't be told."), refusal(refused, heard.tape))
        return ChoosePage((cannot,), notes)
    rows = tuple(_row(one, all_costs[one.id], heard) for one in found.speakers)
    worst = max(found.speakers, key=lambda one: all_costs[one.id].keep.off_deg)
    speaker = next((one for one in found.speakers if one.id == asked), worst)
    costs = all_costs[speaker.id]
    return ChoosePage(
        (), notes, rows, speaker.id, speaker.channel, tuple(_choices(heard, speaker, costs)),
        _picture(heard, speaker, costs), costs.azimuth_only, costs,
    )  # fmt: skip


def _too_many(count):
    said = _(
        "%(count)s speakers have a channel, and %(most)s at most are weighed. Leave those without one that only fill"
        " the room."
    ) % {"count": count, "most": MOST_WEIGHED}
    return missing.Missing(_("What each choice gives up can't be told."), said)


def pattern_of(layout):
    """Places that read as one with the lights, from the left and the door wall in meters: in a row midway between two
    lights, midway between two rows on a column's line or between columns, and where each speaker was laid out.
    """
    rows: dict[int, list] = {}
    for mark in layout.arrangement.marks:
        if mark.kind is Kind.LIGHT:
            rows.setdefault(mark.row, []).append(mark)
    found = []
    lines = [sorted(row, key=lambda mark: mark.along) for _number, row in sorted(rows.items())]
    for row in lines:
        found += [_middle(one, two, layout) for one, two in pairwise(row)]
    for one, two in pairwise(lines):
        if len(one) == len(two):
            pairs = list(zip(one, two, strict=True))
            found += [_middle(near, far, layout) for near, far in pairs]
            found += [_middle(near, far, layout) for (near, _f), (_n, far) in pairwise(pairs)]
    for mark in layout.arrangement.marks:
        if mark.kind is not Kind.LIGHT:
            x, y = place_at(*(mark.moved_from or (mark.along, mark.across)), layout)
            found.append((meters(x), meters(y)))
    return tuple(dict.fromkeys(found))[: disagree.MOST_PLACES]


def _middle(one, two, layout):
    (x1, y1), (x2, y2) = place_of(one, layout), place_of(two, layout)
    return (meters(x1) + meters(x2)) / 2, (meters(y1) + meters(y2)) / 2


def _costs(speaker, found, pattern, heard):
    """As the engine weighs them; what meets the range does so in steps a tape is read in."""
    channel = found.system.channel(speaker.channel)
    taken = [(one.x_m, one.y_m) for one in heard.speakers if one.id != speaker.id]
    free = [place for place in pattern if all(dist(place, other) > THERE_M for other in taken)]
    costs = disagree.costs(
        (speaker.x, speaker.y), speaker.z, channel, found.seats[:1], found.screen, free, leeway_deg=found.leeway_deg,
        outline=found.outline,
    )  # fmt: skip
    fits = fits_of(found, speaker, channel, height=not costs.azimuth_only, seats=found.seats[:1])

    def stepped(one, along=(True, True)):
        if one is None or one.off_deg > 0 or one.off_pattern_m == 0 or one.at == (speaker.x, speaker.y):
            return one
        at = in_steps((speaker.x, speaker.y), one.at, heard, fits, along=along)
        return replace(one, at=at, off_pattern_m=min(dist(at, place) for place in free))

    line, home = costs.in_line, costs.keep.at
    along = (True, True) if line is None else tuple(abs(line.at[axis] - home[axis]) > THERE_M for axis in (0, 1))
    return replace(costs, in_line=stepped(line, along), meet=stepped(costs.meet))


def _row(speaker, costs, heard):
    best = costs.meet or costs.keep
    return Row(
        speaker.id, speaker.channel, off(costs.keep.off_deg), off(best.off_deg),
        length(best.off_pattern_m, heard.tape),
    )  # fmt: skip


def _choices(heard, speaker, costs):
    tape = heard.tape
    for letter, one in zip(ascii_uppercase, costs.all, strict=False):
        at, place = landed(one.at, heard)
        by = (one.at[0] - speaker.x, one.at[1] - speaker.y)
        here = max(abs(place[0] - speaker.x), abs(place[1] - speaker.y)) < THERE_M
        yield Choice(
            one.kind.value.replace(" ", "_"),
            letter,
            str(TITLES[one.kind]),
            length(one.off_pattern_m, tape),
            off(one.off_deg),
            _("It stands there now.") if here else move_in_words(speaker.id, by, tape),
            at,
            here,
            () if here else tuple(_found(heard, speaker.id, at)),
        )


def _found(heard, ident, at):
    """What the layout's checks say of this mark once it stands there."""
    try:
        layout = lay_out(replace(heard.layout.inputs, moved=moved_to(heard, ident, at)), heard.layout)
    except LengthError as refused:
        yield str(refused)
        return
    for finding in layout.arrangement.findings:
        if ident in finding.subject.split(", "):
            yield say(finding, heard.tape)


def moved_to(heard, ident, at) -> tuple[Moved, ...]:
    """The draft's moved marks with this one there; back on its lines it is moved no more."""
    marks = heard.layout.arrangement.marks
    mark = next(one for one in marks if one.id == ident)
    row = [one for one in marks if (one.kind, one.row) == (mark.kind, mark.row)]
    number = row.index(mark) + 1
    others = tuple(
        one
        for one in heard.layout.inputs.moved
        if (one.kind, one.row, one.number) != (mark.kind, mark.row, number)
    )
    home = mark.moved_from or (mark.along, mark.across)
    if tuple(map(heard.tape.rounded, home)) == at:
        return others
    return (*others, Moved(mark.kind, mark.row, number, *at))


def _picture(heard, speaker, costs):
    tape = heard.tape
    title = _("Degrees off against distance off the pattern, %(mark)s %(channel)s") % {
        "mark": speaker.id, "channel": speaker.channel,
    }  # fmt: skip
    lettered = list(zip(ascii_uppercase, costs.all, strict=False))
    ways = [Way(letter, one.off_pattern_m, one.off_deg) for letter, one in lettered]
    heads = (_("Choice"), _("off the pattern"), _("off its range"))
    rows = tuple(
        (f"{letter} {TITLES[one.kind]}", length(one.off_pattern_m, tape), off(one.off_deg)) for letter, one in lettered
    )
    words = _("Down is nearer the angle, left is nearer the pattern. The line is the straight way between both.")
    return choices_picture(
        ways, [(one.off_pattern_m, one.off_deg) for one in costs.curve], Table(title, heads, rows),
        key="choices", title=title, words_for=words, axis=lambda off_m: length(off_m, tape),
        ticks_m=[STEP_M[tape.unit] * steps for steps in TICK_STEPS],
    )  # fmt: skip
