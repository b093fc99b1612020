"""What the stages ask of marks and holes: all set before the inspector comes, as many holes as marks after drywall."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from layout.as_built.models import Step
from layout.as_built.queries import marks_now
from projects.stages.guards import LEAVE, guard

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
