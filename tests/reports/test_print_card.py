"""A card is printed or sent, and the shop knows who has it."""

import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from projects.platform.permissions import Role
from reports import web
from reports.documents.pdf import CannotPrint
from reports.models import CardCopy
from tests.factories import MemberFactory, ShopFactory
from tests.shops import issue, on_page, people_of, practice_room, sign_in

MOST_QUERIES = 25


@pytest.fixture
def shop(db):
    return ShopFactory()


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def revision(shop, people):
    return issue(practice_room(shop), by=people[Role.ESTIMATOR])


@pytest.fixture
def quick(monkeypatch):
    """Where the paper itself is not looked at, none is set."""
    monkeypatch.setattr(web, "card_pdf", lambda sheet, paper: f"{sheet.datum} {paper}".encode())
    monkeypatch.setattr(web, "card_picture", lambda sheet, paper: b"\x89PNG")


def card(revision):
    return reverse("card", args=[revision.room_id, revision.number])


def print_it(client, revision, **changes):
    asked = {"held_by": "M., crew", "datum": "framing", "paper": "letter", "how": "printed"} | changes
    return client.post(reverse("print_card", args=[revision.room_id, revision.number]), asked)


def copies(revision):
    return list(CardCopy.objects.of(revision.shop_id).filter(revision=revision))


def test_what_the_page_offers_prints(client, people, revision):
    sign_in(client, people[Role.CREW_LEAD])
    boxes = on_page(client.get(card(revision)), "held_by")
    answer = client.post(reverse("print_card", args=[revision.room_id, 1]), boxes | {"how": "printed"})
    assert answer["Content-Type"] == "application/pdf"
    words = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    assert "Snug" in words and revision.short_hash in words


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("role", [role for role in Role if role is not Role.VIEWER])
def test_every_print_is_written_down(client, people, revision, role):
    sign_in(client, people[role])
    for how in ("printed", "sent"):
        assert print_it(client, revision, how=how).status_code == 200
    newest, first = copies(revision)
    assert (first.how, first.held_by, first.datum, first.by) == ("printed", "M., crew", "framing", people[role])
    assert newest.how == "sent"
    assert "M., crew" in client.get(card(revision)).content.decode()


def test_a_picture_can_be_sent_instead(client, people, revision):
    answer = print_it(sign_in(client, people[Role.CREW]), revision, how="sent")
    assert answer["Content-Type"] == "image/png"
    assert answer.content.startswith(b"\x89PNG")


@pytest.mark.usefixtures("quick")
def test_the_face_and_the_paper_are_as_chosen(client, people, revision):
    sign_in(client, people[Role.CREW])
    assert print_it(client, revision, datum="finished", paper="a4").content.lower() == b"finished a4"
    assert copies(revision)[0].datum == "finished"


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize(
    "typed",
    [{"held_by": ""}, {"held_by": "  "}, {"held_by": "a\u202eb"}, {"held_by": "x" * 81}, {"datum": "sky"},
     {"datum": ""}, {"paper": "napkin"}, {"how": "shouted"}],
)  # fmt: skip
def test_without_saying_who_gets_it_nothing_is_printed(client, people, revision, typed):
    answer = print_it(sign_in(client, people[Role.CREW]), revision, **typed)
    assert answer.url == card(revision)
    assert "Not printed" in client.get(answer.url).content.decode()
    assert copies(revision) == []


def test_a_card_that_can_not_be_printed_is_not_written_down(client, people, revision, monkeypatch):
    def refuse(sheet, paper):
        raise CannotPrint("Pango is not installed.")

    monkeypatch.setattr(web, "card_pdf", refuse)
    answer = print_it(sign_in(client, people[Role.CREW]), revision)
    assert "Pango is not installed." in client.get(answer.url).content.decode()
    assert copies(revision) == []


def test_an_older_revisions_page_says_so_and_leads_to_the_newest(client, people, revision):
    issue(revision.room)
    page = sign_in(client, people[Role.CREW]).get(card(revision)).content.decode()
    assert "Out of date" in page
    assert reverse("card", args=[revision.room_id, 2]) in page


def test_a_viewer_reads_the_card_and_prints_none(client, people, revision):
    sign_in(client, people[Role.VIEWER])
    assert client.get(card(revision)).status_code == 200
    assert print_it(client, revision).status_code == 403
    assert copies(revision) == []


def test_a_strangers_card_is_not_here(client, revision):
    sign_in(client, MemberFactory())
    assert [client.get(card(revision)).status_code, print_it(client, revision).status_code] == [404, 404]
    assert copies(revision) == []


def test_printing_is_posted(client, people, revision):
    sign_in(client, people[Role.CREW])
    assert client.get(reverse("print_card", args=[revision.room_id, 1])).status_code == 405
    assert client.delete(card(revision)).status_code == 405


def queries(client, where):
    with CaptureQueriesContext(connection) as asked:
        assert client.get(where).status_code == 200
    return len(asked)


def test_the_cards_page_asks_as_often_for_forty_marks_as_for_ten(client, people, revision):
    sign_in(client, people[Role.CREW])
    client.get(card(revision))
    few = queries(client, card(revision))
    draft = revision.room.draft
    draft.rows, draft.lights_per_row, draft.speaker_gaps = 6, 7, ""
    draft.save()
    many = issue(revision.room)
    assert many.marks.count() == 42
    assert queries(client, card(many)) == few <= MOST_QUERIES
