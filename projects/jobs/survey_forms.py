"""What was read off the tape, and what the finish takes, as boxes on a page."""

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet, inches
from projects.jobs.forms import DAY, ceiling_choices, held_choices, line
from projects.jobs.models import (
    HELD_DOOR_FAR,
    HELD_LEFT_RIGHT,
    WALLS,
    Instrument,
    LaserEdge,
    SideChoice,
    Subject,
    Surface,
    SurveyKind,
)
from projects.platform.fields import HEIGHT, WALL
from projects.platform.forms import DayFormField, LengthFormField, NameFormField, TapeForm, VersionedForm

MOST_LAYERS = 5  # boxes shown per surface


class BuildUpForm(VersionedForm):
    """Layers on each surface from the framing inward, the gap at each side, and who holds the difference."""

    ceiling_system = forms.ChoiceField(label=_("Ceiling"), choices=ceiling_choices)
    held_left_right = forms.ChoiceField(
        label=_("Left to right, the difference lies"), choices=held_choices(HELD_LEFT_RIGHT)
    )
    held_door_far = forms.ChoiceField(label=_("Door to far, it lies"), choices=held_choices(HELD_DOOR_FAR))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for side in SideChoice:
            self.fields[f"gap_{side.value}"] = LengthFormField(
                label=_("Gap at the %(wall)s") % {"wall": side.label}, allow_zero=True, high=feet(20)
            )
        for surface in Surface:
            for n in range(1, MOST_LAYERS + 1):
                self.fields[f"{surface.value}_{n}_name"] = line(
                    _("%(surface)s, layer %(n)s") % {"surface": surface.label, "n": n}, 80
                )
                self.fields[f"{surface.value}_{n}_thickness"] = LengthFormField(
                    label=_("%(surface)s, layer %(n)s, thick") % {"surface": surface.label, "n": n},
                    required=False,
                    low=inches("1/16"),
                    high=inches(48),
                )
        self.settle_boxes(kwargs.get("tape"))

    def gaps(self):
        return [self[f"gap_{side.value}"] for side in SideChoice]

    def surfaces(self):
        """For the page: each surface with its rows of boxes."""
        for surface in Surface:
            yield (
                surface,
                [
                    (self[f"{surface.value}_{n}_name"], self[f"{surface.value}_{n}_thickness"])
                    for n in range(1, MOST_LAYERS + 1)
                ],
            )

    def clean(self):
        data = super().clean()
        for surface in Surface:
            for n in range(1, MOST_LAYERS + 1):
                name, thickness = f"{surface.value}_{n}_name", f"{surface.value}_{n}_thickness"
                if name not in self.errors and thickness not in self.errors:
                    if data.get(name) and not data.get(thickness):
                        self.add_error(thickness, _("How thick is %(layer)s?") % {"layer": data[name]})
                    if data.get(thickness) and not data.get(name):
                        self.add_error(name, _("What is this layer?"))
        return data

    @property
    def placed(self):
        data = self.cleaned_data
        return [
            (surface.value, data[f"{surface.value}_{n}_name"], data[f"{surface.value}_{n}_thickness"])
            for surface in Surface
            for n in range(1, MOST_LAYERS + 1)
            if data.get(f"{surface.value}_{n}_name")
        ]

    @property
    def room_changes(self):
        names = ["ceiling_system", "held_left_right", "held_door_far", *(f"gap_{side.value}" for side in SideChoice)]
        return {name: self.cleaned_data[name] for name in names}

    @classmethod
    def start_from(cls, room):
        initial = {
            name: getattr(room, name) for name in ("version", "ceiling_system", "held_left_right", "held_door_far")
        } | {f"gap_{side.value}": room.gap(side) for side in SideChoice}
        for layer in room.layers.all():
            initial[f"{layer.surface}_{layer.position}_name"] = layer.name
            initial[f"{layer.surface}_{layer.position}_thickness"] = layer.thickness
        return initial


DIAGONAL = (feet(1), feet(430))
LEG = (inches(3), feet(300))


class MeasurementForm(TapeForm):
    """One visit's readings. Only what was read is filled in; nothing is required but one number."""

    kind = forms.ChoiceField(label=_("Taped"), choices=SurveyKind.choices)
    taken_on = DayFormField(label=_("On"), widget=DAY)
    taken_by = NameFormField(label=_("By"), max_length=80)
    instrument = forms.ChoiceField(label=_("With"), choices=Instrument.choices)
    laser_edge = forms.ChoiceField(
        label=_("A laser measures"), required=False, choices=[("", _("— tape —")), *LaserEdge.choices]
    )
    note = line(_("Note"), 400)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for subject in Subject:
            for n in range(1, self.most(subject) + 1):
                self.fields[f"{subject.value}_{n}"] = LengthFormField(
                    label=subject.label if n == 1 else _("again (%(n)s)") % {"n": n},
                    required=False,
                    **dict(zip(("low", "high"), self.bounds(subject), strict=True)),
                )
                if subject in WALLS:
                    self.fields[f"{subject.value}_{n}_at"] = LengthFormField(
                        label=_("taken at height"), required=False, allow_zero=True, low=ZERO, high=HEIGHT[1]
                    )
        self.settle_boxes(kwargs.get("tape"))

    @staticmethod
    def most(subject):
        return 3 if subject in WALLS else 5 if subject is Subject.HEIGHT else 1

    @staticmethod
    def bounds(subject):
        if subject in WALLS:
            return WALL
        if subject is Subject.HEIGHT:
            return HEIGHT
        return DIAGONAL if subject in (Subject.D1, Subject.D2) else LEG

    def first_boxes(self):
        return [self["door_1"], self["left_1"]]

    def more_boxes(self):
        """For the page: each subject with all its boxes but the two asked first."""
        for subject in Subject:
            boxes = []
            for n in range(1, self.most(subject) + 1):
                if (subject, n) not in ((Subject.DOOR, 1), (Subject.LEFT, 1)):
                    boxes.append(self[f"{subject.value}_{n}"])
                if subject in WALLS:
                    boxes.append(self[f"{subject.value}_{n}_at"])
            yield subject, boxes

    def clean(self):
        data = super().clean()
        for box in [name for name in self.fields if name.endswith("_at")]:
            reading = box.removesuffix("_at")
            if data.get(box) is not None and data.get(reading) is None and reading not in self.errors:
                self.add_error(reading, _("What was read at that height? Give the number, or empty the height."))
        if not self.errors and not self.readings:
            raise forms.ValidationError(_("Nothing was read yet. Give at least one number from the tape."))
        if data.get("instrument") == Instrument.LASER and not data.get("laser_edge"):
            self.add_error(
                "laser_edge", _("From its rear edge or its front edge? The difference is the laser's length.")
            )
        if data.get("taken_on") and data["taken_on"] > timezone.localdate() + timezone.timedelta(days=1):
            self.add_error("taken_on", _("That day has not come yet."))
        return data

    @property
    def readings(self):
        data = self.cleaned_data
        found = []
        for subject in Subject:
            values = [
                (data[f"{subject.value}_{n}"], data.get(f"{subject.value}_{n}_at"))
                for n in range(1, self.most(subject) + 1)
                if data.get(f"{subject.value}_{n}")
            ]
            found += [(subject.value, n, value, height) for n, (value, height) in enumerate(values, 1)]
        return found

    @property
    def visit(self):
        return {
            name: self.cleaned_data[name]
            for name in ("kind", "taken_on", "taken_by", "instrument", "laser_edge", "note")
        }
