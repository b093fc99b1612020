"""A fixture's label and its maker's sheet: PDFs by content, bounded, their pages alone; what is missing is named."""

import io
import subprocess

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject, NameObject, TextStringObject

from projects.catalogue import labels
from projects.catalogue.models import FixtureType, InstallSheet
from projects.files import pdfs, store
from projects.platform.permissions import Role
from tests.conftest import own_copy, standing
from tests.factories import FixtureTypeFactory, MemberFactory, ShopFactory
from tests.shops import people_of, sign_in


class Catalog:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.light = FixtureTypeFactory(shop=self.shop, name="4 in light")


catalog_standing = standing(Catalog)


@pytest.fixture
def catalog(catalog_standing, db, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return own_copy(catalog_standing)


def sheet(pages=2, *, locked=False, script=False, wide=612):
    """A PDF of another library than the one that reads it here."""
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(wide, 792)
    if script:
        says = {NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): TextStringObject("app.alert('hello')")}
        writer.root_object[NameObject("/OpenAction")] = DictionaryObject(says)
        writer.add_attachment("secret.txt", b"hidden words")
    if locked:
        writer.encrypt("secret")
    written = io.BytesIO()
    writer.write(written)
    return written.getvalue()


def upload(content, name="sheet.pdf"):
    return SimpleUploadedFile(name, content, "application/pdf")


def test_its_pages_are_kept_and_nothing_else_of_it():
    kept = pdfs.rewritten(upload(sheet(3, script=True)))
    assert kept.pages == len(PdfReader(io.BytesIO(kept.content)).pages) == 3
    assert b"app.alert" not in kept.content and b"hidden words" not in kept.content
    book = PdfReader(io.BytesIO(kept.content))
    assert not book.attachments
    assert "/OpenAction" not in book.trailer["/Root"] and "/Names" not in book.trailer["/Root"]


@pytest.mark.parametrize(
    "content, said",
    [
        (b"", "no PDF"),
        (b"\xff\xd8\xff\xe0 a picture", "no PDF"),
        (b"<html>%PDF-1.7", "no PDF"),
        (b"%PDF-1.7 and then nothing", "damaged"),
        (sheet()[:300], "damaged"),
        (sheet(locked=True), "password"),
        (sheet(61), "over 60 pages"),
    ],
    ids=["nothing", "a picture", "a page of the web", "a PDF's first word", "half a PDF", "locked", "too long"],
)
def test_what_is_no_sheet_is_refused_in_words(content, said):
    with pytest.raises(pdfs.NoPdf, match=said):
        pdfs.rewritten(upload(content))


def test_a_sheet_over_twenty_megabytes_is_refused_unread(monkeypatch):
    monkeypatch.setattr(subprocess, "run", lambda *args, **kwargs: pytest.fail("it was read"))
    with pytest.raises(pdfs.NoPdf, match="over 20 MB"):
        pdfs.rewritten(upload(b"%PDF-" + b"0" * pdfs.MOST_BYTES))


def test_a_reader_that_hangs_or_dies_is_not_waited_for(monkeypatch):
    def late(*args, **kwargs):
        raise subprocess.TimeoutExpired("reader", pdfs.WAIT)

    monkeypatch.setattr(subprocess, "run", late)
    with pytest.raises(pdfs.NoPdf, match="takes too long"):
        pdfs.rewritten(upload(sheet()))
    monkeypatch.setattr(subprocess, "run", lambda *args, **kwargs: subprocess.CompletedProcess(args, -9, b"", b""))
    with pytest.raises(pdfs.NoPdf, match="can't be read"):
        pdfs.rewritten(upload(sheet()))


def test_sheets_are_bound_behind_our_own_pages():
    book = PdfReader(io.BytesIO(pdfs.bound(sheet(1, wide=100), [sheet(2, wide=200), sheet(1, wide=300)])))
    assert [page.mediabox.width for page in book.pages] == [100, 200, 200, 300]
    assert pdfs.page_count(sheet(5)) == 5


# In the catalog


def test_what_nobody_read_or_handed_in_is_named(catalog):
    missing = " ".join(labels.facts_of(catalog.light).missing)
    for what in ("installation sheet", "Listing", "Insulation contact", "Air seal", "Places", "Wiring through"):
        assert what in missing
    speaker = FixtureTypeFactory(shop=catalog.shop, kind="speaker")
    assert len(labels.facts_of(speaker).missing) == 2, "of a speaker, its sheet and its listing"


def test_a_lead_reads_the_label_and_hands_in_the_sheet(client, catalog):
    sign_in(client, catalog.people[Role.CREW_LEAD])
    address = f"/catalog/{catalog.light.pk}/"
    sent = {
        "version": catalog.light.version, "listing": "Luminaire, recessed", "rated_ic": "ic", "air_sealed": "yes",
        "place": "damp", "through_wiring": "no", "label_read_by": "R.", "label_read_on": "2026-05-03",
    }  # fmt: skip
    assert client.post(f"{address}label/", sent).status_code == 302
    assert client.post(f"{address}label/", sent | {"place": "wet"}).status_code == 409, "somebody saved before"
    page = client.post(f"{address}sheet/add/", {"title": "Sheet, March 2026", "sheet": upload(sheet())}, follow=True)
    assert "Nothing is missing" in page.content.decode() and "2 pages" in page.content.decode()
    got = client.get(f"{address}sheet/")
    assert got["Content-Disposition"].startswith("attachment") and got["X-Content-Type-Options"] == "nosniff"
    assert len(PdfReader(io.BytesIO(b"".join(got))).pages) == 2


def test_a_refused_sheet_keeps_what_was_typed_and_the_one_before(client, catalog):
    sign_in(client, catalog.people[Role.CREW_LEAD])
    address = f"/catalog/{catalog.light.pk}/sheet/add/"
    client.post(address, {"title": "First", "sheet": upload(sheet())})
    page = client.post(address, {"title": "Second", "sheet": upload(b"hello")})
    assert page.status_code == 422 and "no PDF" in page.content.decode() and "Second" in page.content.decode()
    assert InstallSheet.objects.of(catalog.shop).get().title == "First"


def test_a_newer_sheet_takes_its_place_its_file_and_its_room(catalog, tmp_path, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        labels.add_sheet(catalog.light, pdfs.rewritten(upload(sheet(2))), None, title="First")
        light = FixtureType.objects.of(catalog.shop).get()
        second = labels.add_sheet(light, pdfs.rewritten(upload(sheet(9))), None, title="Second")
    assert [path.name for path in tmp_path.rglob("*.pdf")] == [second.file]
    assert store.used_by(catalog.shop.pk) == second.bytes
    with django_capture_on_commit_callbacks(execute=True):
        assert labels.remove_sheet(light) and not labels.remove_sheet(light)
    assert (store.used_by(catalog.shop.pk), list(tmp_path.rglob("*.pdf"))) == (0, [])


def test_a_sheet_counts_against_what_the_shop_may_keep(client, catalog, settings):
    settings.MOST_KEPT_BYTES = 100
    sign_in(client, catalog.people[Role.CREW_LEAD])
    page = client.post(f"/catalog/{catalog.light.pk}/sheet/add/", {"title": "First", "sheet": upload(sheet())})
    assert page.status_code == 422 and "MB it may" in page.content.decode()
    assert not InstallSheet.objects.of(catalog.shop).exists()


def test_crew_reads_the_sheet_and_a_stranger_does_not(client, catalog):
    labels.add_sheet(catalog.light, pdfs.rewritten(upload(sheet())), None, title="First")
    sign_in(client, catalog.people[Role.CREW])
    assert client.get(f"/catalog/{catalog.light.pk}/sheet/").status_code == 200
    assert client.post(f"/catalog/{catalog.light.pk}/sheet/remove/").status_code == 403
    sign_in(client, MemberFactory(role=Role.OWNER.value))
    assert client.get(f"/catalog/{catalog.light.pk}/sheet/").status_code == 404
