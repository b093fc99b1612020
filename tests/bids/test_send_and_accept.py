"""A bid is sent once and stays as it was sent; it is accepted once, and only while it is the one that stands."""

import datetime as dt
import json
from decimal import Decimal

import pytest

from reports.bids import services
from reports.bids.contents import kept
from reports.bids.ground import moved_since
from reports.bids.models import BidLine, BidRevision, ClientLink
from reports.bids.queries import accepted_revision, allowances_of, rates_in, revision_of
from reports.estimating.kept_text import Altered
from reports.estimating.money import Basis
from tests.factories import DAY
from tests.shops import issue, send_bid


def accept(revision, **more):
    return services.accept(revision, revision.digest, **{"name": "A. Reyes", "on": DAY, "today": DAY} | more)


def of(revision):
    return revision_of(revision.shop, revision.pk)


def test_what_is_sent_is_the_sum_by_hand_and_names_what_it_stands_on(sent, room):
    contents = kept(sent)
    assert (sent.price, sent.cost, sent.direct) == (Decimal("15784.74"), Decimal("14206.27"), Decimal("11196.62"))
    assert contents["sums"]["tax"] == "511.50" and contents["sums"]["labor"] == "4035.12"
    layout = room.revisions.get()
    [told] = contents["rooms"]
    assert (told["name"], told["revision"], told["digest"]) == ("Snug", 1, layout.digest)
    assert (told["lights"], told["speakers"]) == (layout.lights, layout.speakers) != (0, 0)
    assert contents["letter"] == "A"


def test_payments_are_the_price_to_the_cent(sent):
    payments = kept(sent)["payments"]
    assert sum(Decimal(each["amount"]) for each in payments) == sent.price
    assert [each["percent"] for each in payments] == ["20", "45", "25", "10"]


def test_pressed_twice_it_is_sent_once(sent, office):
    before = of(sent)
    again = services.send(sent, sent.digest, by=office, on=DAY + dt.timedelta(days=3))
    assert (again.sent_at, again.valid_until, again.version) == (before.sent_at, before.valid_until, before.version)
    assert sent.links.count() == 1


def test_nothing_goes_out_that_was_not_looked_at(draft, office):
    looked_at = "0" * 64
    with pytest.raises(services.LooksOtherwise):
        services.send(draft, looked_at, by=office, on=DAY)
    assert of(draft).is_draft and not ClientLink.objects.of(draft.shop).exists()


@pytest.mark.parametrize(
    "change",
    [
        lambda sent: services.change_terms(sent, sent.version, {"profit_pct": Decimal(1)}),
        lambda sent: services.add_line(sent, "note", words="more"),
        lambda sent: services.change_line(sent.lines.first(), 1, {"words": "less"}),
        lambda sent: services.remove_line(sent.lines.first(), 1),
        lambda sent: services.take_takeoff(sent, "", by=None),
    ],
)
def test_a_sent_revision_is_not_changed_by_any_door(sent, change):
    before = (sent.contents, list(BidLine.objects.of(sent.shop).values_list("words", "version")))
    with pytest.raises(services.AlreadySent):
        change(sent)
    assert (of(sent).contents, list(BidLine.objects.of(sent.shop).values_list("words", "version"))) == before


def test_one_changed_behind_the_program_is_not_shown_as_what_was_sent(sent):
    cheaper = json.dumps(json.loads(sent.contents) | {"letter": "B"})
    BidRevision.objects.of(sent.shop).filter(pk=sent.pk).update(contents=cheaper)
    with pytest.raises(Altered):
        kept(of(sent))


def test_payments_that_are_not_the_whole_price_hold_it_back(draft, office):
    line = draft.lines.filter(kind="payment").first()
    services.change_line(line, 1, {"percent": Decimal(30)})
    with pytest.raises(services.NotDone, match="110 %"):
        send_bid(draft, office)


def test_the_next_revision_begins_as_a_copy_and_takes_the_place_of_the_one_before(sent, office):
    draft = services.next_revision(sent.bid, by=office)
    assert draft.letter == "B" and services.next_revision(sent.bid, by=office).pk == draft.pk
    assert set(draft.lines.values_list("key", "words")) == set(sent.lines.values_list("key", "words"))
    assert of(sent).state == "sent", "until the next one is sent, this one stands"
    second = send_bid(draft, office)
    assert (of(sent).state, second.state) == ("superseded", "sent")
    assert second.price == sent.price


def test_an_acceptance_locks_the_baseline_once(sent, room, office):
    accept(sent)
    again = accept(sent, name="Someone else")
    assert (again.state, again.accepted_name) == ("accepted", "A. Reyes")
    assert accepted_revision(room.job).pk == sent.pk
    rates = rates_in(accepted_revision(room.job))
    assert (rates.wage, rates.burden_pct, rates.profit_pct) == (34, 38, 10)
    assert rates.profit_basis is Basis.OF_PRICE and rates.price == sent.price
    assert of(sent).bid.outcome == "won"
    with pytest.raises(services.NotDone, match="change order"):
        services.next_revision(sent.bid, by=office)


def test_only_the_revision_that_stands_is_accepted(sent, office):
    second = send_bid(services.next_revision(sent.bid, by=office), office)
    with pytest.raises(services.NotDone, match="superseded"):
        accept(sent)
    with pytest.raises(services.NotDone, match="not the bid that was looked at"):
        services.accept(second, sent.digest, name="A. Reyes", on=DAY, today=DAY)
    services.withdraw(second, why="a slip in the count")
    with pytest.raises(services.NotDone, match="withdrawn"):
        accept(of(second))


def test_a_bid_past_its_day_is_not_accepted(sent):
    last = DAY + dt.timedelta(days=sent.validity_days)
    with pytest.raises(services.NotDone, match="good until"):
        accept(sent, today=last + dt.timedelta(days=1))
    assert accept(sent, today=last).state == "accepted"


def test_a_job_has_one_contract(sent, room, office):
    other = services.open_bid(room.job, by=office)
    services.add_line(other, "work", words="Basement", material=Decimal(100))
    other = send_bid(other, office)
    accept(sent)
    with pytest.raises(services.NotDone, match="Another bid for this job"):
        accept(other)


def test_a_bid_that_was_lost_says_why_and_is_not_accepted_any_more(sent):
    stored = type(sent.bid).objects.of(sent.shop).get(pk=sent.bid_id)
    bid = services.record_outcome(stored, stored.version, outcome="lost", why="price", on=DAY)
    assert (bid.outcome, of(sent).state, of(sent).closed_why) == ("lost", "lost", "price")
    with pytest.raises(services.NotDone):
        accept(of(sent))


def test_it_says_when_a_layout_has_moved_since(sent, room, office):
    assert moved_since(sent, kept(sent)) == []
    issue(room, by=office)
    assert moved_since(sent, kept(sent)) == ["Snug stands on layout revision 1; revision 2 has been issued."]


def test_an_allowance_is_settled_by_what_was_chosen(draft, office):
    services.add_line(draft, "allowance", words="Pendant", quantity=Decimal(3), amount=Decimal("120.00"), included=True)
    sent = send_bid(draft, office)
    assert sent.price == Decimal("15784.74"), "what the price holds already isn't added again"
    [key] = sent.lines.filter(kind="allowance").values_list("key", flat=True)
    with pytest.raises(services.NotDone):
        services.true_up_allowance(sent, key, chosen=Decimal("151.25"), note="", by=office)
    accept(of(sent))
    with pytest.raises(services.NotDone, match="no allowance of this bid"):
        services.true_up_allowance(sent, "another", chosen=Decimal("1.00"), note="", by=office)
    services.true_up_allowance(sent, key, chosen=Decimal("151.25"), note="brass", by=office)
    [settled] = allowances_of(of(sent), kept(of(sent)))
    assert settled.difference == Decimal("93.75")
