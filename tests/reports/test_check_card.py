"""Behind a card's QR: is this card still right? No sign-in, and nothing told but its age."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from projects.platform.permissions import Role
from reports.sheets import check_url
from tests.factories import ShopFactory
from tests.shops import issue, people_of, practice_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    return practice_room(ShopFactory(name="Ridge Lighting"))


@pytest.fixture
def revision(room):
    return issue(room, by=people_of(room.shop)[Role.OWNER])


def check(revision, **more):
    return Client().get(reverse("check_card", args=[revision.token]), **more)


def words(answer):
    return re.sub(r"<[^>]+>", " ", answer.content.decode())


def test_the_newest_card_is_the_latest(revision):
    answer = check(revision)
    assert answer.status_code == 200
    assert "Latest" in words(answer) and revision.short_hash in words(answer)


def test_an_older_one_is_out_of_date_and_says_to_stop(room, revision):
    newer = issue(room)
    said = words(check(revision))
    assert "Out of date" in said and "Stop" in said and "Revision 2" in said
    assert "Latest" in words(check(newer))


def test_another_rooms_revisions_do_not_make_it_old(room, revision):
    issue(practice_room(room.shop))
    assert "Latest" in words(check(revision))


@pytest.mark.parametrize("token", ["x", "A" * 22, "A" * 5000, "%00", "..", "-1"])
def test_a_token_nobody_issued_is_not_here(revision, token):
    assert Client().get(f"/check/{token}/").status_code == 404


def test_part_of_a_token_opens_nothing(revision):
    assert Client().get(f"/check/{revision.token[:-1]}/").status_code == 404
    assert Client().get(f"/check/{revision.token.swapcase()}/").status_code == 404


def test_it_tells_no_name_no_place_and_no_price(room, revision):
    said = words(check(revision))
    for secret in ("Ridge Lighting", room.name, room.job.name, room.job.number, revision.issued_by.user.name, "$"):
        assert secret not in said, secret
    assert not re.search(r"\b(price|cost)s?\b", said, re.IGNORECASE)


def test_it_is_never_kept_by_the_phone(revision):
    assert check(revision)["Cache-Control"] == "no-store"


def test_a_token_can_not_be_guessed(room):
    """22 characters of base64 are 128 bits and more; no two alike."""
    tokens = {issue(room).token for _n in range(5)}
    assert len(tokens) == 5
    assert all(len(token) >= 22 for token in tokens)


def test_it_is_only_read(revision):
    address = reverse("check_card", args=[revision.token])
    assert [Client().post(address).status_code, Client().delete(address).status_code] == [405, 405]


def test_a_server_without_an_address_prints_none(settings, revision):
    settings.PUBLIC_URL = ""
    assert check_url(revision) is None
    settings.PUBLIC_URL = "https://book.example.com"
    assert check_url(revision) == f"https://book.example.com/check/{revision.token}/"
