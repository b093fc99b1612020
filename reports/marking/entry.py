"""Marks entered on a phone: set where they go, or elsewhere with a reason. What needs a yes is asked."""

import json

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.as_built.models import Step
from layout.as_built.queries import state_of
from layout.as_built.services import Differs, NotKept, record, record_all
from layout.engine.lengths import LengthError
from layout.plans import insets
from layout.queries import latest_revision
from layout.services import NotAsIssued, thawed
from reports.field.entries import Conflict, Refused, entry
from reports.field.pages import phone_page
from reports.marking.forms import MarkForm
from reports.sheets import FIRST_FINISHED_STAGE


@entry("as_built", may="mark out", title=gettext_lazy("Marks"))
def keep_marks(member, room, data, base, at, file):
    """data: the boxes of MarkForm. Several idents without a place are all where they go."""
    sent = {**data, "idents": data.get("idents") or data.get("ident") or ""}
    form = MarkForm(sent, tape=room.job.tape)
    if not form.is_valid():
        raise Refused(" ".join(_named(form, name, words) for name, all_of in form.errors.items() for words in all_of))
    said = form.cleaned_data
    try:
        if len(said["idents"]) > 1:
            kept = record_all(room, said["idents"], step=said["step"], by=member, at=at, number=said["number"])
            return {"version": max(one.record.version for one in kept), "said": _("%s marks kept.") % len(kept)}
        return _one(member, room, form, base, at)
    except Differs as both:
        raise Conflict(str(both), **_both(room, form, both)) from both
    except (NotKept, LengthError) as refused:
        raise Refused(str(refused)) from refused


def _named(form, name, words):
    label = form.fields[name].label if name in form.fields else ""
    return f"{label}: {words}" if label else words


def _one(member, room, form, base, at):
    said = form.cleaned_data
    along = across = None
    if form.elsewhere:
        revision = latest_revision(room)
        along, across = (None, None) if revision is None else form.from_edge(thawed(revision))
    kept = record(
        room, said["idents"][0], step=said["step"], along=along, across=across, reason=said["reason"],
        words=said["words"], by=member, base=base, at=at, alone=said["alone"], number=said["number"],
    )  # fmt: skip
    version = kept.record.version if kept.record else base
    return {"version": version, "said": told(kept)}


def told(kept):
    """What came of one entry, in words; "" where it simply was kept."""
    if kept.move is None:
        return ""
    others = _with_it(kept.move)
    if kept.waits:
        return _("It waits for a yes: %(why)s Do not go on with %(mark)s.") % {
            "why": kept.move.why, "mark": kept.move.ident,
        }  # fmt: skip
    return _("Kept. Now set anew, where they go with it: %s.") % others if others else _("Kept.")


def _with_it(move):
    return ", ".join(ident for ident in json.loads(move.moves) if ident != move.ident)


def _both(room, form, both):
    """The two places as the card's face reads them, side by side."""
    tape, face = room.job.tape, form.cleaned_data["face"]
    revision = latest_revision(room)
    shown = {}
    try:
        layout = thawed(revision)
        inset = [insets(result, face or "edge")[0] for result in (layout.along, layout.across)]
    except (NotAsIssued, ValueError, AttributeError):
        inset = None
    for name, place in (("theirs", both.theirs and both.theirs.place), ("mine", both.mine)):
        at = place and [one + by for one, by in zip(place, inset, strict=True)] if inset else place
        shown[name] = {_("Along"): tape.show(at[0]), _("Across"): tape.show(at[1])} if at else {}
    if both.theirs:
        by = both.theirs.by.user.name if both.theirs.by else ""
        shown["theirs"] |= {_("By"): by, "version": both.theirs.version}
    return shown


def _counts(rooms):
    """For the room's page on the phone: how far its marks are."""
    words = {}
    for room_id, state in state_of(rooms).items():
        if state.marks:
            words[room_id] = _("%(all)s marks: %(floor)s on the floor, %(rough)s roughed in, %(cut)s cut") % {
                "all": state.marks, "floor": state.floor, "rough": state.roughed, "cut": state.cut,
            }  # fmt: skip
    return words


def _next_steps(room):
    """The page of the steps that follow on the floor, so that one goes on without signal; cut is a day of its own."""
    where = reverse("field_mark_out", args=[room.pk])
    steps = (Step.FRAMING, Step.ROUGHED) if room.stage < FIRST_FINISHED_STAGE else ()
    return [f"{where}?step={step.value}" for step in steps]


phone_page(
    "field_mark_out", gettext_lazy("Mark out"), may="mark out", place=15, told=_counts, also=_next_steps
)
