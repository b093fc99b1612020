"""Photos, the punch list, labels and sheets, phones of one job, and what happens beside the stages, over the API."""

import io
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image
from pypdf import PdfWriter

from projects.files import store
from projects.jobs.models import Room
from projects.joining.models import JoinCode
from projects.photos.models import Photo
from projects.platform.permissions import Role
from reports.changes.models import FieldExtra
from tests.api.houses import problem_of, wrong_at

pytestmark = pytest.mark.django_db


def picture(color="red", name="a.png"):
    file = io.BytesIO()
    Image.new("RGB", (40, 30), color).save(file, "PNG")
    return SimpleUploadedFile(name, file.getvalue(), content_type="image/png")


def hand_in(asker, address, **parts):
    """As a program sends a form with files."""
    return asker.client.post(address, parts, headers=asker.headers)


def test_photos_are_read_by_what_is_in_them_and_the_same_one_is_kept_once(house):
    asker, address = house.ask(Role.CREW), house.address("photos")
    told = hand_in(asker, address, photos=[picture("red"), picture("blue")], purpose="wall", caption="North wall")
    assert told.status_code == 201, told.content
    first, _second = told.json()["photos"]
    assert (first["purpose"], first["wide"], first["high"], first["caption"]) == ("wall", 40, 30, "North wall")
    again = hand_in(asker, address, photos=[picture("red")], purpose="wall")
    assert [one["id"] for one in again.json()["photos"]] == [first["id"]]
    wrong = hand_in(asker, address, photos=[SimpleUploadedFile("a.png", b"no picture")], hue="red")
    assert set(wrong_at(wrong)) == {"/photos", "/hue"}
    told = problem_of(asker.post(address, {"purpose": "wall"}), 415)
    assert "multipart/form-data" in told["detail"] and "application/json" not in told["detail"]
    assert asker.get(address + "?purpose=wall").json()["count"] == 2
    problem_of(hand_in(house.ask(Role.VIEWER), address, photos=[picture("green")]), 403)


def test_a_photo_is_given_as_a_picture_and_not_twice_to_who_has_it(house):
    asker = house.ask(Role.VIEWER)
    for name in ("photo_file", "photo_small"):
        told = asker.get(house.address(name), Accept="image/jpeg")
        pixels = Image.open(io.BytesIO(b"".join(told.streaming_content)))
        assert (told["Content-Type"], pixels.size) == ("image/jpeg", (8, 6))
        assert asker.get(house.address(name), If_None_Match=told["ETag"]).status_code == 304


def test_a_photo_is_said_anew_taken_back_and_put_back(house):
    asker, address = house.ask(Role.CREW), house.address("photo")
    assert asker.edit("PATCH", address, {"caption": "Bay 2", "bay": 2}).json()["bay"] == 2
    assert asker.send("DELETE", address, If_Match=asker.get(address)["ETag"]).status_code == 204
    assert asker.get(house.address("photos")).json()["count"] == 0
    assert asker.get(house.address("photos") + "?stands=false").json()["count"] == 1
    assert asker.post(house.address("put_back_photo")).json()["trashed_at"] is None


def test_the_shops_room_for_files_is_told_and_kept(house, settings):
    asker = house.ask(Role.CREW)
    used = asker.get(house.address("photo_sets")).json()["used_bytes"]
    assert used == store.used_by(house.shop.pk) > 0
    settings.MOST_KEPT_BYTES = used
    before = Photo.objects.of(house.shop).count()
    problem_of(hand_in(asker, house.address("photos"), photos=[picture()]), 507)
    assert (Photo.objects.of(house.shop).count(), store.used_by(house.shop.pk)) == (before, used)


def test_an_extra_with_photos_that_finds_no_room_leaves_nothing(house, settings):
    settings.MOST_KEPT_BYTES = store.used_by(house.shop.pk)
    before = FieldExtra.objects.of(house.shop).count()
    given = {"words": "Moved a box", "hours": "1"}
    told = hand_in(house.ask(Role.CREW), house.address("job_extra_photos"), photos=[picture()], **given)
    assert problem_of(told, 507)["type"] == "/problems/no-room/"
    assert FieldExtra.objects.of(house.shop).count() == before


def test_a_punch_item_is_closed_with_a_photo_or_with_words(house):
    asker, address = house.ask(Role.CREW), house.address("punch")
    made = asker.post(address, {"words": "Trim of A2 is bent", "mark": "A2"}).json()
    close = house.address("close_punch", punch_id=made["id"])
    problem_of(hand_in(asker, close), 422)
    told = hand_in(asker, close, photos=picture("white"))
    assert told.json()["closed_with"] and told.json()["closed_at"]
    assert made["id"] not in [one["id"] for one in asker.get(address + "?open=true").json()["results"]]
    assert asker.post(house.address("open_punch", punch_id=made["id"])).json()["closed_at"] is None
    assert hand_in(asker, close, closed_words="Replaced, too dark for a photo").json()["closed_with"] is None


def test_a_label_is_read_by_name_and_a_sheet_kept_as_pdf(house):
    asker, label, sheet = house.ask(Role.CREW_LEAD), house.address("fixture_label"), house.address("sheet")
    told = asker.edit("PATCH", label, {"listing": "UL 1598", "rated_ic": "ic", "label_read_by": "R."})
    assert told.status_code == 200, told.content
    assert told.json()["listing"] == "UL 1598"
    file = io.BytesIO()
    writer = PdfWriter()
    writer.add_blank_page(200, 200)
    writer.write(file)
    made = hand_in(asker, sheet, title="Rev. B", sheet=SimpleUploadedFile("s.pdf", file.getvalue()))
    assert made.status_code == 201 and (made.json()["title"], made.json()["pages"]) == ("Rev. B", 1)
    assert set(wrong_at(hand_in(asker, sheet, title="x", sheet=picture()))) == {"/sheet"}
    got = asker.get(sheet, Accept="application/pdf")
    assert got["Content-Type"] == "application/pdf" and "attachment" in got["Content-Disposition"]
    assert b"".join(got.streaming_content).startswith(b"%PDF-")
    assert asker.send("DELETE", sheet, If_Match=asker.get(label)["ETag"]).status_code == 204
    problem_of(asker.get(sheet), 404)
    assert asker.get(label).json()["sheet"] is None


def test_a_code_is_told_once_and_lets_in_until_a_day(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("join_codes")
    until = str(timezone.localdate() + timedelta(days=3))
    made = asker.post(address, {"until": until})
    assert made.status_code == 201 and "no-store" in made["Cache-Control"]
    digits = made.json()["digits"]
    assert len(digits) == 10 and digits.isdecimal()
    rows = asker.get(address).json()["results"]
    assert until in [row["until"] for row in rows] and digits not in asker.get(address).content.decode()
    assert set(wrong_at(asker.post(address, {"until": "2020-01-01"}))) == {"/until"}
    one = house.address("join_code", code_id=made.json()["id"])
    assert asker.send("DELETE", one).status_code == 204
    assert JoinCode.objects.of(house.shop).get(pk=made.json()["id"]).ended_at is not None


def test_a_lost_phone_is_out_and_may_come_back_by_a_code_of_its_own(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("job_phone")
    until = str(timezone.localdate() + timedelta(days=5))
    assert asker.edit("PATCH", address, {"until": until}).json()["until"] == until
    assert asker.send("DELETE", address, If_Match=asker.get(address)["ETag"]).status_code == 204
    assert asker.get(address).json()["ended_at"]
    again = asker.post(house.address("phone_again")).json()
    assert again["lets_back_in"] == house.ids["joined_id"]
    problem_of(house.ask(Role.CREW).get(house.address("job_phones")), 403)


def test_a_room_is_cancelled_with_a_reason_and_brought_back(house):
    asker = house.ask(Role.CREW_LEAD)
    assert set(wrong_at(asker.post(house.address("cancel_room")))) == {"/why"}
    assert asker.post(house.address("cancel_room"), {"why": "Left out of the contract"}).json()["cancelled"] is True
    assert asker.post(house.address("bring_back_room"), {"note": "Back in"}).json()["cancelled"] is False
    assert not Room.objects.of(house.shop).get(pk=house.room.pk).cancelled
    said = [one["why"] for one in asker.get(house.address("stage_asides")).json()["results"]]
    assert said[:2] == ["Back in", "Left out of the contract"]
    assert asker.post(house.address("look_again")).json()["still_open"] >= 0
