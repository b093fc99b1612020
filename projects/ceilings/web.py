"""Pages of what stands overhead: door, form, service, answer. Nothing is laid out here."""

from dataclasses import replace

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.catalogue import tables
from projects.ceilings import services
from projects.ceilings.forms import ThingForm
from projects.ceilings.page import OverheadForm
from projects.ceilings.values import entered, thing_of
from projects.jobs.queries import room_of
from projects.platform.forms import VersionedForm
from projects.platform.pages import both_versions
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion

OVERRIDES = "lay out"  # who may keep another distance than the table's


def overhead(request, room_id):
    room = room_of(request.shop, room_id)
    ceiling = services.ceiling_of(room)
    form = OverheadForm(request.POST or None, entry=entered(ceiling), version=ceiling.version, room=room)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_ceiling(ceiling, form.seen_version, _signed(form.entry, request.member))
        except StaleVersion as stale:
            return _both_versions(request, room_id, stale)
        except services.TooMany as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, _("Saved. The layout is worked out again from it."))
            return redirect("overhead", room.pk)
    context = {
        "room": room,
        "tape": room.job.tape,
        "form": form,
        "ceiling": ceiling,
        "things": [(n, one, thing_of(one)) for n, one in enumerate(form.stored.things, 1)],
        "table": tables.clearances().values(),
    }
    return render(request, "ceilings/overhead.html", context, status=422 if form.errors else 200)


def _signed(entry, member):
    """Who says what the framing is, where nobody else is named."""
    told = entry.columns
    if not told["framing"] or told["looked_by"]:
        return entry
    return entry.with_columns(
        looked_by=member.user.name[:80], looked_on=told["looked_on"] or timezone.localdate()
    )


def _both_versions(request, room_id, stale):
    room = room_of(request.shop, room_id)
    form = OverheadForm(request.POST, entry=entered(room.ceiling), version=room.ceiling.version, room=room)
    form.is_valid()
    name = _("what stands over %(room)s") % {"room": room}
    return both_versions(request, form, stale, name=name, back=request.path, theirs=form.start())


def put_back(request, room_id):
    room = room_of(request.shop, room_id)
    form = VersionedForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was put back: open the page anew, then press it there."))
        return redirect("overhead", room.pk)
    try:
        services.put_back(services.ceiling_of(room), form.seen_version)
    except (StaleVersion, services.NothingBefore) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("What stood before the last save stands again. Press once more to undo this."))
    return redirect("overhead", room.pk)


class _ThingVersionForm(ThingForm, VersionedForm):
    """One thing on a page of its own, from the version of the ceiling it was opened at."""


def new_thing(request, room_id):
    room = room_of(request.shop, room_id)
    ceiling = services.ceiling_of(room)
    known = tables.clearances().get(request.GET.get("what", ""))
    start = {"version": ceiling.version}
    if known:
        start |= {"what": known.key, "name": _(known.name)[:60], "round": known.round, "above": known.above}
    form = _thing_form(request, room, start)
    if request.method == "POST" and form.is_valid():
        entry = entered(ceiling)
        changed = replace(entry, things=(*entry.things, form.record))
        return _keep_thing(request, room, ceiling, form, changed)
    return _thing_page(request, room, form, None, known)


def thing(request, room_id, place):
    room = room_of(request.shop, room_id)
    ceiling = services.ceiling_of(room)
    things = entered(ceiling).things
    if not 1 <= place <= len(things):
        raise Http404
    one = things[place - 1]
    form = _thing_form(request, room, ThingForm.start_from(one) | {"version": ceiling.version})
    if request.method == "POST" and "remove" in request.POST:
        version = VersionedForm(request.POST)
        if version.is_valid():
            rest = (*things[: place - 1], *things[place:])
            return _keep_thing(request, room, ceiling, version, replace(entered(ceiling), things=rest))
    elif request.method == "POST" and form.is_valid():
        changed = (*things[: place - 1], form.record, *things[place:])
        return _keep_thing(request, room, ceiling, form, replace(entered(ceiling), things=changed))
    return _thing_page(request, room, form, one, tables.clearances().get(one.what))


def _thing_form(request, room, start):
    return _ThingVersionForm(
        request.POST or None, tape=room.job.tape, may_override=may(request.member, OVERRIDES), initial=start
    )


def _keep_thing(request, room, ceiling, form, entry):
    """A list that changed meanwhile is no longer the one this thing was counted in: look again, then save."""
    try:
        services.change_ceiling(ceiling, form.seen_version, entry)
    except StaleVersion:
        messages.error(request, _("Someone saved this ceiling meanwhile. Look at it again, then enter yours."))
    except services.TooMany as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Saved. The layout is worked out again from it."))
    return redirect("overhead", room.pk)


def _thing_page(request, room, form, one, known):
    context = {"room": room, "tape": room.job.tape, "form": form, "thing": one, "known": known}
    return render(request, "ceilings/thing.html", context, status=422 if form.errors else 200)
