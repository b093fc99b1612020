"""Pages for a shop's owner: its lists as a file, and a file's lists looked over, then taken in."""

import json

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from projects.keeping import lists, lists_text
from projects.platform.api.strict_json import MOST_BYTES

SHOWN = 300  # changes on the page; all are taken in
SECTIONS = {
    "shop_rules": gettext_lazy("Shop rules"),
    "fixture_types": gettext_lazy("Fixture types"),
    "control_types": gettext_lazy("Controls"),
    "light_levels": gettext_lazy("Light levels"),
    "red_rules": gettext_lazy("When something is red"),
    "takeoff_rules": gettext_lazy("Takeoff rules"),
    "labor_numbers": gettext_lazy("Labor numbers"),
    "bid_texts": gettext_lazy("Texts of bids"),
    "column_names": gettext_lazy("Columns of price files"),
    "items": gettext_lazy("What the shop buys"),
    "prices": gettext_lazy("Prices"),
    "rates": gettext_lazy("What an hour and the tax cost"),
}


class FileForm(forms.Form):
    file = forms.FileField(label=gettext_lazy("A file of lists"))

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            said = _("The file has %(mb)s MB. A file of lists has 1 MB at most.")
            raise forms.ValidationError(said % {"mb": f"{file.size / 1_000_000:.1f}"}, code="size")
        return file


def shop_lists(request):
    """Nothing is written before the changes were looked at. The file goes along in the page in between."""
    if request.method != "POST":
        return _page(request, FileForm())
    if request.POST.get("do") == "apply":
        return _apply(request)
    form = FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form, status=422)
    return _looked_over(request, form.cleaned_data["file"].read())


def shop_lists_file(request):
    text = lists.as_text(lists.told(request.shop, prices=request.GET.get("prices") == "on"))
    name = f"{slugify(request.shop.name) or 'shop'}-lists-{timezone.localdate():%Y-%m-%d}.json"
    return HttpResponse(
        text, content_type="application/json", headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


def _looked_over(request, content, *, status=200):
    try:
        given = lists_text.read(content)
        report = lists.try_out(request.shop, given, by=request.member)
    except lists.Refused as refused:
        return _page(request, FileForm(), refused=refused.errors, status=422)
    text = json.dumps(given, ensure_ascii=False, separators=(",", ":"), default=str)
    shown = [(SECTIONS.get(one.section, one.section), one) for one in report.changes[:SHOWN]]
    context = {"report": report, "text": text, "shown": shown, "more": len(report.changes) - len(shown)}
    return render(request, "keeping/lists_looked_over.html", context, status=status)


def _apply(request):
    content = request.POST.get("lists", "").encode()
    try:
        report = lists.take_in(
            request.shop, lists_text.read(content), by=request.member, seen=request.POST.get("seen", "")
        )
    except lists.Outdated:
        messages.error(request, _("The shop's lists were changed since you looked. Nothing was taken in: look again."))
        return _looked_over(request, content, status=409)
    except lists.Refused as refused:
        return _page(request, FileForm(), refused=refused.errors, status=422)
    taken = len(report.changes)
    said = ngettext("Taken in: %(count)s change.", "Taken in: %(count)s changes.", taken)
    messages.success(request, said % {"count": taken})
    return redirect("shop_lists")


def _page(request, form, *, refused=(), status=200):
    return render(request, "keeping/shop_lists.html", {"form": form, "refused": refused}, status=status)
