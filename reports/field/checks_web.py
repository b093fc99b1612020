"""A room's checklist on the phone: one item, one press. Each item's form works without scripts, as a plain post."""

from django.shortcuts import redirect

from projects.jobs.queries import room_at
from reports.checks.models import Outcome
from reports.checks.queries import sheet_of
from reports.documents.checklist import CONDITIONS
from reports.field.room_web import entered
from reports.field.web import phone_answer


def checks(request, room_id):
    room = room_at(request.shop, room_id)
    posted = request.method == "POST"
    if posted and entered(request, "check", room):
        return redirect("field_checks", room.pk)
    sheet = sheet_of(room)
    context = {
        "room": room,
        "sheet": sheet,
        "open": _groups(row for row in sheet.asked if not _settled(row)),
        "answered": _groups(row for row in sheet.asked if _settled(row)),
        "typed_for": request.POST.get("number") if posted else "",
        "typed": request.POST.get("reason", ""),
    }
    return phone_answer(request, "field/checks.html", context, status=422 if posted else 200)


def _settled(row):
    """Nothing is to do: it has an answer, and no fail."""
    return row.answer and row.answer.outcome != Outcome.FAIL


def _groups(rows):
    """[(group, [(row, what turns it on)])]."""
    groups = {}
    for row in rows:
        turns_on = [CONDITIONS.get(name, name) for name in row.turns_on] if row.bearing == "ask" else []
        groups.setdefault(row.item.group, []).append((row, turns_on))
    return list(groups.items())
