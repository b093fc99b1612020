"""What the field writes on a phone, and a light that somebody wants elsewhere, before anything moves."""

import io
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from projects.accounts.models import Membership
from projects.platform.permissions import Role
from reports.changes import services
from reports.changes.ink import path_of
from reports.changes.models import ChangeOrder, FieldExtra
from reports.changes.photos import path_of as photo_path
from reports.changes.queries import unsigned
from tests.changes.houses import Site
from tests.conftest import own_copy, standing
from tests.factories import FieldExtraFactory
from tests.shops import sign_in

site_standing = standing(Site)
STROKES = json.dumps([[[10, 20], [30, 40]], [[5, 5]]])


@pytest.fixture
def site(site_standing, db, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return own_copy(site_standing)


def phone_photo(*, wide=3000, high=2000):
    """As a phone makes one: large, turned, and saying where it was taken."""
    picture, tags = io.BytesIO(), Image.Exif()
    tags[0x0112] = 6
    tags[0x010F] = "Somebody's phone"
    Image.new("RGB", (wide, high), "white").save(picture, "JPEG", exif=tags)
    return SimpleUploadedFile("me.jpg", picture.getvalue(), "image/jpeg")


def written(client, site, **boxes):
    page = client.get(f"/rooms/{site.room.pk}/extra/")
    sent = {"once": page.context["form"]["once"].value(), "words": "Box moved for the owner", **boxes}
    return client.post(f"/rooms/{site.room.pk}/extra/", sent, follow=True), sent


def test_words_alone_are_enough(client, site):
    sign_in(client, site.people[Role.CREW])
    page, sent = written(client, site)
    extra = FieldExtra.objects.of(site.shop).get()
    assert (extra.words, extra.room, extra.job, extra.by) == (
        "Box moved for the owner", site.room, site.job, site.people[Role.CREW],
    )  # fmt: skip
    assert "In no change order yet" in page.content.decode()
    client.post(f"/rooms/{site.room.pk}/extra/", sent)
    assert FieldExtra.objects.of(site.shop).count() == 1, "sent twice on a bad line it is one"


def test_hours_material_photo_who_asked_and_a_signature_are_kept(client, site):
    sign_in(client, site.people[Role.CREW])
    page, _sent = written(
        client, site, hours="1.5", material="2 boxes\n12 ft 14/2", asked_by="Jo Park", signed_name="Jo Park",
        ink=STROKES, photos=[phone_photo(), phone_photo(wide=80, high=60)],
    )  # fmt: skip
    extra = FieldExtra.objects.of(site.shop).get()
    assert (str(extra.hours), extra.asked_by, extra.ink) == ("1.50", "Jo Park", "M10 20 L30 40 M5 5 L5 5")
    assert 'd="M10 20 L30 40 M5 5 L5 5"' in page.content.decode()
    first, _second = extra.photos.all()
    kept = Image.open(photo_path(first))
    assert (kept.size, len(kept.getexif())) == ((1067, 1600), 0), "upright, smaller, and silent about the phone"
    shown = client.get(f"/extras/{extra.pk}/photos/{first.pk}/")
    assert shown["Content-Type"] == "image/jpeg" and b"".join(shown)[:2] == b"\xff\xd8"


def test_what_is_refused_names_the_box_and_keeps_the_words(client, site):
    sign_in(client, site.people[Role.CREW])
    for boxes, said in (
        ({"words": ""}, "What was done"),
        ({"hours": "-1"}, "Hours"),
        ({"hours": "NaN"}, "Hours"),
        ({"photos": [SimpleUploadedFile("x.jpg", b"no picture")]}, "damaged"),
        ({"on_paper": "on"}, "photo of the signed paper"),
        ({"ink": "[[[1,2],[700,3]]]", "signed_name": "Jo"}, "sign again"),
        ({"ink": STROKES}, "Write the name"),
    ):
        page, _sent = written(client, site, **boxes)
        assert page.status_code == 422 and said in page.content.decode(), boxes
        assert boxes.get("words") == "" or "Box moved for the owner" in page.content.decode()
    assert FieldExtra.objects.of(site.shop).count() == 0


def test_a_shop_that_is_full_is_told_so_and_the_words_stay(client, site, settings):
    settings.MOST_KEPT_BYTES = 1
    sign_in(client, site.people[Role.CREW])
    page, _sent = written(client, site, photos=[phone_photo()])
    assert page.status_code == 422 and "ask for more room" in page.content.decode()
    assert "Box moved for the owner" in page.content.decode()
    assert FieldExtra.objects.of(site.shop).count() == 0


@pytest.mark.parametrize(
    "text", ["{}", "[[1]]", "[[[1,2,3]]]", "[[[1.5,2]]]", "[" * 2000, '[[["a",1]]]', "[[[true,1]]]"]
)
def test_a_drawing_that_is_none_is_refused(text):
    with pytest.raises(Exception, match="sign again"):
        path_of(text)


def test_one_press_makes_it_part_of_a_change_order(client, site):
    extra = FieldExtraFactory(job=site.job, room=site.room, hours="2", material="3 boxes")
    sign_in(client, site.people[Role.ESTIMATOR])
    for _ in range(2):
        client.post(f"/extras/{extra.pk}/charge/")
    order = ChangeOrder.objects.of(site.shop).get()
    line = order.typed_lines.get()
    assert (str(line.hours), line.room) == ("2.00", site.room)
    assert "3 boxes" in line.words
    assert unsigned(site.shop).extras == 0
    services.void(order, site.people[Role.ESTIMATOR], why="not wanted")
    assert unsigned(site.shop).extras == 1, "void, its extra is open again"


def test_a_form_gone_back_to_and_written_anew_is_another_extra(client, site):
    sign_in(client, site.people[Role.CREW])
    address = f"/rooms/{site.room.pk}/extra/"
    once = client.get(address).context["form"]["once"].value()
    for words in ("Box moved", "Box moved", "Box moved, and a second one"):
        client.post(address, {"once": once, "words": words, "hours": "1.50"})
    assert sorted(extra.words for extra in site.job.extras.all()) == ["Box moved", "Box moved, and a second one"]


def test_an_extra_goes_into_no_change_order_that_was_sent_meanwhile(site):
    """Whoever looked at the draft before it was sent still holds it as a draft."""
    owner = site.people[Role.OWNER]
    held = services.open_change(site.job, owner, title="Kitchen")
    ChangeOrder.objects.of(site.shop).filter(pk=held.pk).update(state="void", closed_why="not wanted")
    with pytest.raises(services.CannotBeDone, match="was sent"):
        services.open_from_extra(FieldExtraFactory(job=site.job), owner, held)
    assert not held.typed_lines.exists() and unsigned(site.shop).extras == 1


def test_one_that_is_not_charged_says_why(client, site):
    extra = FieldExtraFactory(job=site.job)
    sign_in(client, site.people[Role.ESTIMATOR])
    client.post(f"/extras/{extra.pk}/close/", {"why": "our own slip"})
    assert "our own slip" in client.get(f"/extras/{extra.pk}/").content.decode()
    assert unsigned(site.shop).extras == 0


# A moved light


def quoting_lead(site):
    member = site.people[Role.CREW_LEAD]
    Membership.objects.filter(pk=member.pk).update(may_quote=True)
    return member


def test_a_lead_who_may_quote_sees_the_sum_and_has_it_signed_before_anything_moves(client, site):
    """After drywall: 2.5 times its labor, patch and paint 150.00, and at the least 1.5 h."""
    type(site.room).objects.of(site.shop).filter(pk=site.room.pk).update(stage=8)
    sign_in(client, quoting_lead(site))
    address = f"/rooms/{site.room.pk}/moved-lights/"
    assert "Price" not in client.get(address).content.decode()
    page = client.get(address, {"marks": ["A1"]})
    change = page.context["change"]
    assert "after drywall" in page.content.decode() and f"${change.price:,.2f}" in page.content.decode()
    assert [line.other for line in change.lines] == [150, 0]
    signed = {
        "marks": ["A1"], "seen": str(change.price), "reason": "toward the sink", "name": "Jo Park",
        "on": timezone.localdate().isoformat(), "ink": STROKES,
    }  # fmt: skip
    again = client.post(address, signed | {"seen": "1.00"}, follow=True)
    assert "has changed since it was shown" in again.content.decode()
    client.post(address, signed)
    client.post(address, signed)  # pressed twice on a bad signal: signed once
    order = ChangeOrder.objects.of(site.shop).get()
    assert (order.state, order.price, order.signed_name) == ("approved", change.price, "Jo Park")
    assert order.ink and order.reason == "toward the sink"


def test_a_lead_who_may_not_quote_sees_none_of_it(client, site):
    sign_in(client, site.people[Role.CREW_LEAD])
    assert client.get(f"/rooms/{site.room.pk}/moved-lights/").status_code == 403
    assert "moved-lights" not in client.get(f"/rooms/{site.room.pk}/").content.decode()


def test_without_a_name_nothing_is_signed(client, site):
    sign_in(client, quoting_lead(site))
    refused = client.post(f"/rooms/{site.room.pk}/moved-lights/", {"marks": ["A1"], "reason": "left"})
    assert refused.status_code == 422 and "Name of who signs" in refused.content.decode()
    assert not ChangeOrder.objects.of(site.shop).exists()
