"""In a basement: the day's rooms are read and written in without signal, and everything is sent once there is some."""

import json
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import OperationalError
from django.utils import timezone
from PIL import Image

from projects.jobs.models import MeasurementSet, Room
from projects.photos.models import Photo
from reports.field import services, shells
from reports.field.models import EntryKept, SiteNote
from tests.browser.phones import Phone

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(chromium, live_server):
    """phone(member): a phone of one's own. At the end none may have anything to complain of."""
    everyone = []

    def made(member=None, **options):
        one = Phone(chromium, live_server.url, member, **options)
        everyone.append(one)
        return one

    yield made
    for one in everyone:
        one.ends()
    assert [told for one in everyone for told in one.complaints] == []


@pytest.fixture
def room(den, issued):
    issued(den)
    Room.objects.of(den.shop).filter(pk=den.pk).update(stage=5)
    return den


def pages(room):
    return [f"/field/rooms/{room.pk}/{part}" for part in ("", "card/", "measure/", "note/")]


def note_of(room):
    return SiteNote.objects.of(room.shop_id).filter(room=room).values_list("text", flat=True).first()


def test_a_room_is_read_and_written_in_without_signal_and_sent_when_there_is_some(shop, room, phone):
    crew = phone(shop.people["crew"]).keeps_the_day(*pages(room))
    crew.goes_to("/field/").sees("All on this phone (1)").loses_signal()
    crew.goes_to("/jobs/").sees("This page is not kept on this phone")
    crew.goes_to("/field/").sees("No signal.").presses("Den").presses("Card").sees("Rev 1").sees("No signal.")
    crew.goes_to(f"/field/rooms/{room.pk}/note/").types("Note for whoever", "Key with the neighbor.")
    crew.presses("Keep note").sees("Kept on this phone.").sees("1 entry waits on this phone")
    crew.goes_to(f"/field/rooms/{room.pk}/measure/")
    crew.types("along the door wall", "150 1/2").presses("Keep readings").sees("2 entries wait on this phone")
    assert note_of(room) is None

    crew.kills_tab().opens(f"/field/rooms/{room.pk}/note/").sees("2 entries wait on this phone")
    assert crew.page.get_by_label("Note for whoever").input_value() == "Key with the neighbor."

    crew.finds_signal().presses("Send now").sees("Nothing waits. Last sent")
    assert note_of(room) == "Key with the neighbor."
    assert MeasurementSet.objects.filter(room=room).count() == 2
    assert crew.waiting() == []


def writes(phone, room, text):
    phone.goes_to(f"/field/rooms/{room.pk}/note/").types("Note for whoever", text)
    return phone.presses("Keep note").sees("Kept on this phone.")


def signs_out(phone):
    phone.page.get_by_role("button", name="Sign out").click()
    return phone


class TestSigningOut:
    def test_with_entries_waiting_it_is_refused_with_their_number_on_every_page(self, shop, room, phone):
        crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).loses_signal()
        writes(crew, room, "Key with the neighbor.")
        signs_out(crew).sees("Not signed out: 1 entries wait")
        crew.finds_signal().goes_to("/jobs/")
        signs_out(crew).sees("Entries that wait to be sent from this phone:").sees("1")
        assert len(crew.waiting()) == 1

    def test_nothing_of_the_person_stays_on_the_phone(self, shop, room, phone):
        crew = phone(shop.people["crew"]).keeps_the_day(*pages(room))
        writes(crew, room, "Key with the neighbor.").sees("Nothing waits.")
        signs_out(crew).sees("Password")
        assert crew.shelves() == {} and crew.queue() == []
        crew.loses_signal().goes_to("/field/").sees("This page is not kept").sees_no("Den")
        crew.goes_to(f"/field/rooms/{room.pk}/").sees_no("Den")

    def test_from_an_office_page_too(self, shop, room, phone):
        crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).goes_to("/jobs/")
        signs_out(crew).sees("Password")
        assert crew.shelves() == {}


class TestSessionEnds:
    def test_the_queue_stays_until_its_person_signs_in_again(self, shop, room, phone):
        crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).loses_signal()
        writes(crew, room, "Key with the neighbor.")
        crew.session_ends()
        crew.finds_signal().presses("Send now").sees("Signed out.")
        assert len(crew.waiting()) == 1 and note_of(room) is None
        crew.signs_in(shop.people["crew"])
        crew.goes_to("/field/").sees("Nothing waits. Last sent")
        assert note_of(room) == "Key with the neighbor."

    def test_another_person_on_the_phone_sees_a_number_and_no_more_and_sends_nothing_of_it(self, shop, room, phone):
        crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).loses_signal()
        writes(crew, room, "Key with the neighbor.")
        first = set(crew.shelves())
        crew.signs_in(shop.people["crew_lead"])
        crew.finds_signal().keeps_the_day().sees("1 entries of another person wait")
        assert not first & set(crew.shelves()), "the first person's pages are gone"
        crew.goes_to("/field/looks/").sees_no("Key with the neighbor.")
        assert note_of(room) is None
        crew.signs_in(shop.people["crew"])
        crew.goes_to("/field/").sees("Nothing waits. Last sent")
        assert note_of(room) == "Key with the neighbor."


def test_both_values_are_shown_and_a_person_says_which_stands(shop, room, phone):
    crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).loses_signal()
    lead = phone(shop.people["crew_lead"]).keeps_the_day(*pages(room))
    writes(lead, room, "Panel is live.").sees("Nothing waits.")
    writes(crew, room, "Panel is off.")
    crew.finds_signal().presses("Send now").sees("1 need a look")
    assert note_of(room) == "Panel is live."
    crew.goes_to("/field/looks/").sees("Panel is live.").sees("Panel is off.").sees("Sam Crew Lead wrote another note")
    crew.presses("Keep both").sees("Settled: both kept.")
    assert note_of(room) == "Panel is live.\nPanel is off."
    crew.sees_go("need a look").sees("Nothing waits")


def test_what_was_entered_for_a_room_that_is_gone_can_be_saved_from_the_phone(shop, room, phone, tmp_path):
    crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).loses_signal()
    writes(crew, room, "Key with the neighbor.")
    Room.objects.of(shop).filter(pk=room.pk).update(trashed_at=timezone.now(), trashed_by=shop.people["owner"])
    crew.finds_signal().goes_to("/field/").sees("1 need a look")
    crew.goes_to("/field/looks/").sees("This room is gone.").sees("On this phone")
    with crew.page.expect_download() as saved:
        crew.page.get_by_role("button", name="Save a copy").click()
    told = json.loads(Path(saved.value.path()).read_text())
    assert told[0]["data"]["text"] == "Key with the neighbor." and told[0]["roomName"] == "Den"


def test_a_photo_is_taken_without_signal(shop, room, phone, tmp_path):
    shot = tmp_path / "bay.jpg"
    Image.effect_noise((900, 1200), 60).convert("RGB").save(shot, quality=90)
    crew = phone(shop.people["crew"]).keeps_the_day(f"/field/rooms/{room.pk}/photos/").loses_signal()
    crew.goes_to(f"/field/rooms/{room.pk}/photos/")
    crew.page.get_by_label("Photo").first.set_input_files(shot)
    crew.types("In words", "Bay 3, tape in it").presses("Keep photo").sees("1 entry waits")
    crew.kills_tab().opens("/field/").finds_signal().presses("Send now").sees("Nothing waits. Last sent")
    kept = Photo.objects.of(shop).get()
    assert (kept.caption, kept.room_id, kept.taken_by) == ("Bay 3, tape in it", room.pk, shop.people["crew"])


def test_a_card_checked_without_signal_is_never_green(shop, room, phone):
    token = room.revisions.get().token
    crew = phone(shop.people["crew"]).keeps_the_day()
    crew.goes_to(f"/check/{token}/").sees("Latest")
    crew.loses_signal().goes_to(f"/check/{token}/").sees("Cannot tell").sees("Last checked").sees_no("Latest")
    assert crew.page.locator(".ok, .good").count() == 0
    crew.goes_to("/check/AAAAAAAAAAAAAAAAAAAAAA/").sees("has not checked this card before")


class TestWorker:
    """A new program reaches every phone within one reload, a broken one harms nobody, and the switch takes it away."""

    def reloads_until(self, crew, true):
        crew.goes_to("/field/").waits_for(true)

    def test_it_is_updated_outlives_a_broken_one_and_is_switched_off(self, shop, room, phone, monkeypatch, settings):
        crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).loses_signal()
        writes(crew, room, "Key with the neighbor.")
        crew.goes_to(f"/field/rooms/{room.pk}/")
        before = crew.shelves()

        monkeypatch.setattr(shells, "version", lambda: "second")
        monkeypatch.setattr(services, "take", not_now)
        crew.finds_signal()
        self.reloads_until(
            crew, "async () => (await caches.keys()).filter(n => n.startsWith('shell-')).join() === 'shell-second'"
        )
        assert set(before) <= set(crew.shelves()), "the day's rooms are still there"
        assert len(crew.waiting()) == 1, "and so is what waits"

        monkeypatch.setattr(shells, "_text", lambda _name: "this is no program (")
        crew.goes_to("/field/").loses_signal().goes_to(f"/field/rooms/{room.pk}/card/").sees("Rev 1")
        crew.finds_signal()
        monkeypatch.undo()

        settings.FIELD_WORKER = False
        self.reloads_until(crew, "async () => (await caches.keys()).length === 0 &&"
                                 " (await navigator.serviceWorker.getRegistrations()).length === 0")  # fmt: skip
        crew.goes_to("/field/").sees("Nothing waits. Last sent")
        assert note_of(room) == "Key with the neighbor."


def not_now(_member, _sent):
    raise OperationalError("just being taken")


def test_entries_wait_for_seven_days_and_are_sent(shop, room, phone):
    crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).loses_signal()
    writes(crew, room, "Key with the neighbor.")
    crew.kills_tab().opens()
    crew.page.clock.set_fixed_time(timezone.now() + timedelta(days=7))
    crew.goes_to(f"/field/rooms/{room.pk}/").sees("1 entry waits").finds_signal()
    crew.presses("Send now").sees("Nothing waits. Last sent")
    kept = EntryKept.objects.of(shop).get()
    assert note_of(room) == "Key with the neighbor."
    assert timedelta(days=6.9) < kept.at - kept.entered_at < timedelta(days=7.1)
