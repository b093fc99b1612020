"""Zones and their reasons in the trade's words. Knows no page."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from layout.engine.suggested_zones import Purpose, Why

PURPOSES = {
    Purpose.GENERAL: _("General"),
    Purpose.PERIMETER: _("Perimeter"),
    Purpose.TASK: _("Task"),
    Purpose.ACCENT: _("Accent"),
    Purpose.SCREEN: _("Screen end"),
}
WHYS = {
    Why.REST: _("the room itself"),
    Why.OUTER_ROW: _("outer row, by the wall"),
    Why.OVER_A_TASK: _("on a line held over a task"),
    Why.ON_ACCENT: _("on a line held for a wall or a picture"),
    Why.AT_THE_SCREEN: _("the line at the screen: off during a film"),
    Why.OWN_PART: _("a part of the ceiling by itself"),
    Why.TOO_MANY: _("as many as go on one switch are on the one before"),
}


def gone_in_words(layout):
    """What was said of lights that aren't there now, a sentence each."""
    for one in layout.unswitched:
        told = {"n": one.number, "row": one.row, "zone": one.zone}
        yield gettext("Light %(n)s of row %(row)s was put on switch %(zone)s and isn't there now.") % told
