"""The room page's way to the pages of layout/suit: only those this room has a use for. Knows no layout."""

from django import template

from layout.suit.framing import can_be_laid
from layout.suit.lid import is_isolated

register = template.Library()


@register.inclusion_tag("layout/_suit_links.html")
def suit_links(room):
    """{% suit_links room %}, among a room page's buttons. room: as room_of reads it."""
    return {"room": room, "as_wanted": can_be_laid(room), "isolated": is_isolated(room)}
