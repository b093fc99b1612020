"""The calculator pages: door, form, figure, answer. Everyone signed in, money only who may see it; no sums here."""

from django.http import Http404
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from projects.platform.permissions import may
from reports.figures.figure import FigureError
from reports.figures.forms import FigureForm
from reports.figures.pictures import picture_of
from reports.figures.registry import FIGURES
from reports.figures.shown import rows

GROUPS = {
    "surveying": _("Surveying"),
    "wiring": _("Wiring"),
    "conductors": _("Conductors, drop and circuits"),
    "boxes": _("Boxes and bored holes"),
    "light": _("Light"),
    "speakers": _("Speaker wire"),
    "sound": _("Sound"),
    "reels": _("Reels"),
    "bids": _("Bids"),
}
OF_MONEY = {"reels", "bids"}


def figures(request):
    shown = GROUPS.keys() - (set() if may(request.member, "see prices") else OF_MONEY)
    groups = {key: title for key, title in GROUPS.items() if key in shown}
    listed = [(title, [one for one in FIGURES.values() if one.group == key]) for key, title in groups.items()]
    return render(request, "figures/figures.html", {"groups": [(title, some) for title, some in listed if some]})


def figure(request, figure_name):
    one = FIGURES.get(figure_name)
    if one is None or (one.group in OF_MONEY and not may(request.member, "see prices")):
        raise Http404(figure_name)
    tape = request.shop.tape
    asked = bool(request.GET)
    form = FigureForm(one, request.GET if asked else FigureForm.example(one, tape), tape=tape)
    context = {"figure": one, "group": GROUPS[one.group], "form": form, "asked": asked, "tape": tape}
    if form.is_valid():
        try:
            found = one.answer(form.given)
            context |= {"rows": rows(one, found, tape), "picture": picture_of(one, form.given, found)}
        except FigureError as refused:
            form.add_error(refused.field if refused.field in form.fields else None, refused.args[0])
    return render(request, "figures/figure.html", context)
