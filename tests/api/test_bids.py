"""Bids over the API: the same rules as on the pages, and no money for who doesn't bid."""

import json

import pytest
from django.utils import timezone

from projects.platform.permissions import Role
from reports.bids.models import BidRevision
from tests.api.houses import problem_of


@pytest.fixture
def bid(house):
    made = house.ask().post(house.address("job_bids"), {"number": "B-api"})
    assert made.status_code == 201
    return made.json()


def revision_at(bid, more=""):
    return f"/api/v1/bids/revisions/{bid['revision']['id']}/{more}"


def test_a_bid_is_written_summed_and_sent(house, bid):
    ask = house.ask()
    ask.post(revision_at(bid, "lines/?kind=equipment"), {"words": "Lift", "amount": "450.00"})
    read = ask.get(revision_at(bid))
    assert read.json()["contents"]["sums"]["direct"] == "450.00"
    changed = ask.send(
        "PATCH", revision_at(bid), {"profit_pct": "10", "profit_basis": "of_price"}, If_Match=read.headers["ETag"]
    )
    assert changed.status_code == 200
    assert changed.json()["contents"]["sums"]["price"] == "500.00"
    seen = changed.json()["seen"]
    for _twice in range(2):
        sent = ask.post(revision_at(bid, "send/"), {"seen": seen})
        assert (sent.status_code, sent.json()["state"], sent.json()["price"]) == (200, "sent", "500.00")
    stale = ask.send("PATCH", revision_at(bid), {"profit_pct": "1"}, If_Match="*")
    problem_of(stale, 422)


def test_a_signature_on_paper_is_written_down_once_and_wins_the_bid(house):
    ask, sent = house.ask(), BidRevision.objects.of(house.shop).get(state="sent")
    BidRevision.objects.of(house.shop).filter(pk=sent.pk).update(valid_until=timezone.localdate())
    at = f"/api/v1/bids/revisions/{sent.pk}/"
    signed = {"name": "A. Reyes", "on": timezone.localdate().isoformat(), "digest": "0" * 64}
    problem_of(ask.post(at + "accept/", signed), 422)
    for _twice in range(2):
        accepted = ask.post(at + "accept/", signed | {"digest": sent.digest})
        assert (accepted.json()["state"], accepted.json()["accepted_name"]) == ("accepted", "A. Reyes")
    assert ask.get(f"/api/v1/bids/{sent.bid_id}/").json()["outcome"] == "won"
    problem_of(ask.edit("PATCH", f"/api/v1/bids/{sent.bid_id}/", {"outcome": "lost"}), 422)
    problem_of(ask.post(at + "withdraw/", {"why": ""}), 422)


@pytest.mark.parametrize(
    "sent",
    [{"words": "x", "amount": "-1"}, {"words": "x", "amount": "NaN"}, {"words": "x", "amount": "1e-9"}, {"words": "x"}],
)
def test_what_no_bid_carries_is_refused_by_its_field(house, bid, sent):
    refused = house.ask().post(revision_at(bid, "lines/?kind=sub"), sent)
    problem_of(refused, 400)
    assert [error["pointer"] for error in refused.json()["errors"]] == ["/amount"]


def test_a_stale_line_is_refused_with_both(house, bid):
    ask = house.ask()
    made = ask.post(revision_at(bid, "lines/?kind=sub"), {"words": "Patching", "amount": "900"})
    at = f"/api/v1/bids/lines/{made.json()['id']}/"
    tag = ask.get(at).headers["ETag"]
    assert ask.send("PATCH", at, {"amount": "950"}, If_Match=tag).json()["amount"] == "950.00"
    stale = ask.send("PATCH", at, {"amount": "990"}, If_Match=tag)
    assert stale.status_code == 412
    assert "950.00" in json.dumps(stale.json())


def test_who_does_not_bid_reads_none(house, bid):
    for role in (Role.CREW_LEAD, Role.CREW, Role.VIEWER):
        assert house.ask(role).get(revision_at(bid)).status_code == 403
        assert house.ask(role).get("/api/v1/bids/").status_code == 403
