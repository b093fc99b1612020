"""Pages where layouts are compared by their light, searched for and taken: door, form, service, answer."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.engine.lengths import LengthError, nanometers
from layout.engine.light.values import LightError
from layout.light.choices import proposing, taking
from layout.light.choices.comparing import compared, side_by_side
from layout.light.choices.forms import CompareForm, ProposeForm, TakeForm
from layout.light.choices.proposed import proposed
from layout.light.page import target_of
from layout.light.queries import is_large, light_of
from layout.light.scene import NoLight
from layout.light.services import unit_of
from projects.catalogue.targets import target_of as row_of
from projects.jobs.queries import room_of
from projects.platform.tenancy import StaleVersion
from projects.work.models import State


def compare(request, room_id):
    room = room_of(request.shop, room_id)
    light = light_of(room, solve_it=False)
    usual = CompareForm.usual(room.job.tape.unit)
    asked = bool(request.GET.keys() & usual.keys())
    form = CompareForm(request.GET if asked else None, room=room, initial=usual)
    context = {"room": room, "light": light, "form": form, "large": light.made and is_large(light.made.scene)}
    if light.made is not None and not context["large"]:
        values = None
        if not asked:
            values = {**usual, "rows": (), "lights": (), "light_type": None}
        elif form.is_valid():
            values = form.cleaned_data
        try:
            context["compared"] = compared(light, values) if values else None
        except (LengthError, LightError, NoLight) as refused:
            context["refused"] = str(refused)
        context["types"] = side_by_side(light)
    return render(request, "light/compare.html", context)


def propose(request, room_id):
    room = room_of(request.shop, room_id)
    light = light_of(room, solve_it=False)
    work = proposing.last_search(room)
    form = ProposeForm(request.POST or None, room=room, initial=_wanted(light) | _asked_last(work, room))
    if request.method == "POST" and form.is_valid():
        if light.made is not None:
            started = proposing.start(room, form.cleaned_data, request.member)
            messages.success(request, _("Started. The page shows the layouts when it is done."))
            return redirect("work", started.pk)
        form.add_error(None, _("The light of this room can't be computed yet. What it takes is said on this page."))
    context = {"room": room, "light": light, "form": form, "work": work}
    if light.made is not None and work is not None and work.state == State.DONE:
        context["proposed"] = proposed(light, work.outcome)
    return render(request, "light/propose.html", context, status=422 if request.method == "POST" else 200)


def _wanted(light):
    """What the room's setup asks, in its shop's unit; the draft's own spacing limit."""
    setup, room = light.setup, light.room
    row = row_of(room.shop, setup.target_key) if setup.target_key else None
    target, unit = target_of(setup, row), unit_of(room.job.tape)
    start = {"unit": unit}
    if light.draft is not None:
        start["spacing_limit"] = light.draft.spacing_limit
    if target is not None:
        factor = unit.in_lux
        start |= {"wall_ratio": target.wall_ratio, "uniformity": target.uniformity}
        start["level"] = f"{target.lux / factor:.1f}" if target.lux else None
    return start


def _asked_last(work, room):
    if work is None:
        return {}
    asked = work.asked_for
    unit = unit_of(room.job.tape)
    factor = unit.in_lux
    return {
        "level": f"{asked['lux'] / factor:.1f}", "unit": unit, "wall_ratio": asked["wall_ratio"],
        "uniformity": asked["uniformity"], "spacing_limit": nanometers(asked["spacing_limit"]),
    }  # fmt: skip


def take(request, room_id):
    room = room_of(request.shop, room_id)
    form = TakeForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was taken: say in a few words why this one, then press it again."))
        return redirect("light_propose", room.pk)
    try:
        taking.take_offered(
            room, light_of(room, solve_it=False), form.cleaned_data, form.seen_version, by=request.member
        )
    except (taking.NotOffered, StaleVersion, LengthError) as refused:
        messages.error(request, str(refused))
        return redirect("light_propose", room.pk)
    messages.success(request, _("Taken: the room's numbers and its levels are these. One press puts back what was."))
    return redirect("room", room.pk)
