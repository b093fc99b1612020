"""Pages and prints of the documents: door, query, document, answer."""

from functools import wraps

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.text import slugify
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from layout.drawing.plan import plan_svg
from layout.drawing.values import Datum
from layout.light.queries import light_of
from layout.queries import is_behind, layout_now
from layout.services import NotAsIssued, thawed
from projects.catalogue.targets import target_of
from projects.doors.door import speak_for_link
from projects.jobs.queries import job_of, room_of
from projects.platform.languages import PAPER, paper_language, printed_in, side_by_side
from reports import light_papers, papers, queries
from reports.close_out import made
from reports.close_out.work import cannot_be_made
from reports.documents.card import card_pdf, card_picture
from reports.documents.head import PAPERS, Paper
from reports.documents.pdf import CannotPrint
from reports.forms import PrintForm
from reports.marking.since import since_card
from reports.services import log_copy
from reports.sheets import card_sheet, check_url, datum_for_stage, datums_of

AT_ONCE = 3  # rooms of a packet that a page waits for


def as_file(content, kind, name):
    """A file to be shown or kept. kind: its media type, whose second half is its ending."""
    ending = kind.split(";")[0].split("/")[1]
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'inline; filename="{slugify(name) or "document"}.{ending}"'
    return answer


def _paper(request):
    """The paper asked for, or None for the page on screen."""
    return PAPERS.get(request.GET.get("paper"))


def _language(request):
    return paper_language(request.GET.get("language"))


def show_document(request, document, back, *, extra=None, language=None):
    """A document as a page, or as a PDF where a paper is asked for. back: {name, url, id} of the page it is from.

    language: what it was made in, where that may be chosen.
    """
    paper = _paper(request)
    if paper:
        try:
            with printed_in(language or get_language()):
                content = document.pdf(paper)
            return as_file(content, "application/pdf", f"{back['name']} {document.name}")
        except CannotPrint as refused:
            messages.error(request, str(refused))
            return redirect(request.path)
    # The body is our own template's HTML, escaped where people's words stand in it.
    context = {
        "document": document, "title": side_by_side(document.title), "body": mark_safe(side_by_side(document.body)),
        "back": back, "language": language, "languages": PAPER, **(extra or {}),
    }  # fmt: skip
    return render(request, "reports/document.html", context)


def as_issued(view):
    """A page made from a revision; one that no longer comes out as issued says so instead of guessing."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        try:
            return view(request, *args, **kwargs)
        except NotAsIssued as refused:
            messages.error(request, str(refused))
            return redirect("room", kwargs["room_id"]) if "room_id" in kwargs else redirect("job", kwargs["job_id"])

    return guarded


# One room


def _laid(request, room_id, number):
    room = room_of(request.shop, room_id)
    return queries.Laid(room, queries.revision_with_marks(room, number))


def _room_document(request, room_id, number, make, *, extra=None, language=None):
    one = _laid(request, room_id, number)
    with printed_in(language or get_language()):
        document = make(one, timezone.localdate())
    back = {"name": one.room.name, "url": "room", "id": one.room.pk}
    return show_document(request, document, back, extra=extra and extra(one), language=language)


@as_issued
def schedule(request, room_id, number):
    return _room_document(request, room_id, number, lambda one, on: papers.schedule(one.room, [one], on=on))


@as_issued
def takeoff(request, room_id, number):
    return _room_document(
        request, room_id, number, lambda one, on: papers.takeoff(one.room, one, on=on), extra=_counted_before
    )


def _counted_before(one):
    """Counts stood before this layout: what it changed is a page of its own."""
    return {"counted_before": one.room if any(count.count for count in one.room.counts.all()) else None}


@as_issued
def checklist(request, room_id, number):
    return _room_document(
        request, room_id, number, lambda one, on: papers.rough_in_checklist(one, on=on), language=_language(request)
    )


@as_issued
def card(request, room_id, number):
    """What will be printed, who has a copy, and the button that prints."""
    one = _laid(request, room_id, number)
    layout = thawed(one.revision)
    chosen = datum_for_stage(layout, one.room.stage)
    sheet = card_sheet(one.revision, one.room, chosen)
    form = PrintForm(
        faces=datums_of(layout), initial={"datum": chosen.value, "held_by": request.member.user.name, "paper": "letter"}
    )
    context = {
        "room": one.room,
        "revision": one.revision,
        "newest": queries.newest_number(one.revision),
        "behind": is_behind(one.revision, layout_now(one.room)),
        "sheet": sheet,
        "svg": mark_safe(plan_svg(sheet.plan, interactive=False)),
        "form": form,
        "copies": queries.copies_of(one.revision),
        "reachable": check_url(one.revision),
    }
    return render(request, "reports/card_page.html", context)


@as_issued
def print_card(request, room_id, number):
    """Print or send: the card as PDF or as a picture, and a line in the log of who has it."""
    one = _laid(request, room_id, number)
    form = PrintForm(request.POST, faces=datums_of(thawed(one.revision)))
    if not form.is_valid():
        messages.error(request, _("Not printed: say who gets the card."))
        return redirect("card", room_id, number)
    data = form.cleaned_data
    paper = Paper.A4 if data["paper"] == "a4" else Paper.LETTER
    sent = data["how"] == "sent"
    try:
        with printed_in(data["language"]):
            sheet = card_sheet(one.revision, one.room, Datum(data["datum"]))
            content = card_picture(sheet, paper) if sent else card_pdf(sheet, paper)
    except CannotPrint as refused:
        messages.error(request, str(refused))
        return redirect("card", room_id, number)
    log_copy(
        one.revision, how=data["how"], held_by=data["held_by"], datum=data["datum"], by=request.member,
        language=data["language"],
    )  # fmt: skip
    name = f"{one.room.job.number} {one.room.name} rev {one.revision.number}"
    return as_file(content, "image/png" if sent else "application/pdf", name)


def light_report(request, room_id):
    """What the room's light comes to, on paper; where it can't be computed the light page says what that takes."""
    room = room_of(request.shop, room_id)
    light = light_of(room)
    if light.solved is None:
        messages.error(request, _("There is no computed light to report yet. This page says what it takes."))
        return redirect("light", room.pk)
    wanted = light.setup.target_key
    row = target_of(request.shop, wanted) if wanted else None
    document = light_papers.light_report(light, row, on=timezone.localdate())
    return show_document(request, document, {"name": room.name, "url": "light", "id": room.pk})


# A whole job


def _job(request, job_id):
    job = job_of(request.shop, job_id)
    laid = queries.laid_rooms(job)
    if not laid:
        messages.error(request, _("No room of this job has an issued revision yet. Issue one, then print."))
        return job, None
    return job, laid


def _job_document(request, job_id, make, *, language=None):
    job, laid = _job(request, job_id)
    if laid is None:
        return redirect("job", job.pk)
    back = {"name": str(job), "url": "job", "id": job.pk}
    extra = {"not_laid_out": queries.rooms_without_layout(job)}
    with printed_in(language or get_language()):
        document = make(job, laid, timezone.localdate())
    return show_document(request, document, back, extra=extra, language=language)


@as_issued
def job_schedule(request, job_id):
    return _job_document(request, job_id, lambda job, laid, on: papers.schedule(job, laid, on=on))


@as_issued
def job_checklist(request, job_id):
    return _job_document(
        request, job_id, lambda job, laid, on: papers.job_checklist(job, laid, on=on), language=_language(request)
    )


@as_issued
def job_packet(request, job_id):
    """A small job's packet at once; a larger one is made as long work, from its own page."""
    job, laid = _job(request, job_id)
    if laid is None:
        return redirect("job", job.pk)
    if refused := cannot_be_made(laid):
        messages.error(request, refused)
        return redirect("job", job.pk)
    if len(laid) > AT_ONCE:
        return redirect("packets", job.pk)
    try:
        content = made.job_packet(job, laid, on=timezone.localdate(), paper=_paper(request) or Paper.LETTER)
    except CannotPrint as refused:
        messages.error(request, str(refused))
        return redirect("job", job.pk)
    return as_file(content, "application/pdf", f"{job.number} packet")


# Behind the QR


def check_card(request, token):
    """Is this card still right? No sign-in, no prices, nothing but its age."""
    revision = queries.revision_behind(token)
    if revision is None:
        raise Http404
    speak_for_link(revision.shop_id)
    newest = queries.newest_number(revision)
    gone = revision.room.trashed_at is not None
    context = {
        "revision": revision, "newest": newest, "gone": gone, "is_latest": newest == revision.number and not gone,
        "token": token,
    }  # fmt: skip
    if newest != revision.number and not gone:
        context["since"] = since_card(revision, newest)
    answer = render(request, "reports/check_card.html", context)
    answer["Cache-Control"] = "no-store"
    return answer
