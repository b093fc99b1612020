"""What two people and very many speakers do to a room's sound: nothing is written over or lost unseen."""

import pytest
from django.urls import reverse

from layout.sound import choose, forms
from layout.sound.models import SpeakerRole
from layout.sound.services import kept_of
from projects.jobs.services import change_room
from projects.platform.permissions import Role
from tests.factories import SpeakerRoleFactory
from tests.listening import enter, listening_room
from tests.shops import fresh, on_page, people_of, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    return listening_room()


@pytest.fixture
def lead(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW_LEAD])


def typed(client, room):
    sent = on_page(client.get(reverse("sound_settings", args=[room.pk])), "version")
    return {name: value for name, value in sent.items() if value is not None}


def test_a_page_opened_before_the_room_was_turned_gives_no_channel_to_another_hole(lead, room):
    enter(room)
    room = fresh(room)
    before = typed(lead, room)
    change_room(room, room.version, {"zero_x": "right"})
    turned = {(role.mark, role.channel) for role in kept_of(fresh(room)).roles}
    assert lead.post(reverse("sound_settings", args=[room.pk]), before).status_code == 409
    assert {(role.mark, role.channel) for role in kept_of(fresh(room)).roles} == turned


def test_a_channel_said_beyond_the_speakers_that_are_shown_is_not_lost(lead, room, monkeypatch):
    enter(room)
    SpeakerRoleFactory(room=room, mark="SP9", channel="C")  # its speaker went away
    monkeypatch.setattr(forms, "MOST_ROLES", 4)  # of four speakers and SP9
    assert lead.post(reverse("sound_settings", args=[room.pk]), typed(lead, room)).status_code == 302
    assert set(SpeakerRole.objects.filter(room=room).values_list("mark", "channel")) == {
        ("SP3", "L"), ("SP4", "R"), ("SP9", "C"),
    }  # fmt: skip


def test_the_bass_page_of_a_hall_with_no_mode_to_list_stands(lead, room, monkeypatch):
    """A hall has more modes than are listed: their list is empty and says why."""
    monkeypatch.setattr("layout.engine.sound.modes.MOST_LISTED", 1)
    answer = lead.get(reverse("sound_low", args=[room.pk]))
    assert answer.status_code == 200 and "The modes aren" in answer.content.decode()


def test_the_costs_of_more_speakers_than_any_layout_has_are_not_weighed(lead, room, monkeypatch):
    enter(room)
    monkeypatch.setattr(choose, "MOST_WEIGHED", 1)
    page = lead.get(reverse("sound_choose", args=[room.pk])).context["page"]
    assert not page.rows and "2 speakers have a channel, and 1 at most" in page.missing[0].takes
