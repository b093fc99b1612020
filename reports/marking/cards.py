"""Two more cards of a room: for marking the floor, and for cutting after the drywall is up. Values of a CardSheet."""

from dataclasses import replace

from django.utils.translation import gettext as _

from layout.as_built.page import as_marked, in_groups
from layout.drawing.values import Datum
from layout.services import thawed
from reports.documents.sheet import Note, PullAt, in_ranges
from reports.sheets import card_sheet, datums_of


def floor_card(revision, room, now, *, on=None):
    """For the person on the floor: numbers at the bottom plate, marks where they go by now."""
    issued = thawed(revision)
    layout = as_marked(issued, {mark.ident: mark.place for mark in now.marks})
    datum = Datum.FRAMING if Datum.FRAMING in datums_of(issued) else Datum.FINISHED
    sheet = card_sheet(revision, room, datum, on=on, layout=layout)
    steps = (
        _("Sweep. Paint or tape 0 on the floor at the zero corner."),
        _("Snap the zero wall's line and the center line; square them 3-4-5."),
        _("Tape, pencil cross, name beside it. Tape last to wall at the end of each row."),
        _("Plumb up: dot on cross. Nobody presses a phone on a ladder."),
        _("A paint dot on the subfloor under each box finds it again."),
    )
    return replace(
        sheet,
        title=_("Floor-marking card"),
        pull_at=PullAt.BOTTOM_PLATE,
        notes=(Note(_("Mark the floor"), steps), *_moved(now, room), *sheet.notes),
    )


def finish_card(revision, room, now, *, on=None):
    """For cutting: numbers from finished walls, marks where they were really built."""
    layout = as_marked(thawed(revision), {mark.ident: mark.built for mark in now.marks})
    sheet = card_sheet(revision, room, Datum.FINISHED, on=on, layout=layout)
    steps = (
        _("Tape the finished walls first; they decide, not the framing."),
        _("%s holes. Count them before the mud: one short is a box behind the drywall.") % len(now.marks),
        _("Probe with a bent wire one radius out before you saw."),
        _("Test hole in scrap, then one hole, dry-fit its light, then the rest."),
        _("A box not found: scan its label, or use the paint dot below."),
    )
    return replace(
        sheet,
        title=_("After-drywall card"),
        pull_at=PullAt.FINISHED_FACE,
        framing_checked=True,  # what is above is covered: the probe takes the place of looking
        check=replace(sheet.check, framing=(), if_framing_differs=""),
        notes=(Note(_("Cut"), steps), *_built(now, room), *_unverified(sheet), *sheet.notes),
    )


def _moved(now, room):
    return _off(_("Moved on site, counted in"), now, lambda mark: mark.place, room)


def _built(now, room):
    return _off(_("Built off the revision, counted in"), now, lambda mark: mark.built, room)


def _off(title, now, place_of, room):
    told = tuple(f"{in_ranges(idents)}: {off}" for idents, off in in_groups(now.marks, place_of, room.job.tape))
    return (Note(title, told),) if told else ()


def _unverified(sheet):
    told = tuple(one.type_name for one in sheet.cutouts if not one.verified_by)
    return (Note(_("Do not cut yet: cutout not verified"), told),) if told else ()
