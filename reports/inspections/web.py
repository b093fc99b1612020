"""Pages of inspections. Door, form, service, answer."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.catalogue.tables import stage_number, stages
from projects.jobs.queries import job_of, room_of
from projects.photos.services import NoPicture, QuotaFull
from projects.platform.pages import both_versions
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion
from reports.inspections import queries, services
from reports.inspections.forms import ChangeVisitForm, CorrectionForm, RoomForm, VisitForm

MOST_ROOMS = 200  # of one visit's page


def job_inspections(request, job_id):
    """A job's visits, the newest first, and what is still to be put right."""
    job = job_of(request.shop, job_id)
    context = {
        "job": job,
        "page": queries.page_of_visits(job, request.GET.get("page")),
        "failed": queries.failed_open(job),
        "rate": queries.first_time_pass_rate(job),
    }
    return render(request, "inspections/job.html", context)


def new_inspection(request, job_id):
    """One visit over many rooms: those that wait for the inspector first."""
    job = job_of(request.shop, job_id)
    given = (request.POST,) if request.method == "POST" else ()
    form = VisitForm(*given, see_money=may(request.member, "see prices"))
    rooms = [RoomForm(*given, room=room) for room in _rooms(job)]
    if given and _all_valid([form, *rooms]):
        results = [
            (each.room, each.cleaned_data["outcome"], each.cleaned_data["corrections"])
            for each in rooms
            if each.cleaned_data["outcome"]
        ]
        try:
            visit = services.record_visit(job, by=request.member, results=results, **form.cleaned_data)
        except services.CannotBeDone as refused:
            form.add_error(None, str(refused))
        else:
            words = ngettext("Recorded for %(n)s room.", "Recorded for %(n)s rooms.", len(results))
            messages.success(request, words % {"n": len(results)})
            return redirect("inspection", visit.pk)
    wrong = [each for each in rooms if given and each.errors]
    soon = [each for each in rooms if _soon(each.room) or (each.is_bound and (each.errors or each["outcome"].value()))]
    context = {"job": job, "form": form, "rooms": rooms, "soon": soon, "wrong": wrong, "names": _names()}
    return render(request, "inspections/new.html", context, status=422 if form.errors or wrong else 200)


def _rooms(job):
    """Those at inspection first, then those about to come, then the others."""
    waits = stage_number("inspection")
    rooms = list(job.rooms.filter(cancelled=False).order_by("level", "name", "pk")[:MOST_ROOMS])
    return sorted(rooms, key=lambda room: (room.stage != waits, room.stage != waits - 1))


def _soon(room):
    """Whether an inspector is likely to look at it now: before cover, at the end, or when its work is being done."""
    return room.stage in {stage_number(name) for name in ("rough_in", "inspection", "punch")}


def _names():
    return {stage.number: _(stage.name) for stage in stages()}


def _all_valid(forms):
    return not [form for form in forms if not form.is_valid()]  # every one is looked at: all errors are shown


def inspection(request, visit_id):
    """One visit: the tag, each room's result, each correction and its answer. Posted to: what was written later."""
    visit = queries.visit_of(request.shop, visit_id)
    given = (request.POST,) if request.method == "POST" else ()
    shown = {name: getattr(visit, name) for name in ("version", "inspector", "tag", "again_on", "fee", "note")}
    form = ChangeVisitForm(*given, visit=visit, see_money=may(request.member, "see prices"), initial=shown)
    if given and form.is_valid():
        try:
            services.change_visit(visit, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(
                request, form, stale, name=str(visit), back=reverse("inspection", args=[visit.pk])
            )
        messages.success(request, _("Kept."))
        return redirect("inspection", visit.pk)
    context = {"visit": visit, "form": form, "answer": CorrectionForm()}
    return render(request, "inspections/visit.html", context, status=422 if form.errors else 200)


def answer_correction(request, correction_id):
    """What was done about a correction, with a photo."""
    correction = queries.correction_of(request.shop, correction_id)
    form = CorrectionForm(request.POST, request.FILES)
    try:
        if form.is_valid():
            said = form.cleaned_data
            services.answer_correction(correction, by=request.member, words=said["words"], upload=said["photo"])
            messages.success(request, _("Kept. The room stays open until an inspector passes it."))
            return redirect("inspection", correction.result.visit_id)
        refused = " ".join(error for errors in form.errors.values() for error in errors)
    except (services.CannotBeDone, NoPicture, QuotaFull) as wrong:
        refused = str(wrong)
    context = {"correction": correction, "form": form, "refused": refused}
    return render(request, "inspections/correction.html", context, status=422)


def room_inspections(request, room_id):
    """What inspectors said of one room, the newest first."""
    room = room_of(request.shop, room_id)
    results = queries.results_of(room)
    return render(request, "inspections/room.html", {"room": room, "results": results, "answer": CorrectionForm()})
