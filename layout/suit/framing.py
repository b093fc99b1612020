"""Framing that is still to be laid, put where it misses the marks: each choice in words and drawn, and one press takes
one. Finds no pattern itself, and says nothing of what the framing carries.
"""

from dataclasses import dataclass, replace

from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.engine.lengths import Length, nanometers
from layout.engine.overhead.framing_as_wanted import SPACINGS, Framing, Lid, as_joists, framings
from layout.engine.room import RoomLayout, lay_out
from layout.offers.ways import small_plan
from projects.catalogue.tables import ceiling_systems
from projects.ceilings.forms import SPACINGS as NAMED
from projects.ceilings.models import Framing as Known
from projects.ceilings.models import JoistRun, Runs
from projects.ceilings.services import ceiling_of, change_ceiling
from projects.ceilings.values import entered

NOTE = "Laid to suit the marks"


class NotOffered(Exception):
    """What was pressed is no longer offered: the room or its numbers changed."""

    def __str__(self):
        return str(_("That framing is no longer offered: the room or its numbers changed. Look again below."))


@dataclass(frozen=True, slots=True)
class FramingOffer:
    key: str
    title: str
    words: tuple[str, ...]
    lost: str  # what it costs the marks; empty where nothing is lost
    svg: SafeString | str
    framing: Framing


def can_be_laid(room) -> bool:
    """Whether nobody has framed this ceiling yet, or it is hung as wanted."""
    system = ceiling_systems()[room.ceiling_system]
    return system.framing_as_wanted or entered(ceiling_of(room)).columns.get("framing") == Known.NONE


def lid_of(room, layout: RoomLayout, width: Length) -> Lid:
    return Lid(
        layout.inputs.orientation,
        layout.along.datums.ceiling,
        layout.across.datums.ceiling,
        layout.inputs.unit,
        width,
        room.shop.joist_clear,
    )


def framing_offers(room, layout: RoomLayout, width: Length, spacing: Length | None, *, drawn=True):
    """Each way the members may run, at the usual spacings and at one of a person's own. Raises LengthError."""
    lid = lid_of(room, layout, width)
    usual = SPACINGS[layout.inputs.unit]
    spacings = usual if spacing is None or spacing in usual else (*usual, spacing)
    found = framings(layout.arrangement.marks, layout.inputs.fittings, lid, spacings)
    return tuple(_offer(number, one, room, layout, lid, drawn) for number, one in enumerate(found, 1))


def _offer(number, framing, room, layout, lid, drawn):
    tape = room.job.tape
    joists = as_joists(framing, lid)
    axis = joists.runs.other  # the one the members are spaced along
    start, end = joists.first_from, lid.orientation.end_side(axis)
    last = _("the last one's center %(last)s from the ceiling's edge at the %(end)s")
    told = {
        "count": framing.members,
        "first": tape.show(framing.first),
        "start": room.wall_name(start),
        "last": tape.show(framing.to_edge),
        "end": room.wall_name(end),
    }
    words = [
        ngettext(
            "%(count)s member: its center %(first)s from the ceiling's edge at the %(start)s.",
            "%(count)s members: the first one's center %(first)s from the ceiling's edge at the %(start)s, ",
            framing.members,
        )
        % told
        + (f"{last % told}." if framing.members > 1 else "")
    ]
    if framing.play:
        words.append(
            _("The first may be off by %(play)s either way, and no more is lost.") % {"play": tape.show(framing.play)}
        )
    else:
        words.append(_("The first has to stand just there: off by anything, and more is lost."))
    return FramingOffer(
        key=f"{framing.runs.value}-{framing.spacing.nm}-{framing.first.nm}-{lid.width.nm}",
        title=_("%(spacing)s on center, running %(way)s")
        % {"spacing": _called(framing.spacing, tape), "way": Runs(joists.runs.value).label},
        words=tuple(words),
        lost=_lost(framing),
        svg=_drawn(number, joists, room, layout, tape) if drawn else "",
        framing=framing,
    )


def _called(spacing, tape):
    """A usual spacing by the name the trade gives it: 19.2 in is no mark on a tape."""
    named = {length: name for name, length in NAMED[tape.unit]}
    return named.get(spacing) or tape.show(spacing)


def _lost(framing):
    if not framing.hits:
        return ""
    return _(
        "It meets %(marks)s. Cut and headed off there, the openings take %(blocking)s pieces of blocking, or the marks "
        "move. Whether a member may be cut is for whoever designs the framing and the hangers."
    ) % {"marks": ", ".join(framing.hits), "blocking": framing.blocking}


def _drawn(number, joists, room, layout, tape):
    """The plan with the members as proposed, in the place of whatever is entered."""
    overhead = replace(layout.inputs.overhead, joists=(joists,), looked=True)
    return small_plan(lay_out(replace(layout.inputs, overhead=overhead)), room, tape, key=f"framing-{number}")


def take_framing(room, layout, seen_version, key, *, width, spacing, depth, by):
    """The framing as the room's one run of joists; the ceiling's own put-back undoes it.

    Raises NotOffered, StaleVersion, LengthError.
    """
    offers = framing_offers(room, layout, width, spacing, drawn=False)
    chosen = next((one for one in offers if one.key == key), None)
    if chosen is None or not can_be_laid(room):
        raise NotOffered
    ceiling = ceiling_of(room)
    run = run_of(chosen.framing, lid_of(room, layout, width), depth)
    entry = replace(entered(ceiling), joists=(run,)).with_columns(
        framing=Known.FOUND.value, looked_by=by.user.name[:80], looked_on=timezone.localdate()
    )
    change_ceiling(ceiling, seen_version, entry)
    return chosen


def run_of(framing: Framing, lid: Lid, depth: Length | None) -> JoistRun:
    """A first member between two nanometers is stored at the nearer one."""
    joists = as_joists(framing, lid)
    return JoistRun(
        runs=joists.runs.value,
        spacing=joists.spacing.exact(),
        width=joists.width,
        depth=depth,
        first=nanometers(round(joists.first.nm)),
        first_from=joists.first_from.value,
        datum=joists.datum.value,
        note=NOTE,
    )
