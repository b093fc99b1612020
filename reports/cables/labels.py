"""Labels for both ends of every cable, on a sheet of stick-on labels at full size. Knows no records, no requests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from django.template.loader import render_to_string

from layout.engine.lengths import Length, inches, mm
from projects.catalogue.table_values import LabelSheet
from reports.documents import pdf

BAR = {"letter": (inches(2), "2 in"), "A4": (mm(50), "50 mm")}  # printed at the top: proves that nothing was scaled
LOW = mm(15)  # a label no higher than this has two lines


@dataclass(frozen=True, slots=True)
class EndLabel:
    """One end of one cable. here: what it is tied to; there: where the other end is."""

    number: str
    here: str
    there: str
    cable: str
    place: str  # room, zone and circuit


@dataclass(frozen=True, slots=True)
class Placed:
    label: EndLabel
    row: int
    column: int


def pages(labels: Sequence[EndLabel], sheet: LabelSheet, first: int = 1) -> list[list[Placed]]:
    """The labels on their sheets, row by row. first: the place of the first free label on a sheet begun already."""
    a_page = sheet.columns * sheet.rows
    placed: list[list[Placed]] = []
    for place, label in enumerate(labels, start=first - 1):
        if not placed or place % a_page == 0:
            placed.append([])
        placed[-1].append(Placed(label, place % a_page // sheet.columns, place % sheet.columns))
    return placed


def labels_pdf(
    labels: Sequence[EndLabel], sheet: LabelSheet, *, first: int = 1, title: str, identifier: str, on: date
) -> bytes:
    """The sheets as one PDF, every label at its true size and place. Raises pdf.CannotPrint."""
    bar, bar_said = BAR[sheet.paper]
    html = render_to_string(
        "wiring/label_sheet.html",
        {
            "title": title,
            "pages": pages(labels, sheet, first),
            "paper": sheet.paper,
            "columns": [(place, in_mm(sheet.left + sheet.across * place)) for place in range(sheet.columns)],
            "rows": [(place, in_mm(sheet.top + sheet.down * place)) for place in range(sheet.rows)],
            "width": in_mm(sheet.width),
            "height": in_mm(sheet.height),
            "low": sheet.height < LOW,
            "bar": in_mm(bar),
            "bar_said": bar_said,
        },
    )
    return pdf.write(
        [pdf.lay_out(title, html)], identifier=identifier, created=datetime.combine(on, time(), tzinfo=UTC)
    )


def in_mm(length: Length) -> str:
    """Millimeters to a thousandth, for the page."""
    return f"{float(length.nm) / 1e6:.3f}"
