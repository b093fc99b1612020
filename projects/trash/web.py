"""Pages of the trash: what goes in is shown first, what lies in it has one press to come back."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from projects.jobs.queries import job_of, room_of
from projects.jobs.services import NameTaken
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion
from projects.trash import queries, services
from projects.trash.forms import RestoreJobForm, RestoreRoomForm, TrashForm

UNDO = "undo "  # a message's tag with the address that takes the deed back; base.html makes a button of it


def trash(request):
    jobs = queries.page_of_jobs(request.shop, request.GET.get("jobs")) if may(request.member, "keep jobs") else None
    page = queries.page_of_rooms(request.shop, request.GET.get("page"))
    for record in [*(jobs or ()), *page]:
        record.days = queries.days_of(record)
    return render(request, "trash/trash.html", {"jobs": jobs, "page": page, "kept_days": queries.KEPT.days})


def trash_room(request, room_id):
    room = room_of(request.shop, room_id)
    return _put_away(
        request, room, services.trash_room, back=reverse("room", args=[room.pk]),
        then=reverse("job", args=[room.job_id]), undo=reverse("restore_room", args=[room.pk]),
    )  # fmt: skip


def trash_job(request, job_id):
    job = job_of(request.shop, job_id)
    return _put_away(
        request, job, services.trash_job, back=reverse("job", args=[job.pk]), then=reverse("jobs"),
        undo=reverse("restore_job", args=[job.pk]), rooms=job.rooms.count(),
    )  # fmt: skip


def _put_away(request, record, put, *, back, then, undo, rooms=None):
    form = TrashForm(request.POST or None, initial={"version": record.version})
    changed = False
    if request.method == "POST" and form.is_valid():
        try:
            put(record, form.seen_version, by=request.member)
        except StaleVersion as stale:
            record, changed = stale.theirs, True
            form = TrashForm(initial={"version": record.version})
        else:
            said = _("%(name)s is in the trash, and stays there for %(days)s days.")
            messages.success(request, said % {"name": record, "days": queries.KEPT.days}, extra_tags=UNDO + undo)
            return redirect(then)
    context = {"record": record, "form": form, "back": back, "rooms": rooms, "changed": changed,
               "kept_days": queries.KEPT.days}  # fmt: skip
    status = 409 if changed else 422 if form.errors else 200
    return render(request, "trash/put_in_trash.html", context, status=status)


def restore_room(request, room_id):
    room = queries.any_room(request.shop, room_id)
    return _restore(request, room, RestoreRoomForm, services.restore_room, lambda back: reverse("room", args=[back.pk]))


def restore_job(request, job_id):
    job = queries.any_job(request.shop, job_id)
    return _restore(request, job, RestoreJobForm, services.restore_job, lambda back: reverse("job", args=[back.pk]))


def _restore(request, record, form_class, restore, where):
    if record.trashed_at is None:  # pressed twice, or somebody else was first
        messages.info(request, _("%(name)s is not in the trash.") % {"name": record})
        return redirect(where(record))
    form = form_class(request.POST)
    if form.is_valid():
        try:
            back = restore(record, **form.cleaned_data)
        except NameTaken as taken:
            form = form_class({taken.field: form.cleaned_data[taken.field] or getattr(record, taken.field)})
            form.add_error(taken.field, str(taken))
        except services.JobInTheTrash as first:
            messages.error(request, str(first))
            return redirect("trash")
        else:
            messages.success(request, _("%(name)s is back.") % {"name": back})
            return redirect(where(back))
    return render(request, "trash/other_name.html", {"form": form, "record": record}, status=422)
