"""A bid that stands on a kept takeoff: its sums are the takeoff's, and it says what has moved since."""

from decimal import Decimal

import pytest
from django.urls import reverse

from projects.catalogue.tables import takeoff_table
from reports.bids import services
from reports.bids.contents import draft_contents, kept
from reports.bids.ground import base_for, cautions, moved_since
from reports.bids.queries import lines_of, revision_of
from reports.prices.models import ItemPack, JobRates
from reports.takeoffs.services import save_rules, thaw
from tests.factories import DAY, ItemFactory, ItemPackFactory, PriceFactory, RoomFactory
from tests.shops import issue, on_page, send_bid


@pytest.fixture
def priced(room, draft, office):
    """Wire connectors at 0.10 each, nothing else has a price; 40 an hour and 25 % of wage."""
    JobRates.objects.create(shop=room.shop, job=room.job, wage=40, burden_pct=25, tax_pct=10)
    item = ItemFactory(shop=room.shop, key="wire_connector_light", name="Wire connector")
    pack = ItemPackFactory(item=item, pieces=100)
    PriceFactory(pack=pack, amount=Decimal("10.00"), on=DAY)
    services.take_takeoff(draft, "now", by=office)
    return revision_of(draft.shop, draft.pk)


def contents(revision):
    return draft_contents(revision, lines_of(revision), base_for(revision))


def test_its_sums_are_the_takeoffs_and_the_lines_typed_beside_it(priced):
    frozen = thaw(priced.takeoff, prices=True)
    said = contents(priced)
    assert frozen.priced.material and frozen.priced.hours
    assert Decimal(said["sums"]["material"]) == frozen.priced.material + Decimal("6200.00")
    assert Decimal(said["sums"]["hours"]) == frozen.priced.hours + 86
    assert (priced.wage, priced.burden_pct, priced.tax_pct) == (40, 25, 10)
    rows = [line["name"] for line in said["sums"]["lines"] if line["row"] == "material"]
    assert rows == ["takeoff 1", "Lights and cable"]
    [room] = said["rooms"]
    assert (room["revision"], room["lights"], room["speakers"]) == (1, 6, 4)
    assert room["share"] == said["sums"]["price"]


def test_what_has_no_price_is_said_and_not_counted_as_free_in_silence(priced, desk):
    told = " ".join(cautions(contents(priced)))
    assert "Without a price" in told
    page = desk.get(reverse("bid_revision", args=[priced.pk])).content.decode()
    assert "Without a price, and counted as nothing" in page


def test_a_room_that_was_only_counted_says_so_on_every_paper(priced, room, office, desk):
    counted = RoomFactory(job=room.job, name="Attic")
    counted.counts.create(fixture_type=room.draft.light_type, count=5)
    services.take_takeoff(priced, "now", by=office)
    said = contents(revision_of(priced.shop, priced.pk))
    attic = next(each for each in said["rooms"] if each["name"] == "Attic")
    assert (attic["revision"], attic["lights"], attic["speakers"]) == (None, 5, 0)
    assert "Counted, not laid out: Attic." in cautions(said)
    for paper in ("proposal", "estimate_sheet"):
        page = desk.get(reverse(paper, args=[priced.pk])).content.decode().lower()
        assert "counted, not laid out" in page, paper


def test_it_says_when_a_layout_or_a_price_has_moved_since(priced, room, office):
    sent = send_bid(priced, office)
    sent = revision_of(sent.shop, sent.pk)
    assert moved_since(sent, kept(sent)) == []
    issue(room, by=office)
    PriceFactory(pack=ItemPack.objects.of(room.shop).get(), amount=Decimal("12.00"), on=DAY)
    told = moved_since(sent, kept(sent))
    assert told[0] == "Snug stands on layout revision 1; revision 2 has been issued."
    assert "Prices have changed since" in told[1] and "Wire connector" in told[1]


def test_it_says_when_the_shop_counts_otherwise_now(priced, office):
    rules = takeoff_table()
    save_rules(priced.shop, rules, seen=0, why="tried on two houses", by=office)
    [told] = moved_since(priced, contents(priced))
    assert told == f"Counted by takeoff rules {rules['version']}; the shop's are {rules['version']} / 1 now."


def test_a_takeoff_is_chosen_on_the_page_and_given_up_again(draft, desk):
    address = reverse("bid_takeoff", args=[draft.pk])
    page = reverse("bid_revision", args=[draft.pk])
    desk.post(address, on_page(desk.get(page), "takeoff") | {"takeoff": "now"})
    first = revision_of(draft.shop, draft.pk).takeoff_id
    assert first is not None
    desk.post(address, {"takeoff": ""})
    assert revision_of(draft.shop, draft.pk).takeoff_id is None
    desk.post(address, {"takeoff": str(first)})
    assert revision_of(draft.shop, draft.pk).takeoff_id == first
    desk.post(address, {"takeoff": "987654"})
    assert revision_of(draft.shop, draft.pk).takeoff_id == first


def test_two_currencies_never_meet_in_one_sum(priced, desk):
    type(priced.shop).objects.filter(pk=priced.shop_id).update(currency="CAD")
    page = desk.get(reverse("bid_revision", args=[priced.pk])).content.decode()
    assert "is priced in USD, and the shop&#x27;s money is CAD" in page
    assert "Send revision" not in page
