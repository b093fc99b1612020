"""What could not be applied is looked at by a person; a phone that is lost is ended, and what was on it said."""

import pytest
from django.contrib.sessions.models import Session
from django.test import Client

from projects.platform.permissions import Role
from reports.field.models import EntryKept, Phone, SiteNote
from reports.field.queries import last_seen, left_on_phones
from tests.field.test_sent_once import house, house_standing, note, phone, send, strangers_standing, text_of

__all__ = ["house", "house_standing", "strangers_standing"]
pytestmark = pytest.mark.django_db
IDENT = "a" * 32


@pytest.fixture
def crew(house):
    return phone(house.people[Role.CREW])


@pytest.fixture
def lead(house):
    return phone(house.people[Role.CREW_LEAD])


@pytest.fixture
def conflict(house, crew, lead):
    send(lead, note(house.room, "lead's"))
    send(crew, note(house.room, "crew's"))
    return EntryKept.objects.of(house.shop).get(outcome="conflict")


def settle(client, kept, how, version=None):
    return client.post(f"/field/looks/{kept.pk}/settle/", {"how": how, "version": version or kept.version}, follow=True)


@pytest.mark.parametrize(
    ("how", "stands"), [("theirs", "lead's"), ("mine", "crew's"), ("both", "lead's\ncrew's")]
)
def test_a_person_says_which_value_stands(house, crew, conflict, how, stands):
    shown = crew.get("/field/looks/").content.decode()
    assert "lead&#x27;s" in shown and "crew&#x27;s" in shown
    settle(crew, conflict, how)
    conflict.refresh_from_db()
    assert text_of(house.room) == stands
    assert (conflict.settled_how, conflict.settled_by) == (how, house.people[Role.CREW])


def test_what_changed_again_meanwhile_is_shown_anew_and_not_gone_over(house, crew, lead, conflict):
    send(lead, note(house.room, "lead's second", base="1"))
    said = settle(crew, conflict, "mine").content.decode()
    conflict.refresh_from_db()
    assert conflict.needs_a_look and text_of(house.room) == "lead's second"
    assert "lead&#x27;s second" in said and "crew&#x27;s" in said


def test_two_who_look_at_once_settle_it_once(house, crew, lead, conflict):
    settle(lead, conflict, "theirs")
    assert "Somebody looked at this" in settle(crew, conflict, "mine").content.decode()
    assert text_of(house.room) == "lead's"


def test_a_lead_sees_everybodys_a_crew_member_only_their_own(house, crew, lead):
    send(crew, note(house.room, "crew's"))
    send(lead, note(house.room, "lead's"))
    kept = EntryKept.objects.of(house.shop).get(outcome="conflict")
    assert "Nothing. When somebody else" in crew.get("/field/looks/").content.decode()
    assert crew.post(f"/field/looks/{kept.pk}/settle/", {"how": "mine", "version": 1}).status_code == 404


def test_a_stranger_settles_nothing(strangers_standing, conflict):
    stranger = phone(strangers_standing.people[Role.OWNER])
    assert stranger.post(f"/field/looks/{conflict.pk}/settle/", {"how": "mine", "version": 1}).status_code == 404


def test_a_note_posted_without_scripts_is_kept_and_a_stale_one_is_not(house, crew):
    address = f"/field/rooms/{house.room.pk}/note/"
    assert crew.post(address, {"text": "first", "base": "0"}).status_code == 302
    answer = crew.post(address, {"text": "second", "base": "0"})
    assert answer.status_code == 422 and "second" in answer.content.decode() and text_of(house.room) == "first"
    assert SiteNote.objects.of(house.shop).get().version == 1


class TestPhones:
    def reports(self, client, waiting, **more):
        return client.post("/field/report/", {"phone": IDENT, "waiting": str(waiting), **more})

    def test_a_phone_says_how_many_entries_wait_on_it(self, house, crew, lead):
        self.reports(crew, 3)
        told = lead.get("/field/phones/").content.decode()
        assert house.people[Role.CREW].user.name in told
        assert Phone.objects.of(house.shop).get().waiting == 3
        assert house.people[Role.CREW].pk in last_seen(house.shop)
        assert left_on_phones(house.people[Role.CREW]).startswith("3 entries were not sent")

    def test_each_entry_sent_counts_it_down(self, house, crew):
        self.reports(crew, 3)
        send(crew, note(house.room, phone=IDENT, left="2"))
        assert Phone.objects.of(house.shop).get().waiting == 2

    def test_ended_it_is_signed_out_and_what_it_had_is_stated_as_lost(self, house, crew, lead):
        self.reports(crew, 3)
        row = Phone.objects.of(house.shop).get()
        said = lead.post(f"/field/phones/{row.pk}/end/", follow=True).content.decode()
        assert "Lost by its last report: 3 entries" in said
        assert not Session.objects.filter(session_key=row.session_key).exists()
        assert crew.get("/field/").status_code == 302
        assert Client().get("/field/hello/", {"phone": IDENT}).json()["ended"]

    def test_found_again_and_signed_in_nothing_was_lost_after_all(self, house, crew, lead):
        self.reports(crew, 3)
        lead.post(f"/field/phones/{Phone.objects.of(house.shop).get().pk}/end/")
        found = phone(house.people[Role.CREW])
        self.reports(found, 3)
        again = Phone.objects.of(house.shop).get()
        assert (again.ended_at, again.lost, again.waiting) == (None, 0, 3)

    def test_settled_entries_are_let_go_of_by_their_phone(self, house, crew, conflict):
        ask = {"keys": conflict.key}
        assert not self.reports(crew, 0, **ask).json()["states"][conflict.key]["settled"]
        settle(crew, conflict, "theirs")
        assert self.reports(crew, 0, **ask).json()["states"][conflict.key]["settled"]

    def test_only_its_own_persons_entries_are_told(self, lead, conflict):
        assert self.reports(lead, 0, keys=conflict.key).json()["states"] == {}


def test_the_worker_can_be_switched_off(settings):
    on = Client().get("/sw.js")
    assert on["Content-Type"].startswith("text/javascript") and "/field/no-signal/" in on.content.decode()
    settings.FIELD_WORKER = False
    assert "unregister" in Client().get("/sw.js").content.decode()
