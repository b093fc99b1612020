"""An entry from a phone is taken once, whatever the line did to it, and answered alike each time it is sent."""

import json
from datetime import timedelta
from secrets import token_hex

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from projects.jobs.models import MeasurementSet
from projects.platform.permissions import Role
from reports.field.entries import ENTRIES, entry
from reports.field.models import EntryKept, SiteNote
from tests.conftest import standing
from tests.factories import RoomFactory, ShopFactory
from tests.shops import people_of


class House:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.room = RoomFactory(shop=self.shop, name="Den")


house_standing = standing(House)
strangers_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return house_standing


def phone(member):
    client = Client()
    client.force_login(member.user)
    return client


@pytest.fixture
def crew(house):
    return phone(house.people[Role.CREW])


def note(place, text="Key with the neighbor.", **more):
    sent = {"key": token_hex(16), "kind": "note", "room": str(place.pk), "base": "0"}
    return sent | {"data": json.dumps({"text": text})} | more


def send(client, sent):
    return client.post("/field/sync/", sent)


def text_of(room):
    return SiteNote.objects.of(room.shop).filter(room=room).values_list("text", flat=True).first()


def test_an_entry_is_applied(house, crew):
    answer = send(crew, note(house.room))
    assert answer.status_code == 200
    assert answer.json()["outcome"] == "applied" and answer.json()["version"] == 1
    assert text_of(house.room) == "Key with the neighbor."


def test_sent_again_it_gets_the_answer_it_had_and_nothing_is_done_twice(house, crew):
    sent = {"key": token_hex(16), "kind": "measure", "room": house.room.pk, "data": json.dumps({"door_1": "150"})}
    answers = [send(crew, sent) for _n in range(5)]
    assert len({(one.status_code, one.content) for one in answers}) == 1
    assert MeasurementSet.objects.filter(room=house.room).count() == 1


def test_a_repeat_after_later_changes_still_gets_its_own_answer(house, crew):
    first = note(house.room, "one")
    before = send(crew, first).json()
    send(crew, note(house.room, "two", base="1"))
    assert send(crew, first).json() == before
    assert text_of(house.room) == "two"


def test_another_entry_under_the_same_key_is_refused(house, crew):
    first = note(house.room)
    send(crew, first)
    other = send(crew, first | {"data": json.dumps({"text": "other"})})
    assert other.status_code == 422 and other.json()["outcome"] == "other"
    photo = first | {"file": SimpleUploadedFile("a.jpg", b"x")}
    assert send(crew, photo).status_code == 422
    assert text_of(house.room) == "Key with the neighbor."


def test_the_same_key_of_two_people_is_two_entries(house, crew):
    sent = note(house.room)
    send(crew, sent)
    assert send(phone(house.people[Role.CREW_LEAD]), sent).json()["outcome"] == "applied"
    assert EntryKept.objects.of(house.shop).filter(key=sent["key"]).count() == 2


def test_a_value_that_somebody_else_changed_is_not_gone_over(house, crew):
    send(phone(house.people[Role.CREW_LEAD]), note(house.room, "Panel is live."))
    answer = send(crew, note(house.room, "Panel is off."))
    assert answer.status_code == 412
    assert answer.json()["theirs"]["Note"] == "Panel is live." and answer.json()["mine"]["Note"] == "Panel is off."
    assert text_of(house.room) == "Panel is live."


def test_the_same_value_twice_is_no_conflict(house, crew):
    send(phone(house.people[Role.CREW_LEAD]), note(house.room, "Panel is live."))
    assert send(crew, note(house.room, "Panel is live.")).status_code == 200


def test_a_phones_own_entries_one_after_the_other_are_no_conflict(house, crew):
    first = note(house.room, "one")
    second = note(house.room, "two", after=first["key"])
    send(crew, first)
    assert send(crew, second).status_code == 200
    assert text_of(house.room) == "two"


def test_but_what_somebody_else_wrote_between_them_is(house, crew):
    first = note(house.room, "one")
    send(crew, first)
    send(phone(house.people[Role.CREW_LEAD]), note(house.room, "lead's", base="1"))
    assert send(crew, note(house.room, "two", after=first["key"])).status_code == 412
    assert text_of(house.room) == "lead's"


def test_readings_that_differ_from_those_taped_meanwhile_are_shown_not_added(house, crew):
    lead = phone(house.people[Role.CREW_LEAD])

    def taped(client, inches):
        boxes = json.dumps({"door_1": inches})
        return send(client, note(house.room, kind="measure", data=boxes))

    assert taped(lead, "150").status_code == 200
    answer = taped(crew, "151 1/2")
    assert answer.status_code == 412 and "tape it again" in answer.json()["words"]
    assert MeasurementSet.objects.filter(room=house.room).count() == 1
    assert taped(crew, "150").status_code == 200  # who read the same is not asked


def test_readings_that_cannot_be_read_are_kept_with_the_reason(house, crew):
    answer = send(crew, note(house.room, kind="measure", data=json.dumps({"door_1": "twelve-ish"})))
    assert answer.status_code == 422 and answer.json()["outcome"] == "refused"
    assert "door wall" in answer.json()["words"]
    kept = EntryKept.objects.of(house.shop).get()
    assert kept.data["door_1"] == "twelve-ish" and kept.needs_a_look


def test_an_entry_for_a_room_that_is_gone_is_kept(house, crew):
    answer = send(crew, note(house.room, room="987654"))
    assert answer.status_code == 410 and answer.json()["outcome"] == "gone"
    assert EntryKept.objects.of(house.shop).get().data["text"] == "Key with the neighbor."


def test_another_shops_room_is_like_one_that_is_gone(house, strangers_standing, crew):
    assert send(crew, note(strangers_standing.room)).status_code == 410
    assert text_of(strangers_standing.room) is None


def test_a_room_in_the_trash_is_gone(house, crew):
    type(house.room).objects.of(house.shop).filter(pk=house.room.pk).update(
        trashed_at=timezone.now(), trashed_by=house.people[Role.OWNER]
    )
    assert send(crew, note(house.room)).status_code == 410


def test_who_may_not_enter_it_is_told_so_and_nothing_is_kept(house):
    assert send(phone(house.people[Role.VIEWER]), note(house.room)).status_code == 403
    assert not EntryKept.objects.of(house.shop).exists()


def test_signed_out_nothing_is_taken(house):
    answer = send(Client(), note(house.room))
    assert answer.status_code == 302 and not EntryKept.objects.of(house.shop).exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"key": ""}, {"key": "A" * 32}, {"key": "1" * 31}, {"key": "1" * 32 + "\n"}, {"kind": "nothing"}, {"kind": ""},
        {"room": "x"}, {"room": "-1"}, {"room": "9" * 30}, {"room": "²"}, {"base": "1.5"}, {"base": "9" * 10},
        {"data": "["}, {"data": "[]"}, {"data": '{"text": 1}'}, {"data": '{"text": {"a": "b"}}'},
        {"data": '{"a": NaN}'},
        {"data": '{"text": "\\u0000"}'}, {"data": "[" * 9000}, {"data": json.dumps({"text": "x" * 70_000})},
        {"data": json.dumps({str(n): "" for n in range(301)})}, {"after": "x"},
    ],
)  # fmt: skip
def test_what_is_no_entry_is_refused_in_words(house, crew, wrong):
    answer = send(crew, note(house.room) | wrong)
    assert answer.status_code == 422 and answer.json()["words"]
    assert not EntryKept.objects.of(house.shop).exists()


def test_a_fault_while_applying_keeps_no_key_so_that_the_phone_can_send_again(house, crew, monkeypatch):
    crew.raise_request_exception = False
    sent = note(house.room)
    kind = ENTRIES["note"]
    try:
        entry("note", may="measure")(lambda *_all: 1 / 0)
        assert send(crew, sent).status_code == 500
        assert not EntryKept.objects.of(house.shop).exists()
    finally:
        ENTRIES["note"] = kind
    assert send(crew, sent).status_code == 200


class TestClocks:
    """Server order and versions rule; the phone's clock is a remark. Only how long ago is taken from it."""

    NOW = "2026-12-01T12:00:00.000Z"

    def kept(self, house, crew, at, now):
        send(crew, note(house.room, at=at, now=now))
        return EntryKept.objects.of(house.shop).latest("pk")

    @pytest.mark.parametrize("year", ["2025", "2026", "2027"])
    def test_a_clock_wrong_by_a_year_does_not_matter(self, house, crew, year):
        kept = self.kept(house, crew, f"{year}-12-01T10:00:00.000Z", f"{year}-12-01T12:00:00.000Z")
        assert abs(kept.at - kept.entered_at - timedelta(hours=2)) < timedelta(seconds=1)
        assert kept.said_at == f"{year}-12-01T10:00:00.000Z"

    def test_nothing_was_entered_in_the_future(self, house, crew):
        kept = self.kept(house, crew, "2026-12-02T12:00:00.000Z", self.NOW)
        assert kept.entered_at == kept.at

    def test_nothing_was_entered_before_two_months_ago(self, house, crew):
        kept = self.kept(house, crew, "1970-01-01T00:00:00.000Z", self.NOW)
        assert kept.at - kept.entered_at == timedelta(days=60)

    @pytest.mark.parametrize("at", ["", "yesterday", "2026-13-01", "9" * 60, "2026-12-01T10:00:00"])
    def test_a_clock_that_cannot_be_read_is_no_reason_to_lose_an_entry(self, house, crew, at):
        kept = self.kept(house, crew, at, self.NOW)
        assert kept.entered_at == kept.at and kept.outcome == "applied"
