"""The page of switches: door, form, service, answer. No zone is worked out here."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.services import NoLightType, draft_of
from layout.switching.forms import LettersForm, SuggestForm, TakeSuggestionForm
from layout.switching.page import kept_letters, suggestion, switches_page
from layout.switching.services import NothingToPutBack, put_switches_back, set_switches
from projects.jobs.models import SideChoice
from projects.jobs.queries import room_of
from projects.platform.forms import VersionedForm
from projects.platform.tenancy import StaleVersion


def _walls(room):
    return [(side.value, room.wall_name(side)) for side in SideChoice]


def switches(request, room_id):
    room = room_of(request.shop, room_id)
    try:
        draft = draft_of(room)
    except NoLightType as missing:
        messages.error(request, str(missing))
        return redirect("fixture_types")
    asking = SuggestForm(request.GET or None, walls=_walls(room))
    page = switches_page(room, draft, asking.asked)
    lights = [(one.row, one.number, one.ident, one.letter) for one in page.lights]
    form = LettersForm(request.POST or None, lights=lights, initial={"version": draft.version})
    stale = False
    if request.method == "POST" and page.layout and form.is_valid():
        switched = kept_letters(page.layout, form.letters)
        if "forget" in request.POST:
            switched = tuple(one for one in switched if one not in page.layout.unswitched)
        try:
            set_switches(draft, form.seen_version, switched)
        except StaleVersion:
            stale = True
        else:
            messages.success(request, _("Kept. Issue a revision on the room's page when cards are to show it."))
            return redirect("switches", room.pk)
    context = {
        "room": room,
        "draft": draft,
        "page": page,
        "form": form,
        "asking": asking,
        "stale": stale,
        "rows": [(one, form[one.box]) for one in page.lights],
        "ticked": form.ticked if form.is_bound else (),
    }
    status = 409 if stale else 422 if form.errors else 200
    return render(request, "layout/switching/switches.html", context, status=status)


def take_switches(request, room_id):
    """The suggestion, worked out anew, onto the lights."""
    room = room_of(request.shop, room_id)
    form = TakeSuggestionForm(request.POST)
    try:
        draft = draft_of(room)
    except NoLightType as missing:
        messages.error(request, str(missing))
        return redirect("fixture_types")
    page = switches_page(room, draft, form.asked)
    if not form.is_valid() or page.layout is None:
        messages.error(request, page.refused or _("Nothing was taken: look at the boxes above the suggestion."))
        return redirect("switches", room.pk)
    found = suggestion(room, draft, page.layout, form.asked)
    letters = {(one.row, one.number): one.zone for one in found}
    return _saved(
        request, room, lambda: set_switches(draft, form.cleaned_data["version"], kept_letters(page.layout, letters)),
        _("The suggestion is taken. Put back is one press away."),
    )  # fmt: skip


def put_back_switches(request, room_id):
    room = room_of(request.shop, room_id)
    form = VersionedForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was put back: open the page anew and press it again."))
        return redirect("switches", room.pk)
    return _saved(
        request, room, lambda: put_switches_back(draft_of(room), form.seen_version), _("Put back as it was before.")
    )


def _saved(request, room, save, told):
    try:
        save()
    except StaleVersion as stale:
        messages.error(request, _("%s Look at it again below, then press it again.") % stale)
    except (NothingToPutBack, NoLightType) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, told)
    return redirect("switches", room.pk)
