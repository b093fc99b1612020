"""Pages of a room's light: door, form, service, answer. No sum is made here."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.timezone import localdate
from django.utils.translation import gettext as _

from layout.engine.light.losses import PRACTICE, WHOLE_CHAIN
from layout.engine.light.values import Dims
from layout.light import services, work
from layout.light.adding import add_reading
from layout.light.corrections import corrections_of
from layout.light.forms import ReadingForm, SetupForm
from layout.light.models import ReadOn
from layout.light.page import light_page
from layout.light.queries import light_of
from layout.light.readings import page_of_readings
from layout.light.rows_forms import AimsForm, DimsForm, TasksForm, ZonesForm
from layout.light.words import LIMITS, UNCERTAIN
from projects.catalogue.tables import power_density, surface_reflectances
from projects.catalogue.targets import target_of, targets_of
from projects.jobs.models import SideChoice
from projects.jobs.queries import room_of
from projects.platform.forms import VersionedForm
from projects.platform.tenancy import StaleVersion


def light(request, room_id):
    """The room's light, at the levels that are set or at those asked for in the address."""
    room = room_of(request.shop, room_id)
    found = light_of(room)
    page = None
    dims_form = DimsForm(request.GET or None, zones=found.zones)
    if found.solved is not None:
        dims = Dims(zones=dims_form.levels) if dims_form.is_bound and dims_form.is_valid() else None
        page = light_page(found, dims, _target_row(found.setup))
    context = {
        "room": room, "light": found, "page": page, "dims_form": dims_form, "limits": LIMITS, "uncertain": UNCERTAIN,
        "densities": power_density().values(),
    }  # fmt: skip
    return render(request, "light/light.html", context)


def _target_row(setup):
    return target_of(setup.shop, setup.target_key) if setup.target_key else None


def work_out_light(request, room_id):
    room = room_of(request.shop, room_id)
    if not light_of(room).waits:
        messages.info(request, _("Nothing to work out: the light is on the page, or something is missing."))
        return redirect("light", room.pk)
    started = work.start(room, request.member)
    messages.success(request, _("Started. The page shows it when it is done."))
    return redirect("work", started.pk)


# What is set


def light_settings(request, room_id):
    room = room_of(request.shop, room_id)
    found, data = light_of(room, solve_it=False), request.POST or None
    setup = found.setup
    targets = [
        (row.key, _target_words(row)) for row in targets_of(request.shop)
        if not row.retired or row.key == setup.target_key
    ]  # fmt: skip
    start = {name: getattr(setup, name) for name in services.COLUMNS}
    form = SetupForm(data, tape=room.job.tape, targets=targets, initial=start)
    zones = ZonesForm(data, room=room, setup=setup, letters=[letter for letter, _dim in found.zones])
    context = {
        "room": room, "setup": setup, "form": form, "zones": zones,
        "correction": corrections_of(request.shop), "usual_chain": WHOLE_CHAIN, "practice": PRACTICE,
        "reflectances": [
            (one.name, f"{one.usual:.0%}", one.source) for one in surface_reflectances().values()
        ],
        "walls": [(room.wall_name(side), form[f"{side.value}_percent"]) for side in SideChoice],
    }  # fmt: skip
    return _kept(
        request, room, setup, "light/settings.html", context, (form, zones),
        lambda: (form.value, {"zones": zones.values}),
    )  # fmt: skip


def _target_words(row):
    return f"{row.space}: {row.lux:g} lx ({row.document} {row.edition})".strip()


def light_aims(request, room_id):
    room = room_of(request.shop, room_id)
    found = light_of(room, solve_it=False)
    aims = AimsForm(request.POST or None, setup=found.setup, layout=found.layout)
    context = {"room": room, "setup": found.setup, "aims": aims, "light": found}
    return _kept(
        request, room, found.setup, "light/aims.html", context, (aims,), lambda: ({}, {"aims": aims.values})
    )  # fmt: skip


def light_tasks(request, room_id):
    room = room_of(request.shop, room_id)
    setup = services.setup_of(room)
    tasks = TasksForm(request.POST or None, room=room, setup=setup)
    context = {"room": room, "setup": setup, "tasks": tasks}
    return _kept(
        request, room, setup, "light/tasks.html", context, (tasks,), lambda: ({}, {"tasks": tasks.values})
    )  # fmt: skip


def _kept(request, room, setup, template, context, forms, what):
    """Save when everything is right, else show it again with what was typed. what(): (columns, rows by name)."""
    version = VersionedForm(request.POST or None, initial={"version": setup.version})
    stale = False
    valid = request.method != "POST" or all([version.is_valid(), *(form.is_valid() for form in forms)])
    if request.method == "POST" and valid:
        changes, rows = what()
        try:
            services.change_setup(setup, version.seen_version, changes, **rows)
        except StaleVersion:
            stale = True
        else:
            messages.success(request, _("Kept."))
            return redirect("light", room.pk)
    status = 409 if stale else 200 if valid else 422
    return render(request, template, {**context, "version": version, "stale": stale}, status=status)


# The meter log


def light_readings(request, room_id):
    room = room_of(request.shop, room_id)
    data = request.POST or None
    found = light_of(room, solve_it=request.method == "POST")
    unit = services.unit_of(room.job.tape)
    usual = {"unit": unit, "on": ReadOn.LEVEL, "taken_on": localdate(), "taken_by": request.member.user.name}
    form = ReadingForm(data, tape=room.job.tape, initial=usual)
    dims_form = DimsForm(data, zones=found.zones)
    # Unbound where no zone has a light: what was read there is logged all the same
    valid = request.method != "POST" or all([form.is_valid(), not dims_form.is_bound or dims_form.is_valid()])
    if request.method == "POST" and valid:
        add_reading(found, form.fields_of_record, dims_form.percents, by=request.member)
        messages.success(request, _("Added to the log. Readings are never changed: a wrong one is read again."))
        return redirect("light_readings", room.pk)
    context = {
        "room": room, "light": found, "form": form, "dims_form": dims_form,
        "page": page_of_readings(room, request.GET.get("page")),
        "correction": corrections_of(request.shop), "own": corrections_of(request.shop, room=room),
    }  # fmt: skip
    return render(request, "light/readings.html", context, status=200 if valid else 422)
