"""Many phones at once: the shop keeps what fits, not a byte more, and a photo sent twice is one."""

import threading

import pytest
from django.db import connection
from PIL import Image

from projects.files import store
from projects.photos import services
from projects.photos.models import Photo
from tests.factories import RoomFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def var(settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return tmp_path


def at_once(doings):
    start, told = threading.Barrier(len(doings)), []

    def run(doing):
        start.wait()
        try:
            told.append(doing())
        except services.QuotaFull:
            told.append(None)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[each]) for each in doings]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(told) == len(doings), "nobody was left without an answer"
    return told


def shot():
    return Image.new("RGB", (80, 60), "white")


def test_of_twelve_phones_as_many_keep_a_photo_as_there_is_room_for(settings, var):
    room = RoomFactory()
    each = services.keep_pixels(room, shot(), by=None).bytes
    settings.MOST_KEPT_BYTES = 6 * each + each - 1
    told = at_once([lambda: services.keep_pixels(room, shot(), by=None)] * 12)
    kept = Photo.objects.of(room.shop_id)
    assert (sum(one is not None for one in told), kept.count()) == (5, 6)
    assert store.used_by(room.shop_id) == 6 * each == sum(path.stat().st_size for path in var.rglob("*.jpg"))


def test_the_very_first_photos_of_a_shop_are_all_counted(var):
    room = RoomFactory()
    told = at_once([lambda: services.keep_pixels(room, shot(), by=None)] * 8)
    assert store.used_by(room.shop_id) == sum(one.bytes for one in told)


def test_one_photo_sent_by_eight_tries_at_once_is_one(var):
    room = RoomFactory()
    told = at_once([lambda: services.keep_pixels(room, shot(), by=None, key="the same")] * 8)
    assert len({one.pk for one in told}) == 1 == Photo.objects.of(room.shop_id).count()
    assert store.used_by(room.shop_id) == told[0].bytes
    assert len(list(var.rglob("*.jpg"))) == 2
