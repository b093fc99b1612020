"""Pages of a room's zones and loads, and of a job's circuits: door, form, service, answer. No sum is made here."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.engine.lengths import LengthError
from layout.engine.room import lay_out
from layout.engine.wiring.conductors import ElectricalError
from layout.inputs import NotLaidOutYet, inputs_of
from layout.services import NoLightType, draft_of
from layout.switching import loads, loads_words
from layout.switching.speakers import line_of
from projects.jobs import circuit_services
from projects.jobs.circuit_forms import ChangeCircuitForm, CircuitForm, SwitchingForm
from projects.jobs.models import Circuit
from projects.jobs.queries import job_of, room_of
from projects.platform.forms import VersionedForm
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion

PAGE = 100


class Shown:
    """A room's loads, or why there are none."""

    def __init__(self, room):
        self.loads, self.refused, self.speakers = None, "", None
        try:
            draft = draft_of(room)
            layout = lay_out(inputs_of(room, draft))
            self.speakers = line_of(room, layout, draft.speaker_type)
            counts = loads.lights_by_zone(layout.arrangement.marks)
            self.loads = loads.room_loads(room, counts, draft.light_type)
        except (LengthError, NotLaidOutYet, NoLightType, ElectricalError) as refused:
            self.refused = str(refused)

    @property
    def letters(self):
        return [zone.letter for zone in self.loads.zones] if self.loads else []

    @property
    def told(self):
        """What there is to say of zones and circuits; what is passed first."""
        if self.loads is None:
            return []
        said = [one for zone in self.loads.zones for one in loads_words.of_dimmer(zone)]
        said += [one for circuit in self.loads.circuits for one in loads_words.of_circuit(circuit)]
        return sorted(said, key=lambda one: ("bad", "warn", "good").index(one.tone))

    @property
    def boxes(self):
        for box in self.loads.boxes if self.loads else ():
            cables = [loads_words.cable(one) for one in box.cables]
            yield {"box": box, "told": list(loads_words.of_box(box)), "cables": cables}


def circuits(request, room_id):
    room = room_of(request.shop, room_id)
    shown = Shown(room)
    data = request.POST or None
    form = SwitchingForm(room, shown.letters, data=data, tape=room.job.tape)
    version = VersionedForm(data, initial={"version": room.version})
    stale = False
    valid = request.method != "POST" or (version.is_valid() and form.is_valid())
    if request.method == "POST" and valid:
        try:
            circuit_services.change_switching(
                room, version.seen_version, list(form.zone_values), list(form.points), form.speakers.value
            )
        except StaleVersion:
            stale = True
        else:
            messages.success(request, _("Saved. The loads below follow from it."))
            return redirect("circuits", room.pk)
    context = {
        "room": room,
        "shown": shown,
        "form": form,
        "version": version,
        "stale": stale,
        "errors": list(form.error_words) if request.method == "POST" and not valid else [],
        "cautions": loads_words.CAUTIONS,
    }
    status = 409 if stale else 200 if valid else 422
    return render(request, "layout/switching/circuits.html", context, status=status)


def job_circuits(request, job_id):
    job = job_of(request.shop, job_id)
    form = CircuitForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            circuit_services.add_circuit(job, **form.cleaned_data)
        except circuit_services.NumberTaken as taken:
            form.add_error("number", str(taken))
        else:
            messages.success(request, _("Added. Zones are put on it on each room's page of circuits."))
            return redirect("job_circuits", job.pk)
    page = Paginator(Circuit.objects.of(request.shop).filter(job=job), PAGE).get_page(request.GET.get("page"))
    rows = [
        {"load": one, "told": list(loads_words.of_circuit(one))} for one in loads.circuit_loads(list(page.object_list))
    ]
    context = {"job": job, "form": form, "page": page, "rows": rows, "cautions": loads_words.CAUTIONS}
    return render(request, "layout/switching/job_circuits.html", context, status=422 if form.errors else 200)


def circuit(request, circuit_id):
    record = Circuit.objects.of(request.shop).filter(pk=circuit_id, job__trashed_at=None).select_related("job").first()
    if record is None:
        raise Http404
    form = ChangeCircuitForm(request.POST or None, initial=ChangeCircuitForm.start(record), circuit=record)
    if request.method == "POST" and form.is_valid():
        changes = {name: value for name, value in form.cleaned_data.items() if name != "version"}
        seen = form.cleaned_data["version"]
        try:
            if "remove" in request.POST:
                circuit_services.remove_circuit(record, seen)
            else:
                circuit_services.change_circuit(record, seen, changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(record), back=request.path)
        except circuit_services.NumberTaken as taken:
            form.add_error("number", str(taken))
        else:
            messages.success(request, _("Saved."))
            return redirect("job_circuits", record.job_id)
    context = {"record": record, "form": form}
    return render(request, "layout/switching/circuit.html", context, status=422 if form.errors else 200)
