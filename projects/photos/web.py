"""Pages of a room's photos and its punch list. Door, form, service, answer."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.crypto import get_random_string
from django.utils.translation import gettext as _

from projects.files import store
from projects.files.answers import picture_answer
from projects.jobs.queries import room_of
from projects.photos import forms, queries, services
from projects.photos.models import Purpose
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion


def photos(request, room_id):
    """All of a room's photos, those a stage asks for, and a box for more."""
    room = room_of(request.shop, room_id)
    wanted = request.GET.get("show", "")
    wanted = wanted if wanted in Purpose.values else ""
    start = {"key": get_random_string(22), "purpose": wanted}
    form = forms.PhotosForm(request.POST or None, request.FILES or None, initial=start)
    if request.method == "POST" and form.is_valid():
        given = dict(form.cleaned_data)
        try:
            services.keep_all(room, given.pop("photos"), by=request.member, under=given.pop("key"), **given)
        except services.QuotaFull as full:
            form.add_error("photos", str(full))
        else:
            messages.success(request, _("Kept."))
            return redirect(f"{request.path}?show={given['purpose']}" if given["purpose"] else request.path)
    context = {
        "room": room, "form": form, "sets": queries.sets_of([room])[room.pk], "purposes": Purpose.choices,
        "wanted": wanted,
        "page": queries.page_of_photos(room, request.GET.get("page"), purpose=wanted or None),
        "taken_back": queries.taken_back(room),
        "used_mb": store.used_by(room.shop_id) // store.MB, "most_mb": store.most_bytes() // store.MB,
    }  # fmt: skip
    return render(request, "photos/photos.html", context, status=422 if form.errors else 200)


def photo(request, shot_id):
    """One photo, large, and what it shows."""
    found = queries.photo_of(request.shop, shot_id)
    form = forms.ChangePhotoForm(request.POST or None, initial=vars(found))
    if request.method == "POST" and form.is_valid():
        try:
            services.change(found, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=_("The photo"), back=request.path)
        messages.success(request, _("Saved."))
        return redirect("photo", found.pk)
    context = {"photo": found, "room": found.room, "form": form}
    return render(request, "photos/photo.html", context, status=422 if form.errors else 200)


def photo_file(request, shot_id):
    found = queries.photo_of(request.shop, shot_id)
    return picture_answer(request, found.shop_id, found.file)


def photo_small(request, shot_id):
    found = queries.photo_of(request.shop, shot_id)
    return picture_answer(request, found.shop_id, found.small)


def take_back_photo(request, shot_id):
    found = queries.photo_of(request.shop, shot_id)
    try:
        services.take_back(found, request.member)
        messages.success(request, _("Taken back. It can be put back for 30 days, from the foot of this page."))
    except services.CannotBeDone as refused:
        messages.error(request, str(refused))
    return redirect("photos", found.room_id)


def put_back_photo(request, shot_id):
    found = queries.photo_of(request.shop, shot_id)
    services.put_back(found)
    messages.success(request, _("Put back."))
    return redirect("photos", found.room_id)


# The punch list


def punch(request, room_id):
    room = room_of(request.shop, room_id)
    form = forms.PunchForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        services.find(room, request.member, **form.cleaned_data)
        messages.success(request, _("On the punch list."))
        return redirect("punch", room.pk)
    context = {"room": room, "form": form, "items": queries.punch_items(room)}
    return render(request, "photos/punch.html", context, status=422 if form.errors else 200)


def close_punch(request, punch_id):
    """With a photo of it done, which becomes one of the room's; or with words."""
    item = queries.item_of(request.shop, punch_id)
    form = forms.ClosePunchForm(request.POST, request.FILES)
    if not form.is_valid():
        for errors in form.errors.values():
            messages.error(request, errors[0])
        return redirect("punch", item.room_id)
    pictures, words = form.cleaned_data["photos"], form.cleaned_data["closed_words"]
    try:
        services.close_with(item, request.member, pixels=pictures[0] if pictures else None, words=words)
        messages.success(request, _("Closed."))
    except (services.CannotBeDone, services.QuotaFull) as refused:
        messages.error(request, str(refused))
    return redirect("punch", item.room_id)


def open_punch(request, punch_id):
    item = queries.item_of(request.shop, punch_id)
    services.open_again(item)
    messages.success(request, _("Open again."))
    return redirect("punch", item.room_id)
