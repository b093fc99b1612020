"""A picture to trace over: looked at, written anew without what hides in it, kept in the shop, set to scale."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image, ImageFile, PngImagePlugin

from layout.editor import pictures
from layout.engine.lengths import feet, inches
from layout.models import PlanPicture
from projects.files import pictures as reading
from projects.platform.permissions import Role
from tests.factories import ShopFactory
from tests.shops import on_page, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def var(settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return tmp_path


@pytest.fixture
def shop():
    shop = ShopFactory()
    shop.people = people_of(shop)
    return shop


@pytest.fixture
def room(shop):
    return practice_room(shop)


@pytest.fixture
def lead(client, shop):
    return sign_in(client, shop.people[Role.CREW_LEAD])


def drawn(wide=400, high=300, kind="PNG", **more):
    file = io.BytesIO()
    Image.new("RGB", (wide, high), "white").save(file, kind, **more)
    return file.getvalue()


def upload(client, room, content, name="plan.png"):
    return client.post(
        reverse("plan_picture_upload", args=[room.pk]), {"picture": SimpleUploadedFile(name, content)}, follow=True
    )


def picture(client, room):
    answer = client.get(reverse("plan_picture", args=[room.pk]))
    return answer, b"".join(answer.streaming_content) if answer.streaming else b""


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
def test_a_picture_is_served_as_a_plain_jpeg_whatever_it_came_as(lead, room, kind):
    upload(lead, room, drawn(kind=kind))
    answer, served = picture(lead, room)
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "no-store" in answer["Cache-Control"]
    assert Image.open(io.BytesIO(served)).format == "JPEG"


def test_where_it_was_taken_does_not_go_on(lead, room):
    exif = Image.Exif()
    exif[0x010E] = "secret address"
    upload(lead, room, drawn(kind="JPEG", exif=exif), "photo.jpg")
    _answer, served = picture(lead, room)
    assert b"secret address" not in served
    assert not Image.open(io.BytesIO(served)).getexif()


def test_words_hidden_in_a_png_do_not_go_on(lead, room):
    hidden = PngImagePlugin.PngInfo()
    hidden.add_text("Comment", "secret address")
    upload(lead, room, drawn(pnginfo=hidden))
    assert b"secret address" not in picture(lead, room)[1]


@pytest.mark.parametrize("content", [b"", b"hello", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"%PDF-1.7",
                                     drawn(kind="GIF"), drawn()[:200], b"\x89PNG\r\n\x1a\n" + b"\0" * 100],
                         ids=["nothing", "text", "svg", "pdf", "gif", "half a png", "a png's first bytes"])  # fmt: skip
def test_what_is_no_picture_is_refused_whatever_it_is_called(lead, room, content):
    answer = upload(lead, room, content, "plan.png")
    assert answer.status_code == 200
    assert not PlanPicture.objects.of(room.shop).exists()


def test_half_a_picture_is_refused_also_after_something_was_printed(lead, room, monkeypatch):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)  # as printing leaves it
    upload(lead, room, drawn()[:200], "plan.png")
    assert not PlanPicture.objects.of(room.shop).exists()
    assert ImageFile.LOAD_TRUNCATED_IMAGES is True


def test_a_picture_of_too_many_pixels_is_refused_before_it_is_unpacked(lead, room):
    """A plain one of 8,000 by 6,000 is 48 million pixels in a few hundred kilobytes."""
    answer = upload(lead, room, drawn(8000, 6000))
    assert "over 40 million pixels" in answer.content.decode()
    assert not PlanPicture.objects.of(room.shop).exists()


def test_a_file_over_ten_megabytes_is_refused(lead, room, monkeypatch):
    monkeypatch.setattr(reading, "MOST_BYTES", 100)
    assert "over 10 MB" in upload(lead, room, drawn()).content.decode()


def test_a_large_picture_is_made_smaller(lead, room):
    upload(lead, room, drawn(6000, 4000))
    assert max(Image.open(io.BytesIO(picture(lead, room)[1])).size) == reading.KEPT_SIDE


def test_another_picture_takes_its_place_and_the_first_file_goes(lead, room, var, django_capture_on_commit_callbacks):
    upload(lead, room, drawn())
    with django_capture_on_commit_callbacks(execute=True):
        upload(lead, room, drawn(500, 500))
    assert PlanPicture.objects.of(room.shop).count() == 1
    assert len(list(var.rglob("*.jpg"))) == 1


def test_it_is_taken_away(lead, room, var, django_capture_on_commit_callbacks):
    upload(lead, room, drawn())
    with django_capture_on_commit_callbacks(execute=True):
        lead.post(reverse("plan_picture_remove", args=[room.pk]))
    assert not list(var.rglob("*.jpg"))
    assert picture(lead, room)[0].status_code == 302


def test_another_shop_s_picture_does_not_exist(client, lead, room):
    upload(lead, room, drawn())
    stranger = sign_in(client, people_of(ShopFactory())[Role.OWNER])
    assert picture(stranger, room)[0].status_code == 404


@pytest.mark.parametrize("role, allowed", [(Role.VIEWER, False), (Role.CREW, False), (Role.ESTIMATOR, True)])
def test_who_lays_out_may_upload(client, shop, room, role, allowed):
    answer = upload(sign_in(client, shop.people[role]), room, drawn())
    assert (answer.status_code == 200) is allowed
    assert PlanPicture.objects.of(shop).exists() is allowed


# To scale

SCALE = {"from_x": "100", "from_y": "50", "to_x": "300", "to_y": "50", "length": "10'", "at_left": "12", "at_far": "6",
         "opacity": "40"}  # fmt: skip


def set_to_scale(client, room, **typed):
    page = client.get(reverse("plan", args=[room.pk]))
    boxes = on_page(page, "from_x") | SCALE | typed
    return client.post(reverse("plan_picture_scale", args=[room.pk]), boxes, follow=True)


def test_two_points_and_a_length_set_it_to_scale(lead, room):
    """200 pixels are 10 ft, a pixel is 6/10 in: its left edge is 12 - 100 x 6/10 = -48 in off, 400 are 20 ft."""
    upload(lead, room, drawn(400, 300))
    set_to_scale(lead, room)
    laid = pictures.backdrop_of(pictures.picture_of(room), "/p")
    assert (laid.left, laid.far) == (inches(-48), inches(-24))
    assert (laid.wide, laid.deep) == (feet(20), feet(15))
    page = lead.get(reverse("plan", args=[room.pk])).content.decode()
    assert "<image" in page and 'opacity="0.4"' in page


def test_a_slanted_length_counts_as_it_was_measured(lead, room):
    """3-4-5: 300 right and 400 down are 500 pixels; 500 in long, so a pixel is an inch."""
    upload(lead, room, drawn(600, 500))
    set_to_scale(lead, room, from_x="0", from_y="0", to_x="300", to_y="400", length="500")
    assert pictures.backdrop_of(pictures.picture_of(room), "/p").wide == inches(600)


@pytest.mark.parametrize("typed", [{"to_x": "100"}, {"to_x": "401"}, {"length": "0"}, {"length": ""}, {"opacity": "5"}])
def test_what_sets_no_scale_is_refused(lead, room, typed):
    """Both points alike; one outside the picture; no length; too faint to see."""
    upload(lead, room, drawn(400, 300))
    set_to_scale(lead, room, **typed)
    assert pictures.picture_of(room).length is None


def test_until_it_is_to_scale_it_lies_under_nothing(lead, room):
    upload(lead, room, drawn())
    assert "<image" not in lead.get(reverse("plan", args=[room.pk])).content.decode()
