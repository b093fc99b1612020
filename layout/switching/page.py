"""What the page of switches shows: the plan with its letters, a row for each light, and the suggestion beside it.

Put together from values. Never raises for what a room lacks: what can't be laid out says why.
"""

from dataclasses import dataclass, replace

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from layout.drawing.plan import plan_svg
from layout.engine.lengths import LengthError
from layout.engine.room import RoomLayout, lay_out
from layout.engine.suggested_zones import Suggested, suggest
from layout.engine.switching import Switched, places, said
from layout.inputs import NotLaidOutYet, inputs_of
from layout.plans import plan_of
from layout.switching.facts import facts_of
from layout.switching.forms import box_of
from layout.switching.words import PURPOSES, WHYS, gone_in_words


@dataclass(frozen=True, slots=True)
class LightRow:
    """One light in the table. suggested: the letter it might have; why: in words."""

    row: int
    number: int
    box: str
    ident: str
    letter: str
    along: str
    across: str
    suggested: str = ""
    purpose: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class ZoneRow:
    """One letter of a suggestion: what it would be for and how many lights."""

    letter: str
    purpose: str
    why: str
    lights: int


@dataclass(frozen=True, slots=True)
class SwitchesPage:
    layout: RoomLayout | None
    lights: tuple[LightRow, ...] = ()
    svg: SafeString | str = ""
    counts: tuple[tuple[str, int], ...] = ()  # lights by letter
    zones: tuple[ZoneRow, ...] = ()  # suggested
    same: bool = False  # the suggestion is how they are
    gone: tuple[str, ...] = ()
    refused: str = ""


def switches_page(room, draft, asked) -> SwitchesPage:
    """asked: a SuggestForm's."""
    try:
        layout = lay_out(inputs_of(room, draft))
    except (LengthError, NotLaidOutYet) as refused:
        return SwitchesPage(None, refused=str(refused))
    found = {(one.row, one.number): one for one in suggestion(room, draft, layout, asked)}
    tape, there = room.job.tape, places(layout.arrangement.marks)
    lights = tuple(_row(at, mark, found[at], tape) for at, mark in sorted(there.items()))
    counts: dict[str, int] = {}
    for mark in there.values():
        counts[mark.zone] = counts.get(mark.zone, 0) + 1
    words = _("%(lights)s lights on %(zones)s switches; numbers run from the zero corner.")
    told = words % {"lights": len(lights), "zones": len(counts)}
    plan = plan_of(layout, room, tape, title=_("Switches of %s") % room.name, description=told)
    return SwitchesPage(
        layout,
        lights,
        mark_safe(plan_svg(plan)),  # written by layout.drawing, which escapes every word
        tuple(sorted(counts.items())),
        tuple(_zones(found.values())),
        all(there[at].zone == one.zone for at, one in found.items()),
        tuple(gone_in_words(layout)),
    )


def _row(at, mark, one: Suggested, tape):
    row, number = at
    return LightRow(
        row, number, box_of(row, number), mark.id, mark.zone, tape.show(mark.along), tape.show(mark.across),
        one.zone, str(PURPOSES[one.purpose]), str(WHYS[one.why]),
    )  # fmt: skip


def _zones(found):
    by_letter: dict[str, list[Suggested]] = {}
    for one in found:
        by_letter.setdefault(one.zone, []).append(one)
    for letter, held in sorted(by_letter.items()):
        yield ZoneRow(letter, str(PURPOSES[held[0].purpose]), str(WHYS[held[0].why]), len(held))


def plain(layout: RoomLayout) -> RoomLayout:
    """The same room with nothing said of its switches."""
    return lay_out(replace(layout.inputs, switched=()), layout) if layout.inputs.switched else layout


def suggestion(room, draft, layout, asked) -> tuple[Suggested, ...]:
    bare = plain(layout)
    limits = {name: asked[name] for name in ("most_lights", "most_zones")}
    return suggest(bare.arrangement.marks, facts_of(room, draft, bare, asked["screen"], **limits))


def kept_letters(layout: RoomLayout, letters) -> tuple[Switched, ...]:
    """What a draft keeps for these letters; what was said of lights that are gone stays."""
    return (*said(plain(layout).arrangement.marks, letters), *layout.unswitched)
