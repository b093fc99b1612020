"""How often a shop is taken, and what it keeps of the price, from bids as they were answered."""

from decimal import Decimal

from django.urls import reverse

from reports.bids import services
from reports.bids.models import Bid
from reports.bids.queries import outcomes
from tests.factories import DAY, JobFactory
from tests.shops import send_bid


def bid_on(shop, by, material, client):
    draft = services.open_bid(JobFactory(shop=shop), by=by, client=client)
    services.change_terms(
        draft, 1, {"profit_pct": Decimal(20), "profit_basis": "of_price", "overhead_pct": Decimal(25)}
    )
    services.add_line(draft, "work", words="all of it", material=Decimal(material))
    return send_bid(draft, by)


def test_two_of_four_won_keep_a_fifth_of_the_price(desk, shop, office):
    # 800 of direct + 200 of overhead = 1,000; / 0.8 = 1,250
    sent = [bid_on(shop, office, material, client) for material, client in (
        (800, "Reyes"), (8000, "Reyes"), (800, "Okafor"), (800, "Okafor"), (800, "Lund"))]  # fmt: skip
    for won in sent[:2]:
        services.accept(won, won.digest, name="x", on=DAY, today=DAY)
    for bid, outcome, why in ((sent[2].bid, "lost", "price"), (sent[3].bid, "no_answer", "")):
        stored = Bid.objects.of(shop).get(pk=bid.pk)
        services.record_outcome(stored, stored.version, outcome=outcome, why=why, on=DAY)
    together, months, clients, sizes = outcomes(shop)
    assert (together.sent, together.won, together.decided, together.hit_pct) == (5, 2, 4, 50)
    assert (together.price, together.margin_pct, together.gross_pct) == (Decimal("13750.00"), 20, 36)
    assert [(one.name, one.won, one.hit_pct) for one in clients] == [
        ("Okafor", 0, 0),
        ("Reyes", 2, 100),
        ("Lund", 0, None),
    ]
    assert [(one.name, one.sent) for one in sizes] == [("under 5,000", 4), ("5,000 to 20,000", 1)]
    assert len(months) == 1
    page = desk.get(reverse("bid_outcomes")).content.decode()
    assert "2 of 4 decided were won: 50 %" in page and "price" in page


def test_a_won_bid_is_not_lost_afterwards(desk, shop, office):
    won = bid_on(shop, office, 800, "Reyes")
    services.accept(won, won.digest, name="x", on=DAY, today=DAY)
    address = reverse("bid_outcome", args=[won.bid_id])
    answer = desk.post(address, {"version": Bid.objects.of(shop).get().version, "outcome": "lost", "outcome_why": ""})
    assert answer.status_code == 422 and "won" in str(answer.context["form"].errors)
