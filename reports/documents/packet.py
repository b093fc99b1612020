"""From a record's HTML to paper: one document alone, or a job's packet numbered through. Knows no content."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, time

from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from reports.documents import pdf
from reports.documents.head import Head, Paper

END_OF_HEAD = "</head>"


def page(title: str, body: str, paper: Paper = Paper.LETTER) -> str:
    """A schedule's, takeoff's or checklist's body as a whole HTML page for print."""
    return render_to_string("reports/packet.html", {"title": title, "body": mark_safe(body), "paper": paper})


def alone(title: str, body: str, head: Head, paper: Paper = Paper.LETTER) -> bytes:
    """One record as a PDF. Raises pdf.CannotPrint."""
    return _printed({title: page(title, body, paper)}, head, f"{title} {paper}")


def job_packet(documents: Mapping[str, str], head: Head, paper: Paper = Paper.LETTER) -> bytes:
    """Cards, schedule, takeoff and checklists as one PDF, with page x of y over all of it. Raises pdf.CannotPrint.

    Args: documents: a name for messages and the whole HTML page of each, in the order they are bound.
    """
    counts = {name: pdf.page_count(html) for name, html in documents.items()}
    total, first, numbered = sum(counts.values()), 1, {}
    for name, html in documents.items():
        numbered[name] = _numbered_from(html, first, total)
        first += counts[name]
    return _printed(numbered, head, f"packet {paper}")


def _numbered_from(html: str, first: int, total: int) -> str:
    """The same page, counting from first, of total in all. Its own 'page 1 of 1' is overruled by coming later."""
    before, of = _("page"), _("of")
    footing = format_html(
        '<style>@page {{ @bottom-right {{ content: "{} " counter(page) " {} {}" }} }} '
        "@page :first {{ counter-set: page {} }}</style>",
        before,
        of,
        total,
        first,
    )
    return html.replace(END_OF_HEAD, footing + END_OF_HEAD, 1)


def _printed(documents: Mapping[str, str], head: Head, what: str) -> bytes:
    created = datetime.combine(head.printed_on, time(), UTC)
    stamp = f"{head.room.name} {head.room.stamp}" if head.room else ""
    identifier = f"{what} {head.job_number} {stamp} {head.printed_on.isoformat()}"
    return pdf.render(documents, identifier=identifier, created=created)
