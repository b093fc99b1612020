"""The words a drawing says, translated when it is drawn. Knows no geometry."""

from django.utils.translation import gettext_lazy as _

from layout.drawing.values import Datum
from layout.engine.marks import Kind

KIND = {Kind.LIGHT: _("light"), Kind.SPEAKER: _("speaker"), Kind.SUBWOOFER: _("subwoofer")}
DATUM = {Datum.FRAMING: _("framing"), Datum.FINISHED: _("finished wall"), Datum.EDGE: _("ceiling edge")}
ALONG = _("along")
ACROSS = _("across")
TO_WALL = _("last to wall")
NORTH = _("N")
