"""A photo that waited on a phone for signal: it is the room's, under what was said of it, or refused in words."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from projects.photos.models import Photo
from reports.field.entries import ENTRIES, Refused
from tests.factories import MemberFactory, RoomFactory
from tests.photos.test_photos import phone_photo

pytestmark = pytest.mark.django_db
keep = ENTRIES["photo"].apply


@pytest.fixture
def room(settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return RoomFactory()


def test_it_is_the_rooms_with_what_was_said_of_it(room):
    member, at = MemberFactory(shop=room.shop), timezone.now()
    told = keep(member, room, {"purpose": "cover", "bay": "3", "mark": "A1"}, 0, at, phone_photo(90, 60))
    photo = Photo.objects.of(room.shop).get()
    assert told == {"photo": photo.pk, "version": 1}
    assert (photo.purpose, photo.bay, photo.mark, photo.taken_by, photo.taken_at) == ("cover", 3, "A1", member, at)


@pytest.mark.parametrize(
    "data, file, said",
    [
        ({}, None, "no photo in it"),
        ({}, SimpleUploadedFile("x.jpg", b"hello"), "damaged"),
        ({"bay": "0"}, phone_photo(9, 9), "Bay"),
        ({"purpose": "selfie"}, phone_photo(9, 9), "What it shows"),
    ],
)
def test_what_can_not_be_kept_is_refused_in_words(room, data, file, said):
    with pytest.raises(Refused, match=said):
        keep(MemberFactory(shop=room.shop), room, data, 0, timezone.now(), file)
    assert not Photo.objects.of(room.shop).exists()
