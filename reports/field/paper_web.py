"""A card that the crew marked up by hand, entered by somebody else from its photo: the photo beside a line per mark."""

from django import forms
from django.contrib import messages
from django.db import transaction
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.as_built.models import Reason, Step
from layout.services import NotAsIssued, thawed
from projects.jobs.queries import room_of
from projects.photos import services as shots
from projects.photos.forms import ACCEPTED
from projects.photos.models import Purpose
from projects.photos.queries import photos_of
from reports import queries as documents
from reports.field import services
from reports.field.entries import Conflict, Refused
from reports.sheets import card_sheet, datum_for_stage


class PaperForm(forms.Form):
    """Which step the card tells of, and whether every mark without other numbers is where the card has it."""

    step = forms.ChoiceField(choices=Step.choices, label=gettext_lazy("The card tells what is now"))
    rest = forms.BooleanField(
        required=False, label=gettext_lazy("All marks without other numbers are set as printed on the card")
    )


class NotEntered(Exception):
    """One line could not be kept, and so none was. Names the mark."""


def paper_card(request, room_id):
    room = room_of(request.shop, room_id)
    if request.method == "POST" and "file" in request.FILES:
        return _keep_photo(request, room)
    newest = room.revisions.order_by("-number").first()
    lines, face = _lines(request, room, newest) if newest else ([], "")
    form = PaperForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            n = _enter(request, room, lines, form.cleaned_data, face)
        except NotEntered as refused:
            messages.error(request, _("Nothing was entered. %s") % refused)
        else:
            messages.success(request, _("Entered: %s marks.") % n)
            return redirect("as_built", room.pk)
    cards = list(photos_of(room).filter(purpose=Purpose.CARD).order_by("-pk")[:12])
    chosen = request.GET.get("photo", "")
    context = {
        "room": room,
        "revision": newest,
        "lines": lines,
        "face": face,
        "form": form,
        "cards": cards,
        "shown": next((one for one in cards if str(one.pk) == chosen), cards[0] if cards else None),
        "reasons": Reason.choices,
        "accepted": ACCEPTED,
    }
    return render(request, "field/paper_card.html", context, status=422 if request.method == "POST" else 200)


def _keep_photo(request, room):
    try:
        kept = shots.keep(room, request.FILES["file"], by=request.member, purpose=Purpose.CARD)
    except (shots.NoPicture, shots.QuotaFull) as refused:
        messages.error(request, str(refused))
        return redirect(request.path)
    return redirect(f"{request.path}?photo={kept.pk}")


def _lines(request, room, newest):
    """A line per mark: its printed numbers, and what was typed over them. And the face they are read from."""
    revision = documents.revision_with_marks(room, newest.number)
    try:
        datum = datum_for_stage(thawed(revision), room.stage)
        sheet = card_sheet(revision, room, datum)
    except NotAsIssued as refused:
        messages.error(request, str(refused))
        return [], ""
    boxes = ("along", "across", "reason", "words")
    return [
        {
            "mark": mark,
            "typed": {box: request.POST.get(f"{box}-{mark.id}", "").strip() for box in boxes},
            "there": f"there-{mark.id}" in request.POST,
        }
        for mark in sheet.marks
    ], datum.value


def _enter(request, room, lines, said, face):
    """All of the card or nothing of it. Raises NotEntered."""
    moved = [line for line in lines if line["typed"]["along"] or line["typed"]["across"]]
    there = [line["mark"].id for line in lines if line not in moved and (said["rest"] or line["there"])]
    if not moved and not there:
        raise NotEntered(_("Tick the marks that are set, or give the numbers of those that are elsewhere."))
    with transaction.atomic():
        if there:
            _one(request, room, {"idents": " ".join(there), "step": said["step"]}, _("Marks as printed"))
        for line in moved:
            ident = line["mark"].id
            _one(request, room, {"ident": ident, "step": said["step"], "face": face, **line["typed"]}, ident)
    return len(there) + len(moved)


def _one(request, room, data, name):
    try:
        services.enter(request.member, room, "as_built", data, 0, None)
    except (Refused, Conflict, services.NotAllowed) as wrong:
        raise NotEntered(f"{name}: {wrong}") from wrong
