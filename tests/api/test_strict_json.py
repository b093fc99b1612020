"""A body that two readers could understand in two ways is refused, and none of them breaks the server."""

import json

import pytest

from tests.api.houses import problem_of, wrong_at

JOB = {"number": "J-1", "name": "House"}
HOSTILE = {
    "not JSON": (b"{number: 1}", "not JSON"),
    "cut off": (b'{"number": "J', "not JSON"),
    "empty text": (b" ", "not JSON"),
    "a key twice": (b'{"number": "1", "name": "a", "name": "b"}', "stands twice"),
    "a key twice, deep": (b'{"number": {"a": 1, "a": 1}}', "stands twice"),
    "NaN": (b'{"number": NaN}', "NaN"),
    "Infinity": (b'{"number": Infinity}', "Infinity"),
    "-Infinity": (b'{"number": [-Infinity]}', "Infinity"),
    "more than a double holds": (b'{"number": 1e309}', "too large"),
    "nought with an exponent past all bounds": (b'{"number": -0e99999999999999999999}', "fewer digits"),
    "next to nought past all bounds": (b'{"number": 1e-99999999999999999999}', "fewer digits"),
    "far more than a double holds": (b'{"number": -1e999999999}', "too large"),
    "5,000 digits": (b'{"number": ' + b"9" * 5000 + b"}", "not JSON"),
    "33 deep": (b'{"number": ' + b"[" * 32 + b"]" * 32 + b"}", "nested"),
    "100,000 deep": (b"[" * 100_000, "nested"),
    "a lone surrogate": (rb'{"number": "\ud800", "name": "a"}', "surrogate"),
    "a lone surrogate as a key": (rb'{"\udc00": 1}', "surrogate"),
    "NUL": (b'{"number": "a\\u0000b", "name": "a"}', "NUL"),
    "not UTF-8": (b'{"number": "\xff"}', "UTF-8"),
    "UTF-16": ('{"number": "1"}'.encode("utf-16"), "UTF-8"),
    "a byte order mark": (b'\xef\xbb\xbf{"number": "1"}', "not JSON"),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_a_body_that_is_not_plain_json_is_refused(house, case):
    raw, said = HOSTILE[case]
    told = problem_of(house.ask().send("POST", house.address("jobs"), raw=raw), 400)
    assert said in told["detail"]


def test_a_body_as_deep_as_is_allowed_is_read(house):
    raw = b'{"number": ' + b"[" * 31 + b"1" + b"]" * 31 + b"}"
    assert "/number" in wrong_at(house.ask().send("POST", house.address("jobs"), raw=raw))


def test_a_body_over_a_million_bytes_is_too_large(house):
    address = house.address("jobs")
    fits = json.dumps(JOB).encode().ljust(1_000_000)
    assert house.ask().send("POST", address, raw=fits).status_code == 201
    problem_of(house.ask().send("POST", address, raw=fits + b" "), 413)


@pytest.mark.parametrize(
    "content_type", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "text/json"]
)
def test_only_json_is_read(house, content_type):
    response = house.ask().send("POST", house.address("jobs"), raw=b"number=1", content_type=content_type)
    assert "application/json" in problem_of(response, 415)["detail"]


@pytest.mark.parametrize("body", [[], [JOB], "text", 1, True, None], ids=repr)
def test_a_body_is_one_object(house, body):
    raw = json.dumps(body).encode()
    assert wrong_at(house.ask().send("POST", house.address("jobs"), raw=raw)) == {"": "Send one JSON object."}


def test_a_field_nobody_knows_is_named_and_nothing_is_kept(house):
    body = {**JOB, "shop": 2, "a/b~c": 1, "nested": {"x": [1]}}
    wrong = wrong_at(house.ask().post(house.address("jobs"), body))
    # RFC 6901, 3: ~ is written ~0 and / is written ~1
    assert set(wrong) == {"/shop", "/a~1b~0c", "/nested/x/0"}
    assert house.ask().get(house.address("jobs")).json()["count"] == 1


@pytest.mark.parametrize("field", ["id", "shop", "shop_id", "version", "created_at", "stage", "job", "cancelled"])
def test_what_is_not_for_writing_is_refused_not_passed_over(house, field):
    asker, address = house.ask(), house.address("room")
    response = asker.edit("PATCH", address, {"name": "Den", field: 1})
    assert f"/{field}" in wrong_at(response)
    assert asker.get(address).json()["name"] == "Snug"
