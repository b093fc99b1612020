"""Row 37: uploads that are slow, stop half way, or come all at once."""

import io
import re
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

import projects
from projects.files import pdfs, pictures
from projects.files.models import KeptBytes
from projects.photos.models import Photo
from projects.platform.permissions import Role
from tests.shops import sign_in

PROXY = Path(projects.__file__).parent / "deploy" / "proxy.conf"


def test_row_37_a_slow_client_is_let_go_before_it_reaches_a_page():
    """The reverse proxy keeps a request until it is whole, and a page's process never waits for one."""
    said = dict(re.findall(r"^\s*(client_\w+) (\w+);", PROXY.read_text(), re.MULTILINE))
    assert said["client_header_timeout"] == "30s" and said["client_body_timeout"] == "30s"
    most = int(said["client_max_body_size"].removesuffix("m")) * 1024 * 1024
    assert max(pictures.MOST_BYTES, pdfs.MOST_BYTES) < most < 100 * 1024 * 1024


def photo():
    out = io.BytesIO()
    Image.effect_noise((200, 200), 80).save(out, "JPEG")
    return out.getvalue()


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_row_37_half_an_upload_is_no_photo_and_takes_no_room(house, share):
    client = Client(raise_request_exception=False)
    sign_in(client, house.people[Role.CREW])
    whole = (
        b'--x\r\nContent-Disposition: form-data; name="key"\r\n\r\nabc\r\n'
        b'--x\r\nContent-Disposition: form-data; name="photos"; filename="me.jpg"\r\nContent-Type: image/jpeg\r\n\r\n'
        + photo()
        + b"\r\n--x--\r\n"
    )
    kept = KeptBytes.objects.filter(shop=house.shop).values_list("used", flat=True).first()
    count = Photo.objects.of(house.shop).count()
    part = whole[: int(len(whole) * share)]
    address = reverse("photos", args=[house.room.pk])
    answer = client.generic("POST", address, part, content_type="multipart/form-data; boundary=x")
    assert answer.status_code in (400, 422)
    assert Photo.objects.of(house.shop).count() == count
    assert KeptBytes.objects.filter(shop=house.shop).values_list("used", flat=True).first() == kept
