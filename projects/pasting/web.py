"""The page where rooms are pasted: what was understood first, then all of them at once or none."""

from django import forms
from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from projects.jobs.models import SurveyKind
from projects.jobs.queries import job_of
from projects.pasting import services
from projects.pasting.models import MOST_TEXT, RoomList
from projects.pasting.reading import HEADINGS, Unreadable
from projects.pasting.rows import LABELS, rows_of, why_unreadable
from projects.platform.forms import TapeForm
from projects.work.services import start

AT_ONCE = 200  # rows entered while the page waits; more is long work
SHOWN = 200


class PasteForm(TapeForm):
    text = forms.CharField(
        label=gettext_lazy("Rooms, a row each"), max_length=MOST_TEXT, strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "wrap": "off"}),
        help_text=gettext_lazy("Copied from a spreadsheet, or with commas between. Headings are known by their words."),
    )  # fmt: skip
    kind = forms.ChoiceField(label=gettext_lazy("Their sizes are"), choices=SurveyKind.choices, initial=SurveyKind.PLAN)


def paste_rooms(request, job_id):
    job = job_of(request.shop, job_id)
    form = PasteForm(request.POST or None, initial={"kind": SurveyKind.PLAN})
    rows = None
    if request.method == "POST" and form.is_valid():
        try:
            rows = rows_of(form.cleaned_data["text"], job, services.names_in(job))
        except Unreadable as error:
            form.add_error("text", why_unreadable(error))
        else:
            wrong = [row for row in rows if row.errors]
            if "enter" in request.POST and not wrong:
                return _entered(request, job, form.cleaned_data, rows) or _page(request, job, form, rows, 409)
    return _page(request, job, form, rows, 422 if form.errors or any(row.errors for row in rows or ()) else 200)


def _entered(request, job, data, rows):
    """The answer when all is entered or on its way; None when a row turned out wrong meanwhile."""
    if len(rows) > AT_ONCE:
        return redirect("work", enter_as_work(job, data, rows, request.member).pk)
    try:
        rooms = services.enter(job, rows, kind=data["kind"], by=request.member)
    except services.NotAllRight:
        return None
    messages.success(request, ngettext("%(n)s room entered.", "%(n)s rooms entered.", len(rooms)) % {"n": len(rooms)})
    return redirect("job", job.pk)


def enter_as_work(job, data, rows, by):
    kept = RoomList.objects.create(shop=job.shop, job=job, by=by, **data)
    words = _("Enter %(n)s rooms into %(job)s") % {"n": len(rows), "job": job}
    return start(job.shop, "enter rooms", {"list_id": kept.pk, "job_id": job.pk}, by, title=words)


def _page(request, job, form, rows, status):
    wrong = [row for row in rows or () if row.errors]
    shown = [
        {"number": row.number, "errors": row.errors, "cells": [row.said.get(column, "") for column in LABELS]}
        for row in (wrong or rows or ())[:SHOWN]
    ]
    usual = services.usual_types(request.shop)
    context = {
        "job": job, "form": form, "rows": rows, "wrong": wrong, "shown": shown, "labels": LABELS.values(),
        "headings": [(LABELS[column], ", ".join(words)) for column, words in HEADINGS.items()],
        "light": usual.get("light"), "speaker": usual.get("speaker"),
        "counted": any(row.values.get("lights") or row.values.get("speakers") for row in rows or ()),
    }  # fmt: skip
    return render(request, "pasting/paste.html", context, status=status)
