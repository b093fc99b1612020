"""A person's own tokens: made, shown once, ended. Only the hash is kept."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from projects.accounts.models import ApiToken
from projects.accounts.services import MOST_TOKENS
from projects.platform.permissions import ACTIONS, PERSONAL, SCOPES, Role
from projects.traffic.models import KeptAnswer
from tests.api.houses import Asker, House, problem_of


def page_of(member, **options):
    client = Client(**options)
    client.force_login(member.user)
    return client


def make(client, name="takeoff script", scopes=("read", "field", "rooms", "prices", "shop"), days=90):
    response = client.post("/tokens/", {"name": name, "scopes": scopes, "days": days})
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
    assert client.post("/tokens/", {"name": "  ", "scopes": ["read"], "days": 30}).status_code == 422
    assert client.post("/tokens/", {"name": "a\u202eb", "scopes": ["read"], "days": 30}).status_code == 422
    for n in range(MOST_TOKENS):
        make(client, f"token {n}")
    assert client.post("/tokens/", {"name": "one more", "scopes": ["read"], "days": 30}).status_code == 422
    assert ApiToken.objects.count() == MOST_TOKENS
    client.post("/tokens/", {"end": ApiToken.objects.first().pk})
    make(client, "one more")


def test_a_token_is_made_with_the_pages_own_proof(house):
    client = page_of(house.people[Role.OWNER], enforce_csrf_checks=True)
    assert client.post("/tokens/", {"name": "a"}).status_code == 403
    assert not ApiToken.objects.exists()


# What a token may do, and until when


def test_each_action_stands_in_exactly_one_scope():
    told = [action for actions in SCOPES.values() for action in actions]
    assert sorted(told) == sorted({*ACTIONS, *PERSONAL})


def test_a_token_may_do_what_it_was_made_for_and_its_person_may(house):
    asker = Asker(make(page_of(house.people[Role.OWNER]), scopes=["field"]))
    assert set(asker.get("/api/v1/me/").json()["may"]) == SCOPES["read"] | SCOPES["field"]
    assert asker.get(house.address("rooms")).status_code == 200
    told = asker.send("PATCH", house.address("job"), {"name": "x"}, If_Match="*")
    assert "was not made for this" in problem_of(told, 403)["detail"]
    assert asker.get(house.address("bids")).status_code == 403
    crew = Asker(make(page_of(house.people[Role.CREW]), scopes=["prices", "shop"]))
    assert set(crew.get("/api/v1/me/").json()["may"]) == {"read rooms", "own settings", "own token"}


def test_who_lacks_the_role_is_told_so_whatever_the_token_was_made_for(house):
    asker = Asker(make(page_of(house.people[Role.CREW])))
    assert "Your role" in problem_of(asker.post(house.address("jobs"), {}), 403)["detail"]


def test_a_reading_token_is_told_of_no_price(house):
    """Neither by an address nor in the description."""
    asker = Asker(make(page_of(house.people[Role.OWNER]), scopes=["read"]))
    assert asker.get(house.address("price_items")).status_code == 403
    assert not [path for path in asker.get("/api/v1/schema/").json()["paths"] if "/bids" in path or "/price" in path]


def test_from_its_last_moment_on_a_token_opens_nothing(house):
    asker = Asker(make(page_of(house.people[Role.OWNER]), days=7))
    token = ApiToken.objects.get()
    assert timedelta(days=6, hours=23) < token.expires_at - token.created_at < timedelta(days=7, hours=1)
    assert asker.get("/api/v1/me/").status_code == 200
    ApiToken.objects.update(expires_at=timezone.now())
    assert problem_of(asker.get("/api/v1/me/"), 401)["type"].endswith("/problems/authentication-failed/")
    assert "its time is over" in page_of(house.people[Role.OWNER]).get("/tokens/").content.decode()


def test_one_whose_time_is_over_takes_no_place(house):
    client = page_of(house.people[Role.OWNER])
    for n in range(MOST_TOKENS):
        make(client, f"token {n}")
    ApiToken.objects.filter(name="token 3").update(expires_at=timezone.now())
    make(client, "one more")


@pytest.mark.parametrize("wrong", [{"scopes": ["all"]}, {"scopes": []}, {"days": 366}, {"days": 0}, {"days": "x"}])
def test_a_scope_or_an_end_nobody_offers_makes_no_token(house, wrong):
    body = {"name": "a", "scopes": ["read"], "days": 30} | wrong
    assert page_of(house.people[Role.OWNER]).post("/tokens/", body).status_code == 422
    assert not ApiToken.objects.exists()


# Over the API


def test_a_token_is_made_listed_and_ended_over_the_api(house):
    asker, tokens = house.ask(), house.address("tokens")
    made = asker.post(tokens, {"name": "phone", "scopes": ["read", "field"], "days": 30})
    assert made.status_code == 201, made.content
    told = made.json()
    other = Asker(told["secret"])
    assert other.get("/api/v1/me/").json()["token"]["scopes"] == ["read", "field"]
    assert "secret" not in asker.get(tokens).json()["results"][0]
    assert asker.send("DELETE", f"{tokens}{told['id']}/").status_code == 204
    assert other.get("/api/v1/me/").status_code == 401
    problem_of(asker.send("DELETE", f"{tokens}{told['id']}/"), 422)


def test_a_token_makes_none_that_may_do_more_or_lasts_longer(house):
    asker = Asker(make(page_of(house.people[Role.OWNER]), scopes=["shop"], days=30))
    tokens = house.address("tokens")
    for wider in ({"scopes": ["rooms"], "days": 7}, {"scopes": ["shop"], "days": 90}):
        told = problem_of(asker.post(tokens, {"name": "b", **wider}), 400)
        assert [each["pointer"] for each in told["errors"]] == ["/scopes"]
    assert asker.post(tokens, {"name": "b", "scopes": ["shop"], "days": 7}).status_code == 201


def test_a_secret_is_not_kept_with_the_answer(house):
    asker, tokens, body = house.ask(), house.address("tokens"), {"name": "once"}
    first, again = (asker.post(tokens, body, Idempotency_Key="k") for _ in range(2))
    secret = first.json()["secret"]
    assert again.json() == first.json() | {"secret": None}
    assert secret.encode() not in bytes(KeptAnswer.objects.every_shop().get().body)
    assert ApiToken.objects.filter(name="once").count() == 1


def test_nobody_reads_or_ends_anothers_token_over_the_api(house):
    theirs = ApiToken.make(house.people[Role.CREW], "of the crew")[0]
    for method in ("GET", "DELETE"):
        problem_of(house.ask().send(method, house.address("token", token_id=theirs.pk)), 404)
    theirs.refresh_from_db()
    assert theirs.ended_at is None
