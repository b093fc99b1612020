"""The mark-out on the phone: one mark at a time for the person on the floor. Door, values, answer."""

from django.shortcuts import redirect
from django.utils.translation import gettext as _

from layout.as_built.models import Reason, Step
from layout.as_built.queries import marks_of
from layout.services import NotAsIssued, thawed
from projects.jobs.queries import room_of
from reports import queries as documents
from reports.field.room_web import entered
from reports.field.web import phone_answer
from reports.marking.walk import rows_of, spoken
from reports.sheets import FIRST_FINISHED_STAGE, card_sheet, datum_for_stage


def mark_out(request, room_id):
    room = room_of(request.shop, room_id)
    step = request.GET.get("step") or request.POST.get("step") or _usual_step(room)
    if step not in Step.values:
        step = _usual_step(room)
    if request.method == "POST" and entered(request, "as_built", room):
        return redirect(f"{request.path}?step={step}{_where(request.POST.get('idents', ''))}")
    context = {"room": room, "step": step, "steps": Step.choices, "rows": (), "reasons": Reason.choices[1:]}
    now = marks_of(room)
    if now.revision is not None:
        context |= _walk(room, now, step)
    return phone_answer(request, "marking/mark_out.html", context, status=422 if request.method == "POST" else 200)


def _where(idents):
    """The stop to go on from: the mark just entered, or the end of its row."""
    first = idents.split()[0] if idents.split() else ""
    return f"#m-{first}" if first.isalnum() else ""


def _usual_step(room):
    return Step.CUT.value if room.stage >= FIRST_FINISHED_STAGE else Step.FLOOR.value


def _walk(room, now, step):
    revision = documents.revision_with_marks(room, now.revision.number)
    try:
        layout = thawed(revision)
    except NotAsIssued as refused:
        return {"refused": str(refused)}
    datum = datum_for_stage(layout, FIRST_FINISHED_STAGE if step == Step.CUT else room.stage)
    tape = room.job.tape
    sheet = card_sheet(revision, room, datum)
    rows = rows_of(now, layout, room, tape, datum, step, _not_to_cut(now, sheet))
    done = sum(stop.done for row in rows for stop in row.stops)
    return {
        "now": now,
        "revision": revision,
        "sheet": sheet,
        "face": datum.value,
        "rows": rows,
        "done": done,
        "all": len(now.marks),
        "limit": tape.show(room.job.crew_may_move),
        "checks": [(line.what, line.expect) for line in sheet.check.lines],
        "check_aloud": " ".join(f"{line.what}: {spoken(line.expect)}." for line in sheet.check.lines),
    }


def _not_to_cut(now, sheet):
    """Marks whose cutout nobody verified."""
    open_types = {one.kind for one in sheet.cutouts if not one.verified_by}
    for mark in now.marks:
        if mark.mark.kind in open_types:
            yield mark.ident, _("Cutout not verified: cut a test hole in scrap first.")
