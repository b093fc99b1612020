"""One box finds jobs, rooms and items: by part of a word, never another shop's, no prices for who may not see any."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.accounts.models import Role
from projects.jobs.models import Room
from projects.trash.services import trash_room
from reports.office.search import MOST, search, words_of
from tests.conftest import standing
from tests.factories import FixtureTypeFactory, ItemFactory, JobFactory, RoomFactory
from tests.shops import people_of, sign_in


class House:
    def __init__(self):
        self.job = JobFactory(number="2024-7", name="Alder", client="Quay Dental", site="9 Slip Rd")
        self.shop = self.job.shop
        self.people = people_of(self.shop)
        self.room = RoomFactory(job=self.job, name="Sterile room", level="Upper")
        self.other = RoomFactory(job=self.job, name="Hall")
        self.light = FixtureTypeFactory(shop=self.shop, name="Alder trim 4 in")
        self.item = ItemFactory(shop=self.shop, name="Alder plate")


house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return house_standing


def found(house, text, role=Role.OWNER):
    groups = search(house.people[role], words_of(text))
    return {group.title: [each.name for each in group.found] for group in groups}


@pytest.mark.parametrize("text", ["2024", "alder", "quay", "slip", "ALD quay", "24-7 rd"])
def test_a_job_is_found_by_its_number_name_client_or_street(house, text):
    assert found(house, text)["Jobs"] == ["2024-7 Alder"]


def test_a_room_is_found_by_its_name_with_its_job_but_not_by_the_job_alone(house):
    assert found(house, "steril")["Rooms"] == ["Sterile room"]
    assert found(house, "room quay")["Rooms"] == ["Sterile room"]
    assert "Rooms" not in found(house, "quay")


def test_items_are_found_in_the_catalog_and_the_price_list_by_who_may_see_them(house):
    told = found(house, "alder")
    assert (told["Catalog"], told["Price list"]) == (["Alder trim 4 in"], ["Alder plate"])
    crew = found(house, "alder", Role.CREW)
    assert crew["Catalog"] == ["Alder trim 4 in"] and "Price list" not in crew


def test_every_word_has_to_be_there(house):
    assert found(house, "alder nowhere") == {}


def test_another_shops_rooms_and_what_is_in_the_trash_are_not_found(house):
    RoomFactory(name="Sterile store")
    trash_room(house.room, Room.objects.of(house.shop).get(pk=house.room.pk).version, by=None)
    assert found(house, "sterile") == {}


def test_percent_and_underscore_are_letters_like_others(house):
    assert found(house, "%") == {} and found(house, "_ler") == {}


def test_a_page_holds_twenty_of_a_kind_and_says_that_there_is_more(house):
    for number in range(MOST + 1):
        RoomFactory(job=house.job, name=f"Suite {number}")
    with CaptureQueriesContext(connection) as queries:
        (group,) = search(house.people[Role.OWNER], ["suite"])
    assert len(group.found) == MOST and group.more and len(queries) == 5


def test_the_page_answers_whatever_is_typed(house, client):
    sign_in(client, house.people[Role.VIEWER])
    for typed in ("", "   ", "\0", "'\"<b>", "x" * 5000, "sterile"):
        page = client.get(reverse("search"), {"q": typed})
        assert page.status_code == 200 and "<b>" not in page.content.decode()
    assert reverse("room", args=[house.room.pk]) in client.get(reverse("search"), {"q": "sterile"}).content.decode()


def test_every_page_has_the_box_and_a_list_of_keys(house, client):
    sign_in(client, house.people[Role.CREW])
    page = client.get(reverse("jobs")).content.decode()
    assert f'action="{reverse("search")}"' in page and 'id="keys"' in page
    assert "g</kbd> <kbd>n" not in page  # crew make no rooms
    assert client.get(reverse("keys")).status_code == 200
