"""In a basement: the day's rooms are read and written in without signal, and everything is sent once there is some."""

import pytest

from projects.jobs.models import MeasurementSet, Room
from reports.field.models import SiteNote
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
    crew = phone(shop.people["crew"]).keeps_the_day(*pages(room)).loses_signal()
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
