"""The documents of a room and of a job: read on screen by everyone of the shop, printed on the paper asked for."""

import html
import io
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from projects.jobs.services import copy_room
from projects.platform.permissions import Role
from reports.close_out import made
from reports.documents import card
from reports.documents.head import Paper
from reports.queries import laid_rooms
from reports.sheets import card_sheet
from tests.factories import JobFactory, MemberFactory, RoomFactory, ShopFactory
from tests.shops import issue, people_of, practice_room, sign_in

ROOM_PAGES = ("schedule", "takeoff", "checklist")
JOB_PAGES = ("job_schedule", "job_takeoff", "job_checklist")
MOST_QUERIES = 25


@pytest.fixture
def shop(db):
    return ShopFactory()


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def room(shop):
    room = practice_room(shop)
    issue(room)
    return room


@pytest.fixture
def viewer(client, people):
    return sign_in(client, people[Role.VIEWER])


def address(name, room):
    return reverse(name, args=[room.job_id] if name.startswith("job") else [room.pk, 1])


def text(answer):
    return html.unescape(answer.content.decode())


def pdf_text(answer):
    assert answer["Content-Type"] == "application/pdf"
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages).split())


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("name", [*ROOM_PAGES, *JOB_PAGES])
def test_everyone_of_the_shop_reads_them(client, people, room, name, role):
    answer = sign_in(client, people[role]).get(address(name, room))
    assert answer.status_code == 200
    assert (room.job.name if name.startswith("job") else room.name) in text(answer)


@pytest.mark.parametrize("name", ["schedule", "job_schedule"])
def test_the_schedule_counts_what_was_laid_out(viewer, room, name):
    """Two rows of three lights, two rows of two speakers."""
    page = text(viewer.get(address(name, room)))
    assert room.draft.light_type.name in page and "6 in speaker" in page
    document = viewer.get(address(name, room)).context["document"].body
    assert ">6<" in document and ">4<" in document


@pytest.mark.parametrize("name", [*ROOM_PAGES, *JOB_PAGES])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_each_is_printed_on_the_paper_asked_for(viewer, room, name, paper):
    answer = viewer.get(address(name, room), {"paper": paper})
    assert room.job.name in pdf_text(answer)
    wide, high = {"letter": (612, 792), "a4": (595, 842)}[paper]  # ISO 216, ANSI/ASME Y14.1, in points; from memory
    box = PdfReader(io.BytesIO(answer.content)).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (wide, high)


def test_a_paper_nobody_has_shows_the_page(viewer, room):
    assert viewer.get(address("schedule", room), {"paper": "napkin"})["Content-Type"].startswith("text/html")


def test_a_packet_holds_every_document_of_the_job(viewer, room):
    words = pdf_text(viewer.get(address("job_packet", room)))
    for said in ("Snug", "Moved on site, in pencil", "Fixture schedule", "Takeoff", "Rough-in checklist"):
        assert said.lower() in words.lower(), said


def test_a_card_set_once_is_bound_in_the_packet_as_if_set_anew(room):
    laid, on = laid_rooms(room.job), date(2026, 3, 9)
    sheet = card_sheet(laid[0].revision, laid[0].room, on=on)
    own = card.laid_out(sheet)
    assert card.written(sheet, own, Paper.LETTER) == card.card_pdf(sheet)
    assert made.job_packet(room.job, laid, on=on, cards=[own]) == made.job_packet(room.job, laid, on=on)


@pytest.mark.parametrize("name", [*JOB_PAGES, "job_packet"])
def test_a_job_with_nothing_issued_says_what_to_do(viewer, shop, name):
    job = JobFactory(shop=shop)
    RoomFactory(job=job)
    answer = viewer.get(reverse(name, args=[job.pk]))
    assert answer.url == reverse("job", args=[job.pk])
    assert "Issue one, then print" in text(viewer.get(answer.url))


def test_a_room_not_laid_out_yet_is_counted_as_missing(viewer, room):
    RoomFactory(job=room.job, name="Attic")
    answer = viewer.get(address("job_takeoff", room))
    assert answer.context["not_laid_out"] == 1


def test_a_cancelled_room_is_in_no_document(viewer, room):
    (twin,) = copy_room(room, 1)
    issue(twin)
    twin.cancelled = True
    twin.save()
    assert twin.name not in text(viewer.get(address("job_schedule", room)))


def test_a_jobs_document_takes_each_rooms_newest_revision(viewer, room):
    """Three columns first, then four: eight lights, not six."""
    room.draft.lights_per_row, room.draft.speaker_gaps = 4, ""
    room.draft.save()
    issue(room)
    assert ">8<" in viewer.get(address("job_schedule", room)).context["document"].body
    assert ">6<" in viewer.get(address("schedule", room)).context["document"].body  # revision 1 stays what it was


@pytest.mark.parametrize("name", [*ROOM_PAGES, *JOB_PAGES, "job_packet"])
def test_a_strangers_documents_are_not_here(client, room, name):
    assert sign_in(client, MemberFactory()).get(address(name, room)).status_code == 404


@pytest.mark.parametrize("name", [*ROOM_PAGES, *JOB_PAGES, "job_packet"])
def test_documents_are_only_read(viewer, room, name):
    assert [viewer.post(address(name, room)).status_code, viewer.put(address(name, room)).status_code] == [405, 405]


def queries(client, where):
    with CaptureQueriesContext(connection) as asked:
        assert client.get(where).status_code == 200
    return len(asked)


@pytest.mark.parametrize("name", JOB_PAGES)
def test_a_jobs_document_asks_as_often_for_six_rooms_as_for_two(viewer, room, name):
    for twin in copy_room(room, 1):
        issue(twin)
    viewer.get(address(name, room))
    few = queries(viewer, address(name, room))
    for twin in copy_room(room, 4):
        issue(twin)
        issue(twin)
    viewer.get(address(name, room))  # a takeoff counts the new rooms once
    assert queries(viewer, address(name, room)) == few <= MOST_QUERIES


@pytest.mark.parametrize("name", ROOM_PAGES)
def test_a_rooms_document_asks_as_often_for_forty_marks_as_for_ten(viewer, room, name):
    viewer.get(address(name, room))
    few = queries(viewer, address(name, room))
    room.draft.rows, room.draft.lights_per_row, room.draft.speaker_gaps = 6, 7, ""
    room.draft.save()
    issue(room)
    assert queries(viewer, reverse(name, args=[room.pk, 2])) == few <= MOST_QUERIES
