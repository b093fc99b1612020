"""What a client is asked, and what came back."""

import datetime as dt
import json

from factory import LazyAttribute, SelfAttribute, SubFactory

from reports.approvals.models import Answer, ApprovalLink
from reports.estimating.kept_text import digest_of
from tests.factories.base import DAY, NOON, Below
from tests.factories.layout import LayoutRevisionFactory
from tests.factories.people import MemberFactory

SHOWN = {
    "shop": "A shop", "job": {"number": "1", "name": "A job", "site": ""}, "room": "Den", "level": "", "revision": 1,
    "hash": "ABC123", "message": "", "turn": ["left_right", "left", "door"], "wide": 4000, "deep": 3000,
    "off_walls": [0, 0], "walls": [0, 0, 4000, 3000], "corners": [], "furniture": [], "height": 2400, "light": None,
    "view": "", "costs": None,
    "marks": [
        {"id": "A1", "kind": "light", "type": "4 in light", "zone": "A", "x": 1000, "y": 1000, "size": 100},
        {"id": "A2", "kind": "light", "type": "4 in light", "zone": "A", "x": 3000, "y": 1000, "size": 100},
    ],
}  # fmt: skip


class ApprovalLinkFactory(Below):
    """Two lights in a room of 4 m by 3 m, open for a year."""

    class Meta:
        model = ApprovalLink

    _above = "revision__room__job"
    revision = SubFactory(LayoutRevisionFactory)
    room = SelfAttribute("revision.room")
    shop = SelfAttribute("revision.shop")
    contents = json.dumps(SHOWN, sort_keys=True, separators=(",", ":"))
    digest = LazyAttribute(lambda link: digest_of(link.contents))
    expires_on = LazyAttribute(lambda link: dt.date.today() + dt.timedelta(days=365))
    made_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))


class ClientAnswerFactory(Below):
    """Asks for a change."""

    class Meta:
        model = Answer

    _above = "link__revision__room__job"
    link = SubFactory(ApprovalLinkFactory)
    room = SelfAttribute("link.room")
    shop = SelfAttribute("link.shop")
    says = "change"
    words = "Nearer the window."
    on = DAY
    at = NOON
