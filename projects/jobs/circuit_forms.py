"""What people type about circuits, switch zones and how speakers are wired."""

from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet
from projects.catalogue.models import AWG, ControlType
from projects.jobs.circuits import (
    LINE_VOLTS,
    MOST_GANGS,
    VOLTS,
    Circuit,
    Control,
    Hung,
    Purpose,
    SpeakerRun,
    SwitchZone,
)
from projects.jobs.forms import line
from projects.jobs.models import Room, WirePoint
from projects.platform.forms import LengthFormField, NameFormField, NoteFormField, TapeForm


class CircuitForm(forms.Form):
    number = NameFormField(label=_("Number"), max_length=12, help_text=_("As in the panel: 14, or L3."))
    panel = forms.CharField(label=_("Panel"), required=False, max_length=40)
    breaker_amps = forms.IntegerField(label=_("Breaker, A"), min_value=1, max_value=100, initial=15)
    volts = forms.IntegerField(label=_("Volts"), min_value=VOLTS[0], max_value=VOLTS[1], initial=120)
    awg = forms.IntegerField(
        label=_("Copper, AWG"), required=False, help_text=_("Empty: the breaker's usual, 14 at 15 A, 12 at 20 A.")
    )
    note = NoteFormField(label=_("Note"), required=False, max_length=400)

    def clean_awg(self):
        awg = self.cleaned_data["awg"]
        if awg is not None and awg not in AWG:
            raise forms.ValidationError(_("Gauge: give one of %s.") % ", ".join(map(str, AWG)), code="awg")
        return awg


class ChangeCircuitForm(CircuitForm):
    homerun_room = forms.ModelChoiceField(
        Room.objects.none(), label=_("Homerun comes to"), required=False, empty_label=_("the first room on it"),
        help_text=_("One of the rooms on it. Homerun, breaker and panel connector count there; the others are fed."),
    )  # fmt: skip
    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args, circuit, **kwargs):
        super().__init__(*args, **kwargs)
        of_the_job = Room.objects.of(circuit.shop_id).filter(job_id=circuit.job_id)
        on_it = SwitchZone.objects.filter(circuit=circuit, room__cancelled=False, room__trashed_at=None).values("room")
        self.fields["homerun_room"].queryset = of_the_job.filter(Q(pk__in=on_it) | Q(pk=circuit.homerun_room_id))

    @staticmethod
    def start(circuit):
        """What its boxes hold at first."""
        return vars(circuit) | {"homerun_room": circuit.homerun_room_id}


class SwitchZoneForm(TapeForm):
    """One letter of a room."""

    letter = forms.RegexField(
        r"^[A-Z]{1,2}$", label=_("Zone"), error_messages={"invalid": _("A zone is one or two capital letters.")}
    )
    purpose = forms.ChoiceField(label=_("For"), required=False, choices=[("", "—"), *Purpose.choices])
    control = forms.ChoiceField(label=_("Turned on by"), choices=Control.choices, initial=Control.SWITCH)
    control_type = forms.ModelChoiceField(
        ControlType.objects.none(), label=_("Which one"), required=False, empty_label=_("not chosen")
    )
    box = line(_("In box"), 20, help_text=_("Zones with one name share a box. Empty: by where the switch stands."))
    place = forms.IntegerField(label=_("Place in it, from the left"), required=False, min_value=1, max_value=MOST_GANGS)
    circuit = forms.ModelChoiceField(
        Circuit.objects.none(), label=_("On circuit"), required=False, empty_label=_("none yet")
    )
    hung = forms.ChoiceField(
        label=_("Cable between its lights"),
        required=False,
        choices=Hung.choices,
        initial=Hung.CHAIN,
        help_text=_("Where it branches, three cables or more meet in a light's box: read its label."),
    )

    def __init__(self, data=None, *, room, **kwargs):
        super().__init__(data, **kwargs)
        types = ControlType.objects.of(room.shop_id)
        self.fields["control_type"].queryset = types
        self.fields["circuit"].queryset = Circuit.objects.of(room.shop_id).filter(job_id=room.job_id)

    def clean(self):
        data = super().clean()
        chosen, control = data.get("control_type"), data.get("control")
        if chosen is not None and control and (chosen.kind == ControlType.Kind.DIMMER) is not Control(control).dims:
            said = _("%s is a dimmer: choose a dimmer as what turns it on, or another one here.")
            other = _("%s is a switch and dims nothing: choose a switch as what turns it on, or another one here.")
            self.add_error("control_type", (said if not Control(control).dims else other) % chosen)
        return data

    def clean_hung(self):
        return self.cleaned_data["hung"] or Hung.CHAIN

    @property
    def value(self):
        return {name: self.cleaned_data[name] for name in ("letter", *ZONE_FIELDS)}


ZONE_FIELDS = ("purpose", "control", "control_type", "box", "place", "circuit", "hung")
USUAL = {"control": Control.SWITCH, "hung": Hung.CHAIN}  # of a zone nobody said anything about
PARTS = ("from_left", "from_door", "height", "beyond")


class PointForm(TapeForm):
    """A place on a wall that cable goes to."""

    from_left = LengthFormField(label=_("from the left wall"), required=False, allow_zero=True, high=feet(300))
    from_door = LengthFormField(label=_("from the door wall"), required=False, allow_zero=True, high=feet(300))
    height = LengthFormField(label=_("above the floor"), required=False, allow_zero=True, high=feet(60))
    beyond = LengthFormField(label=_("run beyond it"), required=False, allow_zero=True, high=feet(1000))

    def clean(self):
        data = super().clean()
        boxes = PARTS[:3]
        missing = [box for box in boxes if data.get(box) is None and box not in self.errors]
        if missing and (len(missing) < len(boxes) or data.get("beyond")):
            for box in missing:
                self.add_error(box, _("Give all three, or none."))
        return data

    @property
    def placed(self):
        return self.cleaned_data.get("height") is not None

    @property
    def value(self):
        return {name: self.cleaned_data[name] for name in PARTS[:3]} | {"beyond": self.cleaned_data["beyond"] or ZERO}


class WirePointForm(PointForm):
    """The same over the API, where a row says what it is and of which zone."""

    what = forms.ChoiceField(choices=[(what.value, what.label) for what in WirePoint.What])
    zone = forms.RegexField(r"^[A-Z]{1,2}$", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in PARTS[:3]:
            self.fields[name].required = True

    def clean(self):
        data = super().clean()
        if data.get("what") in ("panel", "rack") or (data.get("what") == "switch" and not data.get("zone")):
            self.add_error("what", _("The room's own switch, panel and rack are kept with its counts."))
        elif data.get("what") == "control" and data.get("zone"):
            self.add_error("zone", _("A speaker control is of no zone. Leave this empty."))
        return data

    @property
    def value(self):
        return super().value | {"what": self.cleaned_data["what"], "zone": self.cleaned_data["zone"]}


class SpeakerWiringForm(forms.Form):
    kind = forms.ChoiceField(label=_("Speakers are wired"), choices=SpeakerRun.choices, initial=SpeakerRun.HOME_RUN)
    line_volts = forms.DecimalField(
        label=_("Line volts"), required=False, min_value=10, max_value=200, decimal_places=1, max_digits=5,
        help_text=", ".join(str(volts).removesuffix(".0") for volts in LINE_VOLTS),
    )  # fmt: skip
    tap_watts = forms.DecimalField(
        label=_("Each speaker's tap, W"), required=False, min_value=0, max_value=1000, decimal_places=2
    )
    amplifier_watts = forms.DecimalField(
        label=_("Amplifier, W"), required=False, min_value=0, max_value=20_000, decimal_places=1
    )

    def clean(self):
        data = super().clean()
        names = ("line_volts", "tap_watts", "amplifier_watts")
        if data.get("kind") == SpeakerRun.CHAINED_LINE:
            if data.get("line_volts") is None and "line_volts" not in self.errors:
                self.add_error("line_volts", _("A constant-voltage line has its volts: 70.7, mostly. Give them."))
        else:
            for name in names:
                if data.get(name) is not None:
                    self.add_error(name, _("Only a constant-voltage line has this. Leave it empty."))
        return data

    @property
    def value(self):
        """None: nothing to keep, a run of its own each."""
        return None if self.cleaned_data["kind"] == SpeakerRun.HOME_RUN else dict(self.cleaned_data)


class SwitchingForm:
    """A room's whole page of zones: the boxes of each letter, of its points, and of the speakers' wiring."""

    def __init__(self, room, letters, *, data=None, tape=None):
        self.room = room
        kept = {zone.letter: zone for zone in room.switch_zones.all()}
        points = {(point.what, point.zone): point for point in room.wire_points.all()}
        self.letters = sorted({*letters, *kept}, key=lambda letter: (len(letter), letter))
        self.zones = [self._zone(letter, kept.get(letter), points, data, tape) for letter in self.letters]
        wiring = getattr(room, "speaker_wiring", None)
        self.speakers = SpeakerWiringForm(data, prefix="speakers", initial=vars(wiring) if wiring else None)
        self.control = PointForm(data, prefix="control", tape=tape, initial=_at(points.get(("control", ""))))

    def _zone(self, letter, record, points, data, tape):
        start = {name: getattr(record, name) for name in ZONE_FIELDS} if record else {}
        if data is not None:
            data = data.copy()
            data[f"zone-{letter}-letter"] = letter
        return {
            "letter": letter,
            "form": SwitchZoneForm(
                data, room=self.room, prefix=f"zone-{letter}", initial=start | {"letter": letter}, tape=tape
            ),
            "switch": PointForm(
                data, prefix=f"switch-{letter}", tape=tape, initial=_at(points.get(("switch", letter)))
            ),
            "other": PointForm(
                data, prefix=f"other-{letter}", tape=tape, initial=_at(points.get(("three_way", letter)))
            ),
            "kept": record is not None,
        }

    @property
    def forms(self):
        each = [zone[part] for zone in self.zones for part in ("form", "switch", "other")]
        return [*each, self.speakers, self.control]

    def is_valid(self):
        read = [form.is_valid() for form in self.forms]  # all of them: each is to say what is wrong with it
        return all(read)

    @property
    def error_words(self):
        for form in self.forms:
            for name, errors in form.errors.items():
                label = form.fields[name].label if name in form.fields else ""
                yield from (f"{label}: {error}".removeprefix(": ") for error in errors)

    @property
    def zone_values(self):
        """Only what says more than a plain switch on no circuit, its lights one after the other."""
        for zone in self.zones:
            value = zone["form"].value
            if any(value[name] != USUAL.get(name) and (value[name] or name in USUAL) for name in ZONE_FIELDS):
                yield value

    @property
    def points(self):
        for zone in self.zones:
            for what, part in (("switch", "switch"), ("three_way", "other")):
                if zone[part].placed:
                    yield zone[part].value | {"what": what, "zone": zone["letter"]}
        if self.control.placed:
            yield self.control.value | {"what": "control", "zone": ""}


def _at(point):
    return {name: getattr(point, name) for name in PARTS} if point else {}
