"""What decides who gets in asks for the password again; nothing typed is lost over it."""

import pytest
from django.test import Client
from django.urls import reverse

from projects.accounts.models import Membership
from projects.doors.models import Invitation
from projects.platform.permissions import ROUTES
from tests.doors.conftest import PASSWORD, enter, long_ago
from tests.factories import JoinedFactory, MemberFactory
from tests.shops import on_page

NEW = {"name": "Ash", "email": "ash@shop.example", "role": "crew"}


@pytest.fixture
def owner(client, lee):
    enter(client)
    return client


def asked(lee):
    return Invitation.objects.of(lee.shop).count()


def test_a_fresh_sign_in_is_enough(owner, lee):
    assert owner.post(reverse("people"), NEW).status_code == 200
    assert asked(lee) == 1


def test_a_quarter_of_an_hour_later_the_password_is_asked_for_and_what_was_typed_goes_through_with_it(owner, lee):
    long_ago(owner, 15 * 60 + 1)
    answer = owner.post(reverse("people"), NEW)
    assert (answer.status_code, asked(lee)) == (403, 0)
    kept = on_page(answer, "password_again")
    assert {key: kept[key] for key in NEW} == NEW
    wrong = owner.post(reverse("people"), kept | {"password_again": "not-my-own-one"})
    assert (wrong.status_code, asked(lee)) == (403, 0)
    assert "not-my-own-one" not in wrong.content.decode()
    assert owner.post(reverse("people"), kept | {"password_again": PASSWORD}).status_code == 200
    assert asked(lee) == 1
    assert owner.post(reverse("people"), NEW | {"email": "oak@shop.example"}).status_code == 200


def test_reading_and_ordinary_pages_ask_for_nothing(owner):
    long_ago(owner, 3600)
    for name in ("people", "own_tokens", "rooms", "shop_rules"):
        assert owner.get(reverse(name)).status_code == 200, name


def test_guesses_at_it_are_counted(owner):
    long_ago(owner, 3600)
    answers = [owner.post(reverse("people"), NEW | {"password_again": f"guess-{n}"}) for n in range(6)]
    assert [answer.status_code for answer in answers] == [403] * 5 + [429]
    assert int(answers[-1]["Retry-After"]) > 0
    assert owner.post(reverse("people"), NEW | {"password_again": PASSWORD}).status_code == 429


def test_a_role_is_not_changed_from_a_desk_left_open(owner, lee):
    crew = MemberFactory(shop=lee.shop, role="crew")
    address = reverse("person", args=[crew.pk])
    boxes = on_page(owner.get(address), "role") | {"role": "owner"}
    long_ago(owner, 3600)
    assert owner.post(address, boxes).status_code == 403
    assert Membership.objects.get(pk=crew.pk).role == "crew"


def test_over_the_api_a_session_is_asked_too_and_a_token_is_not(owner, lee, monkeypatch):
    from projects.platform import permissions

    monkeypatch.setitem(permissions.API_ROUTES, "jobs", permissions.Route("read rooms", "keep jobs", again=True))
    body = {"number": "26-200", "name": "Mill"}
    long_ago(owner, 3600)
    refused = owner.post("/api/v1/jobs/", body, content_type="application/json")
    assert (refused.status_code, "/step-up/" in refused.json()["detail"]) == (403, True)
    owner.post(reverse("step_up"), {"password": PASSWORD, "next": "/"})
    assert owner.post("/api/v1/jobs/", body, content_type="application/json").status_code == 201


def test_an_owner_away_for_half_a_day_types_the_password_before_any_page(owner):
    long_ago(owner, 12 * 3600 + 1)
    answer = owner.get("/jobs/?page=1")
    assert answer.url == "/step-up/?next=%2Fjobs%2F%3Fpage%3D1"
    shown = owner.get(answer.url)
    assert owner.post(reverse("step_up"), {"password": "not-my-own-one"}).status_code == 403
    sent = on_page(shown, "next") | {"password": PASSWORD}
    assert owner.post(reverse("step_up"), sent).url == "/jobs/?page=1"
    assert owner.get("/jobs/").status_code == 200


def test_a_crew_member_stays_signed_in_for_two_weeks_of_use(client, db, settings):
    member = MemberFactory(role="crew")
    client.force_login(member.user)
    long_ago(client, 13 * 24 * 3600)
    first = client.session.get_expiry_date()
    assert client.get("/rooms/").status_code == 200
    assert client.cookies["sessionid"]["max-age"] == 14 * 24 * 3600
    assert client.session.get_expiry_date() >= first
    assert settings.SESSION_COOKIE_AGE == 14 * 24 * 3600


def test_who_came_by_a_code_has_no_password_to_type(client, db):
    client.force_login(JoinedFactory(member__user__email=None).member.user)
    long_ago(client, 3600)
    assert client.post(reverse("own_data")).status_code != 403


def test_the_page_sends_nobody_elsewhere(owner):
    for target in ("//evil.example", "https://evil.example/", "javascript:alert(1)"):
        assert owner.post(reverse("step_up"), {"password": PASSWORD, "next": target}).url == "/"


def test_who_is_not_signed_in_is_asked_to_sign_in():
    assert Client().get(reverse("step_up")).url.startswith("/sign-in/")


def test_what_decides_who_gets_in_asks_again():
    named = {"people", "person", "take_back_invitation", "own_tokens"}
    assert named <= {name for name, route in ROUTES.items() if route.again}
