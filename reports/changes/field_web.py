"""Pages of the field: an extra written on a phone, and what a moved light comes to. Door, form, service, answer."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from projects.files.answers import picture_answer
from projects.files.store import QuotaFull
from projects.jobs.queries import job_of, room_of
from projects.platform.permissions import may
from reports.changes import forms, services
from reports.changes.contents import moved_words
from reports.changes.ink import HIGH, WIDE
from reports.changes.models import new_once
from reports.changes.pricing import price_moves
from reports.changes.queries import change_of, extra_of, open_drafts, page_of_extras
from reports.changes.web import BROKEN, REFUSED

PAPER = {"wide": WIDE, "high": HIGH}


def extras(request):
    """What the field wrote, the newest first; those in no change order yet when asked for."""
    only_open = request.GET.get("open") == "1"
    page = page_of_extras(request.shop, request.GET.get("page"), only_open=only_open)
    return render(request, "changes/extras.html", {"page": page, "only_open": only_open})


def job_extra(request, job_id):
    return _write(request, job_of(request.shop, job_id), None)


def room_extra(request, room_id):
    room = room_of(request.shop, room_id)
    return _write(request, room.job, room)


def _write(request, job, room):
    form = forms.ExtraForm(request.POST or None, request.FILES or None, initial={"once": new_once()})
    if request.method == "POST" and form.is_valid():
        given = dict(form.cleaned_data)
        try:
            extra = services.write_extra(job, request.member, room=room, pictures=given.pop("photos"), **given)
        except QuotaFull as full:
            form.add_error("photos", str(full))
        else:
            messages.success(request, _("Kept. The office sees it at once."))
            return redirect("extra", extra.pk)
    context = {"job": job, "room": room, "form": form, **PAPER}
    return render(request, "changes/write_extra.html", context, status=422 if form.errors else 200)


def extra(request, extra_id):
    found = extra_of(request.shop, extra_id)
    drafts = open_drafts(found.job) if may(request.member, "change contracts") else []
    context = {"extra": found, "drafts": drafts, "why_form": forms.WhyForm(), **PAPER}
    return render(request, "changes/extra.html", context)


def extra_photo(request, extra_id, photo_id):
    found = extra_of(request.shop, extra_id)
    photo = next((photo for photo in found.photos.all() if photo.pk == photo_id), None)
    if photo is None:
        raise Http404
    return picture_answer(request, found.shop_id, photo.file)


def charge_extra(request, extra_id):
    """One press: the extra as a line of a change order, a new one or one that is a draft (`change`)."""
    found = extra_of(request.shop, extra_id)
    into, asked = None, request.POST.get("change", "")
    if asked:
        if not (asked.isascii() and asked.isdecimal() and len(asked) < 19):
            raise Http404
        into = change_of(request.shop, int(asked))
        if into.job_id != found.job_id:
            raise Http404
    try:
        return redirect("change", services.open_from_extra(found, request.member, into).pk)
    except services.CannotBeDone as refused:
        messages.error(request, str(refused))
        return redirect("extra", found.pk)


def close_extra(request, extra_id):
    found = extra_of(request.shop, extra_id)
    form = forms.WhyForm(request.POST)
    try:
        if form.is_valid():
            services.close_extra(found, **form.cleaned_data)
        else:
            messages.error(request, _("Why: say why it isn't charged."))
    except services.CannotBeDone as refused:
        messages.error(request, str(refused))
    return redirect("extra", found.pk)


# A light that somebody wants elsewhere


def moved_lights(request, room_id):
    """What moving lights comes to at the room's stage today, before anything moves, and a place to sign."""
    room = room_of(request.shop, room_id)
    revision = room.revisions.order_by("-number").first()
    marks = list(revision.marks.select_related("fixture_type").order_by("pk")) if revision else []
    asked = request.POST.getlist("marks") or request.GET.getlist("marks")
    known = [mark.ident for mark in marks]
    chosen = [ident for ident in dict.fromkeys(asked) if ident in known]
    form = forms.MovedLightsForm(
        request.POST if request.method == "POST" else None,
        marks=[(mark.ident, f"{mark.ident} {mark.fixture_type.name}") for mark in marks],
        initial={"marks": chosen},
    )
    priced, broken = None, ""
    if chosen:
        try:
            priced = price_moves(room, revision, chosen)
        except BROKEN as error:
            broken = str(error)
    if request.method == "POST" and form.is_valid() and priced:
        return _signed(request, room, revision, form.cleaned_data, priced)
    context = {
        "room": room, "revision": revision, "marks": marks, "chosen": chosen, "form": form, "broken": broken,
        "no_wage": priced and not priced.books.rates.entered,
        "change": priced and priced.change, "stage": priced and priced.books.stages[room.pk],
        "said": [moved_words(mark, room.job.tape) for _room, mark in priced.moved] if priced else [], **PAPER,
    }  # fmt: skip
    return render(request, "changes/moved_lights.html", context, status=422 if form.errors else 200)


def _signed(request, room, revision, given, priced):
    """A change order, sent and signed at once, for what was shown; another sum by now is shown first."""
    if request.POST.get("seen") != str(priced.change.price):
        messages.warning(request, _("The sum has changed since it was shown. Look at it again before it is signed."))
        return redirect(f"{request.path}?{'&'.join(f'marks={ident}' for ident in given['marks'])}")
    try:
        change = services.sign_moved_lights(
            room, revision, given["marks"], request.member,
            reason=given["reason"], name=given["name"], on=given["on"], ink=given["ink"],
            seen_price=str(priced.change.price),
        )  # fmt: skip
    except REFUSED as refused:
        messages.error(request, str(refused))
        return redirect("moved_lights", room.pk)
    messages.success(request, _("Signed as %(change)s. Now the lights may move.") % {"change": change})
    return redirect("room", room.pk)
