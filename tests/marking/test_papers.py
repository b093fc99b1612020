"""Papers for marking, cutting and finding again: each one page, read back, and its numbers summed by hand."""

import io
import re

import pypdf
import pytest
from django.urls import reverse
from django.utils import timezone

from layout.as_built.queries import marks_of
from layout.as_built.services import record, record_all
from layout.engine.lengths import inches
from layout.services import draft_of
from projects.platform.permissions import Role
from reports import queries
from reports.documents.card import card_pdf
from reports.documents.head import Paper
from reports.marking import papers
from reports.marking.cards import finish_card, floor_card
from reports.marking.labels import labels_pdf
from reports.marking.since import changed_since, since_paper
from reports.models import CardCopy
from tests.as_built.rooms import crew, marked_room
from tests.conftest import own_copy, standing
from tests.shops import fresh, issue, sign_in

built = standing(marked_room)


@pytest.fixture
def room(db, built):
    return own_copy(built)


@pytest.fixture
def hand(room):
    return crew(room)


def words(pdf):
    """The text of a PDF that has one page."""
    (page,) = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(page.extract_text().split())


def revision(room, number=1):
    return queries.revision_with_marks(room, number)


def moved_rows(room, to="36"):
    """Revision 2 has the rows 6 in nearer the middle."""
    draft = draft_of(room)
    draft.row_setback = inches(to)
    draft.save()
    issue(room)
    return fresh(room)


# Cards


@pytest.mark.parametrize("paper", list(Paper))
def test_the_floor_card_is_one_page_and_counts_moves_in(room, hand, paper):
    """A row at 30 put 2 in on: 32, and its mirror row at 88 instead of 90."""
    record(room, "A1", step="floor", across=inches(32), reason="duct", by=hand)
    text = words(card_pdf(floor_card(revision(room), room, marks_of(room)), paper))
    assert "Floor-marking card" in text and "bottom plate" in text
    assert "Nobody presses a phone on a ladder" in text
    assert 'A1–A4: +2" across' in text and 'A5–A8: -2" across' in text
    assert "stands alone" not in text
    marks = {mark.id: (mark.along, mark.across) for mark in floor_card(revision(room), room, marks_of(room)).marks}
    assert (marks["A2"], marks["A6"]) == (("90", "32"), ("90", "88"))


@pytest.mark.parametrize("paper", list(Paper))
def test_the_after_drywall_card_is_one_page_and_speaks_from_finished_walls(room, paper):
    text = words(card_pdf(finish_card(revision(room), room, marks_of(room)), paper))
    assert "After-drywall card" in text and "finished" in text.lower()
    assert "8 holes" in text and "bent wire" in text


def test_printing_a_card_says_who_has_it(client, room, hand):
    client = sign_in(client, hand)
    page = client.get(reverse("marking_papers", args=[room.pk])).content.decode()
    assert "Floor-marking card" in page
    answer = client.post(
        reverse("print_marking_card", args=[room.pk]), {"card": "floor", "held_by": "M., crew", "paper": "a4"}
    )
    assert answer["Content-Type"] == "application/pdf"
    copy = CardCopy.objects.of(room.shop).get()
    assert (copy.held_by, copy.revision.number, copy.datum) == ("M., crew", 1, "framing")


# What changed


def test_what_changed_names_each_moved_mark_with_both_numbers(room):
    room = moved_rows(room)
    since = changed_since(revision(room, 1), revision(room, 2), room)
    first = next(one for one in since.changes if one.ident == "A1")
    assert (first.was, first.now, first.by) == (("42", "30"), ("42", "36"), '+6" across')
    assert len(since.changes) == 8 and not since.other
    assert "was-here" in since.svg  # the old place struck, an arrow to the new


@pytest.mark.parametrize("paper", list(Paper))
def test_what_changed_is_one_sheet(room, paper):
    room = moved_rows(room)
    text = words(since_paper(revision(room, 1), revision(room, 2), room, on=timezone.localdate()).pdf(paper))
    assert "revision 1" in text and "revision 2" in text
    assert '+6" across' in text


def test_a_mark_that_is_gone_says_cut_nothing_there(room):
    draft = draft_of(room)
    draft.lights_per_row = 3
    draft.save()
    issue(room)
    since = changed_since(revision(room, 1), revision(room, 2), fresh(room))
    assert {one.ident for one in since.changes if one.by.startswith("gone")} == {"A7", "A8"}
    assert since.svg.count('class="ghost"') == 4  # 90 and 138 in both rows; 42 and 186 stay
    assert "was-here" not in since.svg
    assert any("another hole" in line for line in since.other)


def test_behind_the_code_an_old_card_is_red_and_says_what_changed_to_anyone(client, room):
    token = revision(room).token
    assert "is the latest" in client.get(reverse("check_card", args=[token])).content.decode()
    assert client.get(reverse("check_changes", args=[token])).status_code == 302
    moved_rows(room)
    page = client.get(reverse("check_card", args=[token])).content.decode()
    assert "Out of date" in page and "<s>30</s> 36" in page
    drawn = client.get(reverse("check_changes", args=[token]))
    assert drawn.status_code == 200 and drawn["Cache-Control"] == "no-store"
    assert client.get(reverse("check_changes", args=[token]) + "?paper=letter")["Content-Type"] == "application/pdf"
    assert client.get(reverse("check_changes", args=["nothing"])).status_code == 404


# Holes and labels


def test_the_hole_list_counts_the_holes_and_says_where_from_two_finished_walls(room):
    text = words(papers.hole_list(room, marks_of(room), on=timezone.localdate()).pdf())
    assert "8 holes." in text
    assert "verified" in text.lower() and "A8" in text


def test_a_type_nobody_verified_is_not_to_be_cut(db):
    room = marked_room(verified=False)
    text = words(papers.hole_list(room, marks_of(room), on=timezone.localdate()).pdf())
    assert "DO NOT CUT" in text


def test_the_as_built_paper_shows_how_far_each_was_built_off(room, hand):
    record(room, "A1", step="roughed", across=inches(32), reason="duct", words="flex duct", by=hand)
    text = words(papers.as_built_paper(room, marks_of(room), on=timezone.localdate()).pdf(Paper.A4))
    assert 'A1–A4 +2" across duct, pipe or wire' in text and "roughed in" in text


def test_each_mark_has_a_label_with_its_code_and_walls(room, settings):
    settings.PUBLIC_URL = "https://book.example.com"
    labels = papers.mark_labels(room, marks_of(room))
    assert [label.ident for label in labels] == [f"A{n}" for n in range(1, 9)]
    sheet = papers.sheets_for_marks()["letter_30"]
    text = words(labels_pdf(labels, sheet, title="Labels", on=timezone.localdate()))
    assert "A8" in text and "Print at full size" in text
    assert all("<svg" in label.qr for label in labels)


def test_without_a_public_address_a_label_has_no_code(room, settings):
    settings.PUBLIC_URL = ""
    assert not any(label.qr for label in papers.mark_labels(room, marks_of(room)))


# Found again


def test_a_box_is_shown_from_two_finished_walls_and_the_two_across(client, room, hand):
    """A8 at 186 and 90 in a room of 228 by 120: 42 and 30 from the walls across."""
    record_all(room, ["A8"], step="roughed", by=hand)
    page = sign_in(client, hand).get(reverse("mark_box", args=[room.pk, "A8"])).content.decode()
    for number in ("186", "90", "42", "30"):
        assert f"{number}" in page
    assert "roughed in" in page and "None was taken" in page


def test_a_finger_on_the_plan_leads_to_the_nearest_mark(client, room, hand):
    client = sign_in(client, hand)
    where = reverse("find_mark", args=[room.pk])
    assert "<svg" in client.get(reverse("find_mark_plan", args=[room.pk])).content.decode()
    pressed = {x: client.get(where, {"at.x": x, "at.y": "60"}).headers.get("Location", "") for x in ("40", "280")}
    assert len(set(pressed.values())) == 2 and all("/marks/A" in each for each in pressed.values())
    assert client.get(where, {"at.x": "tall", "at.y": "60"}).status_code == 200


def test_a_name_that_is_no_mark_is_not_found(client, room, hand):
    assert sign_in(client, hand).get(reverse("mark_box", args=[room.pk, "Z1"])).status_code == 404


def test_a_hole_template_is_printed_from_the_catalog(client, room, hand):
    kind = revision(room).marks.first().fixture_type_id
    answer = sign_in(client, hand).get(reverse("hole_template", args=[kind]) + "?paper=a4")
    assert answer["Content-Type"] == "application/pdf"


def test_no_word_of_money_on_any_of_them(client, room):
    client = sign_in(client, crew(room, Role.CREW))
    for name in ("as_built", "marking_papers", "hole_list", "as_built_paper", "find_mark"):
        page = client.get(reverse(name, args=[room.pk])).content.decode()
        page = page[page.index("<main") : page.index("</main>")]
        assert not re.search(r"\b(price|cost|markup|margin)s?\b|[$]", page, re.IGNORECASE), name
