"""Pages where a way out or another layout is taken, and put back: door, form, service, answer."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.engine.lengths import LengthError
from layout.engine.room import lay_out
from layout.forms import TakeForm
from layout.inputs import NotLaidOutYet, inputs_of
from layout.offers import taking
from layout.offers.choices import choices_page
from layout.offers.ways import ways_page
from layout.services import NoLightType, draft_of
from projects.jobs.queries import room_of
from projects.platform.forms import VersionedForm
from projects.platform.tenancy import StaleVersion

REFUSED = (LengthError, NotLaidOutYet, NoLightType)


def offers_of(room, draft):
    """Everything that may be taken for this room as it now is, undrawn."""
    layout = lay_out(inputs_of(room, draft))
    ways = ways_page(room, draft, layout, drawn=False)
    return [*(ways.offers if ways else ()), *choices_page(room, draft, layout, drawn=False)]


def take_way(request, room_id):
    room = room_of(request.shop, room_id)
    form = TakeForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was taken: say in a few words why this one, then press it again."))
        return redirect("room", room.pk)
    try:
        draft = draft_of(room)
        offer = next((one for one in offers_of(room, draft) if one.key == form.cleaned_data["key"]), None)
    except REFUSED as refused:
        messages.error(request, str(refused))
        return redirect("room", room.pk)
    if offer is None:
        messages.error(request, _("That way is no longer there: the room or its numbers changed. Look again below."))
        return redirect("room", room.pk)
    try:
        taking.take_way(
            draft,
            form.seen_version,
            offer.change,
            kind=offer.kind,
            words=offer.words,
            cost=offer.cost,
            reason=form.cleaned_data["reason"],
            by=request.member,
        )
    except StaleVersion as stale:
        messages.error(request, str(stale))
    else:
        told = _("Taken: %(words)s One press below puts back what was there.")
        messages.success(request, told % {"words": offer.words})
    return redirect("room", room.pk)


def put_way_back(request, room_id):
    room = room_of(request.shop, room_id)
    form = VersionedForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was put back: open the page anew, then press it there."))
        return redirect("room", room.pk)
    try:
        way = taking.put_way_back(room, form.seen_version, by=request.member)
    except (StaleVersion, taking.NothingToPutBack, NoLightType) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, way.words)
    return redirect("room", room.pk)


def other_layouts(request, room_id):
    room = room_of(request.shop, room_id)
    context = {"room": room, "tape": room.job.tape, "form": TakeForm()}
    try:
        draft = draft_of(room)
        layout = lay_out(inputs_of(room, draft))
        context |= {"draft": draft, "offers": choices_page(room, draft, layout)}
    except REFUSED as refused:
        context["refused"] = str(refused)
    return render(request, "layout/other_layouts.html", context)
