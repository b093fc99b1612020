"""The owner reads every change of the shop, the office one record's; nobody reads another shop's."""

import json

import pytest
from django.test import Client
from django.urls import reverse

from projects.history.models import Entry
from projects.jobs.models import Room
from projects.platform.permissions import Role
from projects.platform.speaking import speaking
from tests.factories import MemberFactory, RoomFactory, ShopFactory
from tests.shops import people_of, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db):
    return ShopFactory(name="Ridge Lighting")


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def room(shop, people):
    owner = people[Role.OWNER]
    with speaking(shop=shop.pk, member=owner.pk, user=owner.user_id, via="page"):
        room = RoomFactory(shop=shop, name="Kitchen")
        Room.objects.of(shop).filter(pk=room.pk).update(note="Two cans moved")
    return room


def as_role(people, role):
    return sign_in(Client(), people[role])


def test_the_owner_reads_who_changed_what_from_what_to_what(people, room):
    said = as_role(people, Role.OWNER).get(reverse("shop_history"), {"room": room.pk}).content.decode()
    assert "Kitchen" in said and "Two cans moved" in said and people[Role.OWNER].user.name in said
    assert "on a page" in said


def test_a_page_tells_what_was_filled_in_and_leaves_out_what_every_record_has(people, room):
    """The entry itself says when, by whom and in which shop; the API gives each column."""
    said = as_role(people, Role.OWNER).get(reverse("shop_history"), {"room": room.pk}).content.decode()
    assert "<strong>Name</strong>: Kitchen" in said
    assert not [word for word in ("Updated at", "Version", "Trashed at", "trashed_at") if word in said]
    Room.objects.of(room.shop).filter(pk=room.pk).update(note="")
    said = as_role(people, Role.OWNER).get(reverse("shop_history"), {"room": room.pk}).content.decode()
    assert said.count("Two cans moved") == 2, "a box that was emptied is told"


def test_a_change_made_on_a_page_is_told_with_its_person_and_its_request(people, room):
    client = as_role(people, Role.OWNER)
    client.post(reverse("trash_room", args=[room.pk]), {"version": room.version})
    entry = Entry.objects.of(room.shop).filter(what="jobs_room").latest("pk")
    assert json.loads(entry.after)["trashed_by_id"] == people[Role.OWNER].pk
    assert (entry.member_id, entry.via) == (people[Role.OWNER].pk, "page")
    assert entry.request


def test_a_change_made_over_the_api_is_told_as_that(people, room):
    client = as_role(people, Role.OWNER)
    shown = client.get(f"/api/v1/rooms/{room.pk}/")
    client.patch(
        f"/api/v1/rooms/{room.pk}/", {"name": "Galley"}, content_type="application/json",
        headers={"If-Match": shown["ETag"]},
    )  # fmt: skip
    entry = Entry.objects.of(room.shop).filter(what="jobs_room").latest("pk")
    assert (entry.via, json.loads(entry.after)["name"]) == ("api", "Galley")


def test_it_is_asked_by_person_kind_and_day(people, room):
    client, owner = as_role(people, Role.OWNER), people[Role.OWNER]
    entry = Entry.objects.of(room.shop).filter(what="jobs_room").latest("pk")
    day = entry.at.date().isoformat()
    for asked, there in (
        ({"person": owner.pk}, True), ({"person": people[Role.CREW].pk}, False), ({"what": "jobs_room"}, True),
        ({"what": "jobs_reading"}, False), ({"since": day, "until": day}, True), ({"until": "2001-01-01"}, False),
    ):  # fmt: skip
        assert ("Two cans moved" in client.get(reverse("shop_history"), asked).content.decode()) is there, asked


def test_a_question_that_makes_no_sense_is_said(people, room):
    answer = as_role(people, Role.OWNER).get(reverse("shop_history"), {"since": "soon", "what": "auth_user"})
    assert answer.status_code == 422


def test_it_is_paged_and_no_entry_comes_twice_or_never(people, room, shop):
    for number in range(60):
        Room.objects.of(shop).filter(pk=room.pk).update(note=f"note number {number}.")
    client, seen, address = as_role(people, Role.OWNER), [], {"room": room.pk}
    while True:
        page = client.get(reverse("shop_history"), address).context["page"]
        seen += [entry.pk for entry in page.entries]
        if page.older is None:
            break
        address["before"] = page.older
    assert len(seen) == 62 and seen == sorted(set(seen), reverse=True)


def test_it_takes_as_many_queries_for_many_changes_as_for_one(people, room, shop, django_assert_max_num_queries):
    for number in range(40):
        RoomFactory(shop=shop, name=f"Room {number}")
    client = as_role(people, Role.OWNER)
    with django_assert_max_num_queries(12):
        client.get(reverse("shop_history"))


def test_the_office_reads_one_records_history_and_the_crew_does_not(people, room):
    address = reverse("record_history", args=["jobs_room", room.pk])
    assert "Two cans moved" in as_role(people, Role.ESTIMATOR).get(address).content.decode()
    assert as_role(people, Role.CREW_LEAD).get(address).status_code == 403
    assert as_role(people, Role.ESTIMATOR).get(reverse("shop_history")).status_code == 403


def test_what_is_kept_of_people_is_the_owners_to_read(people):
    address = reverse("record_history", args=["accounts_membership", people[Role.CREW].pk])
    assert as_role(people, Role.ESTIMATOR).get(address).status_code == 404


def test_another_shops_history_is_not_there(room):
    stranger = sign_in(Client(), MemberFactory(role=Role.OWNER))
    assert stranger.get(reverse("record_history", args=["jobs_room", room.pk])).status_code == 404
    assert "Kitchen" not in stranger.get(reverse("shop_history"), {"room": room.pk}).content.decode()
    assert stranger.get("/api/v1/history/", {"room": room.pk}).json()["results"] == []
    mine = Entry.objects.of(room.shop).latest("pk").pk
    assert stranger.get(reverse("shop_history"), {"before": mine}).status_code == 404


def test_the_api_gives_each_side_as_it_is_kept(people, room):
    answer = as_role(people, Role.OWNER).get("/api/v1/history/", {"table": "jobs_room", "room": room.pk}).json()
    newest, first = answer["results"]
    assert (newest["before"], newest["after"]) == ({"note": ""}, {"note": "Two cans moved"})
    assert (newest["what"], newest["did"], newest["member"]) == ("jobs.Room", "changed", people[Role.OWNER].pk)
    assert first["before"] is None and first["after"]["name"] == "Kitchen"
    assert as_role(people, Role.ESTIMATOR).get("/api/v1/history/").status_code == 403


def test_a_password_is_nowhere_on_the_page(people):
    user = people[Role.CREW].user
    user.set_password("a new one, long enough")
    user.save()
    said = as_role(people, Role.OWNER).get(reverse("shop_history")).content.decode()
    assert user.password not in said
