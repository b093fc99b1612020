"""A room's pick list on paper: a label for the bin, then what to pick with a box to tick. Knows no counting."""

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from reports.contents import head_of
from reports.documents.head import RoomRef
from reports.papers import Document


def pick_list_paper(pick_list, ref: RoomRef, *, on) -> Document:
    """The printed list. ref: the room with the layout its need rests on now."""
    room = pick_list.room
    head = head_of(room, on=on, ref=ref)
    title = _("Pick list %(number)s") % {"number": pick_list.number}
    body = render_to_string(
        "purchasing/pick_list_body.html",
        {"head": head, "title": title, "pick_list": pick_list, "lines": pick_list.lines.all(), "room": room},
    )
    return Document(title, body, head, f"pick-list-{pick_list.number}")
