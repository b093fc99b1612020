"""The page of what a room took: hours and feet, written down by those who did it. Knows no wage and no price."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Sum
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.lengths import Unit, feet, mm
from projects.catalogue.tables import takeoff_rules
from projects.jobs.queries import room_of
from reports.prices import services
from reports.prices.forms import LogForm
from reports.prices.models import LoggedFeet, LoggedHours, PhaseChoice

ENTRIES = 50
KINDS = {"hours": LoggedHours, "feet": LoggedFeet}


def cables():
    return [(cable.key, cable.name) for cable in takeoff_rules().cables.values()]


def as_length(amount, unit):
    """Feet (meters in a metric job) as a length: to the hundredth, which both units hold exactly."""
    return mm(amount * 1000) if unit is Unit.MM else feet(amount)


def room_hours(request, room_id):
    room = room_of(request.shop, room_id)
    if request.method == "POST" and "take_back" in request.POST:
        return _take_back(request, room)
    unit = room.job.tape.unit
    start = {"on": timezone.localdate(), "who": request.member.user.name, "phase": phase_at(room.stage)}
    form = LogForm(request.POST or None, cables=cables(), unit=unit, initial=start)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        services.log_visit(
            room, on=data["on"], phase=data["phase"], who=data["who"], note=data["note"], hours=data["hours"],
            feet=[(key, as_length(amount, unit)) for key, amount in form.pulled], by=request.member,
        )  # fmt: skip
        messages.success(request, _("Kept."))
        return redirect("room_hours", room.pk)
    return render(request, "prices/room_hours.html", _context(request, room, form), status=422 if form.errors else 200)


def phase_at(stage):
    """The phase somebody most likely worked on while a room is at a stage."""
    return "rough" if stage <= 8 else "trim" if stage == 9 else "dial_in"


def _context(request, room, form):
    hours = room.logged_loggedhours.all()
    pulled = room.logged_loggedfeet.all()
    sums = hours.order_by().values_list("phase").annotate(total=Sum("hours"))
    by_cable = pulled.order_by().values_list("cable").annotate(total=Sum("length"))
    names = dict(cables())
    return {
        "room": room,
        "form": form,
        "tape": room.job.tape,
        "sums": [(PhaseChoice(phase).label, total) for phase, total in sums],
        "cable_sums": [(names.get(cable, cable), total) for cable, total in by_cable],
        "page": Paginator(hours.select_related("by__user", "corrected_by"), ENTRIES).get_page(request.GET.get("page")),
        "pulled": [
            (names.get(entry.cable, entry.cable), entry)
            for entry in pulled.select_related("by__user", "corrected_by")[:ENTRIES]
        ],
    }


def entry_of(room, name):
    """An entry of this room by 'hours-12' or 'feet-12'. Raises Http404."""
    kind, _dash, number = name.partition("-")
    known = kind in KINDS and number.isascii() and number.isdecimal() and len(number) < 19
    entry = KINDS[kind].objects.of(room.shop_id).filter(room=room, pk=int(number)).first() if known else None
    if entry is None:
        raise Http404
    return entry


def _take_back(request, room):
    try:
        services.take_back(entry_of(room, request.POST["take_back"]), by=request.member)
    except services.AlreadyCorrected as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Taken back: an entry stands against it, and both can be read."))
    return redirect("room_hours", room.pk)
