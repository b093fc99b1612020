"""What was shown and accepted, as one sheet to keep."""

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _

from reports.approvals.showing import shown
from reports.documents.head import Head, RoomRef
from reports.papers import Document


def approval_paper(link, told, accepted, tape) -> Document:
    """accepted: the answer; None: not accepted yet."""
    title = _("Approval of %(room)s, revision %(n)s") % {"room": told["room"], "n": told["revision"]}
    on = accepted.on if accepted else timezone.localdate()
    job = told["job"]
    ref = RoomRef(told["room"], told["level"], told["revision"], told["hash"])
    head = Head(told["shop"], job["number"], job["name"], on, ref)
    context = {"head": head, "title": title, "told": told, "accepted": accepted, "digest": link.digest[:12]}
    body = render_to_string("approvals/_copy.html", context | shown(told, tape, key="paper"))
    return Document(title, body, head, "approval")
