"""Of every body that a room's pages have over the API: no odd value breaks the server or goes unnamed."""

import io
from datetime import timedelta

import pytest
from django.utils import timezone

from projects.accounts.models import Membership
from projects.platform.permissions import Role
from tests.api.houses import problem_of
from tests.api.test_bodies import ODD, every_place, put

SOON = str(timezone.localdate() + timedelta(days=9))
PIECE = {"name": "Sofa", "round": False, "wide": "84 in", "deep": "36 in", "left": "12 in", "door": "20 in",
         "reach": "24 in"}  # fmt: skip
HELD = {"pins": [{"line": "column", "number": 2, "at": "70 in"}],
        "moved": [{"kind": "light", "row": 1, "number": 1, "along": "12 in", "across": "18 in"}],
        "ceiling": {"framing": "none", "outline": [{"x": "0 in", "y": "0 in"}]}}  # fmt: skip
BODIES = {
    "shop_rules": ("PATCH", {"name": "Shop", "style": "in", "fraction": 16, "spacing_limit": "72 in", "web_min": "1 in",
                             "zero_note": "a", "currency": "USD"}),
    "person": ("PATCH", {"role": "crew", "may_approve": False, "active": True}),
    "invitations": ("POST", {"name": "Pat", "email": "pat@shop.example", "role": "crew", "may_quote": False}),
    "own_language": ("POST", {"language": "es-mx"}),
    "paste_rooms": ("POST", {"text": "Room\nDen", "kind": "plan"}),
    "restore_room": ("POST", {"name": "a"}),
    "restore_job": ("POST", {"number": "a"}),
    "fixture_label": ("PATCH", {"listing": "a", "rated_ic": "ic", "place": "", "label_read_on": "2026-05-03"}),
    "photo": ("PATCH", {"caption": "a", "bay": 2, "mark": "A1", "purpose": "wall"}),
    "punch": ("POST", {"words": "a", "mark": "A1"}),
    "job_phone": ("PATCH", {"until": SOON}),
    "join_codes": ("POST", {"until": SOON}),
    "cancel_room": ("POST", {"why": "a"}),
    "bring_back_room": ("POST", {"note": "a"}),
    "alike": ("POST", {"times": 1, "names": ["201"]}),
    "hand_on": ("POST", {"seen": "a"}),
    "follow_type": ("POST", {"parts": ["layout"]}),
    "lay_out_job": ("POST", {"end_setback": "24 in", "spacing_limit": "60 in", "issue": True}),
    "furniture": ("POST", PIECE),
    "piece": ("PATCH", PIECE),
    "settle_piece": ("POST", {"do": "leave"}),
    "as_built": ("POST", {"mark": "A2", "step": "floor", "along": "75 in", "across": "18 in", "reason": "joist",
                          "words": "a", "base": 0, "alone": False, "revision": 1}),
    "as_built_bulk": ("POST", {"items": [{"mark": "A2", "step": "floor", "along": "75 in"}]}),
    "take_back_mark": ("POST", {"mark": "A1", "step": "floor", "base": 1}),
    "answer_mark_move": ("POST", {"yes": False, "note": "a"}),
    "plan": ("POST", {"draft_version": 1, "ceiling_version": 1, **HELD}),
    "try_plan": ("POST", HELD),
    "plan_picture": ("PATCH", {"from_x": 0, "from_y": 0, "to_x": 9, "to_y": 0, "length": "20 ft", "at_left": "0 in",
                               "opacity": 50}),
    "framing_to_suit": ("POST", {"key": "a", "width": "1 1/2 in", "spacing": "16 in", "depth": "9 in"}),
    "task_lines": ("POST", {"task": "counter", "wall": "far", "start": "1 in", "end": "90 in", "deep": "25 in",
                            "at": "40", "key": "a", "reason": "a"}),
    "next_door": ("POST", {"neighbor": 1, "wall": "far", "from_corner": "1 in", "wide": "30 in", "their_wall": "door",
                           "their_corner": "1 in", "key": "a", "reason": "a"}),
    "take_light_proposal": ("POST", {"work": 1, "number": 0, "setup_version": 1, "reason": "a"}),
    "sound_choices": ("POST", {"speaker": "SP1", "choice": "keep"}),
}  # fmt: skip
ASKED = {
    "framing_to_suit": {"width": "1 1/2 in", "spacing": "16 in", "depth": "9 in"},
    "lid": {"wall": "1 in", "inside": "3 in"},
    "task_lines": {"task": "counter", "wall": "far", "start": "1 in", "end": "90 in", "deep": "25 in", "at": "40"},
    "next_door": {"neighbor": "1", "wall": "far", "from_corner": "1 in", "wide": "30 in", "their_wall": "door"},
    "light_compare": {"low": "12 in", "high": "24 in", "step": "12 in", "modes": "even", "rows": "2"},
    "sound_choices": {"speaker": "SP1"},
    "revision_difference": {"since": "1"},
    "photos": {"purpose": "wall", "mark": "A1", "stands": "true", "ordering": "id"},
    "people": {"role": "crew", "active": "true", "search": "a"},
}
WORDS = [*(each for each in ODD if isinstance(each, str)), "\0", "a,b,,", "-1", "²"]
FILES = (b"", b"\0" * 9, b"%PDF-1.7\n", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0", b"RIFF....WEBP", b"<svg/>")
ANSWERS = (200, 201, 202, 204, 400, 412, 422)


def told_well(response, *where):
    assert response.status_code in ANSWERS, (*where, response.content[:300])
    if response.status_code == 400:
        assert all(error["detail"] for error in problem_of(response)["errors"]), where


def no_odd_value_breaks(house, name, step):
    Membership.objects.filter(pk=house.people[Role.OWNER].pk).update(may_approve=True, may_move_marks=True)
    (method, body), asker, address = BODIES[name], house.ask(), house.address(name)
    for number, path in enumerate(every_place(body)):
        for n, odd in enumerate(ODD[number % step :: step]):
            key = f"{number}-{n}"
            told_well(asker.send(method, address, put(body, path, odd), If_Match="*", Idempotency_Key=key), path, odd)


@pytest.mark.parametrize("name", ["as_built", "furniture", "task_lines"])
def test_no_odd_value_breaks_the_server(house, name):
    no_odd_value_breaks(house, name, 12)


@pytest.mark.long
@pytest.mark.parametrize("name", BODIES)
def test_no_odd_value_in_any_place_breaks_the_server(house, name):
    no_odd_value_breaks(house, name, 2)


def test_no_odd_question_breaks_the_server(house):
    asker = house.ask()
    for name, asked in ASKED.items():
        for number, place in enumerate(asked):
            for odd in WORDS[number % 8 :: 8]:
                response = asker.client.get(house.address(name), asked | {place: odd}, headers=asker.headers)
                told_well(response, name, place, odd)


@pytest.mark.parametrize("name", ["photos", "close_punch", "sheet", "plan_picture_file"])
def test_no_odd_file_breaks_the_server(house, name):
    asker, address = house.ask(), house.address(name)
    box = {"sheet": "sheet", "plan_picture_file": "picture"}.get(name, "photos")
    for content in FILES:
        file = io.BytesIO(content)
        file.name = "../../a.png"
        told_well(asker.client.post(address, {box: file, "title": "a"}, headers=asker.headers), name, content)
    told_well(asker.client.post(address, {}, headers=asker.headers), name)
    raw = asker.send("POST", address, raw=b"--x\r\nbroken", content_type="multipart/form-data; boundary=x")
    told_well(raw, name, "broken")
