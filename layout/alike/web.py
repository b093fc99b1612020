"""Pages of rooms alike: the type with all that was made from it, or one of those and where it differs."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.alike import queries, services
from layout.alike.forms import AlikeForm
from layout.alike.parts import PARTS
from projects.jobs.queries import room_of
from projects.jobs.services import NameTaken


def alike(request, room_id):
    room = room_of(request.shop, room_id)
    form = AlikeForm(request.POST or None, initial={"times": 1})
    if request.method == "POST" and form.is_valid():
        try:
            times, names = form.cleaned_data["times"] or 0, form.cleaned_data["names"]
            made = services.make_alike(queries.type_of(room), times=times, names=names)
        except NameTaken:
            form.add_error("names", _("A room of this job has one of these names already. No room was made."))
        except services.TooManyAlike:
            words = _("That would be more than %(most)s of one type. Make the rest from another room.")
            form.add_error("times", words % {"most": queries.MOST_ALIKE})
        else:
            words = ngettext("%(n)s room made.", "%(n)s rooms made.", len(made)) % {"n": len(made)}
            messages.success(request, f"{words} {_('Each still has to be taped.')}")
            return redirect("alike", room.pk)
    return _page(request, room, form, 422 if form.errors else 200)


def _page(request, room, form, status):
    family = queries.family_of(queries.type_of(room))
    rows = [
        {"of": each, "cells": [(part.title, each.stands[part.key]) for part in PARTS]} for each in family.rooms
    ]
    one = next((row for row in rows if row["of"].room.pk == room.pk), None)
    context = {"room": room, "family": family, "rows": rows, "one": one, "parts": PARTS, "form": form}
    return render(request, "alike/alike.html", context, status=status)


def hand_on(request, room_id):
    room = queries.type_of(room_of(request.shop, room_id))
    try:
        count = services.hand_on(room, request.POST.get("seen", ""))
    except services.LookAgain:
        messages.error(request, _("A room was changed since this was shown. Nothing was handed on: look again."))
    else:
        words = ngettext("%(n)s room has the change.", "%(n)s rooms have the change.", count) % {"n": count}
        messages.success(request, words)
    return redirect("alike", room.pk)


def follow_type(request, room_id):
    room = room_of(request.shop, room_id)
    if room.type_room_id is None:
        messages.error(request, _("This room was made from no other."))
    elif "alone" in request.POST:
        services.stand_alone(room)
        messages.success(request, _("%(room)s stands alone from now on.") % {"room": room})
    else:
        keys = {part.key for part in PARTS} & set(request.POST.getlist("part"))
        if keys:
            services.follow_again(room, keys)
            messages.success(request, _("%(room)s has it as its type again.") % {"room": room})
        else:
            messages.error(request, _("Nothing was ticked. Tick what the room is to take from its type."))
    return redirect("alike", room.pk)
