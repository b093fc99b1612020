"""Labels for marks on a sheet of stick-on labels, every label at its true place. Knows no records, no requests."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time

from django.template.loader import render_to_string

from projects.catalogue.table_values import LabelSheet
from reports.cables.labels import BAR, in_mm, pages
from reports.documents import pdf


def labels_pdf(labels: Sequence, sheet: LabelSheet, *, first: int = 1, title: str, on: date) -> bytes:
    """The sheets as one PDF. first: the place of the first free label. Raises pdf.CannotPrint."""
    bar, bar_said = BAR[sheet.paper]
    html = render_to_string(
        "marking/label_sheet.html",
        {
            "title": title,
            "pages": pages(labels, sheet, first),
            "paper": sheet.paper,
            "columns": [(place, in_mm(sheet.left + sheet.across * place)) for place in range(sheet.columns)],
            "rows": [(place, in_mm(sheet.top + sheet.down * place)) for place in range(sheet.rows)],
            "width": in_mm(sheet.width),
            "height": in_mm(sheet.height),
            "bar": in_mm(bar),
            "bar_said": bar_said,
        },
    )
    identifier = f"{title} {sheet.key} {first} {on}"
    created = datetime.combine(on, time(), tzinfo=UTC)
    return pdf.write([pdf.lay_out(title, html)], identifier=identifier, created=created)
