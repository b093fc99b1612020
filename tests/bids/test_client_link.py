"""Behind the client's link: one bid in words and pictures, a name and a day, and nothing else of the shop."""

import datetime as dt
import re

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from reports.bids import services
from reports.bids.models import ClientLink
from reports.bids.queries import revision_of
from tests.factories import BidFactory, JobFactory
from tests.shops import on_page, send_bid


@pytest.fixture
def today():
    return timezone.localdate()


@pytest.fixture
def out(draft, office, today):
    return revision_of(draft.shop, send_bid(draft, office, on=today).pk)


@pytest.fixture
def link(out):
    return out.links.get()


def at(link):
    return reverse("client_link", args=[link.token])


def look(link):
    return Client().get(at(link))


def words(answer):
    return re.sub(r"<[^>]+>", " ", answer.content.decode())


def sign(link, **changes):
    page = Client().get(at(link))
    return Client().post(at(link), on_page(page, "digest") | {"name": "A. Reyes"} | changes)


def test_it_shows_the_price_the_rooms_and_a_picture(link, out):
    answer = look(link)
    said = words(answer)
    assert answer.status_code == 200
    for shown in ("$15,784.74", "Ridge Lighting", "Snug", "6 lights and 4 speakers", "painting"):
        assert shown in said, shown
    assert answer.content.decode().count("<circle") >= 6


def test_it_shows_no_cost_no_hours_and_nothing_of_other_records(link, out, shop):
    BidFactory(job=JobFactory(shop=shop, name="Larkspur Lane"), number="B-secret", client="Okafor")
    said = words(look(link)).replace(out.digest[:12], "")  # a digest may hold any figures
    for secret in ("14,206.27", "11,196.62", "6,200.00", "4,035.12", "86", "34.00", "of cost", "of wage", "Larkspur",
                   "B-secret", "Okafor"):  # fmt: skip
        assert secret not in said, secret
    told = set(re.findall(r"\b(hours?|wages?|burden|overhead|contingency|profit|margin|markup|costs?)\b", said.lower()))
    assert told == {"hours"}, "the hours of access that were assumed, and none of ours"


def test_a_name_and_a_day_accept_it_without_signing_in(link, out, today):
    assert sign(link).status_code == 302
    stored = revision_of(out.shop, out.pk)
    assert (stored.state, stored.accepted_name, stored.accepted_on) == ("accepted", "A. Reyes", today)
    assert stored.accepted_by is None
    held = ClientLink.objects.of(out.shop).get(pk=link.pk)
    assert (held.signed_name, held.signed_on) == ("A. Reyes", today)
    assert "Accepted" in words(look(link)) and "A. Reyes" in words(look(link))


def test_signed_twice_the_first_name_stands(link, out):
    page = Client().get(at(link))
    for name in ("A. Reyes", "B. Reyes"):
        Client().post(at(link), on_page(page, "digest") | {"name": name})
    assert revision_of(out.shop, out.pk).accepted_name == "A. Reyes"


@pytest.mark.parametrize(("box", "typed"), [("name", ""), ("name", " "), ("on", "1999-01-01"), ("on", "31 Feb")])
def test_a_wrong_box_accepts_nothing(link, out, box, typed):
    answer = sign(link, **{box: typed})
    assert answer.status_code == 422 and set(answer.context["form"].errors) == {box}
    assert revision_of(out.shop, out.pk).state == "sent"


def test_another_bids_digest_accepts_nothing(link, out):
    answer = sign(link, digest="0" * 64)
    assert "Not accepted" in words(answer)
    assert revision_of(out.shop, out.pk).state == "sent"


def test_a_closed_link_shows_nothing_and_takes_no_name(link, out):
    page = Client().get(at(link))
    services.close_links(out)
    answer = Client().post(at(link), on_page(page, "digest") | {"name": "A. Reyes"})
    for said in (words(answer), words(look(link))):
        assert "This link was closed" in said
        assert "15,784.74" not in said and "Snug" not in said
    assert revision_of(out.shop, out.pk).state == "sent"


def test_withdrawn_or_replaced_it_says_so_and_shows_no_old_price(link, out, office, today):
    second = send_bid(services.next_revision(out.bid, by=office), office, on=today)
    assert "newer revision took the place" in words(look(link)) and "15,784.74" not in words(look(link))
    services.withdraw(second, why="")
    said = words(look(second.links.get()))
    assert "withdrawn" in said and "15,784.74" not in said


def test_past_its_day_it_says_so(link, out, today):
    ClientLink.objects.of(out.shop).filter(pk=link.pk).update(expires_on=today - dt.timedelta(days=1))
    said = words(look(link))
    assert "too old" in said and "15,784.74" not in said


def test_it_is_not_kept_and_not_found_by_a_search(link):
    answer = look(link)
    assert answer["Cache-Control"] == "no-store"
    assert "noindex" in answer["X-Robots-Tag"]
    assert '<meta name="robots" content="noindex' in answer.content.decode()


@pytest.mark.parametrize("token", ["x", "A" * 32, pytest.param("A" * 5000, id="long"), "..", "-1"])
def test_a_link_nobody_made_is_not_here(db, token):
    assert Client().get(f"/open/{token}/").status_code == 404


def test_part_of_a_link_opens_nothing(link):
    assert Client().get(f"/open/{link.token[:-1]}/").status_code == 404
    assert len(link.token) >= 32


def test_two_bids_open_two_links_and_neither_the_other(link, out, office, room, today):
    other = services.open_bid(room.job, by=office, client="Okafor")
    services.add_line(other, "work", words="x", material=100)
    second = send_bid(other, office, on=today).links.get()
    assert "Okafor" in words(look(second)) and "Okafor" not in words(look(link))
