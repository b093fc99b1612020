"""The picture behind a plan: upload, scale, take away, and the picture itself, to the shop's own people only."""

from django.contrib import messages
from django.http import FileResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from layout.editor import pictures
from layout.editor.picture_forms import ScaleForm, UploadForm
from projects.files.pictures import NoPicture
from projects.files.store import QuotaFull
from projects.jobs.queries import room_of
from projects.platform.tenancy import StaleVersion


def picture(request, room_id):
    room = room_of(request.shop, room_id)
    found = pictures.picture_of(room)
    if found is None or not pictures.path_of(found).exists():
        return redirect("plan", room.pk)
    return FileResponse(pictures.path_of(found).open("rb"), content_type="image/jpeg", filename="plan.jpg")


def upload(request, room_id):
    room = room_of(request.shop, room_id)
    form = UploadForm(request.POST, request.FILES)
    if not form.is_valid():
        messages.error(request, _("Choose a picture first: PNG, JPEG or WebP."))
        return redirect("plan", room.pk)
    try:
        pictures.keep_picture(room, form.cleaned_data["picture"])
    except (NoPicture, QuotaFull) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("The picture is here. Set it to scale: two points and the length between them."))
    return redirect("plan", room.pk)


def scale(request, room_id):
    room = room_of(request.shop, room_id)
    found = pictures.picture_of(room)
    if found is None:
        messages.error(request, _("There is no picture to set to scale. Upload one first."))
        return redirect("plan", room.pk)
    form = ScaleForm(request.POST, picture=found, tape=room.job.tape)
    if not form.is_valid():
        for name, errors in form.errors.items():
            label = form.fields[name].label if name in form.fields else ""
            messages.error(request, f"{label}: {errors[0]}".removeprefix(": "))
        return redirect("plan", room.pk)
    try:
        pictures.set_to_scale(found, form.seen_version, form.changes)
    except StaleVersion:
        messages.error(request, _("Someone else set the picture's scale meanwhile. It is shown as it is now."))
    else:
        messages.success(request, _("The picture lies under the plan, to scale."))
    return redirect("plan", room.pk)


def remove(request, room_id):
    room = room_of(request.shop, room_id)
    pictures.remove_picture(room)
    messages.success(request, _("The picture is gone."))
    return redirect("plan", room.pk)
