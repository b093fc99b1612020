"""A marked-up paper card is entered by somebody else, from its photo beside the marks: all of it or nothing."""

import io

import pytest
from django.test import Client
from PIL import Image

from layout.as_built.queries import state_of
from projects.photos.models import Photo
from projects.platform.permissions import Role
from tests.conftest import standing
from tests.factories import ShopFactory
from tests.shops import issue, people_of, practice_room


class House:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.room = practice_room(self.shop)
        self.revision = issue(self.room, by=self.people[Role.OWNER])


house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return house_standing


@pytest.fixture
def office(house):
    client = Client()
    client.force_login(house.people[Role.ESTIMATOR].user)
    return client


def page(house):
    return f"/rooms/{house.room.pk}/paper-card/"


def floor(house):
    return state_of([house.room])[house.room.pk].floor


def test_all_marks_as_printed_are_entered_by_one_tick(house, office):
    answer = office.post(page(house), {"step": "floor", "rest": "on"})
    assert answer.status_code == 302
    assert floor(house) == house.revision.marks.count()


def test_only_what_is_ticked_is_entered(house, office):
    ident = house.revision.marks.first().ident
    office.post(page(house), {"step": "floor", f"there-{ident}": "on"})
    assert floor(house) == 1


def test_a_line_that_cannot_be_read_keeps_the_whole_card_out_and_what_was_typed(house, office):
    ident = house.revision.marks.last().ident
    answer = office.post(page(house), {"step": "floor", "rest": "on", f"along-{ident}": "a bit left"})
    assert answer.status_code == 422 and "a bit left" in answer.content.decode()
    assert "Nothing was entered" in answer.content.decode()
    assert floor(house) == 0


def test_nothing_ticked_is_said(house, office):
    assert "Tick the marks" in office.post(page(house), {"step": "floor"}).content.decode()


def test_the_photo_of_the_card_stands_beside_the_marks(house, office):
    picture = io.BytesIO()
    Image.new("RGB", (60, 80), "white").save(picture, "JPEG")
    picture.seek(0)
    picture.name = "card.jpg"
    answer = office.post(page(house), {"file": picture}, follow=True)
    kept = Photo.objects.of(house.shop).get()
    assert kept.purpose == "card"
    assert f"/photos/{kept.pk}/file/" in answer.content.decode()
