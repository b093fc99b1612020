"""Pages of change orders: a job's list, one order, what is pressed on it, its paper. Door, form, service, answer."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext as _

from projects.jobs.queries import job_of, room_of
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from reports.changes import forms, paper, services
from reports.changes.contents import contents_of, kept
from reports.changes.models import ContractTerms
from reports.changes.pricing import TERM_FIELDS, contract_of, price_of
from reports.changes.queries import (
    change_of,
    changed_since,
    contract_sum,
    page_of_changes,
    page_of_extras,
    page_of_unsigned,
)
from reports.changes.rules import default_terms
from reports.documents.head import Paper
from reports.documents.pdf import CannotPrint
from reports.estimating.change_terms import ChangeError
from reports.estimating.frozen_takeoff import NotAsKept
from reports.estimating.kept_text import Altered

BROKEN = (ChangeError, Altered, NotAsKept)
REFUSED = (services.CannotBeDone, *BROKEN)


def job_changes(request, job_id):
    """The contract sum, every change order, and the field extras that are in none."""
    job = job_of(request.shop, job_id)
    contract = contract_of(job)
    context = {
        "job": job,
        "sum": contract_sum(job, contract.bid),
        "bid": contract.bid,
        "page": page_of_changes(job, request.GET.get("page")),
        "extras": page_of_extras(request.shop, 1, job=job, only_open=True),
        "changed": changed_since(job, contract),
        "form": forms.NewChangeForm(),
    }
    return render(request, "changes/job.html", context)


def unsigned(request):
    """Every change order of the shop that somebody has to send or sign, the oldest first."""
    return render(request, "changes/unsigned.html", {"page": page_of_unsigned(request.shop, request.GET.get("page"))})


def new_change(request, job_id):
    job = job_of(request.shop, job_id)
    form = forms.NewChangeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            made = services.open_change(job, request.member, once=True, **form.cleaned_data)
        except services.MadeJustNow as again:
            made = again.made
            messages.info(request, str(again))
        return redirect("change", made.pk)
    return render(request, "changes/new.html", {"job": job, "form": form}, status=422 if form.errors else 200)


def change_from_layouts(request, job_id):
    """One press: every room whose layout is not the contract's."""
    job = job_of(request.shop, job_id)
    return _opened(request, lambda: services.open_from_layouts(
        job, changed_since(job, contract_of(job)), request.member
    ), back=("job_changes", job.pk))  # fmt: skip


def room_change(request, room_id):
    """From one revision of a room to a later one."""
    room = room_of(request.shop, room_id)
    revisions = room.revisions.order_by("-number")
    numbers = list(revisions[:2])
    start = {"before": numbers[-1].pk, "after": numbers[0].pk} if len(numbers) > 1 else {}
    form = forms.FromRevisionsForm(request.POST or None, revisions=revisions, initial=start)
    if request.method == "POST" and form.is_valid():
        pair = (room, form.cleaned_data["before"], form.cleaned_data["after"])
        return _opened(
            request, lambda: services.open_from_layouts(room.job, [pair], request.member), back=("room_change", room.pk)
        )
    context = {"room": room, "form": form, "revisions": numbers}
    return render(request, "changes/from_revisions.html", context, status=422 if form.errors else 200)


def _opened(request, make, *, back):
    try:
        return redirect("change", make().pk)
    except REFUSED as refused:
        messages.error(request, str(refused))
        return redirect(*back)


# One change order


def change(request, change_id):
    found = change_of(request.shop, change_id)
    return _page(request, found)


def _page(request, found, *, line=None, status=200):
    contents, broken = None, ""
    try:
        contents = contents_of(found, price_of(found)) if found.is_draft else found.contents and kept(found)
    except BROKEN as error:
        broken = str(error)
    rooms = found.job.rooms.filter(cancelled=False).order_by("pk")[:500]
    context = {
        "change": found,
        "job": found.job,
        "contents": contents,
        "broken": broken,
        "line_form": line or forms.LineForm(rooms=found.job.rooms.filter(pk__in=[room.pk for room in rooms])),
        "sign_form": forms.SignForm(),
        "spoken_form": forms.SpokenForm(),
        "why_form": forms.WhyForm(),
        "extras": list(found.extras.all()),
    }
    return render(request, "changes/change.html", context, status=status)


def edit_change(request, change_id):
    found = change_of(request.shop, change_id)
    if not found.is_draft:
        messages.error(request, _("It was sent: what is in it stays. Make another change order for what is different."))
        return redirect("change", found.pk)
    start = {name: getattr(found, name) for name in ("title", "reason", "asked_by", "days", "version")}
    form = forms.ChangeForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_draft(found, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(found), back=request.path)
        except services.CannotBeDone as refused:
            messages.error(request, str(refused))
        return redirect("change", found.pk)
    return render(request, "changes/edit.html", {"change": found, "form": form}, status=422 if form.errors else 200)


def change_line(request, change_id):
    """Add a line, or take one away (`remove`)."""
    found = change_of(request.shop, change_id)
    form = forms.LineForm(request.POST, rooms=found.job.rooms.all())
    gone = request.POST.get("remove", "")
    try:
        if gone:
            if not (gone.isascii() and gone.isdecimal() and len(gone) < 19):
                raise Http404
            services.remove_line(found, int(gone))
        elif form.is_valid():
            services.add_line(found, once=True, **form.cleaned_data)
        else:
            return _page(request, found, line=form, status=422)
    except services.CannotBeDone as refused:
        messages.error(request, str(refused))
    return redirect("change", found.pk)


def change_goods(request, change_id):
    """Where goods are that a draft takes out."""
    found = change_of(request.shop, change_id)
    form = forms.GoodsForm(request.POST)
    if not form.is_valid() or not found.rooms.filter(room_id=form.cleaned_data["room_id"]).exists():
        messages.error(request, _("That line isn't in this change order any more."))
    else:
        try:
            services.say_goods(found, **form.cleaned_data)
        except services.CannotBeDone as refused:
            messages.error(request, str(refused))
    return redirect("change", found.pk)


def send_change(request, change_id):
    seen = request.POST.get("version", "")
    seen = int(seen) if seen.isascii() and seen.isdecimal() and len(seen) < 10 else None
    return _done(
        request, change_id,
        lambda found: services.send(
            found, request.member, seen_version=seen, seen_price=request.POST.get("seen") or None
        ),
        _("Sent: what is in it stays as it is. Print it, and have it signed."),
    )  # fmt: skip


def approve_change(request, change_id):
    return _with_form(request, change_id, forms.SignForm, lambda found, given: services.approve(
        found, request.member, **given
    ), _("Signed: it is part of the contract now."))  # fmt: skip


def spoken_change(request, change_id):
    return _with_form(request, change_id, forms.SpokenForm, lambda found, given: services.said_yes(
        found, **given
    ), _("Noted. It stays open until somebody signs."))  # fmt: skip


def reject_change(request, change_id):
    return _with_form(request, change_id, forms.WhyForm, lambda found, given: services.reject(
        found, request.member, **given
    ), _("Rejected."))  # fmt: skip


def void_change(request, change_id):
    return _with_form(request, change_id, forms.WhyForm, lambda found, given: services.void(
        found, request.member, **given
    ), _("Void: its field extras are open again."))  # fmt: skip


def _with_form(request, change_id, kind, do, said):
    form = kind(request.POST)
    if not form.is_valid():
        found = change_of(request.shop, change_id)
        wrong = "; ".join(f"{form[name].label}: {error}" for name, errors in form.errors.items() for error in errors)
        messages.error(request, wrong)
        return redirect("change", found.pk)
    return _done(request, change_id, lambda found: do(found, form.cleaned_data), said)


def _done(request, change_id, do, said):
    found = change_of(request.shop, change_id)
    try:
        do(found)
        messages.success(request, said)
    except REFUSED as refused:
        messages.error(request, str(refused))
    return redirect("change", found.pk)


def change_paper(request, change_id):
    """The change order for a signature: what changes, its sum and its days. A draft prints as one."""
    found = change_of(request.shop, change_id)
    size = Paper.A4 if request.GET.get("paper") == "a4" else Paper.LETTER
    try:
        contents = contents_of(found, price_of(found)) if found.is_draft or not found.contents else kept(found)
        pdf = paper.change_pdf(found, contents, size)
    except (CannotPrint, *REFUSED) as refused:
        messages.error(request, str(refused))
        return redirect("change", found.pk)
    answer = HttpResponse(pdf, content_type="application/pdf")
    name = slugify(f"{found.job.number} change order {found.number}")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer


def contract_terms(request, job_id):
    """What the job's contract says of changes."""
    job = job_of(request.shop, job_id)
    own = ContractTerms.objects.of(job.shop_id).filter(job=job).first()
    values = {name: getattr(own or default_terms(), name) for name in TERM_FIELDS}
    form = forms.TermsForm(request.POST or None, initial={**values, "version": own.version if own else 0})
    if request.method == "POST" and form.is_valid():
        try:
            services.set_terms(job, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=_("Terms of changes"), back=request.path)
        messages.success(request, _("Kept."))
        return redirect("job_changes", job.pk)
    context = {"job": job, "form": form, "entered": own is not None}
    return render(request, "changes/terms.html", context, status=422 if form.errors else 200)
