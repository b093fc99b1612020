"""What no phone of ours sends is answered in words, kept or refused, and in the way of nothing that comes after it."""

import json
from secrets import token_hex

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from projects.platform.permissions import Role
from reports.field.entries import ENTRIES
from reports.field.models import EntryKept, SiteNote
from tests.conftest import standing
from tests.factories import EntryKeptFactory, RoomFactory, ShopFactory
from tests.shops import people_of


class House:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.room = RoomFactory(shop=self.shop, name="Den")
        self.elsewhere = RoomFactory(name="Another shop's")


house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return house_standing


@pytest.fixture
def crew(house):
    client = Client()
    client.force_login(house.people[Role.CREW].user)
    return client


def sent(room, kind, data, **more):
    return {"key": token_hex(16), "kind": kind, "room": room.pk, "data": json.dumps(data)} | more


USUAL = {
    "note": {"text": "a"},
    "check": {"number": "2", "outcome": "pass", "reason": ""},
    "measure": {"door_1": "150", "taken_on": "", "taken_by": "", "kind": "", "note": "", "take:door_1": "149"},
    "photo": {"purpose": "", "bay": "", "mark": "", "caption": ""},
    "as_built": {"ident": "A1", "step": "floor", "along": "", "face": "", "reason": "", "words": "", "number": ""},
}
ODD = ["\ud800", "\u202e", "9" * 5000, "²", ["a", "b"], [], ["\udfff"], "1e400"]


@pytest.mark.parametrize("kind", sorted(USUAL))
def test_odd_values_are_answered_in_words(house, crew, kind):
    """In the first box, and in all the others at once."""
    assert kind in ENTRIES
    first, *others = USUAL[kind]
    said = {}
    for boxes in ([first], others):
        for value in ODD:
            answer = crew.post("/field/sync/", sent(house.room, kind, USUAL[kind] | dict.fromkeys(boxes, value)))
            if answer.status_code >= 500 or "words" not in answer.json():
                said[boxes[0], repr(value)[:20]] = answer.status_code
    assert said == {}


def test_odd_clocks_and_idents_are_a_remark_at_most(house, crew):
    for odd in ("\0", "x" * 200, "9999-12-31T23:59:59Z", "0001-01-01T00:00:00+23:59", "2026-12-01", "²"):
        clock = {"at": odd, "now": odd, "phone": odd}
        answer = crew.post("/field/sync/", sent(house.room, "note", {"text": "same"}, **clock))
        assert answer.status_code == 200, (odd, answer.content)


def test_a_settling_of_no_number_is_refused_in_words(house, crew):
    kept = EntryKeptFactory(room=house.room, member=house.people[Role.CREW])
    for odd in ("²", "9" * 5000, "-1", "", "1.0", "99999999999999999999"):
        answer = crew.post(f"/field/looks/{kept.pk}/settle/", {"how": "mine", "version": odd})
        assert answer.status_code == 302, odd
    assert EntryKept.objects.of(house.shop).get(pk=kept.pk).needs_a_look


def test_an_entry_about_another_shops_room_does_nothing_there(house, crew):
    for kind in ENTRIES:
        answer = crew.post("/field/sync/", sent(house.elsewhere, kind, {"text": "x", "door_1": "150"}))
        assert answer.status_code == 410, kind
        assert "Another shop's" not in answer.content.decode()
    assert not SiteNote.objects.of(house.elsewhere.shop).exists()


def test_nobody_settles_what_another_of_the_crew_entered(house, crew):
    kept = EntryKeptFactory(room=house.room, member=house.people[Role.CREW_LEAD])
    assert crew.post(f"/field/looks/{kept.pk}/settle/", {"how": "mine", "version": "1"}).status_code == 404
    theirs = EntryKeptFactory()
    assert crew.post(f"/field/looks/{theirs.pk}/settle/", {"how": "mine", "version": "1"}).status_code == 404


def test_what_is_no_picture_takes_no_room_while_it_waits_for_a_look(house, crew):
    """Else a phone fills the disk past the shop's bounds with what was refused."""
    file = SimpleUploadedFile("a.jpg", b"\x00" * 300_000)
    answer = crew.post("/field/sync/", sent(house.room, "photo", {}, file=file))
    assert answer.status_code == 422
    kept = EntryKept.objects.of(house.shop).get()
    assert kept.needs_a_look and not kept.picture
