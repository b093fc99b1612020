"""A bid from first line to signature: the estimator at a desk, the client on a phone without a name in any list."""

import pytest
from django.utils import timezone

from reports.bids import services as bids
from reports.bids.models import ClientLink
from tests.browser.conftest import DESK, PHONE
from tests.shops import send_bid

pytestmark = pytest.mark.browser


def test_a_bid_is_written_sent_and_accepted_on_a_phone(shop, den, issued, person):
    issued(den)
    estimator = person(width=DESK, member=shop.people["estimator"])
    estimator.goes_to(f"/jobs/{den.job_id}/bids/").types("Client", "A. Reyes").presses("Start bid")
    estimator.presses("Add: material and labor")
    estimator.types("What", "Lights and cable").types("Material, at cost", "6,200").types("Hours", "86")
    estimator.presses("Add line")
    for box, figure in (
        ("Wage, an hour", "34"), ("Burden, % of wage", "38"), ("Sales tax, % of taxable material", "8.25"),
        ("Profit, %", "10"),
    ):  # fmt: skip
        estimator.types(box, figure)
    estimator.presses("Save terms")
    # 6,200.00 + 511.50 + 4,035.12 = 10,746.62; / 0.9
    estimator.sees("$11,940.69").sees("10 % of price = 11.11 % of cost")
    estimator.presses("Send revision A").sees("no sign-in")
    link = ClientLink.objects.of(shop).get()
    client = person(width=PHONE)
    client.goes_to(f"/open/{link.token}/").sees("$11,940.69").sees("Den")
    client.types("Your name", "A. Reyes").presses("Accept at $11,940.69").sees("Accepted.")
    estimator.goes_to(f"/bids/revisions/{link.bid_revision_id}/").sees("This is the contract")


def test_every_paper_of_a_bid_is_readable_on_a_phone(shop, den, issued, person):
    issued(den)
    office = shop.people["estimator"]
    draft = bids.open_bid(den.job, by=office)
    bids.add_line(draft, "work", words="Lights and cable", material=100, hours=2)
    sent = send_bid(draft, office, on=timezone.localdate())
    estimator = person(width=PHONE, member=office)
    for page in ("", "proposal/", "estimate/"):
        estimator.goes_to(f"/bids/revisions/{sent.pk}/{page}")
    person(width=PHONE).goes_to(f"/open/{sent.links.get().token}/").sees("Accept")
