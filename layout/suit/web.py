"""Pages of what suits a ceiling: door, form, service, answer. No geometry here."""

from urllib.parse import urlencode

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from layout.engine.lengths import LengthError, as_typed
from layout.engine.room import lay_out
from layout.inputs import NotLaidOutYet, inputs_of
from layout.offers.taking import take_way
from layout.services import NoLightType, draft_of
from layout.suit import framing, tasks
from layout.suit.forms import (
    TASKS,
    BoxForm,
    FramingForm,
    HoldForm,
    NextDoorForm,
    TakeFramingForm,
    TaskForm,
)
from layout.suit.lid import is_isolated, lid_page
from layout.suit.next_door import RoomNotReady, next_door_page
from projects.catalogue.tables import ceiling_systems
from projects.ceilings.services import TooMany, ceiling_of
from projects.jobs.models import SideChoice
from projects.jobs.queries import room_of
from projects.platform.tenancy import StaleVersion

REFUSED = (LengthError, NotLaidOutYet, NoLightType)


def _layout_of(room, draft):
    return lay_out(inputs_of(room, draft))


def walls_of(room):
    return {side.value: room.wall_name(side) for side in SideChoice}


def _start(form_class, tape):
    """What the boxes hold before anyone types, as sent."""
    return {name: as_typed(value, tape) for name, value in form_class.start(tape).items()}


def _back(name, room, form):
    """To the page with what was entered still in its boxes."""
    return redirect(f"{reverse(name, args=[room.pk])}?{urlencode(form.sent)}")


# Framing


def framing_to_suit(request, room_id):
    room = room_of(request.shop, room_id)
    tape = room.job.tape
    can = framing.can_be_laid(room)
    asked = "width" in request.GET
    form = FramingForm(request.GET if asked else _start(FramingForm, tape), tape=tape)
    context = {"room": room, "tape": tape, "form": form, "ceiling": ceiling_of(room), "can": can}
    context["cautions"] = [_(caution) for caution in ceiling_systems()[room.ceiling_system].cautions]
    if can and form.is_valid():
        try:
            layout = _layout_of(room, draft_of(room))
            data = form.cleaned_data
            context |= {
                "marks": len(layout.arrangement.marks),
                "offers": framing.framing_offers(room, layout, data["width"], data["spacing"]),
            }
        except REFUSED as refused:
            context["refused"] = str(refused)
    return render(request, "layout/suit_framing.html", context)


def take_framing(request, room_id):
    room = room_of(request.shop, room_id)
    form = TakeFramingForm(request.POST, tape=room.job.tape)
    if not form.is_valid():
        messages.error(request, _("Nothing was taken: open the page anew, then press it there."))
        return redirect("framing_to_suit", room.pk)
    data = form.cleaned_data
    try:
        taken = framing.take_framing(
            room,
            _layout_of(room, draft_of(room)),
            form.seen_version,
            data["key"],
            width=data["width"],
            spacing=data["spacing"],
            depth=data["depth"],
            by=request.member,
        )
    except (*REFUSED, framing.NotOffered, StaleVersion, TooMany) as refused:
        messages.error(request, str(refused))
        return redirect("framing_to_suit", room.pk)
    told = _("Taken: %s. It stands under What stands overhead, and one press there puts back what stood before.")
    messages.success(request, told % taken.title)
    return redirect("overhead", room.pk)


# The lid


def lid(request, room_id):
    room = room_of(request.shop, room_id)
    tape = room.job.tape
    form = BoxForm(request.GET if "wall" in request.GET else _start(BoxForm, tape), tape=tape)
    context = {"room": room, "tape": tape, "form": form, "isolated": is_isolated(room)}
    if form.is_valid():
        try:
            layout = _layout_of(room, draft_of(room))
            context["page"] = lid_page(room, layout, form.cleaned_data["wall"], form.cleaned_data["inside"])
        except REFUSED as refused:
            context["refused"] = str(refused)
    return render(request, "layout/suit_lid.html", context)


# A task


def task_lines(request, room_id):
    room = room_of(request.shop, room_id)
    tape, rule = room.job.tape, TASKS.get(request.GET.get("task", ""))
    context = {"room": room, "tape": tape, "rules": TASKS.values(), "rule": rule}
    if rule is not None:
        entered = set(request.GET) - {"task"}
        data = request.GET if entered else None
        form = TaskForm(data, task=rule.key, tape=tape, walls=walls_of(room), initial={"task": rule.key})
        context["form"] = form
        if form.is_bound and form.is_valid():
            try:
                draft = draft_of(room)
                page = tasks.task_page(room, _layout_of(room, draft), form.cleaned_data)
                context |= {"draft": draft, "page": page, "offers": page.offers, "sent": form.sent}
            except REFUSED as refused:
                context["refused"] = str(refused)
    return render(request, "layout/suit_task.html", context)


def hold_task(request, room_id):
    room = room_of(request.shop, room_id)
    rule = TASKS.get(request.POST.get("task", ""))
    if rule is None:
        messages.error(request, _("Nothing was held: choose what stands under the ceiling first."))
        return redirect("task_lines", room.pk)
    form = TaskForm(request.POST, task=rule.key, tape=room.job.tape, walls=walls_of(room))

    def offers_of(draft):
        return tasks.task_page(room, _layout_of(room, draft), form.cleaned_data, drawn=False).offers

    return _hold(request, room, form, "task_lines", offers_of)


# Next door


def next_door_form(room, data):
    rooms = room.job.rooms.exclude(pk=room.pk).order_by("name", "pk")
    return NextDoorForm(data, rooms=rooms, tape=room.job.tape, walls=walls_of(room))


def next_door_of(room, draft, asked, **told):
    """Raises RoomNotReady, which names the room; LengthError."""
    neighbor = room_of(room.shop, asked["neighbor"].pk)
    layouts = []
    for one in (room, neighbor):
        try:
            layouts.append(_layout_of(one, draft if one is room else draft_of(one)))
        except REFUSED as why:
            raise RoomNotReady(one, why) from why
    return next_door_page(room, layouts[0], neighbor, layouts[1], asked, **told)


def next_door(request, room_id):
    room = room_of(request.shop, room_id)
    asked = "neighbor" in request.GET
    form = next_door_form(room, request.GET if asked else None)
    context = {"room": room, "tape": room.job.tape, "form": form}
    context["alone"] = not form.fields["neighbor"].queryset.exists()
    if asked and form.is_valid():
        try:
            draft = draft_of(room)
            page = next_door_of(room, draft, form.cleaned_data)
            context |= {"draft": draft, "page": page, "offers": page.offers, "sent": form.sent}
        except REFUSED as refused:
            context["refused"] = str(refused)
    return render(request, "layout/suit_next_door.html", context)


def hold_next_door(request, room_id):
    room = room_of(request.shop, room_id)
    form = next_door_form(room, request.POST)

    def offers_of(draft):
        return next_door_of(room, draft, form.cleaned_data, drawn=False).offers

    return _hold(request, room, form, "next_door", offers_of)


def _hold(request, room, form, page, offers_of):
    """One press: what was shown is worked out anew and, where it is still the same, taken into the draft."""
    press = HoldForm(request.POST)
    if not form.is_valid() or not press.is_valid():
        messages.error(request, _("Nothing was held: fill in the boxes, say in a few words why, then press it again."))
        return _back(page, room, form) if form.is_valid() else redirect(page, room.pk)
    try:
        draft = draft_of(room)
        chosen = next((one for one in offers_of(draft) if one.key == press.cleaned_data["key"]), None)
        if chosen is None:
            raise LengthError(_("That is no longer offered: the room or its numbers changed. Look again below."))
        take_way(
            draft,
            press.seen_version,
            chosen.change,
            kind=chosen.kind,
            words=chosen.words,
            cost="",
            reason=press.cleaned_data["reason"],
            by=request.member,
        )
    except (*REFUSED, StaleVersion) as refused:
        messages.error(request, str(refused))
        return _back(page, room, form)
    told = _("Taken: %(words)s One press below puts back what was there.")
    messages.success(request, told % {"words": chosen.words})
    return redirect("room", room.pk)
