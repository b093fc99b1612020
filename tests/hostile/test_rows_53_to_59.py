"""Attacks on the doors themselves: guesses, letters, sessions, forged forms, addresses, hosts, doubled words."""

import http.client
import re
import socket

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse

from projects.accounts.models import Membership, User
from projects.doors.models import Tried
from projects.jobs.models import Job
from projects.platform.address import client_address, counted_as
from projects.platform.permissions import ROUTES
from tests.doors import conftest as doors
from tests.doors.conftest import PASSWORD, enter, letters_sent
from tests.factories import ApiTokenFactory, JobFactory, MemberFactory

pytestmark = pytest.mark.django_db
WRONG = "not-the-password-1"
lee, quick_hashes = doors.lee, doors.quick_hashes


def api(client, path="/api/v1/me/", **more):
    return client.get(path, **more)


# 53: guesses. Two hundred at once: tests/doors/test_guesses.py


def test_row_53_guesses_spread_over_addresses_meet_the_account_s_limit(lee):
    answers = [enter(Client(), password=WRONG, REMOTE_ADDR=f"198.51.100.{n}") for n in range(30)]
    assert [answer.status_code for answer in answers] == [422] * 5 + [429] * 25
    assert all(int(answer["Retry-After"]) > 0 for answer in answers[5:])


def test_row_53_guesses_spread_over_accounts_meet_the_place_s_limit(lee):
    answers = [enter(Client(), f"p{n}@shop.example", WRONG, REMOTE_ADDR="198.51.100.7").status_code for n in range(60)]
    looked_at = answers.count(422)
    assert 40 <= looked_at < 60 and set(answers[looked_at:]) == {429}
    assert enter(Client(), REMOTE_ADDR="198.51.100.8").status_code == 302


def test_row_53_a_network_s_whole_sixty_four_bits_are_one_place(lee):
    answers = [
        enter(Client(), f"p{n}@shop.example", WRONG, REMOTE_ADDR=f"2001:db8:1:2::{n:x}").status_code for n in range(60)
    ]
    assert answers[-1] == 429


@pytest.mark.parametrize("forged", ["203.0.113.{n}", "203.0.113.{n}, 10.0.0.1", "unknown", "::ffff:203.0.113.{n}"])
def test_row_53_a_forged_forwarded_for_is_not_believed(lee, forged):
    answers = [
        enter(
            Client(), f"p{n}@shop.example", WRONG,
            REMOTE_ADDR="198.51.100.7", HTTP_X_FORWARDED_FOR=forged.format(n=n),
        ).status_code
        for n in range(60)
    ]  # fmt: skip
    assert answers[-1] == 429


@pytest.mark.parametrize(
    ("peer", "told", "is_from"),
    [
        ("198.51.100.7", "203.0.113.5", "198.51.100.7"),
        ("10.0.0.2", "203.0.113.5", "203.0.113.5"),
        ("10.0.0.2", "6.6.6.6, 203.0.113.5", "203.0.113.5"),  # what the client wrote stands on the left
        ("10.0.0.2", "203.0.113.5, 10.0.0.9", "203.0.113.5"),
        ("10.0.0.2", "203.0.113.5, nonsense", "10.0.0.2"),
        ("10.0.0.2", "", "10.0.0.2"),
        ("", "203.0.113.5", "203.0.113.5"),
    ],
)
def test_row_53_only_our_own_proxies_say_where_a_request_is_from(rf, settings, peer, told, is_from):
    settings.TRUSTED_PROXIES = ["10.0.0.0/8", "unix"]
    assert client_address(rf.get("/", REMOTE_ADDR=peer, HTTP_X_FORWARDED_FOR=told)) == is_from


def test_row_53_addresses_are_counted_by_who_has_them():
    assert counted_as("2001:db8:1:2:3:4:5:6") == counted_as("2001:db8:1:2::") != counted_as("2001:db8:1:3::")
    assert counted_as("::ffff:203.0.113.5") == counted_as("203.0.113.5") == "203.0.113.5"


def test_row_53_what_is_kept_of_guesses_names_nobody(lee):
    enter(Client(), password=WRONG, REMOTE_ADDR="198.51.100.7")
    kept = " ".join(f"{tried.what} {tried.key}" for tried in Tried.objects.all())
    assert "lee" not in kept and "198.51" not in kept


# 54: letters for a new password


def test_row_54_a_poisoned_host_is_refused_and_the_link_is_the_server_s_own(client, lee):
    lost, typed = reverse("lost_password"), {"email": "lee@shop.example"}
    for header in ("HTTP_X_FORWARDED_HOST", "HTTP_X_HOST", "HTTP_FORWARDED"):
        assert client.post(lost, typed, **{header: "evil.example"}).status_code == 200
    assert client.post(lost, typed, HTTP_HOST="evil.example").status_code == 400
    letters = letters_sent()
    assert len(letters) == 3
    for letter in letters:
        assert re.findall(r"https?://[^/\s]+", letter.body) == ["https://book.example.com"]
        assert "evil" not in letter.body


@pytest.mark.parametrize(
    "email", ["lee@shop.example\nBcc: all@shop.example", "lee@shop.example,evil@x.example", "@", ""]
)
def test_row_54_an_address_that_is_more_than_one_goes_nowhere(client, lee, email):
    assert client.post(reverse("lost_password"), {"email": email}).status_code == 422
    assert letters_sent() == []


def test_row_54_a_look_alike_in_full_width_is_the_same_account_not_another(client, lee):
    assert client.post(reverse("lost_password"), {"email": "LEE@shop．example"}).status_code == 200
    [letter] = letters_sent()
    assert letter.to == ["lee@shop.example"]


# 55: sessions


def test_row_55_a_planted_session_is_not_the_one_that_is_signed_in(client, lee):
    key = "a" * 32
    client.cookies[settings.SESSION_COOKIE_NAME] = key
    enter(client)
    assert client.cookies[settings.SESSION_COOKIE_NAME].value != key
    assert not Session.objects.filter(session_key=key).exists()
    thief = Client()
    thief.cookies[settings.SESSION_COOKIE_NAME] = key
    assert api(thief).status_code == 401


def test_row_55_a_key_known_before_signing_in_opens_nothing_after(client, lee):
    session = client.session
    session["before"] = 1
    session.save()
    known = session.session_key
    client.cookies[settings.SESSION_COOKIE_NAME] = known
    enter(client)
    thief = Client()
    thief.cookies[settings.SESSION_COOKIE_NAME] = known
    assert api(thief).status_code == 401


def test_row_55_a_stolen_cookie_is_dead_after_signing_out(client, lee):
    enter(client)
    thief = Client()
    thief.cookies[settings.SESSION_COOKIE_NAME] = client.cookies[settings.SESSION_COOKIE_NAME].value
    assert api(thief).status_code == 200
    client.post(reverse("sign_out"))
    assert api(thief).status_code == 401
    assert thief.get("/rooms/").url.startswith("/sign-in/")


@pytest.mark.parametrize("happened", ["password", "switched off"])
def test_row_55_a_session_ends_with_its_password_and_with_its_account(client, lee, happened):
    enter(client)
    user = User.objects.get(pk=lee.user_id)
    if happened == "password":
        user.set_password("another-one-here-5")
    else:
        user.is_active = False
    user.save()
    assert api(client).status_code == 401


def test_row_55_who_no_longer_works_here_has_neither_pages_nor_api_nor_tokens(client, lee):
    enter(client)
    token = ApiTokenFactory(member=lee)
    Membership.objects.filter(pk=lee.pk).update(active=False)
    assert client.get("/rooms/").url == "/shops/"
    assert api(client).status_code in (401, 403)
    assert api(Client(), headers={"Authorization": f"Bearer {token.name}"}).status_code == 401


def test_row_55_cookies_are_kept_from_scripts_and_neighbors(client, lee):
    enter(client)
    session, device = client.cookies[settings.SESSION_COOKIE_NAME], client.cookies[settings.DEVICE_COOKIE_NAME]
    for cookie in (session, device):
        assert (cookie["httponly"], cookie["samesite"], cookie["domain"], cookie["path"]) == (True, "Lax", "", "/")


def test_row_55_a_device_s_cookie_alone_lets_nobody_in(client, lee):
    enter(client)
    thief = Client()
    thief.cookies[settings.DEVICE_COOKIE_NAME] = client.cookies[settings.DEVICE_COOKIE_NAME].value
    assert api(thief).status_code == 401
    assert enter(thief, password=WRONG).status_code == 422


# 56: forged forms


@pytest.fixture
def checked(lee):
    """A signed-in browser whose forms are checked, as they are in use."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(lee.user)
    return client


def test_row_56_another_site_s_form_is_refused(checked, lee):
    for headers in ({}, {"HTTP_ORIGIN": "https://evil.example"}, {"HTTP_ORIGIN": "null"}):
        answer = checked.post(reverse("new_job"), {"number": "26-300", "name": "Mill"}, **headers)
        assert answer.status_code == 403
    assert not Job.objects.of(lee.shop).exists()


def test_row_56_signing_in_and_setting_a_password_are_forms_too(lee):
    client = Client(enforce_csrf_checks=True)
    assert enter(client).status_code == 403
    for name in ("lost_password", "join"):
        assert client.post(reverse(name), {"email": "lee@shop.example"}).status_code == 403


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"])
def test_row_56_json_in_a_form_s_clothes_is_not_read(checked, lee, kind):
    body = '{"number": "26-300", "name": "Mill"}'
    token = ApiTokenFactory(member=lee, digest=ApiTokenFactory._meta.model.digest_of("a-secret"))
    assert checked.post("/api/v1/jobs/", body, content_type=kind).status_code in (403, 415)
    by_token = Client().post(
        "/api/v1/jobs/", body, content_type=kind, headers={"Authorization": "Bearer a-secret"}
    )
    assert by_token.status_code == 415, token
    assert not Job.objects.of(lee.shop).exists()


def test_row_56_a_session_at_the_api_is_checked_as_on_a_page(checked, lee):
    body = {"number": "26-300", "name": "Mill"}
    assert checked.post("/api/v1/jobs/", body, content_type="application/json").status_code == 403
    assert not Job.objects.of(lee.shop).exists()


def test_row_56_a_wrong_token_is_not_made_good_by_a_cookie(checked):
    assert api(checked, headers={"Authorization": "Bearer wrong"}).status_code == 401


def test_row_56_no_address_changes_anything_by_being_read():
    """Each page's reading is walked for that (tests/walk); a route that only does has no reading at all."""
    doing = ("sign_out", "trash_room", "issue_revision", "approve_revision", "send_bid", "take_back_invitation")
    for name in doing:
        assert ROUTES[name].write and (ROUTES[name].read is None or name == "trash_room"), name


# 57: sent elsewhere

ELSEWHERE = [
    "//evil.example", "///evil.example", "////evil.example", "/\\evil.example", "\\\\evil.example", "\\/evil.example",
    "https:evil.example", "https:/evil.example", "https://evil.example", "HTTPS://EVIL.EXAMPLE", "http://evil.example",
    "javascript:alert(1)", "JaVaScRiPt:alert(1)", "data:text/html,x", "vbscript:x", "//evil.example@testserver/",
    "https://testserver@evil.example/", "https://testserver.evil.example/", "/%0d%0aSet-Cookie: a=b\r\nSet-Cookie: a=b",
    "\t//evil.example", " //evil.example", "//evil%E3%80%82example", "/\t/evil.example", "/\n/evil.example", "ftp://x",
    "mailto:a@b.example", "http:///evil.example", "http:\\\\evil.example", "//[::1]/", "/\x00/evil.example",
]  # fmt: skip


@pytest.mark.parametrize("target", ELSEWHERE)
def test_row_57_no_word_in_an_address_sends_anyone_elsewhere(client, lee, target):
    answer = client.post(reverse("sign_in"), {"email": "lee@shop.example", "password": PASSWORD, "next": target})
    if answer.status_code == 422:  # what no box takes, such as a NUL
        assert "next" in answer.context["form"].errors
        enter(client)
    else:
        assert answer.url == reverse("home")
        assert "a" not in answer.cookies
    again = client.post(reverse("step_up"), {"password": PASSWORD, "next": target})
    assert again.url == "/"
    referer = re.sub(r"[\r\n]", "", target)  # no server hands on a header of two lines
    back = client.post(reverse("own_language"), {"language": "es-mx"}, HTTP_REFERER=referer)
    assert not re.match(r"(?i)(https?:)?[/\\]{2}|[a-z]+:", back.url)


# 58: hosts, caches, smuggling


HOSTS = ["evil.example", "testserver.evil.example", "testserver@evil.example", "testserver:80@evil", "", "a b", "[::1"]


@pytest.mark.parametrize("host", HOSTS)
def test_row_58_a_host_that_is_not_ours_is_refused(client, host):
    assert client.get("/sign-in/", HTTP_HOST=host).status_code == 400


def test_row_58_what_a_proxy_might_say_moves_nothing_when_it_is_no_proxy(client):
    said = {
        "HTTP_X_FORWARDED_HOST": "evil.example", "HTTP_X_FORWARDED_PROTO": "https", "HTTP_X_FORWARDED_PORT": "1",
        "HTTP_X_ORIGINAL_URL": "/alive/", "HTTP_X_REWRITE_URL": "/alive/",
    }  # fmt: skip
    answer = client.get("/jobs/", REMOTE_ADDR="198.51.100.7", **said)
    assert answer.url == "/sign-in/?next=%2Fjobs%2F"
    assert "evil" not in client.get("/sign-in/", REMOTE_ADDR="198.51.100.7", **said).content.decode()


def test_row_58_tls_is_believed_from_our_proxy_alone(client, settings):
    settings.SECURE_SSL_REDIRECT, settings.SECURE_PROXY_SSL_HEADER = True, ("HTTP_X_FORWARDED_PROTO", "https")
    settings.TRUSTED_PROXIES = ["10.0.0.2"]
    from_proxy = client.get("/sign-in/", REMOTE_ADDR="10.0.0.2", HTTP_X_FORWARDED_PROTO="https")
    forged = client.get("/sign-in/", REMOTE_ADDR="198.51.100.7", HTTP_X_FORWARDED_PROTO="https")
    assert (from_proxy.status_code, forged.status_code, forged.url) == (200, 301, "https://testserver/sign-in/")


def test_row_58_nothing_private_is_kept_on_the_way(client, lee):
    enter(client)
    job = JobFactory(shop=lee.shop)
    for address in ("/rooms/", "/jobs/", f"/jobs/{job.pk}/", "/tokens/", "/shop/people/", "/sign-in/", "/jobs/;.css"):
        assert "no-store" in client.get(address)["Cache-Control"], address
    # A program asks again with the tag it has: kept by itself alone, and never used unasked.
    assert client.get("/api/v1/jobs/")["Cache-Control"] in ("private, no-cache", "private, no-store")


@pytest.mark.django_db(transaction=True)
def test_row_58_two_lengths_of_one_body_are_refused(live_gunicorn):
    pairs = [
        b"Content-Length: 4\r\nTransfer-Encoding: chunked\r\n",
        b"Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n",
        b"Transfer-Encoding: xchunked\r\n",
        b"Content-Length: 4\r\nContent-Length: 5\r\n",
        b"Content-Length: +4\r\n",
        b"Content-Length : 4\r\n",
    ]
    for headers in pairs:
        said = _raw(live_gunicorn, b"POST /alive/ HTTP/1.1\r\nHost: 127.0.0.1\r\n" + headers + b"\r\n0\r\n\r\nGET /x")
        assert re.match(rb"HTTP/1\.[01] (400|501)", said), (headers, said[:80])
        assert said.count(b"HTTP/1.") == 1, headers
    absolute = b"GET http://evil.example/sign-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n"
    assert b"evil.example" not in _raw(live_gunicorn, absolute)


def _raw(port, words):
    with socket.create_connection(("127.0.0.1", port), timeout=60) as one:
        one.sendall(words)
        one.shutdown(socket.SHUT_WR)
        said = b""
        while chunk := one.recv(65536):
            said += chunk
    return said


@pytest.fixture
def live_gunicorn(transactional_db, tmp_path):
    from tests.growth.processes import environment, free_port, start, stop, wait_for

    port = free_port()
    env = environment(tmp_path, CEILINGBOOK_BIND=f"127.0.0.1:{port}", CEILINGBOOK_PROCESSES="1")
    with (tmp_path / "log").open("wb") as log:
        server = start(["python", "manage.py", "serve"], env, log)
        try:
            wait_for(lambda: _lives(port), "the server")
            yield port
        finally:
            stop([server])


def _lives(port):
    try:
        one = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        one.request("GET", "/livez")
        return one.getresponse().status == 200
    except OSError:
        return False


# 59: doubled words, other verbs


@pytest.mark.parametrize(
    "address", ["/rooms/?view=table&view=wall", "/jobs/?page=1&page=2", "/api/v1/jobs/?page=1&page=2"]
)
def test_row_59_a_word_said_twice_is_refused(client, lee, address):
    client.force_login(lee.user)
    assert client.get(address).status_code == 400
    assert client.get(address.rsplit("&", 1)[0]).status_code == 200


def test_row_59_a_shop_in_the_address_is_nobody_s_choice(client, lee):
    other = MemberFactory()
    theirs = JobFactory(shop=other.shop, name="Quillback house")
    client.force_login(lee.user)
    for query in (f"?shop={other.shop_id}", f"?shop={lee.shop_id}&shop={other.shop_id}", f"?shop_id={other.shop_id}"):
        assert "Quillback" not in client.get(f"/jobs/{query}").content.decode()
        assert client.get(f"/jobs/{theirs.pk}/{query}").status_code in (400, 404)
        assert "Quillback" not in client.get(f"/api/v1/jobs/{query}").content.decode()


@pytest.mark.parametrize("verb", ["DELETE", "PUT", "PATCH"])
def test_row_59_a_post_is_a_post_whatever_it_calls_itself(client, lee, verb):
    job = JobFactory(shop=lee.shop)
    client.force_login(lee.user)
    named = {"HTTP_X_HTTP_METHOD_OVERRIDE": verb, "HTTP_X_METHOD_OVERRIDE": verb, "HTTP_X_HTTP_METHOD": verb}
    assert client.post(f"/jobs/{job.pk}/", {"_method": verb}, **named).status_code == 405
    answer = client.post(f"/api/v1/jobs/{job.pk}/", {"_method": verb}, content_type="application/json", **named)
    assert answer.status_code == 405
    assert client.get(f"/api/v1/jobs/{job.pk}/?_method={verb}", **named).status_code in (200, 400)
    assert Job.objects.of(lee.shop).filter(pk=job.pk).exists()


@pytest.mark.parametrize("verb", ["TRACE", "CONNECT", "FROB", "PROPFIND", "DELETE", "PUT"])
def test_row_59_another_verb_is_told_which_ones_there_are(client, lee, verb):
    client.force_login(lee.user)
    for address in ("/jobs/", "/sign-in/", "/password/lost/", "/api/v1/jobs/"):
        answer = client.generic(verb, address)
        assert answer.status_code == 405, address
        assert "GET" in answer["Allow"]


def test_row_59_head_is_get_without_a_body(client, lee):
    client.force_login(lee.user)
    for address in ("/jobs/", "/sign-in/", "/api/v1/jobs/"):
        answer = client.head(address)
        assert (answer.status_code, answer.content) == (200, b"")
