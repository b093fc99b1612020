"""What a box understood is said back while it is typed."""

import pytest
from django.urls import reverse

from projects.platform.permissions import Role


def read(client, text, **more):
    return client.get(reverse("read_length"), {"text": text} | more)


@pytest.mark.parametrize(
    ("style", "text", "echo"),
    [
        ("in", "150 1/2", "12'-6 1/2\" · 150 1/2\" · ≈ 3823 mm"),  # 150.5 x 25.4 = 3822.7
        ("in", "12' 6 1/2\"", "12'-6 1/2\" · 150 1/2\" · ≈ 3823 mm"),
        ("in", "18½", "1'-6 1/2\" · 18 1/2\" · ≈ 470 mm"),  # 469.9
        ("mm", "3840", "3840 mm · ≈ 12'-7 3/16\" · ≈ 151 3/16\""),  # 151.1811 in; 3/16 = 0.1875
        ("mm", "2540", "2540 mm · 8'-4\" · 100\""),
    ],
)
def test_a_length_is_said_in_both_units(owner, style, text, echo):
    assert read(owner, text, style=style).json() == {"ok": True, "echo": echo}


def test_an_ambiguous_one_gives_both_readings(owner):
    said = read(owner, "12-6").json()
    assert said["ok"] is False
    assert [reading["text"] for reading in said["readings"]] == ["12'-6\"", "12 6/16 in"]
    assert said["readings"][0]["echo"].startswith("12'-6\" · 150\"")


@pytest.mark.parametrize("text", ["", "x", "-5", "1" * 65, "1" * 5000, "٣", "1/0", "12''6", "\x00", "nan", "1e9"])
def test_what_can_not_be_read_is_answered_in_words(owner, text):
    answer = read(owner, text)
    said = answer.json()
    assert answer.status_code == 200
    assert (said["ok"], said["readings"]) == (False, [])
    assert said["error"] and "Traceback" not in said["error"]


def test_a_style_nobody_knows_is_the_shops_own(owner):
    assert read(owner, "150 1/2", style="cubits").json()["ok"]


@pytest.mark.parametrize("role", Role)
def test_everyone_of_a_shop_is_answered(as_role, role):
    assert read(as_role(role), "12'").json()["ok"]


def test_nobody_else_is(client, db):
    assert read(client, "12'").status_code == 302


def test_reading_is_not_posted(owner):
    assert owner.post(reverse("read_length"), {"text": "12'"}).status_code == 405
