"""Papers for marking, cutting and the board crew, and what changed behind a QR: door, query, paper, answer."""

from django import forms
from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.as_built.queries import marks_of
from layout.services import NotAsIssued
from projects.catalogue.models import FixtureType
from projects.doors.door import speak_for_link
from projects.jobs.queries import room_of
from projects.platform.forms import NameFormField
from projects.platform.languages import paper_language, printed_in
from reports import queries
from reports.documents.card import card_pdf
from reports.documents.head import PAPERS, Paper
from reports.documents.pdf import CannotPrint
from reports.forms import InALanguage
from reports.marking import papers
from reports.marking.cards import finish_card, floor_card
from reports.marking.hole import HoleSheet, template_pdf
from reports.marking.labels import labels_pdf
from reports.marking.since import since_paper
from reports.services import log_copy
from reports.sheets import FIRST_FINISHED_STAGE, check_url
from reports.web import as_file, as_issued, show_document

CARDS = {"floor": floor_card, "finish": finish_card}


class MarkingCardForm(InALanguage):
    """Which card, on which paper, and who gets it."""

    card = forms.ChoiceField(
        choices=[("floor", gettext_lazy("Floor-marking card")), ("finish", gettext_lazy("After-drywall card"))],
        label=gettext_lazy("Card"),
    )
    held_by = NameFormField(max_length=80, label=gettext_lazy("Who gets it"))
    paper = forms.ChoiceField(choices=[("letter", "Letter"), ("a4", "A4")], label=gettext_lazy("Paper"))
    field_order = ["card", "held_by", "paper", "language"]


def _room(request, room_id):
    room = room_of(request.shop, room_id)
    return room, marks_of(room)


def _none_yet(request, room):
    messages.error(request, _("No revision is issued yet, so there is no mark. Issue one first."))
    return redirect("room", room.pk)


def marking_papers(request, room_id):
    room, now = _room(request, room_id)
    return _none_yet(request, room) if now.revision is None else _papers(request, room, now)


def _papers(request, room, now, status=200):
    types = {mark.mark.fixture_type.pk: mark.mark.fixture_type for mark in now.marks}
    card = "finish" if room.stage >= FIRST_FINISHED_STAGE else "floor"
    usual = {"card": card, "held_by": request.member.user.name, "paper": "letter"}
    context = {
        "room": room,
        "now": now,
        "form": MarkingCardForm(initial=usual),
        "types": list(types.values()),
        "tape": room.job.tape,
        "sheets": papers.sheets_for_marks().values(),
        "reachable": check_url(now.revision),
    }
    return render(request, "marking/papers.html", context, status=status)


@as_issued
def print_marking_card(request, room_id):
    """The card as PDF, and a line in the log of who has it."""
    room, now = _room(request, room_id)
    if now.revision is None:
        return _none_yet(request, room)
    form = MarkingCardForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Not printed: say which card and who gets it."))
        return redirect("marking_papers", room.pk)
    said = form.cleaned_data
    revision = queries.revision_with_marks(room, now.revision.number)
    try:
        with printed_in(said["language"]):
            sheet = CARDS[said["card"]](revision, room, now)
            content = card_pdf(sheet, PAPERS[said["paper"]])
    except CannotPrint as refused:
        messages.error(request, str(refused))
        return redirect("marking_papers", room.pk)
    log_copy(
        revision, how="printed", held_by=said["held_by"], datum=sheet.datum.value, by=request.member,
        language=said["language"],
    )  # fmt: skip
    return as_file(content, "application/pdf", f"{room.job.number} {room.name} {said['card']} card")


def _paper_of(request, room_id, make):
    room, now = _room(request, room_id)
    if now.revision is None:
        return _none_yet(request, room)
    language = paper_language(request.GET.get("language"))
    with printed_in(language):
        document = make(room, now, on=timezone.localdate())
    return show_document(request, document, {"name": room.name, "url": "room", "id": room.pk}, language=language)


@as_issued
def hole_list(request, room_id):
    return _paper_of(request, room_id, papers.hole_list)


@as_issued
def as_built_paper(request, room_id):
    return _paper_of(request, room_id, papers.as_built_paper)


@as_issued
def mark_labels(request, room_id):
    """A label for each mark, as PDF on the chosen sheet."""
    room, now = _room(request, room_id)
    if now.revision is None:
        return _none_yet(request, room)
    if "sheet" not in request.GET:
        return _papers(request, room, now)
    sheet = papers.sheets_for_marks().get(request.GET["sheet"])
    first = request.GET.get("first", "1")
    most = sheet.columns * sheet.rows if sheet else 0
    if not (sheet and first.isascii() and first.isdecimal() and len(first) < 5 and 1 <= int(first) <= most):
        messages.error(request, _("Choose a sheet of labels, and the first free label on it."))
        return _papers(request, room, now, status=422)
    title = _("Mark labels, %(job)s %(room)s") % {"job": room.job.number, "room": room.name}
    labels = papers.mark_labels(room, now)
    try:
        content = labels_pdf(labels, sheet, first=int(first), title=title, on=timezone.localdate())
    except CannotPrint as refused:
        messages.error(request, str(refused))
        return redirect("marking_papers", room.pk)
    return as_file(content, "application/pdf", title)


def hole_template(request, type_id):
    """One type's hole at full size."""
    kind = FixtureType.objects.of(request.shop).filter(pk=type_id).first()
    if kind is None:
        raise Http404
    sheet = HoleSheet(
        kind.name, kind.cutout, kind.shape == "square", request.shop.tape, request.shop.name, timezone.localdate(),
        kind.cutout_verified_by or None,
    )  # fmt: skip
    try:
        content = template_pdf(sheet, PAPERS.get(request.GET.get("paper"), Paper.LETTER))
    except CannotPrint as refused:
        messages.error(request, str(refused))
        return redirect("fixture_type", kind.pk)
    return as_file(content, "application/pdf", f"{kind.name} hole template")


# Behind the QR


def check_changes(request, token):
    """What changed since a card, as a page or one sheet. No sign-in, no prices."""
    old = queries.revision_behind(token)
    if old is None:
        raise Http404
    speak_for_link(old.shop_id)
    room = room_of(old.room.shop, old.room_id)
    newest = queries.newest_number(old)
    if newest == old.number:
        return redirect("check_card", token)
    try:
        document = since_paper(
            queries.revision_with_marks(room, old.number),
            queries.revision_with_marks(room, newest),
            room,
            on=timezone.localdate(),
        )
        paper = PAPERS.get(request.GET.get("paper"))
        if paper:
            return as_file(document.pdf(paper), "application/pdf", f"{room.job.number} {room.name} changed")
    except (NotAsIssued, CannotPrint) as refused:
        context = {"refused": str(refused), "token": token}
        return render(request, "marking/changed.html", context, status=422)
    context = {"document": document, "body": mark_safe(document.body), "token": token}
    answer = render(request, "marking/changed.html", context)
    answer["Cache-Control"] = "no-store"
    return answer
