"""A bid on paper and side by side: the proposal, the estimator's own sheet, and two revisions compared."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.text import slugify
from django.utils.translation import gettext as _

from reports.bids import ground, papers, queries
from reports.bids.comparing import compare
from reports.bids.contents import draft_contents, kept
from reports.documents.head import PAPERS
from reports.documents.pdf import CannotPrint
from reports.estimating.bid import BidError


def contents_of(revision):
    """What was sent, or a draft as it stands. Raises BidError."""
    if revision.is_draft:
        return draft_contents(revision, queries.lines_of(revision), ground.base_for(revision))
    return kept(revision)


def proposal(request, bid_revision_id):
    """What the client gets."""
    return _paper(request, bid_revision_id, papers.proposal)


def estimate_sheet(request, bid_revision_id):
    """What the client never gets."""
    return _paper(request, bid_revision_id, papers.estimate_sheet)


def _paper(request, bid_revision_id, make):
    revision = queries.revision_of(request.shop, bid_revision_id)
    try:
        document = make(revision, contents_of(revision), on=timezone.localdate())
    except BidError as refused:
        messages.error(request, str(refused))
        return redirect("bid_revision", revision.pk)
    paper = PAPERS.get(request.GET.get("paper"))
    if paper:
        try:
            content = document.pdf(paper)
        except CannotPrint as refused:
            messages.error(request, str(refused))
            return redirect(request.path)
        answer = HttpResponse(content, content_type="application/pdf")
        name = slugify(f"{revision.bid.number} {revision.letter} {document.name}")
        answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
        return answer
    context = {"document": document, "body": mark_safe(document.body), "revision": revision}
    return render(request, "bids/paper.html", context)


def compare_bids(request, bid_id):
    """Any two revisions: in one sentence, and line by line."""
    bid = queries.bid_of(request.shop, bid_id)
    letters = {revision.letter: revision for revision in queries.letters_of(bid)}
    known = list(letters)  # the newest first
    before = request.GET.get("from") or (known[1] if len(known) > 1 else known[0])
    after = request.GET.get("to") or known[0]
    if before not in letters or after not in letters:
        raise Http404
    try:
        pair = [contents_of(queries.revision_of(request.shop, letters[one].pk)) for one in (before, after)]
    except BidError as refused:
        messages.error(request, str(refused))
        return redirect("bid_revision", letters[after].pk)
    context = {
        "bid": bid,
        "letters": known,
        "before": before,
        "after": after,
        "compared": compare(*pair),
        "title": _("Revisions %(before)s and %(after)s") % {"before": before, "after": after},
    }
    return render(request, "bids/compare.html", context)
