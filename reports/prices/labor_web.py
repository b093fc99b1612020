"""Pages of labor: the units and conditions as the shop has them, and the conditions of a job and its rooms."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext as _

from projects.catalogue.tables import takeoff_rules
from projects.jobs.queries import job_of, room_of
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from reports.estimating.labor_book import Phase
from reports.prices import services
from reports.prices.averages import feet_a_light, hours_a_light
from reports.prices.forms import ConditionsForm, LaborNumberForm, OwnConditionForm
from reports.prices.labor_table import labor_table
from reports.prices.models import FACTOR, UNIT_FEET, UNIT_HOURS, Conditions, LaborEdit, PhaseChoice
from reports.prices.queries import conditions_by_room, labor_book, latest_edits, suggested_conditions, told

ROOMS = 50
BOUNDS = {
    LaborEdit.What.UNIT: UNIT_HOURS,
    LaborEdit.What.WHOLE: UNIT_HOURS,
    LaborEdit.What.FACTOR: FACTOR,
    LaborEdit.What.OWN: FACTOR,
    LaborEdit.What.FOOTAGE: UNIT_FEET,
}


def labor(request):
    """Numbers of the table, the shop's own conditions, and the shop's averages to take."""
    own = OwnConditionForm(request.POST if request.POST.get("do") == "own" else None)
    if request.method == "POST":
        if request.POST.get("do") == "own":
            if own.is_valid():
                return _add_condition(request, own)
        else:
            return _take_average(request)
    return render(request, "prices/labor.html", _labor(request.shop, own), status=422 if own.errors else 200)


def _labor(shop, own, wrong=None):
    edits, table, book = latest_edits(shop), labor_table(), labor_book(shop)

    def row(what, key, name, default, now, entry, **more):
        edit = edits.get((what, key))
        return {
            "what": what, "key": key, "name": name, "default": default, "now": now, "seen": edit.pk if edit else 0,
            "mine": told(edit), "low": entry and entry.low, "high": entry and entry.high, "source": more.pop("source"),
            "note": entry.note if entry else "", "wrong": (wrong or {}).get((what, key)), **more,
        }  # fmt: skip

    units = {unit.key: unit for unit in book.all_units}
    by_phase = [
        (
            PhaseChoice(phase.value).label,
            [
                row("unit", key, unit.name, unit.hours, units[key].hours, unit, per=unit.per, source=units[key].source)
                for key, unit in table.units.items()
                if unit.phase is phase
            ],
        )
        for phase in Phase
    ]
    factors = [
        row("factor", key, c.factor.name, c.factor.times, book.factors[key].times, c.factor,
            source=book.factors[key].source)
        for key, c in table.conditions.items()
    ]  # fmt: skip
    factors += [
        row("own", key, edit.name, None, edit.value, None, source=book.factors[key].source)
        for (what, key), edit in edits.items()
        if what == LaborEdit.What.OWN and told(edit)
    ]
    return {
        "by_phase": by_phase, "factors": factors, "own": own, "book": book, "averages": _hours(shop, edits),
        "footage": _footage(shop, edits), "wrong": wrong,
    }  # fmt: skip


def _hours(shop, edits):
    """The shop's hours a light by phase, beside the book's for one new-work light."""
    averages = {average.key: average for average in hours_a_light(shop)}
    return [
        {
            "phase": PhaseChoice(phase.value).label, "key": phase.value, "average": averages.get(phase.value),
            "book": _book_hours(phase), "edit": edits.get((LaborEdit.What.WHOLE, phase.value)),
            "taken": told(edits.get((LaborEdit.What.WHOLE, phase.value))),
        }
        for phase in Phase
    ]  # fmt: skip


def _book_hours(phase):
    """What the table reckons for one new-work light and its usual cable; boxes and homeruns are not in it."""
    table = labor_table()
    feet = next(iter(table.footage.values())).feet
    keys = {"housing": 1, "trim": 1, "cable:14/2": feet}
    return sum(
        unit.hours * keys[item] / unit.per
        for unit in table.units.values()
        for item in unit.applies
        if item in keys and unit.phase is phase and not unit.when
    )


def _footage(shop, edits):
    names = {cable.key: cable.name for cable in takeoff_rules().cables.values()}
    entry = next(iter(labor_table().footage.values()))
    averages = {average.key: average for average in feet_a_light(shop)}
    return [
        {
            "key": key, "name": names[key], "average": averages.get(key), "edit": edits.get(("footage", key)),
            "taken": told(edits.get(("footage", key))), "entry": entry if key in entry.cables else None,
        }
        for key in names
        if key in averages or key in entry.cables or told(edits.get(("footage", key)))
    ]  # fmt: skip


def labor_number(request):
    """One number of the table as the shop has it; empty: the table's own again."""
    form = LaborNumberForm(request.POST)
    what, key = request.POST.get("what", ""), request.POST.get("key", "")
    if form.is_valid():
        value, what, key = form.cleaned_data["value"], form.cleaned_data["what"], form.cleaned_data["key"]
        known = is_known(request.shop, what, key)
        if not known:
            form.add_error("value", _("There is no such number in the labor table. Open the page anew."))
        elif value is not None and not BOUNDS[what][0] <= value <= BOUNDS[what][1]:
            low, high = BOUNDS[what]
            form.add_error("value", _("Between %(low)s and %(high)s.") % {"low": low, "high": high})
        else:
            return _edited(
                request, what, key, value, note=form.cleaned_data["note"], seen=form.cleaned_data["seen"],
                said=_("Saved: bids made from now on use it.") if value is not None else _("The table's own again."),
            )  # fmt: skip
    wrong = {(what, key): {"errors": [error for errors in form.errors.values() for error in errors],
                           "value": request.POST.get("value", "")[:20]}}  # fmt: skip
    context = _labor(request.shop, OwnConditionForm(), wrong)
    return render(request, "prices/labor.html", context, status=422)


def is_known(shop, what, key):
    table = labor_table()
    if what == LaborEdit.What.UNIT:
        return key in table.units
    if what == LaborEdit.What.FACTOR:
        return key in table.conditions
    if what == LaborEdit.What.WHOLE:
        return key in {phase.value for phase in Phase}
    if what == LaborEdit.What.FOOTAGE:
        return key in takeoff_rules().cables
    return what == LaborEdit.What.OWN and LaborEdit.objects.of(shop).filter(what=what, key=key).exists()


def _edited(request, what, key, value, *, seen, said, note="", name="", rooms=None):
    try:
        services.edit_labor(
            request.shop, what, key, value, by=request.member, seen=seen, note=note, name=name, rooms_behind=rooms
        )
    except services.EditedMeanwhile as newer:
        messages.error(request, str(newer))
    else:
        messages.success(request, said)
    return redirect("labor")


def _add_condition(request, form):
    name = form.cleaned_data["name"]
    key = f"own_{slugify(name)[:50] or 'condition'}".replace("-", "_")
    if is_known(request.shop, LaborEdit.What.OWN, key):
        messages.error(request, _("There is a condition of this name. Change its number instead."))
        return redirect("labor")
    return _edited(request, LaborEdit.What.OWN, key, form.cleaned_data["times"], seen=0, name=name, said=_("Added."))


def _take_average(request):
    """One press: the shop's average becomes its unit, or what the book has is put back."""
    what, key = request.POST.get("what", ""), request.POST.get("key", "")
    seen = request.POST.get("seen", "0")
    if what not in ("whole", "footage") or not is_known(request.shop, what, key) or not seen.isascii() or not (
        seen.isdecimal() and len(seen) < 19
    ):  # fmt: skip
        messages.error(request, _("Open the page anew, then take the average."))
        return redirect("labor")
    if "back" in request.POST:
        return _edited(request, what, key, None, seen=int(seen), said=_("The book's own units again."))
    found = hours_a_light(request.shop) if what == "whole" else feet_a_light(request.shop)
    average = next((average for average in found if average.key == key), None)
    if average is None:
        messages.error(request, _("There is no average to take yet: log hours in rooms that are past this phase."))
        return redirect("labor")
    return _edited(
        request, what, key, average.value, seen=int(seen), rooms=average.rooms,
        said=_("Taken: the average of %(n)s rooms is the shop's unit now.") % {"n": average.rooms},
    )  # fmt: skip


# Conditions


def choices_of(book, scope):
    """Conditions of the table that are of a room, or of a whole job; the shop's own may be either."""
    table = labor_table().conditions
    return [
        (key, f"{factor.name} × {factor.times.normalize():f}")
        for key, factor in book.factors.items()
        if key not in table or table[key].scope == scope
    ]


def job_conditions(request, job_id):
    """What stretches the whole job's hours; and every room with its own."""
    job = job_of(request.shop, job_id)
    book = labor_book(request.shop)
    record = Conditions.objects.of(request.shop).filter(job=job).first()
    start = {"keys": record.chosen if record else (), "version": record.version if record else 0}
    form = ConditionsForm(request.POST or None, choices=choices_of(book, "job"), initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            services.set_conditions(request.shop, form.cleaned_data["keys"], form.seen_version, job=job)
        except StaleVersion as stale:
            return _both(request, form, stale, _("the job's conditions"))
        messages.success(request, _("Saved."))
        return redirect("job_conditions", job.pk)
    page = Paginator(job.rooms.filter(cancelled=False).order_by("pk"), ROOMS).get_page(request.GET.get("page"))
    keys = conditions_by_room(request.shop, {room.pk: (job.pk, room.name) for room in page})
    entered = set(
        Conditions.objects.of(request.shop).filter(room__in=[room.pk for room in page]).values_list("room", flat=True)
    )
    rows = [
        (room, [book.factors[key] for key in keys[room.pk] if key in book.factors], room.pk in entered) for room in page
    ]
    context = {"form": form, "job": job, "page": page, "rows": rows}
    return render(request, "prices/job_conditions.html", context, status=422 if form.errors else 200)


def room_conditions(request, room_id):
    room = room_of(request.shop, room_id)
    book = labor_book(request.shop)
    record = Conditions.objects.of(request.shop).filter(room=room).first()
    suggested = suggested_conditions(request.shop, [room.job_id]).get(room.pk, ())
    start = {"keys": record.chosen if record else suggested, "version": record.version if record else 0}
    form = ConditionsForm(request.POST or None, choices=choices_of(book, "room"), initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            services.set_conditions(request.shop, form.cleaned_data["keys"], form.seen_version, room=room)
        except StaleVersion as stale:
            return _both(request, form, stale, _("the conditions of %(room)s") % {"room": room})
        messages.success(request, _("Saved."))
        return redirect("job_conditions", room.job_id)
    context = {
        "form": form, "room": room, "record": record,
        "suggested": [book.factors[key].name for key in suggested if key in book.factors],
    }  # fmt: skip
    return render(request, "prices/room_conditions.html", context, status=422 if form.errors else 200)


def _both(request, form, stale, name):
    return both_versions(request, form, stale, name=name, back=request.path, theirs={"keys": list(stale.theirs.chosen)})
