"""A password is changed by who knows it or set anew by a letter; whoever came in by the old one is out."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.accounts.models import ApiToken, User
from projects.doors.links import reset_path
from projects.doors.passwords import LinkOver, reset_password
from tests.doors.conftest import PASSWORD, enter, letters_sent
from tests.factories import JoinedFactory, UserFactory

NEW = "plumb-and-true-9"


def change(client, **typed):
    return client.post(reverse("own_password"), {"password": PASSWORD, "new": NEW} | typed)


def test_it_is_changed_and_every_other_session_ends_at_once(client, lee):
    elsewhere = Client()
    enter(elsewhere)
    enter(client)
    key = client.session.session_key
    assert change(client).url == reverse("own_password")
    assert client.get("/rooms/").status_code == 200
    assert client.session.session_key != key
    assert elsewhere.get("/rooms/").url.startswith("/sign-in/")
    assert enter(Client()).status_code == 422
    assert enter(Client(), password=NEW).status_code == 302
    [letter] = letters_sent()
    assert (letter.to, PASSWORD in letter.body, NEW in letter.body) == (["lee@shop.example"], False, False)


@pytest.mark.parametrize(("ticked", "stands"), [({"end_tokens": "on"}, False), ({}, True)])
def test_tokens_end_with_it_when_that_is_ticked(client, lee, ticked, stands):
    _token, secret = ApiToken.make(lee, "desk")
    enter(client)
    change(client, **ticked)
    answer = Client().get("/api/v1/me/", headers={"Authorization": f"Bearer {secret}"})
    assert (answer.status_code == 200) == stands


@pytest.mark.parametrize(
    ("typed", "box"),
    [({"password": "not-my-own-one"}, "password"), ({"new": "short"}, "new"), ({"new": "password1234"}, "new"),
     ({"new": "lee@shop.example"}, "new"), ({"new": "x" * 257}, "new"), ({"password": ""}, "password")],
)  # fmt: skip
def test_what_is_wrong_is_told_by_its_box_and_nothing_changes(client, lee, typed, box):
    enter(client)
    answer = change(client, **typed)
    assert (answer.status_code, set(answer.context["form"].errors)) == (422, {box})
    assert NEW not in answer.content.decode()
    assert User.objects.get(pk=lee.user_id).check_password(PASSWORD)


def test_the_old_one_is_not_guessed_at_from_a_session_left_open(client, lee):
    enter(client)
    answers = [change(client, password=f"guess-number-{n}") for n in range(6)]
    assert [answer.status_code for answer in answers] == [422] * 5 + [429]
    assert change(client).status_code == 429


def test_who_came_by_a_code_has_no_password(client, db):
    client.force_login(JoinedFactory(member__user__email=None).member.user)
    assert client.get(reverse("own_password")).status_code == 404


# Lost


def ask(client, email="lee@shop.example", **more):
    return client.post(reverse("lost_password"), {"email": email}, **more)


def link_in(letter):
    [line] = [line for line in letter.body.splitlines() if line.startswith("https://")]
    assert line.startswith("https://book.example.com/")
    return line.removeprefix("https://book.example.com")


def test_a_letter_leads_to_a_new_password_once(client, lee):
    inside = Client()
    enter(inside)
    ask(client)
    [letter] = letters_sent()
    link = link_in(letter)
    assert client.get(link).status_code == 200
    assert client.post(link, {"new": NEW}).url == reverse("sign_in")
    assert client.post(link, {"new": "another-one-here-5"}).status_code == 410
    assert client.get(link).status_code == 410
    assert inside.get("/rooms/").url.startswith("/sign-in/")
    assert enter(client, password=NEW).status_code == 302


def test_the_page_says_the_same_whether_anybody_has_the_e_mail(client, lee):
    UserFactory(email="left@shop.example", is_active=False)
    answers = [ask(client, email) for email in ("lee@shop.example", "nobody@shop.example", "left@shop.example")]
    pages = {answer.content.decode().split("<main")[1].split("</main>")[0] for answer in answers}
    assert {answer.status_code for answer in answers} == {200} and len(pages) == 1
    assert [letter.to for letter in letters_sent()] == [["lee@shop.example"]]


def test_a_flood_of_requests_fills_no_letter_box(client, lee):
    answers = [ask(client, REMOTE_ADDR=f"203.0.113.{n}").status_code for n in range(12)]
    assert answers == [200] * 12
    assert len(letters_sent()) == 3


def test_from_one_place_not_everybody_is_asked_after(client, lee):
    answers = [ask(client, f"person{n}@shop.example").status_code for n in range(12)]
    assert answers == [200] * 10 + [429] * 2


@pytest.mark.parametrize("happened", ["an hour", "another e-mail", "another password", "signed in", "left"])
def test_a_link_ends(client, lee, happened, monkeypatch):
    user = lee.user
    link = reset_path(user)
    if happened == "an hour":
        from django.contrib.auth.tokens import default_token_generator

        later = timezone.now().replace(tzinfo=None) + timedelta(seconds=3602)
        monkeypatch.setattr(default_token_generator, "_now", lambda: later)
    elif happened == "another e-mail":
        User.objects.filter(pk=user.pk).update(email="lee.new@shop.example")
    elif happened == "another password":
        user.set_password(NEW)
        user.save()
    elif happened == "signed in":
        enter(Client())
    else:
        User.objects.filter(pk=user.pk).update(is_active=False)
    assert client.get(link).status_code == 410
    assert client.post(link, {"new": "another-one-here-5"}).status_code == 410


@pytest.mark.parametrize("reset", ["1", "1-", "-", "zz-abc-def", "1-abc-def", "9" * 30 + "-a-b", "%2e-x", "é-ü"])
def test_what_was_never_a_link_is_answered_like_one_that_is_over(client, lee, reset):
    assert client.get(f"/password/new/{reset}/").status_code == 410


def test_of_two_who_press_at_once_one_sets_it(lee):
    """The second finds the link over under the row's lock, though its page was opened before."""
    reset = reset_path(lee.user).split("/")[-2]
    reset_password(reset, NEW, end_tokens=False)
    with pytest.raises(LinkOver):
        reset_password(reset, "another-one-here-5", end_tokens=False)
