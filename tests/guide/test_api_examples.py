"""Every line of the API's page, sent as it stands to the program: read as curl reads it, and answered as told."""

import base64
import re
import shlex
import time
from datetime import timedelta
from urllib.parse import urlsplit

import pytest
from django.test import Client

from projects.platform.permissions import Role
from projects.traffic import once
from projects.webhooks import signing
from tests.api.houses import token_of
from tests.factories import JobFactory, MemberFactory, RoomFactory
from tests.guide.pages import GUIDE, PAGES, ROOT, boxes, commands

API, SETTINGS = GUIDE / "api.md", GUIDE / "settings.md"
LINES = [line for line in commands(API) if line.startswith("curl ")]


def request_of(line, known):
    """(verb, address, headers, body) of a curl line, its $NAMES filled in from what is known."""
    words = shlex.split(re.sub(r"\$([A-Z_]+)", lambda found: known[found[1]], line))[1:]
    verb, headers, body, address = "GET", {}, "", ""
    while words:
        word = words.pop(0)
        if word == "-X":
            verb = words.pop(0)
        elif word == "-H":
            name, _, value = words.pop(0).partition(": ")
            headers[name] = value
        elif word == "-d":
            body = words.pop(0)
        else:
            assert not word.startswith("-") and not address, word
            address = word
    parts = urlsplit(address)
    assert parts.netloc == "127.0.0.1:8000"
    return verb, parts.path + (f"?{parts.query}" if parts.query else ""), headers, body


@pytest.fixture
def known(db):
    member = MemberFactory(role=Role.OWNER.value)
    job = JobFactory(shop=member.shop)
    return {"TOKEN": token_of(member), "JOB": str(job.pk), "ROOM": str(RoomFactory(job=job).pk)}


def sent(line, known):
    verb, address, headers, body = request_of(line, known)
    kind = headers.pop("Content-Type", "")
    return Client().generic(verb, address, body, kind, headers=headers)


def test_each_line_is_answered(known):
    answers = []
    for line in LINES:
        for name, address in (("TAG", f"jobs/{known['JOB']}/"), ("ROOM_TAG", f"rooms/{known['ROOM']}/")):
            if f"${name}" in line:
                read = f'curl -H "Authorization: Bearer $TOKEN" "http://127.0.0.1:8000/api/v1/{address}"'
                known[name] = sent(read, known)["ETag"].replace('"', '\\"')
        answers.append((sent(line, known), line))
    for answer, line in answers:
        assert answer.status_code in (200, 201, 204), (line, answer.content[:300])
    verbs = [request_of(line, known)[0] for line in LINES]
    assert {"GET", "POST", "PATCH", "DELETE"} == set(verbs)


def test_the_lines_stand_nowhere_else():
    assert [line for page in PAGES if page != API for line in commands(page) if line.startswith("curl ")] == []


def test_the_page_says_the_limits_that_hold():
    text = API.read_text()
    assert f"kept for {once.KEPT // timedelta(hours=1)} hours" in text
    rows = dict(re.findall(r"^\| `(CEILINGBOOK_API_\w+)` \| [^|]+ \| (\d+) \|$", SETTINGS.read_text(), re.MULTILINE))
    assert f"may ask {rows['CEILINGBOOK_API_PER_MINUTE']} times a minute" in text
    assert f"an unknown address {rows['CEILINGBOOK_API_UNKNOWN_PER_MINUTE']} times" in text
    read = dict(re.findall(r'"(CEILINGBOOK_API_\w+)", "(\d+)"', (ROOT / "projects/settings.py").read_text()))
    assert rows == read


def test_what_the_page_asks_of_a_message_lets_ours_through_and_no_other():
    [code] = [body for language, body in boxes(API) if language == "python"]
    known = {}
    exec(compile(code, API.name, "exec"), known)
    asks = known["came_from_the_book"]
    now, body, secret = int(time.time()), b'{"type": "room.moved"}', "whsec_" + base64.b64encode(b"k" * 32).decode()
    other = "whsec_" + base64.b64encode(b"j" * 32).decode()
    assert asks(signing.headers("msg_1", now, body, [other, secret]), body, secret)
    assert not asks(signing.headers("msg_1", now, body, [other]), body, secret)
    assert not asks(signing.headers("msg_1", now, body, [secret]), body + b" ", secret)
    assert not asks(signing.headers("msg_1", now - 900, body, [secret]), body, secret)
