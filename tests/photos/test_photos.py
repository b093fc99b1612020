"""A room's photos: kept without what hides in them, once, within the shop's room; which of them it still needs."""

import datetime as dt
import io
import random
from contextlib import suppress

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db.models import ProtectedError
from django.utils import timezone
from PIL import Image

from layout.engine.lengths import inches
from projects.ceilings.models import JoistRun
from projects.files import pictures, store
from projects.files.models import KeptBytes
from projects.jobs.models import Room
from projects.photos import guards, queries, services
from projects.photos.models import Photo, PunchItem
from projects.platform.permissions import Role
from tests.conftest import own_copy, standing
from tests.factories import (
    CeilingFactory,
    MemberFactory,
    PhotoFactory,
    PunchItemFactory,
    RoomFactory,
    ShopFactory,
)
from tests.shops import people_of, sign_in, tape_room


class Site:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.room = RoomFactory(shop=self.shop)


site_standing = standing(Site)


@pytest.fixture
def site(site_standing, db, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return own_copy(site_standing)


def phone_photo(wide=3000, high=2000, kind="JPEG", name="me.jpg"):
    """As a phone makes one: large, turned a quarter (orientation 6 of the Exif standard), and saying where it was."""
    picture, tags = io.BytesIO(), Image.Exif()
    tags[0x0112] = 6
    tags[0x010F] = "Somebody's phone"
    tags.get_ifd(0x8825)[1] = "N"  # GPSLatitudeRef, Exif 2.32 table 15
    Image.new("RGB", (wide, high), "white").save(picture, kind, exif=tags)
    return SimpleUploadedFile(name, picture.getvalue(), "image/jpeg")


def on_disk(shop, tmp_path):
    folder = tmp_path / "media" / str(shop.pk)
    return sorted(folder.iterdir()) if folder.exists() else []


# Kept


@pytest.mark.parametrize("kind", ["JPEG", "WEBP"])
def test_a_photo_with_damaged_tags_is_kept_or_refused_in_words(site, kind):
    """The bytes after the sign of its tags (TIFF 6.0, section 2) shuffled by a fixed dice."""
    content = phone_photo(60, 40, kind).read()
    at = max(content.find(b"II*\0"), content.find(b"MM\0*")) + 4
    dice, kept = random.Random(6), 0
    for _turn in range(150):
        damaged = bytearray(content)
        for _byte in range(5):
            damaged[at + dice.randrange(min(90, len(content) - at))] = dice.randrange(256)
        with suppress(pictures.NoPicture):
            kept += max(pictures.rewritten(SimpleUploadedFile("a.jpg", bytes(damaged))).size) == 60
    assert kept > 75


@pytest.mark.parametrize("turn, red", [(1, (0, 0)), (3, (3, 1)), (6, (1, 0)), (8, (0, 3))])
def test_a_photo_is_turned_as_its_tag_says(turn, red):
    """Exif 2.32, 4.6.4: 1 as it is, 3 upside down, 6 its first row is the right side, 8 the left side."""
    picture, tags, made = io.BytesIO(), Image.Exif(), Image.new("RGB", (4, 2), "white")
    tags[0x0112] = turn
    made.putpixel((0, 0), (255, 0, 0))
    made.save(picture, "PNG", exif=tags)
    upright = pictures.rewritten(SimpleUploadedFile("a.png", picture.getvalue()))
    assert upright.getpixel(red) == (255, 0, 0)


def test_a_photo_is_upright_smaller_and_silent_about_the_phone_and_the_place(site, tmp_path):
    photo = services.keep(site.room, phone_photo(), by=site.people[Role.CREW], purpose="cover", bay=3)
    assert (photo.wide, photo.high) == (1067, 1600)
    large, small = (Image.open(store.path_of(site.shop.pk, name)) for name in (photo.file, photo.small))
    assert max(small.size) == 400
    for kept in (large, small):
        assert kept.format == "JPEG" and not kept.getexif() and "exif" not in kept.info
    files = on_disk(site.shop, tmp_path)
    assert not any(b"Somebody" in path.read_bytes() for path in files)
    assert store.used_by(site.shop.pk) == photo.bytes == sum(path.stat().st_size for path in files)


def test_sent_twice_under_one_key_it_is_one_photo_and_takes_room_once(site, tmp_path):
    first = services.keep(site.room, phone_photo(), by=None, key="k" * 22)
    again = services.keep(site.room, phone_photo(900, 700), by=None, key="k" * 22)
    assert (again.pk, Photo.objects.of(site.shop).count()) == (first.pk, 1)
    assert len(on_disk(site.shop, tmp_path)) == 2
    assert store.used_by(site.shop.pk) == first.bytes


def test_another_shop_may_use_the_same_key(site):
    theirs = RoomFactory()
    assert services.keep(site.room, phone_photo(), by=None, key="one").pk != services.keep(
        theirs, phone_photo(), by=None, key="one"
    ).pk


def test_a_phone_whose_clock_runs_ahead_does_not_take_photos_tomorrow(site):
    photo = services.keep(site.room, phone_photo(), by=None, taken_at=timezone.now() + dt.timedelta(days=1))
    assert photo.taken_at <= photo.created_at
    earlier = timezone.now() - dt.timedelta(days=2)
    assert services.keep(site.room, phone_photo(), by=None, taken_at=earlier).taken_at == earlier


def test_a_photo_too_many_is_refused_in_words_and_leaves_nothing_behind(site, settings, tmp_path):
    first = services.keep(site.room, phone_photo(), by=None)
    settings.MOST_KEPT_BYTES = 2 * first.bytes - 1
    with pytest.raises(services.QuotaFull, match="MB it may"):
        services.keep(site.room, phone_photo(), by=None)
    assert store.used_by(site.shop.pk) == first.bytes
    assert len(on_disk(site.shop, tmp_path)) == 2
    settings.MOST_KEPT_BYTES = 2 * first.bytes
    services.keep(site.room, phone_photo(), by=None)
    assert store.used_by(site.shop.pk) == settings.MOST_KEPT_BYTES, "full to the byte"


def test_a_disk_that_is_full_keeps_no_record_and_no_room(site, monkeypatch, tmp_path):
    def full(path, content):
        path.parent.mkdir(parents=True, exist_ok=True)
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(store, "_write", full)
    with pytest.raises(services.QuotaFull, match="disk may be full"):
        services.keep(site.room, phone_photo(), by=None)
    assert not Photo.objects.of(site.shop).exists()
    assert (store.used_by(site.shop.pk), on_disk(site.shop, tmp_path)) == (0, [])


def test_what_was_kept_before_anything_was_counted_counts(site, tmp_path):
    folder = tmp_path / "media" / str(site.shop.pk)
    folder.mkdir(parents=True)
    (folder / "older.jpg").write_bytes(b"x" * 1000)
    photo = services.keep(site.room, phone_photo(), by=None)
    assert store.used_by(site.shop.pk) == photo.bytes + 1000


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7", b"GIF89a", b"\xff\xd8\xff\xe0half"])
def test_what_is_no_picture_is_refused_whatever_it_is_called(site, content):
    with pytest.raises(services.NoPicture):
        services.keep(site.room, SimpleUploadedFile("photo.jpg", content, "image/jpeg"), by=None)
    assert Photo.objects.of(site.shop).count() == 0


# Taken back


def test_taken_back_it_counts_for_nothing_and_comes_back_whole(site):
    photo = services.keep(site.room, phone_photo(), by=None, purpose="panel")
    services.take_back(photo, site.people[Role.CREW])
    assert list(queries.photos_of(site.room)) == []
    assert ("panel", 0) in [(purpose, have) for purpose, _title, have, _need in queries.required_sets(site.room)]
    assert store.used_by(site.shop.pk) == photo.bytes, "its room is taken until it is ended"
    services.put_back(photo)
    assert [one.pk for one in queries.photos_of(site.room)] == [photo.pk]


def test_after_thirty_days_it_is_gone_with_its_files_and_its_room(site, tmp_path, django_capture_on_commit_callbacks):
    photo = services.keep(site.room, phone_photo(), by=None)
    stays = services.keep(site.room, phone_photo(), by=None)
    services.take_back(photo, None)
    now = timezone.now()
    assert services.purge(now + dt.timedelta(days=29)) == 0
    with django_capture_on_commit_callbacks(execute=True):
        assert services.purge(now + dt.timedelta(days=31)) == 1
    assert store.used_by(site.shop.pk) == stays.bytes
    assert {path.name for path in on_disk(site.shop, tmp_path)} == {stays.file, stays.small}


def test_files_nobody_names_are_swept_and_the_count_is_put_right(site, tmp_path):
    photo = services.keep(site.room, phone_photo(), by=None)
    stray = tmp_path / "media" / str(site.shop.pk) / "left-behind.jpg"
    stray.write_bytes(b"x" * 500)
    KeptBytes.objects.filter(pk=site.shop.pk).update(used=7)
    tomorrow = stray.stat().st_mtime + store.LEFT_BEHIND + 60
    assert store.sweep(site.shop.pk, now=stray.stat().st_mtime + 60) == 0, "somebody may still be writing it"
    assert store.sweep(site.shop.pk, now=tomorrow) == 1
    assert {path.name for path in on_disk(site.shop, tmp_path)} == {photo.file, photo.small}
    assert store.used_by(site.shop.pk) == photo.bytes


# What a room needs


def need(room):
    return {purpose: (have, wanted) for purpose, _title, have, wanted in queries.required_sets(room)}


def test_a_survey_takes_eight_photos(site):
    """Four walls, the ceiling twice, the panel, one with a tape in it. Common practice, no source."""
    assert sum(wanted for purpose, (_have, wanted) in need(site.room).items() if purpose != "cover") == 8
    said = guards.survey_photos([site.room])[site.room.pk]
    assert "Each wall, before work: 0 of 4" in said
    for purpose, count in (("wall", 4), ("ceiling", 2), ("panel", 1), ("tape", 1)):
        PhotoFactory.create_batch(count, room=site.room, purpose=purpose)
    assert guards.survey_photos([site.room]) == {}


@pytest.mark.parametrize(
    "span, first, spacing, bays",
    [
        ("120", "16", "16", 8),  # joists at 0, 16 ... 112: seven between the walls
        ("120", "8", "16", 8),  # 8, 24 ... 104: seven
        ("96", "16", "16", 6),  # 0, 16 ... 80, 96: five between
        ("100", "30", "24", 5),  # 6, 30, 54, 78: four
    ],
)
def test_a_bay_is_between_two_joists_or_a_joist_and_a_wall(site, span, first, spacing, bays):
    tape_room(site.room, "framing", "144", span)
    ceiling = CeilingFactory(room=site.room, framing="found")
    JoistRun.objects.create(
        ceiling=ceiling, runs="left_right", spacing=inches(spacing), width=inches("1 1/2"), first=inches(first),
        first_from="door",
    )  # fmt: skip
    room = Room.objects.of(site.shop).get(pk=site.room.pk)
    assert need(room)["cover"] == (0, bays)
    for bay in (1, 1, 2, bays + 1):
        PhotoFactory(room=room, purpose="cover", bay=bay)
    assert need(room)["cover"] == (2, bays), "a bay counts once, and one that isn't there not at all"
    said = guards.photos_before_cover([room])[room.pk]
    assert f"2 of {bays}" in said and "bay 3" in said


def test_framing_nobody_entered_asks_for_one_photo_and_an_existing_ceiling_for_none(site):
    assert need(site.room)["cover"] == (0, 1)
    site.room.job.runs_as = "retrofit"
    site.room.job.save()
    assert "cover" not in need(site.room)


def test_two_hundred_rooms_cost_as_many_queries_as_two(site, django_assert_max_num_queries):
    def asked(count):
        rooms = RoomFactory.create_batch(count, job=site.room.job)
        for room in rooms[:3]:
            JoistRun.objects.create(
                ceiling=CeilingFactory(room=room), runs="left_right", spacing=inches(16), width=inches("1 1/2"),
                first=inches(16), first_from="door",
            )  # fmt: skip
            tape_room(room, "framing", "144", "120")
            PunchItemFactory(room=room)
        with django_assert_max_num_queries(14) as made:
            assert len(guards.survey_photos(rooms)) == len(guards.photos_before_cover(rooms)) == count
            assert len(guards.punch_closed(rooms)) == 3
        return len(made)

    assert asked(4) == asked(200)


# The punch list


def test_an_item_is_closed_with_a_photo_or_with_words_and_by_one_person(site):
    crew = site.people[Role.CREW]
    item = services.find(site.room, crew, words="Trim of A3 does not sit flat", mark="A3")
    assert guards.punch_closed([site.room])[site.room.pk].startswith("1 punch item is open")
    with pytest.raises(services.CannotBeDone, match="photo, or say in words"):
        services.close(item, crew)
    services.close_with(item, crew, pixels=Image.new("RGB", (80, 60)))
    closed = PunchItem.objects.of(site.shop).get()
    assert (closed.closed_with.mark, closed.closed_with.purpose, closed.closed_by) == ("A3", "punch", crew)
    assert guards.punch_closed([site.room]) == {}
    with pytest.raises(services.CannotBeDone, match="closed it already"):
        services.close_with(item, crew, pixels=Image.new("RGB", (80, 60)))
    assert Photo.objects.of(site.shop).count() == 1, "the photo of whoever came second is not kept"
    with pytest.raises(services.CannotBeDone, match="closed with this photo"):
        services.take_back(closed.closed_with, crew)
    with pytest.raises(ProtectedError):
        closed.closed_with.delete()
    services.open_again(item)
    assert guards.punch_closed([site.room])


# Pages


def test_a_crew_member_keeps_photos_on_the_page_and_sees_them(client, site):
    sign_in(client, site.people[Role.CREW])
    page = client.get(f"/rooms/{site.room.pk}/photos/")
    key = page.context["form"]["key"].value()
    sent = {"key": key, "purpose": "cover", "bay": "2", "caption": "Box moved", "mark": "A1"}
    for _ in range(2):  # pressed twice on a bad line
        page = client.post(
            f"/rooms/{site.room.pk}/photos/", sent | {"photos": [phone_photo(), phone_photo(90, 60)]}, follow=True
        )
    assert Photo.objects.of(site.shop).count() == 2
    words = page.content.decode()
    assert "bay 2, A1: Box moved" in words
    photo = Photo.objects.of(site.shop).first()
    for which, long in (("file", 1600), ("small", 400)):
        shown = client.get(f"/photos/{photo.pk}/{which}/")
        assert shown["Content-Type"] == "image/jpeg" and shown["X-Content-Type-Options"] == "nosniff"
        assert max(Image.open(io.BytesIO(b"".join(shown))).size) == long
    client.post(f"/photos/{photo.pk}/take-back/")
    assert "Put photo" in client.get(f"/rooms/{site.room.pk}/photos/").content.decode()


def test_other_photos_from_a_page_gone_back_to_are_kept_too(client, site):
    """The page's hidden key is the same then: what was said to be kept would have been lost."""
    sign_in(client, site.people[Role.CREW])
    other = RoomFactory(job=site.room.job)
    sent = ((site.room, phone_photo(90, 60)), (site.room, phone_photo(80, 60)), (other, phone_photo(90, 60)))
    for room, photo in sent:
        client.post(f"/rooms/{room.pk}/photos/", {"key": "same-key", "photos": [photo]})
    assert Photo.objects.of(site.shop).filter(room=site.room).count() == 2
    assert Photo.objects.of(site.shop).filter(room=other).count() == 1


def test_a_browser_asks_each_time_before_it_shows_a_photo_it_kept(client, site):
    photo = services.keep(site.room, phone_photo(90, 60), by=None)
    sign_in(client, site.people[Role.CREW])
    page = f"/photos/{photo.pk}/file/"
    first = client.get(page)
    assert "no-cache" in first["Cache-Control"] and "max-age" not in first["Cache-Control"]
    held = {"HTTP_IF_NONE_MATCH": first["ETag"]}
    assert client.get(page, **held).status_code == 304
    client.logout()
    assert client.get(page, **held).status_code == 302
    assert sign_in(client, MemberFactory()).get(page, **held).status_code == 404


def test_what_is_refused_names_the_box_and_keeps_the_words(client, site, settings):
    sign_in(client, site.people[Role.CREW])
    sent = {"key": "abc", "caption": "Box moved"}
    for boxes, said in (
        ({}, "Take a photo"),
        ({"photos": [SimpleUploadedFile("x.jpg", b"no picture")]}, "damaged"),
        ({"photos": [phone_photo(20, 20)], "bay": "0"}, "Bay"),
        ({"photos": [phone_photo(20, 20) for _ in range(13)]}, "At most 12"),
    ):
        page = client.post(f"/rooms/{site.room.pk}/photos/", sent | boxes)
        assert page.status_code == 422 and said in page.content.decode(), boxes
        assert "Box moved" in page.content.decode()
    settings.MOST_KEPT_BYTES = 100
    page = client.post(f"/rooms/{site.room.pk}/photos/", sent | {"photos": [phone_photo(20, 20)]})
    assert page.status_code == 422 and "MB it may" in page.content.decode()


def test_what_a_photo_shows_is_changed_by_one_of_two(client, site):
    photo = services.keep(site.room, phone_photo(90, 60), by=None)
    sign_in(client, site.people[Role.CREW])
    sent = {"version": photo.version, "purpose": "hole", "mark": "B2", "bay": "", "caption": ""}
    assert client.post(f"/photos/{photo.pk}/", sent).status_code == 302
    stale = client.post(f"/photos/{photo.pk}/", sent | {"mark": "B3"})
    assert stale.status_code == 409 and "B3" in stale.content.decode()


def test_a_viewer_looks_and_a_stranger_does_not(client, site):
    photo = services.keep(site.room, phone_photo(90, 60), by=None)
    item = PunchItemFactory(room=site.room)
    sign_in(client, site.people[Role.VIEWER])
    assert client.get(f"/photos/{photo.pk}/").status_code == 200
    assert client.post(f"/rooms/{site.room.pk}/photos/").status_code == 403
    sign_in(client, MemberFactory(role=Role.OWNER.value))
    for address in (f"/photos/{photo.pk}/", f"/photos/{photo.pk}/file/", f"/rooms/{site.room.pk}/photos/",
                    f"/rooms/{site.room.pk}/punch/"):  # fmt: skip
        assert client.get(address).status_code == 404
    assert client.post(f"/punch/{item.pk}/close/", {"closed_words": "x"}).status_code == 404
    assert client.post(f"/photos/{photo.pk}/take-back/").status_code == 404


def test_the_punch_list_on_its_page(client, site):
    sign_in(client, site.people[Role.CREW])
    client.post(f"/rooms/{site.room.pk}/punch/", {"words": "Trim does not sit flat", "mark": "A3"})
    item = PunchItem.objects.of(site.shop).get()
    page = client.post(f"/punch/{item.pk}/close/", {}, follow=True)
    assert "photo, or say in words" in page.content.decode()
    page = client.post(f"/punch/{item.pk}/close/", {"photos": phone_photo(90, 60)}, follow=True)
    assert "Photo of it done" in page.content.decode()
    client.post(f"/punch/{item.pk}/open/")
    assert PunchItem.objects.of(site.shop).get().closed_at is None


def test_a_page_of_thirty_photos_asks_as_often_as_one_of_three(client, site, django_assert_max_num_queries):
    sign_in(client, site.people[Role.CREW])

    def asked(count):
        PhotoFactory.create_batch(count, room=site.room, taken_by=site.people[Role.CREW])
        with django_assert_max_num_queries(60) as made:
            client.get(f"/rooms/{site.room.pk}/photos/")
        return len(made)

    assert asked(3) == asked(30)


