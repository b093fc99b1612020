"""A type ×N: what is changed in the type reaches the rooms that nobody gave something of their own, and no other."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layout.alike import queries, services
from layout.alike.queries import Stands
from layout.engine.lengths import inches
from layout.models import Draft
from layout.services import change_draft
from projects.accounts.models import Role
from projects.jobs.models import Room
from projects.jobs.services import NameTaken, change_room, copy_room, set_build_up, set_counts
from projects.trash.services import trash_room
from tests.conftest import standing
from tests.factories import CircuitFactory, FixtureTypeFactory, JobFactory, SwitchZoneFactory
from tests.shops import fresh, issue, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db


class Hotel:
    """One laid out suite, and three made from it."""

    def __init__(self):
        self.job = JobFactory()
        self.shop = self.job.shop
        self.type = practice_room(self.shop, job=self.job, name="Suite 201")
        self.people = people_of(self.shop)
        self.rooms = services.make_alike(self.type, names=["202", "203", "204"])


hotel_standing = standing(Hotel)


@pytest.fixture
def hotel(hotel_standing, db):
    return hotel_standing


def again(room):
    return fresh(room)


def family(hotel):
    return queries.family_of(again(hotel.type))


def set_back(room, text):
    draft = Draft.objects.of(room.shop).get(room=room)
    typed = {axis: draft.typed(axis) for axis in ("along", "across")}
    change_draft(draft, draft.version, {"row_setback": inches(text)}, typed)


def setback(room):
    return Draft.objects.of(room.shop).get(room=room).row_setback


def test_rooms_made_from_one_are_as_it_is_but_still_have_to_be_taped(hotel):
    assert [room.name for room in hotel.rooms] == ["202", "203", "204"]
    for each in family(hotel).rooms:
        assert set(each.stands.values()) == {Stands.SAME} and not each.takes
        assert [visit.kind for visit in each.room.measurement_sets.all()] == ["plan"]


def test_a_change_of_the_type_reaches_those_that_did_not_differ_there_and_no_other(hotel):
    stays, takes, _last = hotel.rooms
    set_back(stays, "20")  # its own
    change_room(again(takes), again(takes).version, {"left_wall": "window wall"})  # its own too, but elsewhere
    set_back(hotel.type, "24")
    seen = family(hotel)
    assert [each.room.name for each in seen.taking] == ["203", "204"]
    assert seen.rooms[0].stands["layout"] is Stands.DIFFERS and seen.rooms[1].stands["walls"] is Stands.DIFFERS
    assert services.hand_on(again(hotel.type), seen.seen) == 2
    assert [setback(room) for room in hotel.rooms] == [inches(20), inches(24), inches(24)]
    assert again(takes).left_wall == "window wall"
    after = family(hotel)
    assert not after.taking and after.rooms[0].stands["layout"] is Stands.DIFFERS


def test_what_is_its_own_stays_its_own_through_every_later_change(hotel):
    own = hotel.rooms[0]
    set_back(own, "20")
    for text in ("24", "25", "26"):
        set_back(hotel.type, text)
        services.hand_on(again(hotel.type), family(hotel).seen)
    assert [setback(room) for room in hotel.rooms] == [inches(20), inches(26), inches(26)]


@pytest.mark.parametrize(
    ("part", "change"),
    [
        ("build_up", lambda room: set_build_up(room, [("left", "stone", inches("1 1/4"))])),
        ("counts", lambda room: set_counts(room, [(FixtureTypeFactory(shop=room.shop, name="sconce"), "B", 3)])),
        ("corner", lambda room: change_room(room, room.version, {"zero_x": "right"})),
        ("walls", lambda room: change_room(room, room.version, {"far_wall": "sea side"})),
        ("switches", lambda room: SwitchZoneFactory(room=room, letter="C", control="dimmer")),
    ],
)
def test_each_part_is_told_apart_and_handed_on_whole(hotel, part, change):
    change(again(hotel.type))
    seen = family(hotel)
    assert all(each.stands[part] is Stands.BEHIND for each in seen.rooms)
    services.hand_on(again(hotel.type), seen.seen)
    assert all(set(each.stands.values()) == {Stands.SAME} for each in family(hotel).rooms)


def test_a_room_keeps_its_circuits_when_it_takes_the_types_switches(hotel):
    circuit, room = CircuitFactory(job=hotel.job), hotel.rooms[0]
    SwitchZoneFactory(room=hotel.type, letter="A")
    services.hand_on(again(hotel.type), family(hotel).seen)
    room.switch_zones.filter(letter="A").update(circuit=circuit)
    hotel.type.switch_zones.filter(letter="A").update(control="dimmer")
    services.hand_on(again(hotel.type), family(hotel).seen)
    zone = room.switch_zones.get(letter="A")
    assert (zone.control, zone.circuit_id) == ("dimmer", circuit.pk)


def test_a_room_changed_after_the_preview_stops_all_of_it(hotel):
    set_back(hotel.type, "24")
    seen = family(hotel).seen
    set_back(hotel.rooms[1], "19")
    with pytest.raises(services.LookAgain):
        services.hand_on(again(hotel.type), seen)
    assert [setback(room) for room in hotel.rooms] == [inches(18), inches(19), inches(18)]


def test_when_one_room_refuses_none_has_the_change(hotel, monkeypatch):
    set_back(hotel.type, "24")
    take, seen = services._take, family(hotel)

    def breaks(room, *rest):
        if room.pk == hotel.rooms[2].pk:
            raise RuntimeError("the lights went out")
        take(room, *rest)

    monkeypatch.setattr(services, "_take", breaks)
    with pytest.raises(RuntimeError):
        services.hand_on(again(hotel.type), seen.seen)
    assert {setback(room) for room in hotel.rooms} == {inches(18)}


def test_what_was_issued_stays_as_it_was(hotel):
    revision = issue(hotel.rooms[0])
    marks = list(revision.marks.values_list("along", "across"))
    set_back(hotel.type, "24")
    services.hand_on(again(hotel.type), family(hotel).seen)
    revision.refresh_from_db()
    assert list(revision.marks.values_list("along", "across")) == marks


def test_done_and_cancelled_rooms_are_left_as_they_are(hotel):
    Room.objects.of(hotel.shop).filter(pk=hotel.rooms[0].pk).update(cancelled=True)
    Room.objects.of(hotel.shop).filter(pk=hotel.rooms[1].pk).update(stage=12)
    set_back(hotel.type, "24")
    assert [each.room.name for each in family(hotel).taking] == ["204"]


def test_a_room_takes_back_its_types_part_or_stands_alone(hotel):
    one, two, _three = hotel.rooms
    set_back(one, "20")
    services.follow_again(again(one), {"layout"})
    assert setback(one) == inches(18)
    services.stand_alone(again(two))
    set_back(hotel.type, "24")
    assert [each.room.name for each in family(hotel).taking] == ["202", "204"]


def test_a_copy_of_one_of_many_is_one_of_them_too(hotel):
    set_back(hotel.rooms[0], "20")
    (copy,) = copy_room(again(hotel.rooms[0]), 1)
    each = next(each for each in family(hotel).rooms if each.room.pk == copy.pk)
    assert each.stands["layout"] is Stands.DIFFERS and each.stands["corner"] is Stands.SAME


def test_names_that_are_taken_make_no_room_at_all(hotel):
    there = hotel.job.rooms.count()
    with pytest.raises(NameTaken):
        services.make_alike(again(hotel.type), names=["301", "203"])
    assert hotel.job.rooms.count() == there


def test_without_its_type_a_room_is_a_type_of_its_own(hotel):
    trash_room(hotel.type, again(hotel.type).version, by=None)
    assert queries.type_of(again(hotel.rooms[0])).pk == hotel.rooms[0].pk


def test_a_hundred_rooms_are_compared_in_as_many_queries_as_three(hotel):
    with CaptureQueriesContext(connection, ) as few:
        family(hotel)
    services.make_alike(again(hotel.type), times=9)
    with CaptureQueriesContext(connection) as more:
        assert len(family(hotel).rooms) == 12
    assert len(more) == len(few)


def test_the_page_previews_and_hands_on(hotel, client):
    sign_in(client, hotel.people[Role.CREW_LEAD])
    set_back(hotel.rooms[0], "20")
    set_back(hotel.type, "24")
    page = client.get(reverse("alike", args=[hotel.type.pk])).content.decode()
    assert "Hand the change on to 2 rooms" in page and "gets the change" in page and "own" in page
    told = client.post(reverse("hand_on", args=[hotel.type.pk]), {"seen": "yesterday"}, follow=True).content.decode()
    assert "Nothing was handed on" in told and setback(hotel.rooms[1]) == inches(18)
    client.post(reverse("hand_on", args=[hotel.type.pk]), {"seen": family(hotel).seen})
    assert [setback(room) for room in hotel.rooms] == [inches(20), inches(24), inches(24)]
    own = client.get(reverse("alike", args=[hotel.rooms[0].pk])).content.decode()
    assert "of its own" in own and "Take what is ticked" in own
    client.post(reverse("follow_type", args=[hotel.rooms[0].pk]), {"part": "layout"})
    assert setback(hotel.rooms[0]) == inches(24)


def test_rooms_are_made_by_their_names_on_the_page(hotel, client):
    sign_in(client, hotel.people[Role.CREW_LEAD])
    address = reverse("alike", args=[hotel.type.pk])
    assert client.post(address, {"times": "", "names": "301\n302\n"}).status_code == 302
    assert set(hotel.job.rooms.values_list("name", flat=True)) >= {"301", "302"}
    wrong = client.post(address, {"times": "", "names": "303\n303"})
    assert wrong.status_code == 422 and "stands there twice" in wrong.content.decode()


def test_names_pasted_as_a_row_of_a_sheet_are_names_and_what_cannot_be_seen_is_refused(hotel, client):
    lead = sign_in(client, hotel.people[Role.CREW_LEAD])
    page = reverse("alike", args=[hotel.type.pk])
    refused = lead.post(page, {"names": "301\n\u200d"})
    assert refused.status_code == 422 and "can be seen" in refused.content.decode()
    assert lead.post(page, {"names": "301\t302\n303  east"}).status_code == 302
    names = set(Room.objects.of(hotel.shop).values_list("name", flat=True))
    assert {"301", "302", "303 east"} <= names
