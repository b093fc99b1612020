"""A change order's way from two layouts to a signature, as the office walks it."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from projects.platform.permissions import Role
from reports.changes import services
from reports.changes.contents import kept
from reports.changes.models import ChangeOrder
from reports.changes.pricing import contract_of, price_of
from reports.changes.queries import changed_since, contract_sum, unsigned
from reports.estimating.kept_text import Altered
from reports.estimating.money import total
from reports.prices.models import JobRates
from tests.changes.houses import Site
from tests.conftest import own_copy, standing
from tests.factories import ChangeOrderFactory, FieldExtraFactory, TypedLineFactory
from tests.shops import forms_of, fresh, issue, practice_room, sign_in

site_standing = standing(Site)


@pytest.fixture
def site(site_standing, db):
    return own_copy(site_standing)


@pytest.fixture
def estimator(site):
    return site.people[Role.ESTIMATOR]


@pytest.fixture
def order(site):
    """A draft with one line by hand: 2 h and 40.00 of material."""
    return TypedLineFactory(change__job=site.job).change


def stored(order):
    return ChangeOrder.objects.of(order.shop_id).get(pk=order.pk)


def signed(order, by):
    return services.approve(services.send(order, by), by, name="Jo Park", on=timezone.localdate())


def test_a_new_change_order_and_its_line_pressed_twice_are_one(client, site, estimator):
    sign_in(client, estimator)
    for _press in range(2):
        client.post(f"/jobs/{site.job.pk}/changes/new/", {"title": "Pantry light", "asked_by": "Jo Park"}, follow=True)
    order = ChangeOrder.objects.of(site.shop).get()
    for hours in ("2", "2", "3"):
        client.post(f"/changes/{order.pk}/line/", {"words": "Chase out", "hours": hours, "material": "0"}, follow=True)
    assert [line.hours for line in order.typed_lines.all()] == [2, 3], "other hours are another line"


def test_two_layouts_become_a_change_order_in_one_press(client, site, estimator):
    after = site.third_row()
    site.price_everything()
    sign_in(client, estimator)
    page = client.post(f"/rooms/{site.room.pk}/change/", {"before": site.first.pk, "after": after.pk}, follow=True)
    words = page.content.decode()
    assert "revision 1 to 2" in words and "4 in light" in words
    order = ChangeOrder.objects.of(site.shop).get()
    found = price_of(order)
    assert after.lights - site.first.lights == 3
    housings = [line for line in found.change.lines if line.key.startswith("housing:")]
    assert [line.quantity for line in housings] == [3]
    assert found.change.price == total([row.amount for row in found.change.rows]) > 0
    again = client.post(f"/rooms/{site.room.pk}/change/", {"before": site.first.pk, "after": after.pk}, follow=True)
    assert "has revision 2 of" in again.content.decode()
    assert ChangeOrder.objects.of(site.shop).count() == 1


def test_the_bid_and_what_was_signed_are_the_contract_sum(site, estimator, order):
    """Signed ones count; sent, rejected and void ones don't."""
    bid = type("Bid", (), {"price": Decimal("15784.74")})
    one, two = signed(order, estimator), services.send(TypedLineFactory(change__job=site.job).change, estimator)
    rejected = services.send(TypedLineFactory(change__job=site.job).change, estimator)
    services.reject(rejected, estimator, why="too dear")
    found = contract_sum(site.job, bid)
    assert (found.approved, found.waiting) == (one.price, two.price)
    assert found.sum == Decimal("15784.74") + one.price
    services.approve(two, estimator, name="Jo Park", on=timezone.localdate())
    assert contract_sum(site.job, bid).sum == Decimal("15784.74") + one.price + two.price


def test_what_was_sent_stays_as_it_was(site, estimator, order):
    sent = services.send(order, estimator)
    was = sent.price
    TypedLineFactory(change=order, hours="9")
    ChangeOrder.objects.of(site.shop).filter(pk=order.pk).update(title="Something else")
    assert stored(order).price == was and kept(stored(order))["title"] == "Two lights more"
    for change in (
        lambda: services.add_line(stored(order), words="more", hours=1),
        lambda: services.change_draft(stored(order), stored(order).version, {"title": "x"}),
        lambda: services.send(stored(order), estimator),
    ):
        with pytest.raises(services.CannotBeDone, match="what is in it stays"):
            change()
    ChangeOrder.objects.of(site.shop).filter(pk=order.pk).update(contents='{"price":"1.00"}')
    with pytest.raises(Altered):
        kept(stored(order))


def test_two_who_sign_at_once_sign_once(site, estimator, order):
    sent = services.send(order, estimator)
    first = services.approve(sent, estimator, name="Jo Park", on=timezone.localdate())
    second = services.approve(sent, estimator, name="Someone Else", on=timezone.localdate())
    assert (second.signed_name, second.version) == ("Jo Park", first.version)
    with pytest.raises(services.CannotBeDone, match="is approved"):
        services.reject(sent, estimator, why="no")
    with pytest.raises(services.CannotBeDone, match="is approved"):
        services.void(sent, estimator, why="no")


def test_a_yes_that_was_spoken_is_red_until_somebody_signs(client, site, estimator, order):
    services.send(order, estimator)
    sign_in(client, estimator)
    address = f"/changes/{order.pk}/"
    page = client.post(f"{address}spoken/", {"name": "Jo Park", "on": "2026-05-03"}, follow=True).content.decode()
    assert 'class="notice bad"' in page and "Only spoken" in page
    page = client.post(f"{address}approve/", {"name": "Jo Park", "on": "2026-05-04"}, follow=True).content.decode()
    assert "Only spoken" not in page and "Signed." in page


def test_without_a_price_it_is_not_sent(site, estimator):
    after = site.third_row()
    order = services.open_from_layouts(site.job, [(site.room, site.first, after)], estimator)
    with pytest.raises(services.CannotBeDone, match="No price is known for: housing:"):
        services.send(order, estimator)


def test_without_a_wage_it_is_not_sent(estimator, site, order):
    JobRates.objects.of(site.shop).delete()
    with pytest.raises(services.CannotBeDone, match="No wage is entered"):
        services.send(order, estimator)


def test_no_sum_is_sent_that_nobody_looked_at(client, site, estimator, order):
    """The draft is priced as of now: a wage may have moved since the page was opened."""
    sign_in(client, estimator)
    [boxes] = [
        boxes for action, boxes in forms_of(client.get(f"/changes/{order.pk}/")) if action and action.endswith("/send/")
    ]
    rates = JobRates.objects.of(site.shop).get()
    rates.wage += 10
    rates.save()
    refused = client.post(f"/changes/{order.pk}/send/", boxes, follow=True)
    assert "has changed since it was shown" in refused.content.decode()
    assert stored(order).is_draft
    again = {"version": boxes["version"], "seen": str(price_of(order).change.price)}
    client.post(f"/changes/{order.pk}/send/", again)
    assert str(stored(order).price) == again["seen"]


def test_an_empty_one_is_not_sent(site, estimator):
    with pytest.raises(services.CannotBeDone, match="Nothing is in it"):
        services.send(ChangeOrderFactory(job=site.job), estimator)


def test_what_a_client_signs_has_no_hours_and_no_cost(client, site, estimator, order):
    """2 h and 40.00: neither stands on paper; the sum and the days do."""
    import io

    from pypdf import PdfReader

    sent = services.send(order, estimator)
    sign_in(client, estimator)
    pdf = client.get(f"/changes/{order.pk}/paper/")
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf.content)).pages)
    assert f"${sent.price:,.2f}" in text and "Move the switch box" in text
    assert "40.00" not in text and "our" not in text.replace("four", "").replace("your", "")
    assert "Draft" not in text and "Signature" in text


def test_a_line_taken_out_says_where_its_goods_are(client, site, estimator):
    after = site.third_row()
    site.price_everything()
    order = services.open_from_layouts(site.job, [(site.room, after, site.first)], estimator)
    key = next(line.key for line in price_of(order).change.lines if line.key.startswith("housing:"))
    before = price_of(order).change.price
    sign_in(client, estimator)
    client.post(f"/changes/{order.pk}/goods/", {"room_id": site.room.pk, "key": key, "goods": "kept"})
    assert price_of(order).change.price > before, "less is credited"


def test_the_office_sees_how_long_nothing_was_signed(client, site, estimator, order):
    services.send(order, estimator)
    FieldExtraFactory(job=site.job, at=timezone.now() - dt.timedelta(days=9))
    found = unsigned(site.shop)
    assert (found.changes, found.extras, found.oldest_days, found.amount) == (1, 1, 9, stored(order).price)
    sign_in(client, site.people[Role.OWNER])
    page = client.get("/rooms/").content.decode()
    assert "9 days" in page and f"{found.amount:,.2f}" in page
    sign_in(client, site.people[Role.CREW])
    assert f"{found.amount:,.2f}" not in client.get("/rooms/").content.decode()


def test_terms_of_a_contract_are_the_jobs_own(client, site, estimator, order):
    """A higher least: 2 h are worked, 5 h charged."""
    sign_in(client, estimator)
    page = client.get(f"/jobs/{site.job.pk}/changes/terms/")
    values = {field.html_name: field.value() for field in page.context["form"]} | {"least_hours": "5", "version": 0}
    values = {name: value for name, value in values.items() if value is not None and value is not False}
    client.post(f"/jobs/{site.job.pk}/changes/terms/", values)
    assert contract_of(site.job).terms.least_hours == 5
    assert price_of(order).change.hours == 5
    stale = client.post(f"/jobs/{site.job.pk}/changes/terms/", values | {"version": 9, "restock_pct": "25"})
    assert stale.status_code == 409


def test_rooms_that_changed_since_the_bid_are_found(site, estimator):
    """The bid's own takeoff is what a first change is held against, then the last change order."""
    from reports.takeoffs.services import freeze, thaw

    frozen = thaw(freeze(site.job, by=estimator), prices=True)
    contract = type(contract_of(site.job))(None, frozen, contract_of(site.job).terms, False)
    assert changed_since(site.job, contract) == []
    second = site.third_row()
    [(room, before, after)] = changed_since(site.job, contract)
    assert (room.pk, before, after.pk) == (site.room.pk, None, second.pk)
    services.open_from_layouts(site.job, [(room, before, after)], estimator)
    assert changed_since(site.job, contract) == []


def test_an_order_of_three_rooms_asks_as_often_as_one_of_one(client, site, estimator):
    """Its page prices it anew: rooms, layouts, prices and labor are read together, however many rooms there are."""
    pairs = [(site.room, site.first, site.third_row())]
    for name in ("Nook", "Porch"):
        other = practice_room(site.shop, job=site.job, name=name)
        pairs.append((fresh(other), issue(other), issue(other)))
    sign_in(client, estimator)
    asked = []
    for some in (pairs[:1], pairs):
        order = services.open_from_layouts(site.job, some, estimator)
        client.get(f"/changes/{order.pk}/")
        with CaptureQueriesContext(connection) as queries:
            assert client.get(f"/changes/{order.pk}/").status_code == 200
        asked.append(len(queries))
        services.void(order, estimator, why="tried")
    assert asked[0] == asked[1] <= 60


def test_the_list_asks_as_often_for_forty_as_for_two(client, site, estimator, django_assert_max_num_queries):
    sign_in(client, estimator)
    client.get(f"/jobs/{site.job.pk}/changes/")
    for count in (2, 38):
        for _ in range(count):
            ChangeOrderFactory(job=site.job)
            FieldExtraFactory(job=site.job)
        with django_assert_max_num_queries(16):
            client.get(f"/jobs/{site.job.pk}/changes/")
