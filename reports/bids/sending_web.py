"""What is done with a bid once it is written: sent, answered, taken back, and how it turned out."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from reports.bids import queries, services
from reports.bids.forms import OutcomeForm, TrueUpForm, WhyForm
from reports.bids.web_parts import sign_form
from reports.estimating.bid import BidError


def _to(revision):
    return redirect("bid_revision", revision.pk)


def send_bid(request, bid_revision_id):
    """Keep what was looked at, word for word, and make the client's link."""
    revision = queries.revision_of(request.shop, bid_revision_id)
    try:
        services.send(revision, request.POST.get("seen", ""), by=request.member, on=timezone.localdate())
    except (services.NotDone, BidError) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Sent. It stays as it is; the client's link is below."))
    return _to(revision)


def next_bid_revision(request, bid_id):
    bid = queries.bid_of(request.shop, bid_id)
    try:
        revision = services.next_revision(bid, by=request.member)
    except services.NotDone as refused:
        messages.error(request, str(refused))
        return redirect("job_bids", bid.job_id)
    return _to(revision)


def withdraw_bid(request, bid_revision_id):
    revision = queries.revision_of(request.shop, bid_revision_id)
    form = WhyForm(request.POST, prefix="why")
    try:
        services.withdraw(revision, why=form.cleaned_data["why"] if form.is_valid() else "")
    except services.NotDone as refused:
        messages.error(request, str(refused))
    return _to(revision)


def accept_bid(request, bid_revision_id):
    """A signature that came on paper, written down by the office."""
    revision = queries.revision_of(request.shop, bid_revision_id)
    today = timezone.localdate()
    form = sign_form(revision, today, request.POST)
    if not form.is_valid():
        messages.error(request, _("Not recorded: give the name and the day of the signature, as they stand on paper."))
        return _to(revision)
    data = form.cleaned_data
    try:
        services.accept(revision, data["digest"], name=data["name"], on=data["on"], today=today, by=request.member)
    except services.NotDone as refused:
        messages.error(request, str(refused))
    return _to(revision)


def bid_link(request, bid_revision_id):
    """Close the client's link, or make another one."""
    revision = queries.revision_of(request.shop, bid_revision_id)
    try:
        if request.POST.get("do") == "new":
            services.new_link(revision, by=request.member)
        else:
            services.close_links(revision)
    except services.NotDone as refused:
        messages.error(request, str(refused))
    return _to(revision)


def true_up(request, bid_revision_id):
    """What was chosen for an allowance."""
    revision = queries.revision_of(request.shop, bid_revision_id)
    form = TrueUpForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Not recorded: give the price of each, from 0 up, to the cent."))
        return _to(revision)
    try:
        services.true_up_allowance(revision, by=request.member, **form.cleaned_data)
    except services.NotDone as refused:
        messages.error(request, str(refused))
    return _to(revision)


def bid_outcome(request, bid_id):
    """Lost, no answer, and why."""
    bid = queries.bid_of(request.shop, bid_id)
    form = OutcomeForm(request.POST or None, initial=vars(bid))
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            services.record_outcome(
                bid, form.seen_version, outcome=data["outcome"], why=data["outcome_why"], on=timezone.localdate()
            )
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(bid), back=request.path)
        except services.NotDone as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("Saved."))
            return redirect("job_bids", bid.job_id)
    return render(request, "bids/outcome.html", {"form": form, "bid": bid}, status=422 if form.errors else 200)


def bid_outcomes(request):
    """How often the shop is taken, and what it keeps."""
    together, months, clients, sizes = queries.outcomes(request.shop)
    groups = [
        (_("By month sent"), _("Month"), months),
        (_("By client"), _("Client"), clients[:50]),
        (_("By size"), _("Price"), sizes),
    ]
    context = {"together": together, "groups": groups, "reasons": queries.why_lost(request.shop)}
    return render(request, "bids/outcomes.html", context)
