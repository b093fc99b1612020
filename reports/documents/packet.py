"""From a record's HTML to paper: one document alone, or a job's packet numbered through. Knows no content."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, time
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from projects.files.pdfs import NoPdf, bound
from reports.documents import pdf
from reports.documents.head import Head, Paper


def laid_out(title: str, body: str, paper: Paper = Paper.LETTER) -> pdf.LaidOut:
    """A schedule's, takeoff's or checklist's body set on its pages. Raises pdf.CannotPrint."""
    page = render_to_string("reports/packet.html", {"title": title, "body": mark_safe(body), "paper": paper})
    return pdf.lay_out(title, page)


def alone(title: str, body: str, head: Head, paper: Paper = Paper.LETTER) -> bytes:
    """One record as a PDF. Raises pdf.CannotPrint."""
    return pdf.write([laid_out(title, body, paper)], **_print(head, f"{title} {paper}"))


def job_packet(
    documents: Sequence[pdf.LaidOut], head: Head, paper: Paper = Paper.LETTER, behind: Sequence[bytes] = ()
) -> bytes:
    """Cards, schedule, takeoff and checklists as one PDF, with page x of y over all of it. Raises pdf.CannotPrint.

    Args: documents: in the order they are bound, each with a number in its bottom right corner. behind: others' PDFs,
    bound as they are behind our numbered pages.
    """
    corners = pdf.lay_out(_("Page numbers"), _numbers(sum(one.pages for one in documents)))
    content = pdf.write(documents, corners=corners, alone=not behind, **_print(head, f"packet {paper}"))
    try:
        return bound(content, behind) if behind else content
    except NoPdf as damaged:
        raise pdf.CannotPrint(str(damaged)) from damaged


def _numbers(count: int) -> str:
    """So many empty pages with their numbers: the last one is known only when all documents are laid out."""
    return render_to_string("reports/page_numbers.html", {"pages": range(count)})


def _print(head: Head, what: str) -> dict[str, Any]:
    """What makes this print the same as another."""
    stamp = f"{head.room.name} {head.room.stamp}" if head.room else ""
    return {
        "identifier": f"{what} {head.job_number} {stamp} {head.printed_on.isoformat()}",
        "created": datetime.combine(head.printed_on, time(), UTC),
    }
