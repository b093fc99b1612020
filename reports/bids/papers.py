"""A bid's two papers: the proposal for the client, and the estimator's own sheet. Made from contents alone."""

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from reports.bids.ground import averages_of, cautions
from reports.bids.models import State
from reports.bids.showing import for_client, of_kind, sum_rows
from reports.documents.head import Head, cable_unit
from reports.papers import Document
from reports.prices.models import PhaseChoice


def proposal(revision, contents, *, on) -> Document:
    """For the client: rooms in words and pictures, the price, what stands beside it, where to sign."""
    title = _("Proposal %(bid)s %(letter)s") % contents
    day = timezone.localdate(revision.sent_at) if revision.sent_at else on
    head = _head(contents, day)
    context = {
        "title": title,
        "head": head,
        "told": for_client(contents),
        "revision": revision,
        "draft": revision.is_draft,
        "withdrawn": revision.state in (State.WITHDRAWN, State.SUPERSEDED, State.LOST),
        "digest": revision.digest[:12],
    }
    return Document(title, render_to_string("bids/_proposal.html", context), head, "proposal")


def estimate_sheet(revision, contents, *, on) -> Document:
    """For the estimator alone: every sum, and what it rests on."""
    title = _("Estimate %(bid)s %(letter)s") % contents
    head = _head(contents, on)
    context = {
        "title": title,
        "head": head,
        "contents": contents,
        "estimate": contents["estimate"],
        "currency": contents["currency"],
        "rows": sum_rows(contents),
        "beside": of_kind(contents, "add", "deduct", "allowance", "unit_price"),
        "cautions": cautions(contents),
        "cable_unit": cable_unit(revision.bid.job.tape.unit),
        "prices_on": parse_date(contents["stands_on"]["prices_on"] or ""),
        "averages": [
            {"phase": PhaseChoice(each.key).label, "rooms": each.rooms, "hours": f"{each.plain:.2f}"}
            for each in averages_of(revision.shop)
        ],
    }
    return Document(title, render_to_string("bids/_estimate.html", context), head, "estimate")


def _head(contents, on):
    job = contents["job"]
    return Head(contents["shop"], job["number"], job["name"], on)
