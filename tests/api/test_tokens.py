"""A person's own tokens: made, shown once, ended. Only the hash is kept."""

import re

import pytest
from django.test import Client

from projects.accounts.models import ApiToken
from projects.accounts.services import MOST_TOKENS
from projects.platform.permissions import Role
from tests.api.houses import Asker, House


def page_of(member, **options):
    client = Client(**options)
    client.force_login(member.user)
    return client


def make(client, name="takeoff script"):
    response = client.post("/tokens/", {"name": name})
    [secret] = re.findall(r"<p><code>([\w-]+)</code></p>", response.content.decode())
    return secret


def test_a_token_is_shown_once_and_only_its_hash_is_kept(house):
    client = page_of(house.people[Role.CREW])
    secret = make(client)
    assert len(secret) >= 43  # 256 bits in base64
    stored = ApiToken.objects.get()
    assert secret not in str(vars(stored))
    assert secret not in client.get("/tokens/").content.decode()
    assert "no-store" in client.get("/tokens/")["Cache-Control"]
    assert Asker(secret).get("/api/v1/me/").json()["role"] == "crew"


def test_an_ended_token_opens_nothing_from_then_on(house):
    client = page_of(house.people[Role.OWNER])
    secret = make(client)
    assert Asker(secret).get("/api/v1/me/").status_code == 200
    client.post("/tokens/", {"end": ApiToken.objects.get().pk})
    assert Asker(secret).get("/api/v1/me/").status_code == 401
    assert "ended" in client.get("/tokens/").content.decode()


@pytest.mark.parametrize("given", ["x", "", "-1", "9" * 40, "١"])
def test_ending_what_is_not_there_is_not_found(house, given):
    assert page_of(house.people[Role.OWNER]).post("/tokens/", {"end": given}).status_code == 404


def test_nobody_ends_or_sees_anothers_token(house, neighbor):
    make(page_of(house.people[Role.CREW]), "of the crew")
    theirs = ApiToken.objects.get()
    for member in (house.people[Role.OWNER], neighbor.people[Role.OWNER]):
        client = page_of(member)
        assert client.post("/tokens/", {"end": theirs.pk}).status_code == 404
        assert "of the crew" not in client.get("/tokens/").content.decode()
    theirs.refresh_from_db()
    assert theirs.ended_at is None


def test_a_token_speaks_in_the_shop_it_was_made_in(db):
    here, there = House(), House()
    member = here.people[Role.ESTIMATOR]
    elsewhere = there.people[Role.VIEWER]
    elsewhere.user = member.user
    elsewhere.save()
    client = page_of(member)
    client.post("/shops/", {"shop": there.shop.pk})
    told = Asker(make(client)).get("/api/v1/me/").json()
    assert (told["shop"], told["role"]) == (there.shop.name, "viewer")


def test_a_token_needs_a_name_and_there_are_only_so_many(house):
    client = page_of(house.people[Role.OWNER])
    assert client.post("/tokens/", {"name": "  "}).status_code == 422
    assert client.post("/tokens/", {"name": "a\u202eb"}).status_code == 422
    for n in range(MOST_TOKENS):
        make(client, f"token {n}")
    assert client.post("/tokens/", {"name": "one more"}).status_code == 422
    assert ApiToken.objects.count() == MOST_TOKENS
    client.post("/tokens/", {"end": ApiToken.objects.first().pk})
    make(client, "one more")


def test_a_token_is_made_with_the_pages_own_proof(house):
    client = page_of(house.people[Role.OWNER], enforce_csrf_checks=True)
    assert client.post("/tokens/", {"name": "a"}).status_code == 403
    assert not ApiToken.objects.exists()
