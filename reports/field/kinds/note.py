"""The note that lies in a room for whoever comes next: one text, so two who write at once are asked."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.platform.names import clean_note
from reports.field.entries import Conflict, Refused, entry
from reports.field.models import SiteNote
from reports.field.pages import phone_page

LONGEST = 2000


def joined(data, theirs):
    stored = next((value for name, value in theirs.items() if name != "version"), "")
    return {**data, "text": f"{stored}\n{data.get('text', '')}".strip()}


@entry("note", may="measure", title=gettext_lazy("Note"), both=joined)
def keep_note(member, room, data, base, at, file):
    """data: text. The room's note becomes that text, if it still is the one the phone saw."""
    text = clean_note(data.get("text") or "")
    if len(text) > LONGEST:
        told = _("The note has %(n)s characters; it takes %(most)s. Shorten it.")
        raise Refused(told % {"n": len(text), "most": LONGEST})
    stored = SiteNote.objects.of(room.shop_id).filter(room=room).select_related("by__user").first()
    if stored is None:
        stored = SiteNote(shop_id=room.shop_id, room=room, version=0)
    elif stored.text == text:
        return {"version": stored.version}
    elif stored.version != base:
        who = stored.by.user.name if stored.by else _("Somebody")
        raise Conflict(
            _("%(who)s wrote another note here.") % {"who": who},
            theirs={_("Note"): stored.text, "version": stored.version},
            mine={_("Note"): text},
        )
    stored.text, stored.by, stored.at, stored.version = text, member, at, stored.version + 1
    stored.save()
    return {"version": stored.version}


phone_page("field_note", gettext_lazy("Note"), may="read rooms", place=50)
