"""Pages of a room's sound: door, form, service, answer. No sum and no geometry here."""

from urllib.parse import urlencode

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.drawing.picture import Table
from layout.engine.sound.systems import LAYOUTS
from layout.offers.taking import last_way
from layout.sound import missing
from layout.sound.angles import angles_page
from layout.sound.background import background_page
from layout.sound.choose import choose_page
from layout.sound.example import angles_example
from layout.sound.following import with_places
from layout.sound.forms import SoundForm, TakeChoiceForm
from layout.sound.gather import heard_of
from layout.sound.low import low_page
from layout.sound.services import change_sound
from layout.sound.taking import TAKEN, take_choice
from projects.catalogue.table_values import OCTAVES_HZ
from projects.catalogue.tables import absorption
from projects.jobs.queries import room_of
from projects.platform.tenancy import StaleVersion

TEMPLATES = {
    "sound": "angles",
    "sound_background": "background",
    "sound_low": "low",
    "sound_choose": "choose",
}


def sound(request, room_id):
    heard, page = _shown(request, room_id, angles_page)
    system = LAYOUTS.get(heard.kept.setup.system)
    return _page(
        request, heard, page, "sound", _("Sound of %s: angles"), source=system.source if system else "",
        example=angles_example(),
    )  # fmt: skip


def sound_background(request, room_id):
    heard, page = _shown(request, room_id, background_page)
    return _page(request, heard, page, "sound_background", _("Coverage and level in %s"))


def sound_low(request, room_id):
    heard, page = _shown(request, room_id, low_page)
    return _page(request, heard, page, "sound_low", _("Bass and reverberation of %s"))


def sound_choose(request, room_id):
    asked = request.GET.get("speaker", "")
    heard, page = _shown(request, room_id, lambda found: choose_page(found, asked))
    last = last_way(heard.room) if heard.draft is not None and heard.draft.pk else None
    back = last if last is not None and last.kind in TAKEN and last.draft_version == heard.draft.version else None
    return _page(request, heard, page, "sound_choose", _("Looks or angle in %s"), back=back)


def _shown(request, room_id, show):
    heard = heard_of(room_of(request.shop, room_id))
    return heard, show(heard)


def _page(request, heard, page, here, title, **more):
    context = {"room": heard.room, "title": title % heard.room.name, "here": here, "heard": heard, "page": page, **more}
    context["outside"] = _outside(heard)
    return render(request, f"layout/sound/{TEMPLATES[here]}.html", context)


def _outside(heard):
    return [missing.outside(heard, heard.outside)] if heard.outside else []


def take_sound_choice(request, room_id):
    """The choice, worked out anew, onto the mark. One press puts it back."""
    heard = heard_of(room_of(request.shop, room_id))
    form = TakeChoiceForm(request.POST)
    to = redirect("sound_choose", heard.room.pk)
    if not form.is_valid():
        messages.error(request, _("Nothing was moved: open the page anew, then press it there."))
        return to
    page = choose_page(heard, form.cleaned_data["speaker"])
    choice = page.choice(form.cleaned_data["choice"])
    if page.mark != form.cleaned_data["speaker"] or choice is None:
        messages.error(request, _("That choice is no longer there: the room or its numbers changed. Look again below."))
        return to
    try:
        words = take_choice(heard, page, choice, form.seen_version, by=request.member)
    except StaleVersion as stale:
        messages.error(request, str(stale))
    else:
        messages.success(request, _("Taken: %s One press below puts back what was there.") % words)
    to["Location"] += "?" + urlencode({"speaker": page.mark})
    return to


def sound_settings(request, room_id):
    room = room_of(request.shop, room_id)
    heard = heard_of(room)
    form = SoundForm(room, heard.kept, [one.id for one in heard.speakers], data=request.POST or None)
    stale, errors = False, []
    if request.method == "POST":
        if form.is_valid():
            try:
                change_sound(room, form.setup.seen_version, with_places(form.entered, heard.layout))
            except StaleVersion:
                stale = True
            else:
                messages.success(request, _("Saved. The pages of this room's sound follow from it."))
                return redirect("sound_settings", room.pk)
        else:
            errors = list(form.wrong)
    context = {
        "room": room,
        "title": _("Sound of %s: what it stands on") % room.name,
        "here": "sound_settings",
        "form": form,
        "stale": stale,
        "errors": errors,
        "of_roles": heard.of_roles,
        "outside": _outside(heard),
        "absorption": _absorption_table(),
    }
    return render(request, "layout/sound/settings.html", context, status=409 if stale else 422 if errors else 200)


def _absorption_table():
    heads = (_("Material"), *(f"{hz} Hz" for hz in OCTAVES_HZ), _("Source"))
    rows = tuple((one.name, *(f"{share:.2f}" for share in one.alpha), one.source) for one in absorption().values())
    return Table(_("Share of sound a surface takes, by octave"), heads, rows)
