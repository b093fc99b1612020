"""The hole's template is the hole's size on paper: measured in the PDF, where a point is 1/72 in."""

import ctypes
import datetime as dt
import io

import pypdf
import pypdfium2
import pypdfium2.raw as raw
import pytest

from layout.engine.lengths import Style, Tape, inches, mm
from reports.documents.head import Paper
from reports.marking.hole import HoleSheet, template_pdf

POINT_MM = 25.4 / 72
PAPERS = {Paper.LETTER: (612, 792), Paper.A4: (595.3, 841.9)}  # ISO 216 and 8 1/2 by 11 in, in points
INCH, METRIC = Tape(Style.FEET_INCHES, 16), Tape(Style.MM, 1)


def sheet(size, *, square=False, tape=INCH, verified="R."):
    return HoleSheet("6 in light", size, square, tape, "Alder Shop", dt.date(2026, 12, 1), verified)


def outlines(pdf):
    """Each path of page one as (left, bottom, right, top) of its points in mm, the pen's width left out."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [_box(one) for one in document[0].get_objects(max_depth=6) if one.type == raw.FPDF_PAGEOBJ_PATH]
    finally:
        document.close()


def _box(one):
    matrix = one.get_matrix()
    holder = one.container
    x, y = ctypes.c_float(), ctypes.c_float()
    points = []
    for n in range(raw.FPDFPath_CountSegments(one.raw)):
        raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(one.raw, n), x, y)
        point = matrix.on_point(x.value, y.value)
        while holder is not None:
            point = holder.get_matrix().on_point(*point)
            holder = holder.container
        holder = one.container
        points.append((point[0] * POINT_MM, point[1] * POINT_MM))
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def sizes(pdf):
    return {(round(right - left, 2), round(top - bottom, 2)) for left, bottom, right, top in outlines(pdf)}


def near(found, wide, high):
    return any(abs(w - wide) < 0.05 and abs(h - high) < 0.05 for w, h in found)


def words(pdf):
    return " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("size", ["2 1/4", "4 1/4", "6 3/8"])
def test_the_circle_is_as_wide_on_paper_as_the_hole(paper, size):
    found = sizes(template_pdf(sheet(inches(size)), paper))
    wide = float(inches(size).inches) * 25.4
    assert near(found, wide, wide), found


@pytest.mark.parametrize("paper", list(Paper))
def test_the_check_bar_is_four_inches_or_a_hundred_millimeters(paper):
    assert near(sizes(template_pdf(sheet(inches(4)), paper)), 101.6, 0)
    assert near(sizes(template_pdf(sheet(mm(150), tape=METRIC), paper)), 100, 0)


def test_a_square_hole_is_square():
    assert near(sizes(template_pdf(sheet(inches(5), square=True))), 127, 127)


def test_of_a_hole_wider_than_the_paper_a_quarter_is_drawn_and_said():
    """9 1/4 in on paper 8 1/2 in wide: the quarter's radius is 4 5/8 in, 117.475 mm."""
    pdf = template_pdf(sheet(inches("9 1/4")))
    assert near(sizes(pdf), 117.475, 117.475)
    assert "paper is too small" in words(pdf)


def test_of_a_hole_no_paper_holds_the_radius_is_said():
    assert "Strike it: 10" in words(template_pdf(sheet(inches(20))))


@pytest.mark.parametrize(("paper", "points"), PAPERS.items())
@pytest.mark.parametrize("verified", ["R.", None])
def test_it_is_one_page_and_says_whether_to_cut(paper, points, verified):
    pdf = template_pdf(sheet(inches("6 3/8"), verified=verified), paper)
    (page,) = pypdf.PdfReader(io.BytesIO(pdf)).pages
    assert [float(page.mediabox.width), float(page.mediabox.height)] == pytest.approx(points, abs=0.5)
    assert ("DO NOT CUT" in words(pdf)) is (verified is None)
    assert "Print at full size" in words(pdf)


def test_the_same_template_is_the_same_bytes():
    assert template_pdf(sheet(inches(4))) == template_pdf(sheet(inches(4)))
