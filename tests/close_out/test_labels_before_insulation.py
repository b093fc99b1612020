"""Insulation waits until each light's label is read, and goes on when a photo shows the space around those it names."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from layout.as_built import guards
from projects.catalogue.models import FixtureType
from tests.conftest import own_copy, standing
from tests.factories import PhotoFactory, ShopFactory
from tests.shops import issue, practice_room


def two_rooms():
    shop = ShopFactory()
    rooms = [practice_room(shop, name=name) for name in ("Den", "Snug")]
    for room in rooms:
        issue(room)
    return rooms


rooms_standing = standing(two_rooms)


@pytest.fixture
def rooms(rooms_standing, db):
    return own_copy(rooms_standing)


def says(rooms, rated):
    FixtureType.objects.of(rooms[0].shop).filter(kind="light").update(rated_ic=rated)


def test_a_label_nobody_read_is_named_and_a_speakers_is_not_asked_for(rooms):
    said = guards.labels_known(rooms)
    assert set(said) == {room.pk for room in rooms}
    assert "4 in light" in said[rooms[0].pk] and "speaker" not in said[rooms[0].pk]
    says(rooms, "not_ic")
    assert guards.labels_known(rooms) == {}


def test_every_light_insulation_may_not_touch_needs_a_photo_of_its_own(rooms):
    den, snug = rooms
    says(rooms, "ic")
    assert guards.clearance_photos(rooms) == {}
    says(rooms, "not_ic")
    assert "A1, A2" in guards.clearance_photos(rooms)[den.pk]
    for number in range(1, 7):  # two rows of three lights
        PhotoFactory(room=den, purpose="clearance", mark=f"A{number}")
    assert set(guards.clearance_photos(rooms)) == {snug.pk}
    PhotoFactory(room=snug, purpose="cover", mark="A1")
    assert "A1" in guards.clearance_photos(rooms)[snug.pk], "a photo of something else shows no clearance"


def test_two_rooms_cost_as_many_queries_as_one(rooms, django_assert_num_queries):
    with CaptureQueriesContext(connection) as one:
        guards.clearance_photos(rooms[:1])
    with django_assert_num_queries(len(one)):
        guards.clearance_photos(rooms)
