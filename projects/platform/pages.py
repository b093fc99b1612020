"""Answers that every part's pages share: a length read aloud, and two versions side by side."""

from django import forms
from django.http import JsonResponse
from django.shortcuts import render

from layout.engine.lengths import LengthError, Style, Tape, echo
from layout.engine.reading import AmbiguousLength, read_length
from projects.platform.forms import VersionedForm


def read_length_page(request):
    """What a length box understood, as JSON for length-echo.js."""
    try:
        style = Style(request.GET.get("style", request.shop.style))
    except ValueError:
        style = Style(request.shop.style)
    tape = Tape(style, 1 if style is Style.MM else 64)
    try:
        length = read_length(request.GET.get("text", ""), unit=tape.unit, style=style)
    except AmbiguousLength as ambiguous:
        readings = [{"text": r.text, "echo": echo(r.length, tape)} for r in ambiguous.readings]
        return JsonResponse({"ok": False, "error": str(ambiguous), "readings": readings})
    except LengthError as unreadable:
        return JsonResponse({"ok": False, "error": str(unreadable), "readings": []})
    return JsonResponse({"ok": True, "echo": echo(length, tape)})


def both_versions(request, form: VersionedForm, stale, *, name, back, theirs=None):
    """A stale save: what was typed beside what is stored, nothing lost. Saving again goes over it.

    theirs: the stored values by the boxes' names, where they are more than the record's own columns.
    """
    if theirs is None:
        theirs = {field.name: getattr(stale.theirs, field.name, None) for field in form}
    rows = [_row(field, theirs.get(field.html_name)) for field in form if field.name != "version"]
    context = {
        "record_name": name,
        "fields": rows,
        "posted": [
            (key, value) for key, value in request.POST.items() if key not in ("version", "csrfmiddlewaretoken")
        ],
        "version": stale.theirs.version,
        "action": request.get_full_path(),
        "back": back,
    }
    return render(request, "platform/both_versions.html", context, status=409)


def _row(field, theirs):
    theirs = getattr(theirs, "pk", theirs)
    typed, stored = _text(field, field.value()), _text(field, theirs)
    return {
        "label": field.label,
        "name": field.html_name,
        "mine": typed,
        "theirs": stored,
        "mine_shown": _chosen(field, typed),
        "theirs_shown": _chosen(field, stored),
        "differs": field.field.has_changed(theirs, field.data),
    }


def _text(field, value):
    if isinstance(field.field, forms.BooleanField):  # its widget writes no value for a tick
        return "True" if value else ""
    shown = field.field.widget.format_value(field.field.prepare_value(value))
    if isinstance(shown, (list, tuple)):  # what a choice's box holds
        shown = shown[0] if shown else ""
    return "" if shown is None else str(shown)


def _chosen(field, text):
    """A choice in its own words, anything else as typed."""
    for key, label in getattr(field.field, "choices", ()):
        if str(key) == text:
            return label
    return text
