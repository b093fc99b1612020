"""A photo taken on the phone. Two people's photos never clash: both are kept."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.photos import services
from projects.photos.forms import AboutForm
from projects.photos.queries import sets_of
from reports.field.entries import Refused, entry
from reports.field.pages import phone_page


@entry("photo", may="take photos", title=gettext_lazy("Photo"))
def keep_photo(member, room, data, base, at, file):
    """data: purpose, mark, bay, caption, each may be absent. file: the picture. Returns the photo's id and version."""
    if file is None:
        raise Refused(_("There is no photo in it. Take it again."))
    form = AboutForm(data)
    if not form.is_valid():
        raise Refused(" ".join(f"{form.fields[name].label}: {words[0]}" for name, words in form.errors.items()))
    try:
        photo = services.keep(room, file, by=member, taken_at=at, **form.cleaned_data)
    except (services.NoPicture, services.QuotaFull) as refused:
        raise Refused(str(refused)) from refused
    return {"photo": photo.pk, "version": photo.version}


def _how_many(rooms):
    """What is still to be taken, of the sets a room needs."""
    return {
        room_id: _("%(n)s still to take") % {"n": lacks}
        for room_id, sets in sets_of(rooms).items()
        if (lacks := sum(one.lacks for one in sets))
    }


phone_page("field_photos", gettext_lazy("Photos"), may="take photos", place=40, told=_how_many)
