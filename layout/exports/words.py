"""The words an exported sheet says, translated when it is written. Knows no geometry."""

from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import Unit
from layout.engine.marks import Datum, Side

REFLECTED = _(
    "REFLECTED CEILING PLAN: drawn as seen in a mirror on the floor. "
    "Left on the sheet is left on the floor; the door wall is at the bottom."
)
FULL_SIZE = {
    Unit.INCH: _("Full size, 1 drawing unit = 1 inch."),
    Unit.MM: _("Full size, 1 drawing unit = 1 millimeter."),
}
ORIGIN = _("0,0 is the ceiling's edge at the left wall and the door wall.")
FROM = _("Running dimensions start at the zero corner, %(x)s and %(y)s, from the %(datum)s.")
SIDE = {Side.LEFT: _("left"), Side.RIGHT: _("right"), Side.DOOR: _("door wall"), Side.FAR: _("far wall")}
DATUM = {
    Datum.FRAMING: _("framing"),
    Datum.FINISHED: _("finished wall"),
    Datum.EDGE: _("ceiling's edge"),
}
CAUTION = _(
    "Check every dimension on site before cutting. Local code and the licensed trade decide what may go where."
)
HIGHER = _("%(name)s, %(by)s higher")
LOWER = _("%(name)s, %(by)s lower")
