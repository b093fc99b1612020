"""What people type about a job and its rooms."""

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet, inches
from projects.accounts.models import StyleChoice
from projects.catalogue.models import FixtureType
from projects.catalogue.tables import ceiling_systems, stages
from projects.jobs.models import (
    HELD_DOOR_FAR,
    HELD_LEFT_RIGHT,
    WALLS,
    Instrument,
    Job,
    LaserEdge,
    RowsRun,
    SideChoice,
    Subject,
    Surface,
    SurveyKind,
    WirePoint,
)
from projects.jobs.services import MOST_COPIES
from projects.platform.fields import HEIGHT, WALL
from projects.platform.forms import LengthFormField, TapeForm, VersionedForm
from projects.platform.names import clean_name, clean_note

DAY = forms.DateInput(attrs={"type": "date"})


class NameMixin:
    def clean_name(self):
        name = self.cleaned_data["name"]
        return clean_name(name) if name else ""

    def clean_note(self):
        return clean_note(self.cleaned_data["note"])


def _line(label, most, **kwargs):
    return forms.CharField(label=label, max_length=most, required=False, **kwargs)


class JobForm(NameMixin, forms.Form):
    number = forms.CharField(label=_("Job number"), max_length=20)
    name = forms.CharField(label=_("Name"), max_length=120)
    client = _line(_("Client"), 120)
    site = _line(_("Site"), 200)
    style = forms.ChoiceField(
        label=_("Lengths are written in"),
        required=False,
        choices=[("", _("as the shop writes them")), *StyleChoice.choices],
    )
    code_edition = _line(
        _("Code edition the site works to"),
        120,
        help_text=_("A note for people. Local code and the licensed trade decide."),
    )
    survey_on = forms.DateField(label=_("Survey"), required=False, widget=DAY)
    rough_in_on = forms.DateField(label=_("Rough-in"), required=False, widget=DAY)
    inspection_on = forms.DateField(label=_("Inspection"), required=False, widget=DAY)
    drywall_on = forms.DateField(label=_("Drywall"), required=False, widget=DAY)
    trim_on = forms.DateField(label=_("Trim"), required=False, widget=DAY)
    note = forms.CharField(label=_("Note"), max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 3}))

    def clean_number(self):
        return clean_name(self.cleaned_data["number"])


class ChangeJobForm(JobForm, VersionedForm):
    pass


def _systems():
    return [(system.key, system.label) for system in ceiling_systems().values()]


def _held(allowed):
    return [(held.value, held.label) for held in allowed]


class NewRoomForm(NameMixin, TapeForm):
    """Two numbers off the tape are enough; all else has a default and can be added later."""

    left_right = LengthFormField(
        label=_("Left to right"),
        low=WALL[0],
        high=WALL[1],
        help_text=_("Back to the door, facing in: along the door wall."),
    )
    door_far = LengthFormField(
        label=_("Door to far wall"), low=WALL[0], high=WALL[1], help_text=_("From the door wall straight in.")
    )
    kind = forms.ChoiceField(label=_("Taped"), choices=SurveyKind.choices, initial=SurveyKind.FRAMING)
    ceiling_system = forms.ChoiceField(label=_("Ceiling"), choices=_systems, initial="board")
    name = _line(_("Room's name"), 80, help_text=_("Can wait."))
    height = LengthFormField(label=_("Height, floor to framing"), required=False, low=HEIGHT[0], high=HEIGHT[1])
    job = forms.ModelChoiceField(label=_("Job"), queryset=None, required=False, empty_label=_("a new job"))

    def __init__(self, *args, shop, **kwargs):
        super().__init__(*args, tape=shop.tape, **kwargs)
        self.fields["job"].queryset = Job.objects.of(shop).order_by("-updated_at", "-pk")


class RoomForm(NameMixin, VersionedForm):
    name = forms.CharField(label=_("Room's name"), max_length=80)
    level = _line(_("Level"), 40)
    door_name = _line(_("The door, in the crew's words"), 60, help_text=_("For example: hall door."))
    door_wall = _line(_("Door wall is called"), 60)
    left_wall = _line(_("Left wall is called"), 60, help_text=_("For example: window wall."))
    far_wall = _line(_("Far wall is called"), 60)
    right_wall = _line(_("Right wall is called"), 60)
    north = forms.ChoiceField(
        label=_("North is toward"), required=False, choices=[("", _("not known")), *SideChoice.choices]
    )
    zero_x = forms.ChoiceField(
        label=_("Zero corner, left or right"),
        choices=[(SideChoice.LEFT, _("left")), (SideChoice.RIGHT, _("right"))],
    )
    zero_y = forms.ChoiceField(
        label=_("Zero corner, at the door wall or the far wall"),
        choices=[(SideChoice.DOOR, _("door wall")), (SideChoice.FAR, _("far wall"))],
    )
    rows_run = forms.ChoiceField(
        label=_("Rows run"), required=False, choices=[("", _("the longer way")), *RowsRun.choices]
    )
    note = forms.CharField(label=_("Note"), max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 3}))


class CopyForm(forms.Form):
    times = forms.IntegerField(label=_("How many copies"), min_value=1, max_value=MOST_COPIES, initial=1)


class StageForm(forms.Form):
    stage = forms.TypedChoiceField(
        label=_("Stage"), coerce=int, choices=lambda: [(s.number, f"{s.number} {s.name}") for s in stages()]
    )
    note = _line(_("Why"), 400)
    waits_for = _line(_("Waits for"), 120, help_text=_("Who must act, and for what. Empty: nobody."))

    def clean_note(self):
        return clean_note(self.cleaned_data["note"])

    def clean_waits_for(self):
        return " ".join(clean_note(self.cleaned_data["waits_for"]).split())


MOST_LAYERS = 5  # boxes shown per surface


class BuildUpForm(VersionedForm):
    """Layers on each surface from the framing inward, the gap at each side, and who holds the difference."""

    ceiling_system = forms.ChoiceField(label=_("Ceiling"), choices=_systems)
    held_left_right = forms.ChoiceField(label=_("Left to right, the difference lies"), choices=_held(HELD_LEFT_RIGHT))
    held_door_far = forms.ChoiceField(label=_("Door to far, the difference lies"), choices=_held(HELD_DOOR_FAR))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        tape = kwargs.get("tape")
        for side in SideChoice:
            self.fields[f"gap_{side.value}"] = LengthFormField(
                label=_("Gap at the %(wall)s") % {"wall": side.label}, allow_zero=True, high=feet(20)
            )
        for surface in Surface:
            for n in range(1, MOST_LAYERS + 1):
                self.fields[f"{surface.value}_{n}_name"] = _line(_("Layer %(n)s") % {"n": n}, 80)
                self.fields[f"{surface.value}_{n}_thickness"] = LengthFormField(
                    label=_("thick"), required=False, low=inches("1/16"), high=inches(48)
                )
        for field in self.fields.values():
            if isinstance(field, LengthFormField):
                field.use_tape(tape)

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
            (surface.value, clean_name(data[f"{surface.value}_{n}_name"]), data[f"{surface.value}_{n}_thickness"])
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
    taken_on = forms.DateField(label=_("On"), widget=DAY)
    taken_by = forms.CharField(label=_("By"), max_length=80)
    instrument = forms.ChoiceField(label=_("With"), choices=Instrument.choices)
    laser_edge = forms.ChoiceField(
        label=_("A laser measures"), required=False, choices=[("", _("— tape —")), *LaserEdge.choices]
    )
    note = _line(_("Note"), 400)

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
        for field in self.fields.values():
            if isinstance(field, LengthFormField):
                field.use_tape(kwargs.get("tape"))

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
        if not self.errors and not self.readings:
            raise forms.ValidationError(_("Nothing was read yet. Give at least one number from the tape."))
        if data.get("instrument") == Instrument.LASER and not data.get("laser_edge"):
            self.add_error(
                "laser_edge", _("From its rear edge or its front edge? The difference is the laser's length.")
            )
        if data.get("taken_on") and data["taken_on"] > timezone.localdate() + timezone.timedelta(days=1):
            self.add_error("taken_on", _("That day has not come yet."))
        return data

    def clean_taken_by(self):
        return clean_name(self.cleaned_data["taken_by"])

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


MOST_COUNTS = 8


class CountsForm(TapeForm):
    """What the room is to have, and where its switch, panel and rack are."""

    def __init__(self, *args, shop, **kwargs):
        super().__init__(*args, **kwargs)
        types = FixtureType.objects.of(shop).filter(retired=False)
        self._types = {str(record.pk): record for record in types}
        choices = [("", "—"), *((pk, record.name) for pk, record in self._types.items())]
        for n in range(1, MOST_COUNTS + 1):
            self.fields[f"type_{n}"] = forms.ChoiceField(label=_("Fixture"), required=False, choices=choices)
            self.fields[f"zone_{n}"] = _line(_("Zone"), 2)
            self.fields[f"count_{n}"] = forms.IntegerField(
                label=_("How many"), required=False, min_value=0, max_value=400
            )
        for what in WirePoint.What:
            for name, label, bounds in (
                ("from_left", _("from the left wall"), (ZERO, feet(300))),
                ("from_door", _("from the door wall"), (ZERO, feet(300))),
                ("height", _("above the floor"), (ZERO, feet(60))),
                ("beyond", _("run beyond it"), (ZERO, feet(1000))),
            ):
                self.fields[f"{what.value}_{name}"] = LengthFormField(
                    label=label, required=False, allow_zero=True, low=bounds[0], high=bounds[1]
                )
        for field in self.fields.values():
            if isinstance(field, LengthFormField):
                field.use_tape(kwargs.get("tape"))

    def count_rows(self):
        return [(self[f"type_{n}"], self[f"zone_{n}"], self[f"count_{n}"]) for n in range(1, MOST_COUNTS + 1)]

    def point_rows(self):
        return [
            (what.label, [self[f"{what.value}_{name}"] for name in ("from_left", "from_door", "height", "beyond")])
            for what in WirePoint.What
        ]

    def clean(self):
        data = super().clean()
        seen = set()
        for n in range(1, MOST_COUNTS + 1):
            key = (data.get(f"type_{n}"), (data.get(f"zone_{n}") or "").upper())
            if key[0] and key in seen:
                self.add_error(f"type_{n}", _("This fixture and zone stand twice. Add the counts up in one line."))
            seen.add(key)
        for what in WirePoint.What:
            given = [
                name for name in ("from_left", "from_door", "height") if data.get(f"{what.value}_{name}") is not None
            ]
            if given and len(given) < 3:
                missing = next(n for n in ("from_left", "from_door", "height") if n not in given)
                self.add_error(f"{what.value}_{missing}", _("Give all three, or none."))
        return data

    @property
    def counts(self):
        data = self.cleaned_data
        return [
            (self._types[data[f"type_{n}"]], (data[f"zone_{n}"] or "").upper(), data[f"count_{n}"])
            for n in range(1, MOST_COUNTS + 1)
            if data.get(f"type_{n}")
        ]

    @property
    def points(self):
        data = self.cleaned_data
        return [
            {
                "what": what.value,
                "beyond": data.get(f"{what.value}_beyond") or ZERO,
                **{name: data[f"{what.value}_{name}"] for name in ("from_left", "from_door", "height")},
            }
            for what in WirePoint.What
            if data.get(f"{what.value}_height") is not None
        ]

    @staticmethod
    def start_from(room):
        initial = {}
        for n, count in enumerate(room.counts.all()[:MOST_COUNTS], 1):
            initial |= {f"type_{n}": str(count.fixture_type_id), f"zone_{n}": count.zone, f"count_{n}": count.count}
        for point in room.wire_points.all():
            for name in ("from_left", "from_door", "height", "beyond"):
                initial[f"{point.what}_{name}"] = getattr(point, name)
        return initial
