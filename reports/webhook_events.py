"""What of bids, changes, inspections, material and papers is told to other programs. Never an amount."""

from django.utils.translation import gettext_lazy as _

from projects.webhooks.events import became, event, is_

REVISION = {"table": "bids_bidrevision", "did": "changed", "where": "job_bids", "job_id": "job"}
CHANGE = {"table": "changes_changeorder", "did": "changed", "where": "change", "change_id": "record"}
ANSWER = {"table": "approvals_answer", "did": "added", "where": "room", "room_id": "room"}


def tell() -> None:
    event("bid.sent", _("a bid was sent"), when=became("state", "sent"), **REVISION)
    event("bid.accepted", _("a bid was accepted"), when=became("state", "accepted"), **REVISION)
    event("change.sent", _("a change order was sent"), when=became("state", "sent"), **CHANGE)
    event("change.approved", _("a change order was approved"), when=became("state", "approved"), **CHANGE)
    event("client.accepted", _("a client accepted a layout"), when=is_("says", "yes"), **ANSWER)
    event("client.asked", _("a client asked for a change"), when=is_("says", "change"), **ANSWER)
    event("extra.written", _("an extra was written on site"), "changes_fieldextra", "added", "job_extras", job_id="job")
    event("inspection.recorded", _("an inspection was recorded"), "inspections_visit", "added", "inspection",
          visit_id="record")  # fmt: skip
    event("material.ordered", _("material was ordered"), "purchasing_order", "added", "job_orders", job_id="job")
    event("material.received", _("material came in"), "purchasing_movement", "added", "job_material",
          when=is_("kind", "received"), job_id="job")  # fmt: skip
    event("packet.made", _("a job's packet was made"), "close_out_packet", "added", "packets", job_id="job")
