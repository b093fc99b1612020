"""Pages of bids being written: door, form, service, answer. No sums are worked out here."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.jobs.queries import job_of
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from reports.bids import ground, queries, services
from reports.bids.contents import draft_contents, kept
from reports.bids.forms import BidForm, LineForm, NewBidForm, TermsForm, TextsForm, WhyForm, line_in, terms_in
from reports.bids.models import LineKind, Outcome
from reports.bids.showing import grouped, sum_rows
from reports.bids.texts import LISTS, as_typed, texts_of
from reports.bids.web_parts import link_of, shown_links, sign_form
from reports.estimating.bid import BidError
from reports.estimating.kept_text import canonical, digest_of


def _answer(request, template, form, **context):
    return render(request, template, {"form": form, **context}, status=422 if form.errors else 200)


def bids(request):
    """Every bid of the shop, the newest first."""
    asked = request.GET.get("outcome", "")
    page = queries.page_of_bids(request.shop, request.GET.get("page"), asked)
    return render(request, "bids/bids.html", {"page": page, "asked": asked, "outcomes": Outcome.choices})


def job_bids(request, job_id):
    """A job's bids, and a new one."""
    job = job_of(request.shop, job_id)
    form = NewBidForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            revision = services.open_bid(job, by=request.member, once=True, **form.cleaned_data)
        except services.MadeJustNow as again:
            messages.info(request, str(again))
            return redirect("bid_revision", again.made.pk)
        except services.NumberTaken as taken:
            form.add_error("number", str(taken))
        else:
            return redirect("bid_revision", revision.pk)
    return _answer(request, "bids/job_bids.html", form, job=job, bids=queries.bids_of(job))


def edit_bid(request, bid_id):
    bid = queries.bid_of(request.shop, bid_id)
    form = BidForm(request.POST or None, initial=vars(bid))
    if request.method == "POST" and form.is_valid():
        try:
            services.change_bid(bid, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(bid), back=request.path)
        except services.NumberTaken as taken:
            form.add_error("number", str(taken))
        except services.NotDone as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("Saved."))
            return redirect("bid_revision", bid.revisions.order_by("-number").values_list("pk", flat=True)[0])
    return _answer(request, "bids/edit_bid.html", form, bid=bid, discards=services.may_be_discarded(bid))


def discard_bid(request, bid_id):
    """Throw away a bid that was never sent."""
    bid = queries.bid_of(request.shop, bid_id)
    seen = request.POST.get("version", "")
    try:
        services.discard_bid(bid, int(seen) if seen.isascii() and seen.isdecimal() and len(seen) < 10 else 0)
    except StaleVersion:
        messages.error(request, _("Somebody changed this bid meanwhile. Look at it again, then throw it away."))
    except services.NotDone as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Bid %s was thrown away.") % bid)
        return redirect("job_bids", bid.job_id)
    return redirect("edit_bid", bid.pk)


# One revision


def bid_revision(request, bid_revision_id):
    """A draft to write on, or what was sent."""
    revision = queries.revision_of(request.shop, bid_revision_id)
    return _draft(request, revision) if revision.is_draft else _sent(request, revision)


def _draft(request, revision):
    form = TermsForm(request.POST or None, initial=terms_in(revision))
    if request.method == "POST" and form.is_valid():
        try:
            services.change_terms(revision, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=_("Terms of %s") % revision, back=request.path)
        except services.AlreadySent as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, _("Saved."))
        return redirect("bid_revision", revision.pk)
    lines = queries.lines_of(revision)
    base = ground.base_for(revision)
    context = {
        "revision": revision,
        "groups": grouped(lines),
        "base": base,
        "takeoffs": ground.takeoffs_of(revision),
    }
    try:
        contents = draft_contents(revision, lines, base)
    except BidError as refused:
        context |= {"trouble": str(refused)}
    else:
        context |= {
            "contents": contents,
            "rows": sum_rows(contents),
            "seen": digest_of(canonical(contents)),
            "not_ready": ground.not_ready(contents),
            "cautions": ground.cautions(contents),
            "moved": ground.moved_since(revision, contents) if base.takeoff else [],
            "priced": {line["key"]: line["price"] for line in contents["lines"] if "price" in line},
        }
    return _answer(request, "bids/draft.html", form, **context, **_letters(revision))


def _letters(revision):
    return {"bid": revision.bid, "job": revision.bid.job, "letters": queries.letters_of(revision.bid)}


def _sent(request, revision):
    contents, today = kept(revision), timezone.localdate()
    if request.method == "POST":
        messages.error(request, str(services.AlreadySent(revision)))
        return redirect("bid_revision", revision.pk)
    context = {
        "revision": revision,
        "contents": contents,
        "rows": sum_rows(contents),
        "expired": queries.is_expired(revision, today),
        "moved": ground.moved_since(revision, contents),
        "cautions": ground.cautions(contents),
        "links": shown_links(request, revision, today),
        "open_link": link_of(revision, today),
        "form": sign_form(revision, today),
        "why_form": WhyForm(prefix="why"),
        "allowances": queries.allowances_of(revision, contents),
    }
    return render(request, "bids/sent.html", {**context, **_letters(revision)})


def take_takeoff(request, bid_revision_id):
    """Stand the draft on a takeoff kept now, on one kept before, or on none."""
    revision = queries.revision_of(request.shop, bid_revision_id)
    try:
        services.take_takeoff(revision, request.POST.get("takeoff", ""), by=request.member)
    except (services.NotDone, ground.CannotCount) as refused:
        messages.error(request, str(refused))
    return redirect("bid_revision", revision.pk)


# Lines


def _kind(text):
    return LineKind(text) if text in LineKind.values else LineKind.WORK


def new_bid_line(request, bid_revision_id):
    revision = queries.revision_of(request.shop, bid_revision_id)
    kind = _kind(request.GET.get("kind", ""))
    form = LineForm(request.POST or None, kind=kind, new=True, rooms=ground.room_names(revision))
    if request.method == "POST" and form.is_valid():
        try:
            services.add_line(revision, kind, once=True, **form.cleaned_data)
        except services.MadeJustNow as again:
            messages.info(request, str(again))
            return redirect("bid_revision", revision.pk)
        except services.NotDone as refused:
            form.add_error(None, str(refused))
        else:
            return redirect("bid_revision", revision.pk)
    return _answer(request, "bids/line.html", form, revision=revision, kind=kind)


def bid_line(request, bid_line_id):
    line = queries.line_of(request.shop, bid_line_id)
    rooms = ground.room_names(line.revision)
    form = LineForm(request.POST or None, kind=line.kind, initial=line_in(line), rooms=rooms)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_line(line, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=line.words, back=request.path)
        except services.NotDone as refused:
            form.add_error(None, str(refused))
        else:
            return redirect("bid_revision", line.revision_id)
    return _answer(request, "bids/line.html", form, revision=line.revision, line=line, kind=LineKind(line.kind))


def remove_bid_line(request, bid_line_id):
    line = queries.line_of(request.shop, bid_line_id)
    seen = request.POST.get("version", "")
    try:
        services.remove_line(line, int(seen) if seen.isascii() and seen.isdecimal() and len(seen) < 10 else 0)
    except StaleVersion:
        messages.error(request, _("Somebody changed this line meanwhile. Look at it again, then take it out."))
        return redirect("bid_line", line.pk)
    except services.NotDone as refused:
        messages.error(request, str(refused))
    return redirect("bid_revision", line.revision_id)


# The shop's own lists


def bid_texts(request):
    own = queries.own_texts(request.shop)
    texts = texts_of(request.shop)
    start = {name: as_typed(texts[name]) for name in LISTS} | {"version": own.version if own else 1}
    form = TextsForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            services.keep_texts(request.shop, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=_("The shop's lists"), back=request.path)
        messages.success(request, _("Saved. The next new bid starts with these."))
        return redirect("bid_texts")
    return _answer(request, "bids/texts.html", form, own=own)
