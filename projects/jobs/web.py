"""Pages of jobs and rooms: door, form, service, answer. No geometry is worked out here."""

from django.contrib import messages
from django.db import transaction
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.catalogue.tables import layers
from projects.jobs import queries, services
from projects.jobs.counts_form import ChangeCountsForm
from projects.jobs.forms import ChangeJobForm, CopyForm, JobForm, NewRoomForm, RoomForm
from projects.jobs.survey_forms import BuildUpForm, MeasurementForm
from projects.jobs.tape_words import all_visits
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion


def _answer(request, template, form, **context):
    return render(request, template, {"form": form, **context}, status=422 if form.errors else 200)


def jobs(request):
    return render(request, "jobs/jobs.html", {"page": queries.page_of_jobs(request.shop, request.GET.get("page"))})


def new_job(request):
    form = JobForm(request.POST or None, tape=request.shop.tape)
    if request.method == "POST" and form.is_valid():
        try:
            job = services.open_job(request.shop, **form.cleaned_data)
        except services.NameTaken as taken:
            form.add_error(taken.field, str(taken))
        else:
            return redirect("job", job.pk)
    return _answer(request, "jobs/edit_job.html", form)


def job(request, job_id):
    record = queries.job_of(request.shop, job_id)
    page = queries.page_of_rooms(record, request.GET.get("page"))
    return render(request, "jobs/job.html", {"job": record, "page": page})


def edit_job(request, job_id):
    record = queries.job_of(request.shop, job_id)
    form = ChangeJobForm(request.POST or None, tape=record.tape, initial=vars(record))
    if request.method == "POST" and form.is_valid():
        try:
            services.change_job(record, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(record), back=request.path)
        except (services.NameTaken, services.InTheField) as refused:
            form.add_error(refused.field, str(refused))
        else:
            messages.success(request, _("Saved."))
            return redirect("job", record.pk)
    return _answer(request, "jobs/edit_job.html", form, job=record)


def new_room(request):
    start = {"job": request.GET.get("job") or queries.latest_job(request.shop)}
    form = NewRoomForm(request.POST or None, shop=request.shop, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            room = _enter_room(request, form.cleaned_data)
        except services.NameTaken as taken:
            form.add_error(taken.field, str(taken))
        else:
            return redirect("room", room.pk)
    return _answer(request, "jobs/new_room.html", form)


@transaction.atomic
def _enter_room(request, data):
    job = data["job"] or services.next_job(request.shop)
    room = services.add_room(job, name=data["name"], ceiling_system=data["ceiling_system"], stage=1)
    readings = [("door", 1, data["left_right"], None), ("left", 1, data["door_far"], None)]
    if data["height"]:
        readings.append(("height", 1, data["height"], None))
    services.record_measurements(
        room,
        readings,
        by=request.member,
        kind=data["kind"],
        taken_on=timezone.localdate(),
        taken_by=request.member.user.name,
    )
    return room


def edit_room(request, room_id):
    room = queries.room_at(request.shop, room_id)
    form = RoomForm(request.POST or None, initial=vars(room))
    if request.method == "POST" and form.is_valid():
        try:
            services.change_room(room, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=room.name, back=request.path)
        except services.NameTaken as taken:
            form.add_error(taken.field, str(taken))
        else:
            messages.success(request, _("Saved."))
            return redirect("room", room.pk)
    return _answer(request, "jobs/edit_room.html", form, room=room)


def copy_room(request, room_id):
    room = queries.room_of(request.shop, room_id)
    form = CopyForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("How many copies? 1 to %(most)s.") % {"most": services.MOST_COPIES})
        return redirect("room", room.pk)
    copies = services.copy_room(room, form.cleaned_data["times"])
    told = ngettext(
        "%(n)s copy made. It still has to be taped.", "%(n)s copies made. Each still has to be taped.", len(copies)
    )
    messages.success(request, told % {"n": len(copies)})
    return redirect("room", copies[0].pk) if len(copies) == 1 else redirect("job", room.job_id)


def build_up(request, room_id):
    room = queries.room_of(request.shop, room_id)
    form = BuildUpForm(request.POST or None, tape=room.job.tape, initial=BuildUpForm.start_from(room))
    if request.method == "POST" and form.is_valid():
        try:
            services.change_build_up(room, form.seen_version, form.placed, form.room_changes)
        except StaleVersion as stale:
            theirs = BuildUpForm.start_from(queries.room_of(request.shop, room_id))
            name = _("the build-up of %(room)s") % {"room": room}
            return both_versions(request, form, stale, name=name, back=request.path, theirs=theirs)
        messages.success(request, _("Saved. The layout is re-drawn from it."))
        return redirect("room", room.pk)
    return _answer(request, "jobs/build_up.html", form, room=room, tape=room.job.tape, table=layers().values())


def measurements(request, room_id):
    room = queries.room_of(request.shop, room_id)
    tape = room.job.tape
    start = {"taken_on": timezone.localdate(), "taken_by": request.member.user.name, "kind": "framing"}
    form = MeasurementForm(request.POST or None, tape=tape, initial=start)
    if request.method == "POST" and form.is_valid():
        services.record_measurements(room, form.readings, by=request.member, **form.visit)
        messages.success(request, _("Kept. Earlier readings stay below it."))
        return redirect("measurements", room.pk)
    return _answer(request, "jobs/measurements.html", form, room=room, tape=tape, visits=all_visits(room, tape))


def counts(request, room_id):
    room = queries.room_of(request.shop, room_id)
    start = ChangeCountsForm.start_from(room)
    form = ChangeCountsForm(request.POST or None, shop=request.shop, tape=room.job.tape, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_counts(room, form.seen_version, form.counts, form.points)
        except StaleVersion as stale:
            theirs = ChangeCountsForm.start_from(queries.room_of(request.shop, room_id))
            name = _("the fixtures of %(room)s") % {"room": room}
            return both_versions(request, form, stale, name=name, back=request.path, theirs=theirs)
        messages.success(request, _("Saved."))
        return redirect("room", room.pk)
    return _answer(request, "jobs/counts.html", form, room=room)
