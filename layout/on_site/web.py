"""The phone's page for what is found on site: door, form, service, answer. No geometry here."""

from dataclasses import replace

from django import forms
from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.lengths import LengthError
from layout.engine.room import lay_out
from layout.inputs import NotLaidOutYet, inputs_of
from layout.on_site import found as on_site
from layout.on_site.phone import phone_data
from layout.services import NoLightType, NothingToPrint, draft_of
from projects.ceilings.forms import ThingForm
from projects.ceilings.models import Framing
from projects.ceilings.page import JoistRowForm
from projects.ceilings.services import TooMany, ceiling_of
from projects.ceilings.values import entered
from projects.jobs.models import SideChoice
from projects.jobs.queries import room_of
from projects.platform.forms import NoteFormField, VersionedForm
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion

REFUSED = (LengthError, NotLaidOutYet, NoLightType, NothingToPrint, TooMany)


class FirstJoistForm(JoistRowForm, VersionedForm):
    """The first joist as it is: the rest is filled in as it was known."""


class FoundThingForm(ThingForm, VersionedForm):
    """A duct, a pipe, anything nobody knew of."""


class AnswerForm(forms.Form):
    move = forms.IntegerField(min_value=1, max_value=2**62, widget=forms.HiddenInput)
    note = NoteFormField(label=gettext_lazy("Note"), max_length=400, required=False)


def found_on_site(request, room_id):
    room = room_of(request.shop, room_id)
    ceiling = ceiling_of(room)
    entry = entered(ceiling)
    sent = request.POST or None
    joist = _joist_form(sent if sent and "first" in sent else None, room, entry, ceiling.version)
    thing = _thing_form(sent if sent and "what" in sent else None, room, request.member, ceiling.version)
    pressed = joist if joist.is_bound else thing
    if request.method == "POST" and pressed.is_valid():
        return _follow(request, room, pressed, entry)
    context = {
        "room": room,
        "tape": room.job.tape,
        "joist": joist,
        "thing": thing,
        "form": pressed,
        "waiting": on_site.waiting(room),
        "phone": _phone(room, entry),
    }
    return render(request, "layout/on_site.html", context, status=422 if pressed.errors else 200)


def _phone(room, entry):
    try:
        draft = draft_of(room)
        return phone_data(lay_out(inputs_of(room, draft)), entry, draft, room.shop.joist_clear)
    except REFUSED:
        return None


def _joist_form(sent, room, entry, version):
    walls = {side.value: room.wall_name(side) for side in SideChoice}
    form = FirstJoistForm(sent, tape=room.job.tape, walls=walls)
    known = form.start(entry.joists[0]) if entry.joists else {}
    form.initial = known | {"first": None, "version": version}
    return form


def _thing_form(sent, room, member, version):
    return FoundThingForm(
        sent,
        tape=room.job.tape,
        may_override=may(member, "lay out"),
        initial={"version": version},
        auto_id="thing_%s",
    )


def signed(entry, member, on):
    """Who entered a joist has looked."""
    return entry.with_columns(
        framing=entry.columns["framing"] or (Framing.FOUND.value if entry.joists else ""),
        looked_by=member.user.name[:80],
        looked_on=on,
    )


def _follow(request, room, form, entry):
    with_it = found_joist if isinstance(form, FirstJoistForm) else found_thing
    known, found = with_it(room, form.record, entry)
    known = signed(known, request.member, timezone.localdate())
    try:
        follows = on_site.found_on_site(room, form.seen_version, known, found=found, by=request.member)
    except StaleVersion as stale:
        messages.error(request, str(stale))
        return redirect("on_site", room.pk)
    except REFUSED as refused:
        messages.error(request, str(refused))
        return redirect("on_site", room.pk)
    if follows.revision:
        messages.success(request, follows.words)
        return redirect("card", room.pk, follows.revision.number)
    if follows.asked:
        told = _("%(words)s That is farther than may move without asking: it waits for a yes. Do not mark yet.")
        messages.warning(request, told % {"words": follows.words})
    else:
        messages.warning(request, follows.words)
    return redirect("room", room.pk)


def found_joist(room, run, entry):
    """What is then known of the ceiling, and what the tape said, in words."""
    tape = room.job.tape
    wall = room.wall_name(SideChoice(run.first_from))
    found = _("first joist %(first)s from the %(wall)s, %(spacing)s apart") % {
        "first": tape.show(run.first),
        "wall": wall,
        "spacing": tape.show(run.spacing),
    }
    return replace(entry, joists=(run, *entry.joists[1:])), found


def found_thing(room, thing, entry):
    """What is then known of the ceiling, and what was found, in words."""
    tape = room.job.tape
    found = _("%(what)s %(x)s from the left wall and %(y)s from the door wall") % {
        "what": thing.name,
        "x": tape.show(thing.x),
        "y": tape.show(thing.y),
    }
    return replace(entry, things=(*entry.things, thing)), found


def answer_site_move(request, room_id):
    room = room_of(request.shop, room_id)
    form = AnswerForm(request.POST)
    yes = "yes" in request.POST
    if not form.is_valid() or not (yes or "no" in request.POST):
        messages.error(request, _("Nothing was answered: open the page anew, then press yes or no there."))
        return redirect("room", room.pk)
    if not yes and not form.cleaned_data["note"]:
        messages.error(request, _("A no needs a note: say what the crew is to do instead."))
        return redirect("room", room.pk)
    try:
        revision = on_site.answer(
            room, form.cleaned_data["move"], yes=yes, note=form.cleaned_data["note"], by=request.member
        )
    except (on_site.StaleMove, StaleVersion, *REFUSED) as refused:
        messages.error(request, str(refused))
        return redirect("room", room.pk)
    if revision:
        messages.success(request, _("Approved. Revision %s is issued: the crew prints its card.") % revision.number)
        return redirect("revision", room.pk, revision.number)
    messages.success(request, _("Refused. The room's page says so to the crew."))
    return redirect("room", room.pk)
