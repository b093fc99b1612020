"""A 1:1 template of a hole on one page, with a bar that proves the print. Values, drawing and HTML; no records.

Everything is in millimeters of paper, so that a point of the PDF is 25.4/72 mm and nothing is scaled.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from xml.etree.ElementTree import Element

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from layout.drawing.ink import add, drawing, line, rectangle, stroke, words, written
from layout.engine.lengths import Length, Tape, Unit, inches, mm
from reports.documents import pdf
from reports.documents.head import Paper

PAGE = {Paper.LETTER: (215.9, 279.4), Paper.A4: (210.0, 297.0)}
MARGIN = 10.0  # mm that no office printer reaches into
HEAD, FOOT = 46.0, 30.0  # mm for what is said above and below the drawing
BAR = {Unit.INCH: inches(4), Unit.MM: mm(100)}


@dataclass(frozen=True, slots=True)
class HoleSheet:
    """One type's hole. size: a diameter, or a square's side. verified_by: None prints 'do not cut yet'."""

    type_name: str
    size: Length
    square: bool
    tape: Tape
    shop: str
    on: date
    verified_by: str | None = None

    @property
    def bar(self) -> Length:
        return BAR[self.tape.unit]


def fits(sheet: HoleSheet, paper: Paper) -> float:
    """The part of the hole that is drawn: 1 whole, 1/4 a quarter to be turned four times, 0 where no paper holds it."""
    wide, high = PAGE[paper]
    across, down = wide - 2 * MARGIN, high - 2 * MARGIN - HEAD - FOOT
    size = _mm(sheet.size)
    if size <= min(across, down):
        return 1
    return 0.25 if size / 2 <= min(across, down) - 6 else 0


def svg(sheet: HoleSheet, paper: Paper) -> str:
    wide, high = PAGE[paper][0] - 2 * MARGIN, PAGE[paper][1] - 2 * MARGIN - HEAD - FOOT
    drawn = drawing(wide, high, key="hole", title=sheet.type_name, description=_said(sheet, paper))
    part = fits(sheet, paper)
    if part == 1:
        _whole(drawn, sheet, wide / 2, high / 2)
    elif part:
        _quarter(drawn, sheet, high)
    return written(drawn)


def _whole(drawn: Element, sheet: HoleSheet, x: float, y: float) -> None:
    size = _mm(sheet.size)
    if sheet.square:
        rectangle(drawn, "edge", x - size / 2, y - size / 2, size, size)
    else:
        add(drawn, "circle", cx=x, cy=y, r=size / 2, **stroke("edge"))
    reach = size / 2 + 4
    line(drawn, "dimension", x - reach, y, x + reach, y)
    line(drawn, "dimension", x, y - reach, x, y + reach)


def _quarter(drawn: Element, sheet: HoleSheet, high: float) -> None:
    """The center at the lower left; the two straight edges are folded or cut, and the sheet is turned four times."""
    size = _mm(sheet.size) / 2
    x, y = 3.0, high - 3.0
    if sheet.square:
        add(drawn, "path", d=f"M{x} {y - size}L{x + size} {y - size}L{x + size} {y}", **stroke("edge"))
    else:
        add(drawn, "path", d=f"M{x} {y - size}A{size} {size} 0 0 1 {x + size} {y}", **stroke("edge"))
    line(drawn, "dimension", x, y, x + size + 3, y)
    line(drawn, "dimension", x, y, x, y - size - 3)
    words(drawn, _("center"), x + 16, y - 5, 9)


def bar_svg(sheet: HoleSheet) -> str:
    """A bar of 4 in or 100 mm, its ends marked, a tick at each inch or 10 mm."""
    long = _mm(sheet.bar)
    ticks = 4 if sheet.tape.unit is Unit.INCH else 10
    drawn = drawing(long + 2, 8, key="bar", title=_("Check bar"), description=sheet.tape.show(sheet.bar))
    line(drawn, "edge", 1, 6, 1 + long, 6)
    for tick in range(ticks + 1):
        at = 1 + long * tick / ticks
        line(drawn, "dimension", at, 1 if tick in (0, ticks) else 3.5, at, 6)
    return written(drawn)


def _mm(length: Length) -> float:
    return float(length.mm)


def _said(sheet: HoleSheet, paper: Paper) -> str:
    part = fits(sheet, paper)
    size = sheet.tape.show(sheet.size)
    if part == 1:
        return _("The whole hole, %s across, full size.") % size
    if part:
        return _("A quarter of the hole, full size: the paper is too small for %s. Turn it four times.") % size
    if sheet.square:
        words = _("No paper holds a hole of %(size)s. Draw it: each side %(half)s from the center, corners square.")
    else:
        words = _("No paper holds a hole of %(size)s. Strike it: %(half)s from the center.")
    return words % {
        "size": size, "half": sheet.tape.show(sheet.size / 2),
    }  # fmt: skip


def template_pdf(sheet: HoleSheet, paper: Paper = Paper.LETTER) -> bytes:
    """One page. Raises pdf.CannotPrint."""
    page = render_to_string(
        "marking/hole.html",
        {
            "sheet": sheet,
            "paper": paper,
            "size": sheet.tape.show(sheet.size),
            "half": sheet.tape.show(sheet.size / 2),
            "bar_said": sheet.tape.show(sheet.bar),
            "said": _said(sheet, paper),
            "drawing": mark_safe(svg(sheet, paper)),
            "bar": mark_safe(bar_svg(sheet)),
        },
    )
    laid = pdf.lay_out(sheet.type_name, page)
    identifier = f"hole {sheet.type_name} {sheet.size} {sheet.on} {paper} {sheet.verified_by}"
    return pdf.write([laid], identifier=identifier, created=datetime.combine(sheet.on, time(), UTC))
