"""The proposal that a client gets never shows cost or hours; the estimator's sheet shows all of it."""

import io
import re

import pytest
from django.urls import reverse
from pypdf import PdfReader

from reports.bids import services
from reports.bids.contents import kept
from tests.shops import send_bid


def words(answer):
    assert answer["Content-Type"] == "application/pdf"
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)


def printed(desk, name, revision, paper="letter"):
    return words(desk.get(reverse(name, args=[revision.pk]), {"paper": paper}))


@pytest.fixture
def told(draft, office):
    """With everything a bid may have."""
    add = services.add_line
    add(draft, "add", words="Dimming upgrade", material=100, hours=2)
    add(draft, "deduct", words="Speaker prewire only", price=750)
    add(draft, "allowance", words="Pendant over the table", quantity=3, unit="each", amount=120)
    add(draft, "unit_price", words="Each additional light", when="before", material=60, hours=1)
    add(draft, "unit_price", words="Each additional light", when="after", material=60, hours=3)
    add(draft, "note", words="Work starts after the plumber.")
    services.change_terms(
        draft, 2, {"detail": "counts", "retainage_pct": 5, "cover": "Thank you for the walk-through."}
    )
    return send_bid(draft, office)


# Each of them is somewhere in this bid: material, labor, direct, cost, wage, and every percentage of cost.
INSIDE = (
    "6,200.00", "511.50", "4,035.12", "$450.00", "11,196.62", "447.86", "2,561.79", "14,206.27", "$34.00",
    "8.25", "38 %", "22 %", "Lift, one week", "$100.00", "$60.00",
)  # fmt: skip
WORDS = re.compile(
    r"\b(wages?|burden|overhead|contingency|profit|margin|markup|labor|hours? (each|per|for)|direct)\b", re.I
)


def test_the_proposal_says_all_a_client_needs_and_nothing_of_ours(desk, told):
    said = printed(desk, "proposal", told)
    for shown in (
        "$15,784.74", "Snug", "6 lights", "Dimming upgrade", "+$284.90", "−$750.00", "Pendant over the table",
        "$360.00", "before drywall", "after drywall", "Painting".lower(), "Good until", "Deposit on signing",
        "$3,156.95", "5 % of each payment", "Signature", "Thank you for the walk-through.", "Work starts after",
    ):  # fmt: skip
        assert shown in said, shown
    for secret in INSIDE:
        assert secret not in said, secret
    assert WORDS.findall(said) == []


def test_the_estimators_sheet_shows_every_sum(desk, told):
    said = printed(desk, "estimate_sheet", told)
    for shown in (
        "$6,200.00", "$511.50", "$4,035.12", "$450.00", "$11,196.62", "$447.86", "$2,561.79", "$14,206.27",
        "$1,578.47", "$15,784.74", "29.07 % of price", "layout revision 1", "Not for the client",
    ):  # fmt: skip
        assert shown in said, shown
    # six lights: 15,784.74 / 6 and 86 h / 6; a ceiling of 150 1/2 by 77 1/4 in, 80.7 ft2
    assert "81 ft²" in said
    assert "$2,630.79" in said and "14.33" in said


def test_a_draft_says_so_on_paper(desk, draft):
    assert "Draft. Not sent" in printed(desk, "proposal", draft, "a4")


def test_the_page_shows_the_same_before_it_is_printed(desk, told):
    page = desk.get(reverse("proposal", args=[told.pk])).content.decode()
    assert "$15,784.74" in page and "14,206.27" not in page


def test_rooms_share_the_price_to_the_cent_where_work_is_named_by_room(draft, office, room):
    line = draft.lines.get(kind="work")
    services.change_line(line, 1, {"room": "Snug"})
    [told] = kept(send_bid(draft, office))["rooms"]
    assert told["share"] == "15784.74"
