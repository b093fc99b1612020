"""What the stages ask of marks and holes: all set before the inspector comes, as many holes as marks after drywall.

And of the lights at them, before insulation: each label read, and a photo of the space around those it may not touch.
"""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from layout.as_built.models import Step
from layout.as_built.queries import marks_now
from layout.engine.marks import Kind
from projects.catalogue.models import RatedIC
from projects.photos.models import Photo, Purpose
from projects.stages.guards import ENTER, LEAVE, guard

MOST_NAMED = 6


def _named(idents):
    shown = ", ".join(idents[:MOST_NAMED])
    more = len(idents) - MOST_NAMED
    return shown if more <= 0 else _("%(marks)s and %(n)s more") % {"marks": shown, "n": more}


@guard(
    "marks_set", stage="rough_in", at=LEAVE, title=gettext_lazy("Every mark is roughed in where it goes"),
    page="as_built",
)  # fmt: skip
def marks_set(rooms):
    return _short(rooms, Step.ROUGHED, _said_set)


@guard(
    "holes_are_marks", stage="drywall", at=LEAVE, title=gettext_lazy("As many holes are cut as there are marks"),
    page="as_built",
)  # fmt: skip
def holes_are_marks(rooms):
    """A box behind the drywall is found now, not when the paint is on."""
    return _short(rooms, Step.CUT, _said_holes)


def _short(rooms, step, said):
    found = {}
    for room_id, now in marks_now(rooms).items():
        if now.revision is None:
            found[room_id] = _("No revision is issued: there are no marks to look for. Issue one first.")
            continue
        waits = [move.ident for move in now.waits]
        short = [mark.ident for mark in now.marks if not mark.stands(step)]
        if short or waits:
            found[room_id] = " ".join(part for part in (short and said(now, short), waits and _asked(waits)) if part)
    return found


def _said_set(now, short):
    words = ngettext(
        "%(n)s of %(all)s marks is not roughed in: %(marks)s. Set it, and enter it.",
        "%(n)s of %(all)s marks are not roughed in: %(marks)s. Set them, and enter them.",
        len(short),
    )
    return words % {"n": len(short), "all": len(now.marks), "marks": _named(short)}


def _said_holes(now, short):
    words = ngettext(
        "%(seen)s holes for %(all)s marks: look for %(marks)s behind the drywall before it is finished.",
        "%(seen)s holes for %(all)s marks: look for %(marks)s behind the drywall before it is finished.",
        len(short),
    )
    return words % {"seen": len(now.marks) - len(short), "all": len(now.marks), "marks": _named(short)}


def _asked(waits):
    return _("A move waits for a yes: %s.") % _named(waits)


# Before insulation


@guard("labels_known", stage="insulation", at=ENTER, title=gettext_lazy("Each light's label is read"),
       safety=True)  # fmt: skip
def labels_known(rooms):
    missing = {}
    for room_id, now in marks_now(rooms).items():
        names = {mark.mark.fixture_type.name for mark in _lights(now) if not mark.mark.fixture_type.rated_ic}
        if names:
            words = _("Nobody read whether insulation may touch: %(names)s. Read the label, enter it in the catalog.")
            missing[room_id] = words % {"names": ", ".join(sorted(names))}
    return missing


@guard("clearance_photos", stage="insulation", at=LEAVE, title=gettext_lazy("The space around lights is kept"),
       safety=True, page="photos")  # fmt: skip
def clearance_photos(rooms):
    if not rooms:
        return {}
    shots = Photo.objects.of(rooms[0].shop_id).filter(
        room__in=[room.pk for room in rooms], purpose=Purpose.CLEARANCE, trashed_at=None
    )
    seen = set(shots.values_list("room_id", "mark"))
    missing = {}
    for room_id, now in marks_now(rooms).items():
        need = [mark.ident for mark in _lights(now) if mark.mark.fixture_type.rated_ic == RatedIC.NO]
        left = [ident for ident in need if (room_id, ident) not in seen]
        if left:
            words = _("No photo shows the space kept around %(marks)s. Take one of each, and name its mark.")
            missing[room_id] = words % {"marks": ", ".join(left)}
    return missing


def _lights(now):
    return (mark for mark in now.marks if mark.mark.kind == Kind.LIGHT)
