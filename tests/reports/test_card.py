"""The mark-out card read back from its own PDF: the numbers on paper are the numbers of the room, on one page."""

import io
import re
from functools import cache

import pypdf
import pytest
from PIL import Image

from layout.drawing import Datum, PerSide
from layout.engine.lengths import Style, Tape, inches
from layout.engine.marks import Axis
from reports.documents import pdf as paper_door
from reports.documents.card import card_pdf, card_picture
from reports.documents.head import Paper
from reports.documents.sheet import CheckFirst, in_ranges, mark_rows, number_row
from tests.reports.cards import FEET, card, den


def pages(pdf):
    return pypdf.PdfReader(io.BytesIO(pdf)).pages


@cache
def printed():
    return card_pdf(card())


def words(pdf):
    """All that can be read, each run of white space as one space."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages(pdf)).replace("⁄", "/"))


def placed(page):
    """Each piece of text with its height on the page and its type size, in points."""
    found = []

    def visit(text, matrix, text_matrix, _font, size):
        if text.strip():
            down = text_matrix[5] * matrix[3] + matrix[5]
            found.append((text.strip(), down, abs(size * text_matrix[0] * matrix[0])))

    page.extract_text(visitor_text=visit)
    return found


def test_the_numbers_on_paper_are_the_rooms_own():
    """Hand sums. Ceiling 206 3/8 - 1 1/2 - 2 7/8 = 202; 20 off each end leaves 162, in three gaps of 54.
    From framing add 1 1/2: 21 1/2, 75 1/2, 129 1/2, 183 1/2; last to wall 206 3/8 - 183 1/2 = 22 7/8.
    A speaker half way: 20 + 27 + 1 1/2 = 48 1/2. Across: 20 and 148 of 168, last 20."""
    row = card().along
    assert [one.big for one in row.columns] == ["21 1/2", "48 1/2", "75 1/2", "129 1/2", "183 1/2"]
    assert row.columns[0].small == ((Datum.FINISHED, "20"),)
    assert row.last == "22 7/8"
    assert (row.pulled_from, row.to_wall) == ("window wall", "closet wall")
    assert [one.big for one in card().across.columns] == ["20", "148"]
    said = words(printed())
    for number in ["21 1/2", "48 1/2", "75 1/2", "129 1/2", "183 1/2", "22 7/8", "148", "206 3/8", "266 1/8"]:
        assert number in said


def test_the_big_number_is_the_one_for_this_stage():
    """The finished wall's numbers once drywall is up: 20 big, 21 1/2 small; the wall itself is then 202, last 20."""
    plan = den(datum=Datum.FINISHED)
    row = number_row(plan, Axis.LEFT_RIGHT)
    assert (row.columns[0].big, row.columns[0].small) == ("20", ((Datum.FRAMING, "21 1/2"),))
    assert row.last == "20"
    assert "Big numbers are from the finished wall" in words(card_pdf(card(plan)))


def test_a_floating_ceiling_names_all_three_faces():
    """6 in of gap and 1 1/2 in of build-up: 20 from the edge is 26 from the wall and 27 1/2 from framing."""
    plan = den(datum=Datum.EDGE, gap=PerSide(*[inches(6)] * 4))
    first = number_row(plan, Axis.LEFT_RIGHT).columns[0]
    assert (first.big, first.small) == ("20", ((Datum.FRAMING, "27 1/2"), (Datum.FINISHED, "26")))
    said = words(card_pdf(card(plan)))
    assert "finished wall" in said and "framing" in said and "CEILING EDGE" in said.upper()


@pytest.mark.parametrize(
    ("plan", "paper"),
    [
        pytest.param(den(6, 3, 2), Paper.LETTER, id="twenty marks"),
        pytest.param(den(6, 3, 2), Paper.A4, id="twenty marks on A4"),
        pytest.param(den(5, 4, 0), Paper.LETTER, id="twenty lights in a grid"),
        pytest.param(den(6, 3, 2, tape=FEET), Paper.LETTER, id="twenty in feet and inches"),
        pytest.param(den(6, 3, 2, tape=Tape(Style.MM, 1)), Paper.A4, id="twenty in millimeters"),
        pytest.param(den(4, 4, 2, datum=Datum.EDGE, gap=PerSide(*[inches(6)] * 4)), Paper.LETTER, id="three faces"),
    ],
)
def test_up_to_twenty_marks_are_one_page(plan, paper):
    assert len(pages(card_pdf(card(plan), paper))) == 1


def test_twenty_four_marks_have_their_table_overleaf():
    both = pages(card_pdf(card(den(6, 4, 0))))
    assert len(both) == 2
    assert "Every mark" not in both[0].extract_text()
    assert "Every mark" in both[1].extract_text() and "A24" in both[1].extract_text()
    assert "page 2 of 2" in both[1].extract_text() and "rev 3" in both[1].extract_text()


@pytest.mark.parametrize("paper", list(Paper))
def test_nothing_runs_off_the_paper(paper):
    """WeasyPrint clips what a box hides without a word: every mark's row must stand above the bottom margin."""
    page = pages(card_pdf(card(den(6, 3, 2)), paper))[0]
    low, high = 0.17 * 72, float(page.mediabox.height) - 0.17 * 72  # a common printer's own margin, from memory
    found = [one for one in placed(page) if one[2] > 8.9]  # the plan's words are placed in millimeters of its own
    assert all(low < down < high for _, down, _ in found)
    ids = {text for text, _, _ in found}
    assert {f"A{number}" for number in range(1, 19)} <= ids


def test_running_numbers_are_at_least_24_points():
    sizes = {text: size for text, _, size in placed(pages(card_pdf(card(den(6, 3, 2))))[0]) if size >= 20}
    assert min(size for text, size in sizes.items()) >= 23.9
    assert any(text.startswith("183") for text in sizes)


def test_few_numbers_are_printed_larger():
    assert max(size for _, _, size in placed(pages(card_pdf(card(den(2, 2, 0))))[0])) >= 33.9


def test_framing_nobody_looked_at_is_said_in_capitals():
    assert "FRAMING NOT CHECKED: do not fasten before looking" in words(card_pdf(card(framing_checked=False)))
    assert "FRAMING NOT CHECKED" not in words(printed())


def test_a_room_without_diagonals_says_so():
    check = CheckFirst(card().check.lines[:2], "1/4", "Pull a diagonal.", squared=False)
    assert "NOT SQUARED" in words(card_pdf(card(check=check)))
    assert "NOT SQUARED" not in words(printed())


def test_a_cutout_nobody_tried_must_not_be_cut():
    said = words(printed())
    assert "not verified: do not cut" in said
    assert "verified: R., 2 May" in said


def test_a_card_no_phone_can_check_says_so():
    said = words(card_pdf(card(check_url=None)))
    assert "A phone can't check this card" in said
    assert "A phone can't check this card" not in words(printed())


def test_the_card_says_where_zero_is_and_which_way_is_left():
    said = words(printed())
    assert "Zero: window wall, left corner; back to the hall door, facing in" in said
    assert "Reflected plan: left is left as you look down at this sheet." in said
    assert "Pull at the bottom plate" in said


def test_the_usual_cautions_are_on_every_card():
    said = words(printed())
    assert "tested dead" in said and "local code" in said and "Gas line in the second bay." in said


def test_the_same_card_is_the_same_bytes():
    assert card_pdf(card()) == printed()


def test_another_revision_is_another_file():
    assert printed() != card_pdf(card(revision=4))


def test_the_file_can_be_read_aloud():
    """PDF/UA-1 asks for a language, a title and tagged content (ISO 14289-1, from memory)."""
    root = pypdf.PdfReader(io.BytesIO(printed())).trailer["/Root"]
    assert root["/Lang"] and root["/MarkInfo"]["/Marked"] and "/StructTreeRoot" in root


def test_the_picture_is_page_one_clear_enough_to_read():
    """Letter at 150 dots an inch is 1275 by 1650; some of it is ink."""
    image = Image.open(io.BytesIO(card_picture(card())))
    assert image.format == "PNG"
    assert image.size == pytest.approx((1275, 1650), abs=1)
    assert image.convert("L").getextrema() == (0, 255)


def test_ids_in_a_row_are_written_as_a_range():
    assert in_ranges(("A1", "A2", "A3", "A9", "SP1", "SP2")) == "A1–A3 A9 SP1 SP2"


def test_every_mark_is_in_the_table_from_the_cards_own_zero():
    rows = {row.id: (row.along, row.across) for row in mark_rows(den())}
    assert rows["A1"] == ("21 1/2", "20")
    assert rows["SP1"] == ("48 1/2", "20")


@pytest.mark.parametrize("check_url", [None, "https://book.example/check/abc"])
def test_a_usual_card_is_set_on_its_page_at_most_twice(monkeypatch, check_url):
    """Setting a page is what a card costs: a search over sizes made printing slow."""
    times = []
    set_page = paper_door.lay_out
    monkeypatch.setattr(paper_door, "lay_out", lambda *page: times.append(page) or set_page(*page))
    for paper in Paper:
        times.clear()
        card_pdf(card(check_url=check_url), paper)
        assert 1 <= len(times) <= 2


def test_the_cards_title_names_the_face_its_numbers_are_from():
    assert "Mark-out card: numbers from the framing" in words(printed())
