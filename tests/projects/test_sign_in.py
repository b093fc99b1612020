"""A person signs in by e-mail, and out again."""

import html

import pytest
from django.urls import reverse

from projects.accounts.services import add_person
from tests.factories import ShopFactory

pytestmark = pytest.mark.django_db
PASSWORD = "level-and-square"


@pytest.fixture
def member():
    return add_person(ShopFactory(), email="lee@shop.example", name="Lee", password=PASSWORD, role="crew")


def enter(client, email="lee@shop.example", password=PASSWORD, **more):
    return client.post(reverse("sign_in"), {"email": email, "password": password} | more)


def is_in(client):
    return client.get(reverse("rooms")).status_code == 200


@pytest.mark.parametrize(
    ("role", "first"),
    [("crew", "field"), ("crew_lead", "home"), ("owner", "home"), ("estimator", "home"), ("viewer", "home")],
)
def test_one_signs_in_and_sees_first_what_the_day_asks(client, member, role, first):
    """Who only works on site sees today's rooms; anyone else what has to be done this week."""
    member.role = role
    member.save()
    answer = enter(client)
    assert (answer.status_code, answer.url) == (302, reverse(first))
    assert is_in(client)


def test_capitals_in_an_e_mail_do_not_matter(client, member):
    assert enter(client, email="Lee@Shop.Example").status_code == 302


@pytest.mark.parametrize("typed", [{"password": "plumb-and-true"}, {"email": "nobody@shop.example"}])
def test_a_wrong_pair_says_so_without_saying_which(client, member, typed):
    answer = enter(client, **typed)
    assert answer.status_code == 422
    page = html.unescape(answer.content.decode())
    assert "do not match" in page
    assert answer.context["form"]["email"].value() == typed.get("email", "lee@shop.example")
    assert typed.get("password", PASSWORD) not in page
    assert not is_in(client)


@pytest.mark.parametrize(("email", "password"), [("", PASSWORD), ("lee@shop.example", ""), ("not an e-mail", PASSWORD)])
def test_what_is_missing_is_told_by_its_box(client, member, email, password):
    answer = enter(client, email=email, password=password)
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) <= {"email", "password"}


def test_the_page_asked_for_comes_after_signing_in(client, member):
    asked = client.get("/jobs/")
    assert asked.url == "/sign-in/?next=%2Fjobs%2F"
    page = client.get(asked.url)
    assert enter(client, next=page.context["form"]["next"].value()).url == "/jobs/"


@pytest.mark.parametrize("target", ["https://elsewhere.example/", "//elsewhere.example", "javascript:x", "\\\\x"])
def test_a_link_can_not_send_one_elsewhere_after_signing_in(client, member, target):
    assert enter(client, next=target).url == reverse("field")


def test_someone_who_left_is_not_let_in(client, member):
    member.user.is_active = False
    member.user.save()
    assert enter(client).status_code == 422


def test_one_who_works_nowhere_is_told_whom_to_ask(client, member):
    member.active = False
    member.save()
    enter(client)
    page = client.get(reverse("choose_shop")).content.decode()
    assert "No shop yet" in page


def test_signing_out_is_posted_and_ends_it(client, member):
    enter(client)
    assert client.get(reverse("sign_out")).status_code == 405
    assert client.post(reverse("sign_out")).url == reverse("sign_in")
    assert not is_in(client)


def test_a_password_is_kept_as_a_hash_only(member):
    assert PASSWORD not in member.user.password
    assert member.user.check_password(PASSWORD)
