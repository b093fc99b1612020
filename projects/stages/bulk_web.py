"""Many rooms at once: moved to one stage, held up or let go on, all or none, with each room's reasons."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.jobs.models import Room
from projects.platform.permissions import may
from projects.stages import services
from projects.stages.forms import PASS, SAY, HoldForm, ManyForm
from projects.stages.services import MOST_AT_ONCE, Lack

OFFERED = 50
LONGEST_ID = 18  # digits: any record's number has fewer


def move_rooms(request):
    rooms = _chosen(request)
    if request.method != "POST" or not rooms:
        return _show(request, rooms)
    change = {"hold": _hold, "lift": _lift}.get(request.POST.get("do"), _move)
    return change(request, rooms)


def _chosen(request):
    """The rooms of the address or the form. Raises Http404 for one that isn't here."""
    asked = (request.POST if request.method == "POST" else request.GET).getlist("room")
    ids = {int(one) for one in asked if one.isascii() and one.isdecimal() and len(one) <= LONGEST_ID}
    if len(ids) > MOST_AT_ONCE:
        messages.error(request, _("At most %(most)s rooms at once. Choose fewer.") % {"most": MOST_AT_ONCE})
        return []
    rooms = list(Room.objects.of(request.shop).filter(pk__in=ids).select_related("job__shop").order_by("job_id", "pk"))
    if len(rooms) != len(ids):
        raise Http404
    return rooms


def _show(request, rooms, *, move=None, hold=None, lacks=None, status=200):
    context = {
        "rooms": rooms,
        "form": move or ManyForm(),
        "hold_form": hold or HoldForm(),
        "lacks": lacks or {},
        "boxes": _boxes(move) if move else [],
        "most": MOST_AT_ONCE,
        "latest": [] if rooms else _latest(request.shop),
    }
    return render(request, "stages/move_rooms.html", context, status=status)


def _latest(shop):
    rooms = Room.objects.of(shop).filter(cancelled=False).select_related("job__shop")
    return list(rooms.order_by("-updated_at", "-pk")[:OFFERED])


def _boxes(form):
    return [form[name] for name in form.fields if name.startswith((SAY, PASS))]


def _move(request, rooms):
    passing = may(request.member, "pass guards")
    form = ManyForm(request.POST, boxes=_posted(request.POST), passing=passing)
    if not form.is_valid():
        return _show(request, rooms, move=form, status=422)
    to = form.cleaned_data["stage"]
    try:
        services.move_all(request.shop, [room.pk for room in rooms], to, by=request.member, **form.move)
    except services.Refused as refused:
        kinds = {lack.key: lack for lacks in refused.lacks.values() for lack in lacks if lack.key}
        form = ManyForm(request.POST, boxes=kinds.values(), passing=passing)
        form.is_valid()
        for lack in kinds.values():  # a box for all rooms that lack the same is called by what they lack
            if (name := SAY + lack.said) in form.fields:
                form.fields[name].label = _("I have seen it in each of these rooms: %(what)s") % {"what": lack.title}
            if (name := PASS + lack.key) in form.fields:
                form.fields[name].label = _("Go on without “%(what)s”, because") % {"what": lack.title}
        form.add_error(None, str(refused))
        return _show(request, rooms, move=form, lacks=refused.lacks, status=422)
    return _moved(request, rooms, _("moved"))


def _posted(posted):
    """Boxes that an earlier answer of this page offered."""
    names = list(posted)[:200]
    passed = [Lack("", key=name.removeprefix(PASS)) for name in names if name.startswith(PASS)]
    return passed + [Lack("", said=name.removeprefix(SAY)) for name in names if name.startswith(SAY)]


def _hold(request, rooms):
    form = HoldForm(request.POST)
    if not form.is_valid():
        return _show(request, rooms, hold=form, status=422)
    try:
        services.hold_all(request.shop, [room.pk for room in rooms], by=request.member, **form.cleaned_data)
    except services.Refused as refused:
        return _show(request, rooms, hold=form, lacks=refused.lacks, status=422)
    return _moved(request, rooms, _("held up"))


def _lift(request, rooms):
    try:
        services.lift_all(request.shop, [room.pk for room in rooms], by=request.member)
    except services.Refused as refused:
        return _show(request, rooms, lacks=refused.lacks, status=422)
    return _moved(request, rooms, _("let go on"))


def _moved(request, rooms, what):
    words = ngettext("%(n)s room %(what)s.", "%(n)s rooms %(what)s.", len(rooms))
    messages.success(request, words % {"n": len(rooms), "what": what})
    jobs = {room.job_id for room in rooms}
    return redirect("job", jobs.pop()) if len(jobs) == 1 else redirect("rooms")
