"""A code beside the password. Codes are reckoned here from RFC 6238 itself, not by the library the product uses."""

import hashlib
import hmac
import struct
import time
from base64 import b32decode

import pytest
from django.test import Client
from django.urls import reverse
from django_otp.plugins.otp_totp.models import TOTPDevice

from projects.doors import second
from tests.doors.conftest import PASSWORD, enter, long_ago
from tests.factories import JoinedFactory


def totp(key, moment, digits=6):
    """RFC 6238 over RFC 4226: HMAC-SHA-1 of the half minute, cut to so many digits."""
    hashed = hmac.new(key, struct.pack(">Q", int(moment) // 30), hashlib.sha1).digest()
    at = hashed[-1] & 0x0F
    return f"{(struct.unpack('>I', hashed[at : at + 4])[0] & 0x7FFFFFFF) % 10**digits:0{digits}}"


@pytest.mark.parametrize(
    ("moment", "code"),
    [(59, "94287082"), (1111111109, "07081804"), (1234567890, "89005924"), (2000000000, "69279037")],
)
def test_the_test_s_own_code_is_that_of_the_standard(moment, code):
    """RFC 6238, appendix B, SHA-1 with the key of 20 digits."""
    assert totp(b"12345678901234567890", moment, digits=8) == code


@pytest.fixture(autouse=True)
def within_one_step(monkeypatch):
    """The server's clock stands a second into a code's thirty: on a slow machine a code would be of the step before."""
    began = time.time() // 30 * 30 + 1
    monkeypatch.setattr(time, "time", lambda: began)


@pytest.fixture
def phone(client, lee):
    """The key as the page shows it to the phone, once it is on; the codes for paper with it."""
    enter(client)
    address = reverse("second_factor")
    assert client.post(address, {"do": "begin"}).url == address
    shown = client.get(address).context["waiting"]["key"].replace(" ", "")
    key = b32decode(shown + "=" * (-len(shown) % 8))
    answer = client.post(address, {"code": totp(key, time.time() - 30)})  # the one before is still taken
    assert answer.status_code == 200
    client.logout()
    return key, answer.context["codes"]


def test_the_password_alone_no_longer_lets_in(phone):
    browser = Client()
    assert enter(browser).url == reverse("sign_in_code")
    assert browser.get("/rooms/").url.startswith("/sign-in/")
    assert browser.get("/api/v1/me/").status_code == 401
    answer = browser.post(reverse("sign_in_code"), {"code": totp(phone[0], time.time())})
    assert (answer.status_code, browser.get("/rooms/").status_code) == (302, 200)


def test_a_code_opens_once(phone):
    first, thief = Client(), Client()
    code = {"code": totp(phone[0], time.time())}
    for browser in (first, thief):
        enter(browser)
    assert first.post(reverse("sign_in_code"), code).status_code == 302
    assert thief.post(reverse("sign_in_code"), code).status_code == 422


def test_a_code_on_paper_opens_once_typed_as_one_likes(phone):
    code = phone[1][0].upper()
    for taken in (302, 422):
        browser = Client()
        enter(browser)
        assert browser.post(reverse("sign_in_code"), {"code": f" {code[:4]} {code[4:]}"}).status_code == taken
    assert len(phone[1]) == len(set(phone[1])) == 10


def test_codes_are_not_guessed(phone):
    browser = Client()
    enter(browser)
    answers = [browser.post(reverse("sign_in_code"), {"code": f"{n:06}"}) for n in range(6)]
    assert [answer.status_code for answer in answers] == [422] * 5 + [429]
    other = Client()
    enter(other)
    assert other.post(reverse("sign_in_code"), {"code": totp(phone[0], time.time())}).status_code == 429


@pytest.mark.parametrize("typed", ["", "١٢٣٤٥٦", "12345６", "' OR 1", "1" * 21])
def test_what_is_no_code_is_told(phone, typed):
    browser = Client()
    enter(browser)
    assert browser.post(reverse("sign_in_code"), {"code": typed}).status_code == 422


def test_who_did_not_type_the_password_comes_to_no_code(db):
    assert Client().get(reverse("sign_in_code")).url == reverse("sign_in")
    assert Client().post(reverse("sign_in_code"), {"code": "123456"}).url == reverse("sign_in")


def test_halfway_ends_with_ten_minutes_and_with_another_password(phone, lee):
    browser = Client()
    enter(browser)
    session = browser.session
    session[second.HALFWAY] |= {"at": int(time.time()) - 601}
    session.save()
    assert browser.get(reverse("sign_in_code")).url == reverse("sign_in")
    enter(browser)
    lee.user.set_password("another-one-here-5")
    lee.user.save()
    assert browser.get(reverse("sign_in_code")).url == reverse("sign_in")


def test_setting_it_up_and_turning_it_off_ask_for_the_password(client, lee):
    enter(client)
    long_ago(client, 3600)
    for what in ("begin", "codes", "off"):
        assert client.post(reverse("second_factor"), {"do": what}).status_code == 403
    assert not TOTPDevice.objects.exists()
    sent = {"do": "begin", "password_again": PASSWORD}
    assert client.post(reverse("second_factor"), sent).status_code == 302
    assert TOTPDevice.objects.filter(user=lee.user, confirmed=False).count() == 1


def test_it_is_not_on_before_the_phone_has_shown_a_right_code(client, lee):
    enter(client)
    client.post(reverse("second_factor"), {"do": "begin"})
    assert client.post(reverse("second_factor"), {"code": "000000"}).status_code == 422
    assert not second.is_on(lee.user)
    assert enter(Client()).url != reverse("sign_in_code")


def test_new_codes_end_the_old_and_off_is_off(client, phone, lee):
    client.force_login(lee.user)
    fresh = client.post(reverse("second_factor"), {"do": "codes"}).context["codes"]
    assert not set(fresh) & set(phone[1]) and second.codes_left(lee.user) == 10
    browser = Client()
    enter(browser)
    assert browser.post(reverse("sign_in_code"), {"code": phone[1][0]}).status_code == 422
    client.post(reverse("second_factor"), {"do": "off"})
    assert enter(Client()).url != reverse("sign_in_code")


def test_who_came_by_a_code_has_none(client, db):
    client.force_login(JoinedFactory(member__user__email=None).member.user)
    assert client.get(reverse("second_factor")).status_code == 404
