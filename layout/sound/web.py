"""Pages of a room's sound: door, form, service, answer. No sum and no geometry here."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.sound.forms import SoundForm
from layout.sound.low import low_page
from layout.sound.gather import heard_of
from layout.sound.pictures.values import Table
from layout.sound.services import change_sound
from projects.catalogue.table_values import OCTAVES_HZ
from projects.catalogue.tables import absorption
from projects.jobs.queries import room_of
from projects.platform.tenancy import StaleVersion


def sound_low(request, room_id):
    room = room_of(request.shop, room_id)
    heard = heard_of(room)
    title = _("Bass and reverberation of %s") % room.name
    context = {"room": room, "title": title, "here": "sound_low", "heard": heard, "page": low_page(heard)}
    return render(request, "layout/sound/low.html", context)


def sound_settings(request, room_id):
    room = room_of(request.shop, room_id)
    heard = heard_of(room)
    form = SoundForm(room, heard.kept, [one.id for one in heard.speakers], data=request.POST or None)
    stale, errors = False, []
    if request.method == "POST":
        if form.is_valid():
            try:
                change_sound(room, form.setup.seen_version, form.entered)
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
        "absorption": _absorption_table(),
    }
    return render(request, "layout/sound/settings.html", context, status=409 if stale else 422 if errors else 200)


def _absorption_table():
    heads = (_("Material"), *(f"{hz} Hz" for hz in OCTAVES_HZ), _("Source"))
    rows = tuple((one.name, *(f"{share:.2f}" for share in one.alpha), one.source) for one in absorption().values())
    return Table(_("Share of sound a surface takes, by octave"), heads, rows)
