"""A change order on paper, for a client to sign: what changes, its sum, its days. No hours and no cost stand on it."""

from django.template.loader import render_to_string
from django.utils import timezone

from reports.changes.ink import HIGH, WIDE
from reports.documents.pdf import render


def change_html(change, contents, size):
    context = {"change": change, "contents": contents, "paper": size.value, "wide": WIDE, "high": HIGH}
    return render_to_string("changes/paper.html", context)


def change_pdf(change, contents, size):
    """Raises CannotPrint."""
    name = f"{change.job.number} {change}"
    settled = change.closed_at or change.sent_at or timezone.now()
    return render(
        {name: change_html(change, contents, size)},
        identifier=f"change {change.pk} {change.state} {change.digest or settled.isoformat()} {size}",
        created=settled,
    )
