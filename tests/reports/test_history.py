"""A room's revisions side by side, and an older one's numbers back. By hand: 12 in off the ends becomes 15 in."""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.models import Draft
from layout.queries import layout_now
from layout.services import thawed
from projects.platform.permissions import Role
from tests.conftest import standing
from tests.factories import ShopFactory
from tests.shops import fresh, issue, people_of, practice_room, sign_in


class Standing:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        room = practice_room(self.shop)
        self.first = issue(room, by=self.people[Role.OWNER])
        Draft.objects.of(self.shop).update(end_setback=inches(15), speaker_gaps="")
        issue(fresh(room), by=self.people[Role.OWNER])
        self.room = fresh(room)


everything = standing(Standing)


@pytest.fixture
def lead(client, everything, db):
    return sign_in(client, everything.people[Role.CREW_LEAD])


def marks(layout):
    return [(mark.id, mark.along, mark.across) for mark in layout.arrangement.marks]


def test_two_revisions_are_drawn_and_told_one_against_the_other(lead, everything):
    told = lead.get(reverse("room_history", args=[everything.room.pk])).content.decode()
    assert "From revision 1 to 2" in told and "+3&quot; along" in told  # A1: 12 becomes 15
    assert "gone: cut nothing there" in told  # the speakers
    back = lead.get(reverse("room_history", args=[everything.room.pk]), {"from": "2", "to": "1"}).content.decode()
    assert "From revision 2 to 1" in back and "-3&quot; along" in back
    assert lead.get(reverse("room_history", args=[everything.room.pk]), {"from": "9"}).status_code == 404


def test_restoring_lays_out_as_then_and_one_press_puts_back_what_was_there(lead, everything):
    room, draft = everything.room, Draft.objects.of(everything.shop).get()
    address = reverse("restore_revision", args=[room.pk, 1])
    assert lead.post(address, {"version": draft.version}).status_code == 302
    assert marks(layout_now(fresh(room))) == marks(thawed(everything.first))
    assert room.revisions.count() == 2  # nothing issued, nothing lost
    assert lead.post(address, {"version": draft.version}).status_code == 302  # opened before: refused
    assert Draft.objects.of(everything.shop).get().version == draft.version + 1
    lead.post(reverse("put_way_back", args=[room.pk]), {"version": draft.version + 1})
    again = Draft.objects.of(everything.shop).get()
    assert (again.end_setback, again.speaker_gaps) == (inches(15), "")


def test_a_room_turned_since_is_not_restored_from_another_corner(lead, everything):
    room, draft = everything.room, Draft.objects.of(everything.shop).get()
    type(room).objects.of(everything.shop).filter(pk=room.pk).update(zero_x="right")
    answer = lead.post(reverse("restore_revision", args=[room.pk, 1]), {"version": draft.version}, follow=True)
    assert "turned since" in answer.content.decode()
    assert Draft.objects.of(everything.shop).get().version == draft.version
