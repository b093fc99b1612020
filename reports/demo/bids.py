"""The demo's bids, from fixtures/demo_bids.json, through the services that pages use. Knows no sums."""

import json
from decimal import Decimal

from django.utils import timezone

from projects.catalogue.tables import FOLDER
from projects.jobs.models import Job
from reports.bids import services
from reports.bids.contents import draft_contents
from reports.bids.ground import base_for
from reports.bids.models import Bid
from reports.bids.queries import lines_of, revision_of
from reports.estimating.kept_text import canonical, digest_of

NUMBERS = ("material", "hours", "amount", "quantity", "price", "percent")


def enter_bids(shop, by):
    """by: whoever bids."""
    told = json.loads((FOLDER / "demo_bids.json").read_text(encoding="utf-8"))
    terms = {
        name: Decimal(text) if name.endswith("_pct") or name == "wage" else text for name, text in told["terms"].items()
    }
    for entry in told["bids"]:
        _enter(Job.objects.of(shop).get(number=entry["job"]), entry, terms, by)


def _enter(job, entry, terms, by):
    draft = services.open_bid(job, by=by)
    services.change_terms(draft, draft.version, terms)
    if "takeoff" in entry:
        services.take_takeoff(draft, entry["takeoff"], by=by)
    _write(draft, entry["lines"])
    if entry["ends"] == "draft":
        return
    sent = _send(draft, by)
    today = timezone.localdate()
    if "then" in entry:
        _write(services.next_revision(sent.bid, by=by), entry["then"])
    if entry["ends"] == "accepted":
        services.accept(sent, sent.digest, name=entry["signed_by"], on=today, today=today, by=by)
    if entry["ends"] == "lost":
        bid = Bid.objects.of(job.shop_id).get(pk=sent.bid_id)
        services.record_outcome(bid, bid.version, outcome="lost", why=entry["why"], on=today)


def _write(draft, lines):
    for line in lines:
        given = {name: Decimal(value) if name in NUMBERS else value for name, value in line.items()}
        services.add_line(draft, given.pop("kind"), **given)


def _send(draft, by):
    draft = revision_of(draft.shop, draft.pk)
    seen = digest_of(canonical(draft_contents(draft, lines_of(draft), base_for(draft))))
    return services.send(draft, seen, by=by, on=timezone.localdate())
