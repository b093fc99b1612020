"""Guesses at a password are counted, whoever makes them and however many at once; the owner still comes in."""

import sys
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.contrib.auth import backends
from django.db import connection
from django.test import Client
from django.urls import reverse

from projects.doors import pace
from projects.doors.models import Tried
from tests.doors.conftest import PASSWORD, enter, letters_sent

QUARTER = 15 * 60 * 1000


def test_a_quarter_of_an_hour_takes_ten_guesses_and_no_more(db):
    """Five at once, then one every three minutes: by hand 5 + 5 within any 15 minutes."""
    passed = []
    for second in range(0, 900, 10):
        try:
            pace.take(pace.SIGN_IN, "lee@shop.example", 1_000_000 + second * 1000)
            passed.append(second)
        except pace.TooOften:
            pass
    assert passed == [0, 10, 20, 30, 40, 180, 360, 540, 720]
    pace.take(pace.SIGN_IN, "lee@shop.example", 1_000_000 + QUARTER)


def test_who_tried_too_often_is_told_how_long_to_wait(db):
    for _ in range(5):
        pace.take(pace.SIGN_IN, "lee@shop.example", 50_000)
    with pytest.raises(pace.TooOften) as refused:
        pace.take(pace.SIGN_IN, "lee@shop.example", 50_000 + 60_000)
    assert refused.value.wait == 120
    assert "Wait 2 minutes" in str(refused.value)


def test_a_right_password_is_no_guess(client, lee):
    for _ in range(8):
        assert enter(client).status_code == 302
        client.logout()
        client.cookies.clear()


def test_the_sixth_guess_in_a_row_is_not_looked_at_even_when_it_is_right(client, lee):
    for _ in range(5):
        assert enter(client, password="wrong-one-here").status_code == 422
    answer = enter(client)
    assert answer.status_code == 429
    assert 0 < int(answer["Retry-After"]) <= 180
    assert PASSWORD not in answer.content.decode()
    assert client.get("/rooms/").status_code == 302


def test_an_e_mail_nobody_has_is_answered_alike(client, lee):
    def answers(email):
        return [
            (answer.status_code, answer.content.decode().replace(email, "").count("do not match"))
            for answer in (enter(client, email=email, password="wrong-one-here") for _ in range(7))
        ]

    assert answers("lee@shop.example") == answers("nobody@shop.example")


def test_as_many_hashes_are_made_for_an_e_mail_nobody_has(client, lee, monkeypatch):
    """Time isn't measured: what takes it, one hash, is counted."""
    from django.contrib.auth.hashers import MD5PasswordHasher

    made, real = [], MD5PasswordHasher.encode
    monkeypatch.setattr(MD5PasswordHasher, "encode", lambda *args: made.append(1) or real(*args))
    counts = []
    for email in ("lee@shop.example", "nobody@shop.example"):
        made.clear()
        enter(client, email=email, password="wrong-one-here")
        counts.append(len(made))
    assert counts == [1, 1]


def test_the_owner_comes_in_from_a_machine_they_know_while_others_guess(client, lee):
    assert enter(client).status_code == 302
    client.post(reverse("sign_out"))
    for _ in range(7):
        last = enter(Client(), password="wrong-one-here", REMOTE_ADDR="203.0.113.9")
    assert last.status_code == 429
    assert enter(Client(), REMOTE_ADDR="203.0.113.10").status_code == 429
    assert enter(client).status_code == 302


def test_a_known_machine_makes_no_more_guesses_than_any_other(client, lee):
    assert enter(client).status_code == 302
    client.post(reverse("sign_out"))
    answers = [enter(client, password="wrong-one-here").status_code for _ in range(6)]
    assert answers == [422] * 5 + [429]


def test_a_machine_is_known_for_its_own_account_alone(client, lee):
    enter(client)
    client.post(reverse("sign_out"))
    for _ in range(6):
        last = enter(client, email="other@shop.example")
    assert last.status_code == 429
    assert Tried.objects.filter(what="sign in").count() == 2  # lee's, moved back; the other's


def test_the_person_is_told_by_letter_once_a_day(client, lee):
    for _ in range(9):
        enter(client, password="wrong-one-here")
        enter(client, email="nobody@shop.example", password="wrong-one-here")
    [letter] = letters_sent()
    assert letter.to == ["lee@shop.example"]
    assert "https://book.example.com/password/lost/" in letter.body


@pytest.mark.django_db(transaction=True)
def test_of_tries_made_at_the_very_same_moment_five_pass():
    """Sixteen threads that begin together, ten times over: 5 each time, whatever comes between whose steps."""
    together, every = threading.Barrier(16), sys.getswitchinterval()

    def tries(_thread):
        passed = 0
        try:
            for round_ in range(10):
                together.wait(60)
                try:
                    pace.take(pace.SIGN_IN, f"round {round_}", 1_780_000_000_000)
                    passed += 1
                except pace.TooOften:
                    pass
        finally:
            connection.close()
        return passed

    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(16) as pool:
            assert sum(pool.map(tries, range(16))) == 10 * 5
    finally:
        sys.setswitchinterval(every)


@pytest.mark.django_db(transaction=True)
def test_of_two_hundred_guesses_at_once_no_more_than_ten_are_looked_at(lee, monkeypatch):
    looked_at, real = [], backends.ModelBackend.authenticate
    monkeypatch.setattr(
        backends.ModelBackend, "authenticate", lambda *args, **kwargs: looked_at.append(1) or real(*args, **kwargs)
    )

    def guess(number):
        try:
            answer = enter(Client(), password=f"guess-number-{number}", REMOTE_ADDR=f"198.51.100.{number}")
            return answer.status_code
        finally:
            connection.close()

    with ThreadPoolExecutor(16) as pool:
        answers = list(pool.map(guess, range(200)))
    assert 5 <= len(looked_at) <= 10  # five at once, and one more for each three minutes that this took
    assert answers.count(422) == len(looked_at)
    assert answers.count(429) == 200 - len(looked_at)
