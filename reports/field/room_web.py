"""A room's own pages on the phone: its card, readings, the note. Each form works without scripts, as a plain post."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from layout.drawing.plan import plan_svg
from layout.services import NotAsIssued, thawed
from projects.jobs.models import SurveyKind
from projects.jobs.queries import room_at, room_of
from projects.jobs.survey_forms import MeasurementForm
from projects.jobs.tape_words import all_visits
from projects.photos.forms import ACCEPTED, AboutForm
from projects.photos.queries import photos_of, sets_of
from reports import queries as documents
from reports.field import services
from reports.field.entries import Conflict, Refused
from reports.field.kinds.measure import readings_form
from reports.field.models import SiteNote
from reports.field.web import phone_answer
from reports.sheets import card_sheet, datum_for_stage

MOST_SHOWN = 12  # photos
FIRST_BOXES = ("door_1", "left_1", "far_1", "right_1", "d1_1", "d2_1", "height_1")


def card(request, room_id):
    """The newest revision's numbers. Whether it still is the newest is said by the page only while there is signal."""
    room = room_of(request.shop, room_id)
    newest = room.revisions.order_by("-number").first()
    context = {"room": room, "sheet": None}
    if newest is not None:
        revision = documents.revision_with_marks(room, newest.number)
        try:
            sheet = card_sheet(revision, room, datum_for_stage(thawed(revision), room.stage))
        except NotAsIssued as refused:
            context["refused"] = str(refused)
        else:
            context |= {"revision": revision, "sheet": sheet}
            context["svg"] = mark_safe(plan_svg(sheet.plan, interactive=False))
    return phone_answer(request, "field/card.html", context)


def measure(request, room_id):
    room = room_at(request.shop, room_id)
    posted = request.method == "POST"
    if posted and entered(request, "measure", room):
        return redirect("field_measure", room.pk)
    if posted:
        form = readings_form(request.member, room, request.POST.dict(), timezone.now())
    else:
        form = MeasurementForm(tape=room.job.tape, initial={"kind": SurveyKind.FRAMING})
    visits = all_visits(room_of(request.shop, room_id), room.job.tape)
    context = {
        "room": room,
        "known": len(visits),
        "last": visits[0] if visits else None,
        "form": form,
        "boxes": [form[name] for name in FIRST_BOXES],
    }
    return phone_answer(request, "field/measure.html", context, status=422 if posted else 200)


def note(request, room_id):
    room = room_at(request.shop, room_id)
    if request.method == "POST" and entered(request, "note", room):
        return redirect("field_note", room.pk)
    stored = SiteNote.objects.of(request.shop).filter(room=room).select_related("by__user").first()
    typed = request.POST.get("text") if request.method == "POST" else None
    context = {"room": room, "note": stored, "typed": typed}
    return phone_answer(request, "field/note.html", context, status=200 if typed is None else 422)


def photos(request, room_id):
    """One photo at a time: taken or chosen, what it shows, kept. What the room still needs stands first."""
    room = room_at(request.shop, room_id)
    if request.method == "POST" and entered(request, "photo", room):
        return redirect("field_photos", room.pk)
    posted = request.method == "POST"
    context = {
        "room": room,
        "sets": sets_of([room])[room.pk],
        "form": AboutForm(request.POST if posted else None),
        "accepted": ACCEPTED,
        "taken": photos_of(room).order_by("-pk")[:MOST_SHOWN],
    }
    return phone_answer(request, "field/photos.html", context, status=422 if posted else 200)


def entered(request, kind, room):
    """A field form posted without scripts. True when it was taken; else a message says why, and the page shows it."""
    data = {name: value for name, value in request.POST.items() if name not in ("csrfmiddlewaretoken", "base")}
    base = request.POST.get("base", "0")
    base = int(base) if base.isascii() and base.isdigit() and len(base) < 10 else 0
    try:
        kept = services.enter(request.member, room, kind, data, base, request.FILES.get("file"))
    except (Refused, Conflict, services.NotAllowed) as wrong:
        theirs = getattr(wrong, "theirs", {})
        stands = "; ".join(f"{name}: {value}" for name, value in theirs.items() if name != "version")
        messages.error(request, f"{wrong} {_('As it stands:')} {stands}" if stands else str(wrong))
        return False
    messages.success(request, kept.get("said") or _("Kept."))
    return True
