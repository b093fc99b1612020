"""What people type about a room's light: surfaces, losses, what is wanted, levels, aims, tasks, meter readings."""

from decimal import Decimal

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet, inches
from layout.light.models import (
    AS_READ,
    LOSS,
    MOST_LUX,
    REFLECTANCE,
    LightUnit,
    ReadOn,
    TaskKind,
)
from projects.catalogue.models import FixtureType, KindChoice
from projects.jobs.models import SideChoice
from projects.platform.fields import HEIGHT
from projects.platform.forms import DayFormField, LengthFormField, NameFormField, NoteFormField, TapeForm

LOSS_WORDS = {
    "lld": (_("Lamps fade to"), _("LLD: what is left at the end of the interval. 1: as on the first day.")),
    "ldd": (_("Dirt on the lights leaves"), _("LDD")),
    "rsdd": (_("Dirt on the room leaves"), _("RSDD")),
    "lbo": (_("Lamps still burning"), _("LBO")),
    "other_loss": (_("Driver, heat and the rest leave"), _("Ballast or driver factor, temperature")),
}


def _percent(label, *, required=True, help_text=""):
    return forms.IntegerField(
        label=label, required=required, min_value=REFLECTANCE[0], max_value=REFLECTANCE[1], help_text=help_text
    )


class TrimmedField(forms.DecimalField):
    """A number as people write it: 0.85 and 1, not 0.850 and 1.000."""

    def prepare_value(self, value):
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value


def _share(label, low, high, places, **more):
    return TrimmedField(
        label=label, min_value=Decimal(low), max_value=Decimal(high), decimal_places=places,
        max_digits=places + 2, **more,
    )  # fmt: skip


def _degrees(label, most, **more):
    return TrimmedField(label=label, min_value=0, max_value=most, decimal_places=1, max_digits=4, **more)


class SetupForm(TapeForm):
    """A setup's own columns."""

    ceiling_percent = _percent(_("Ceiling gives back, %"), help_text=_("White paint: about 80. Usual."))
    wall_percent = _percent(_("Walls give back, %"), help_text=_("Usual: 50. Dark wood: 10 to 20."))
    floor_percent = _percent(_("Floor gives back, %"), help_text=_("Usual: 20."))
    door_percent = _percent(SideChoice.DOOR.label, required=False)
    left_percent = _percent(SideChoice.LEFT.label, required=False)
    far_percent = _percent(SideChoice.FAR.label, required=False)
    right_percent = _percent(SideChoice.RIGHT.label, required=False)
    plane = LengthFormField(
        label=_("Work plane above the floor"), low=inches(1), high=feet(20),
        help_text=_("Usual: 30 in (760 mm); a desk. Common practice, no source."),
    )  # fmt: skip
    lld = _share(LOSS_WORDS["lld"][0], *LOSS, 3, help_text=LOSS_WORDS["lld"][1])
    ldd = _share(LOSS_WORDS["ldd"][0], *LOSS, 3, help_text=LOSS_WORDS["ldd"][1])
    rsdd = _share(LOSS_WORDS["rsdd"][0], *LOSS, 3, help_text=LOSS_WORDS["rsdd"][1])
    lbo = _share(LOSS_WORDS["lbo"][0], *LOSS, 3, help_text=LOSS_WORDS["lbo"][1])
    other_loss = _share(LOSS_WORDS["other_loss"][0], *LOSS, 3, help_text=LOSS_WORDS["other_loss"][1])
    as_read = _share(
        _("As read by this shop"), *AS_READ, 3, required=False,
        help_text=_("The shop's own ratio of read to predicted. Empty: not applied."),
    )  # fmt: skip
    target_key = forms.ChoiceField(label=_("What the room is for"), required=False)
    target = TrimmedField(
        label=_("Level wanted"), required=False, min_value=0, max_value=MOST_LUX, decimal_places=1, max_digits=8,
        help_text=_("Empty: as the table has it for this room."),
    )  # fmt: skip
    target_unit = forms.ChoiceField(label=_("in"), choices=LightUnit.choices)
    uniformity = _share(_("Least over average, at least"), 0, 1, 2, required=False)
    wall_ratio = _share(_("Walls over plane, at least"), 0, 5, 2, required=False)
    note = NoteFormField(label=_("Note"), required=False, max_length=1000)

    def __init__(self, data=None, *, targets=(), **kwargs):
        """targets: (key, words)."""
        super().__init__(data, **kwargs)
        self.fields["target_key"].choices = [("", _("no level from the table")), *targets]

    @property
    def value(self):
        return {name: self.cleaned_data[name] for name in SetupForm.base_fields}


class ZoneForm(TapeForm):
    letter = forms.RegexField(
        r"^[A-Z]{1,2}$", label=_("Zone"), error_messages={"invalid": _("A zone is one or two capital letters.")}
    )
    dim_percent = forms.IntegerField(label=_("Level, %"), min_value=0, max_value=100, initial=100)
    light_type = forms.ModelChoiceField(
        FixtureType.objects.none(), label=_("Its light"), required=False, empty_label=_("the room's")
    )

    def __init__(self, data=None, *, shop_id, **kwargs):
        super().__init__(data, **kwargs)
        self.fields["light_type"].queryset = FixtureType.objects.of(shop_id).filter(kind=KindChoice.LIGHT)

    @property
    def value(self):
        return {name: self.cleaned_data[name] for name in ZoneForm.base_fields}

    @property
    def says_something(self):
        return self.value["dim_percent"] != 100 or self.value["light_type"] is not None


class AimForm(TapeForm):
    """Tilt, and where to. Left alone: straight down."""

    row = forms.IntegerField(label=_("Row"), min_value=1, max_value=2400)
    number = forms.IntegerField(label=_("Light of the row"), min_value=1, max_value=400)
    tilt_deg = _degrees(_("Tilt, °"), 90, initial=Decimal(0))
    toward_deg = _degrees(_("Toward, °"), 360, initial=Decimal(0))
    spin_deg = _degrees(_("Turned, °"), 360, initial=Decimal(0))

    @property
    def value(self):
        return {name: self.cleaned_data[name] for name in AimForm.base_fields}

    @property
    def says_something(self):
        return any(self.value[name] for name in ("tilt_deg", "spin_deg"))


WANTED = {
    TaskKind.FLAT: ("from_left", "from_door", "wide", "deep"),
    TaskKind.BOARD: ("wall", "along", "wide", "deep"),
    TaskKind.FACE: ("from_left", "from_door"),
}
PLACED = ("wall", "along", "from_left", "from_door", "wide", "deep", "facing_deg")


class TaskForm(TapeForm):
    name = NameFormField(label=_("Name"), max_length=60, help_text=_("Counter, whiteboard, desk by the window."))
    kind = forms.ChoiceField(label=_("What"), choices=TaskKind.choices, initial=TaskKind.FLAT)
    height = LengthFormField(label=_("Height above the floor"), allow_zero=True, high=HEIGHT[1])
    from_left = LengthFormField(
        label=_("From the left wall"), required=False, allow_zero=True, high=feet(300),
        help_text=_("A counter's or a desk's left edge; a face's place. Finished walls."),
    )  # fmt: skip
    from_door = LengthFormField(label=_("From the door wall"), required=False, allow_zero=True, high=feet(300))
    wall = forms.ChoiceField(label=_("On the wall"), required=False, choices=[("", "—"), *SideChoice.choices])
    along = LengthFormField(
        label=_("From that wall's left end"), required=False, allow_zero=True, high=feet(300),
        help_text=_("As you face it."),
    )  # fmt: skip
    wide = LengthFormField(label=_("Wide"), required=False, low=inches("1/2"), high=feet(300))
    deep = LengthFormField(label=_("Deep, or high on a wall"), required=False, low=inches("1/2"), high=feet(300))
    facing_deg = _degrees(
        _("The face looks to, °"), 360, required=False,
        help_text=_("0: the right wall, 90: the far wall, 180: the left wall. Empty: the mean all round."),
    )  # fmt: skip

    def clean(self):
        data = super().clean()
        wanted = WANTED.get(data.get("kind"), ())
        for name in wanted:
            if data.get(name) in (None, "") and name not in self.errors:
                self.add_error(name, _("A place of this kind needs it. Fill it in."))
        return data

    def clean_name(self):
        name = self.cleaned_data["name"]
        if name in ("plane", "floor", "ceiling") or name.startswith("wall "):
            raise forms.ValidationError(_("A surface of the room has this name. Give another one."), code="taken")
        return name

    @property
    def value(self):
        kept = {name: self.cleaned_data[name] for name in ("name", "kind", "height")}
        wanted = (*WANTED[kept["kind"]], *(("facing_deg",) if kept["kind"] == TaskKind.FACE else ()))
        empty = {name: "" if name == "wall" else None for name in PLACED}
        return kept | empty | {name: self.cleaned_data[name] for name in wanted}


class ReadingForm(TapeForm):
    """One reading. Dims are boxes of their own, `dim-A`, beside the form."""

    on = forms.ChoiceField(label=_("The meter lay"), choices=ReadOn.choices)
    value = forms.DecimalField(label=_("It read"), min_value=0, max_value=MOST_LUX, decimal_places=2, max_digits=9)
    unit = forms.ChoiceField(label=_("in"), choices=LightUnit.choices)
    dark = forms.DecimalField(
        label=_("With these lights off it read"), required=False, min_value=0, max_value=MOST_LUX, decimal_places=2,
        max_digits=9, help_text=_("Daylight and other lamps. Empty: it was dark. It is taken off."),
    )  # fmt: skip
    from_left = LengthFormField(label=_("From the left wall"), required=False, allow_zero=True, high=feet(300))
    from_door = LengthFormField(label=_("From the door wall"), required=False, allow_zero=True, high=feet(300))
    along = LengthFormField(
        label=_("On a wall: from its left end"), required=False, allow_zero=True, high=feet(300),
        help_text=_("As you face it."),
    )  # fmt: skip
    height = LengthFormField(
        label=_("Height above the floor"), required=False, allow_zero=True, high=HEIGHT[1],
        help_text=_("Not needed on the floor or the ceiling."),
    )  # fmt: skip
    instrument = NameFormField(label=_("Meter"), max_length=80, help_text=_("Which one, and when it was calibrated."))
    taken_by = NameFormField(label=_("Read by"), max_length=80)
    taken_on = DayFormField(label=_("On"), widget=forms.DateInput(attrs={"type": "date"}))
    note = NoteFormField(label=_("Note"), required=False, max_length=400)

    def clean(self):
        data = super().clean()
        on = data.get("on")
        if on in SideChoice.values:
            wanted = ("along", "height")
        elif on == ReadOn.LEVEL:
            wanted = ("from_left", "from_door", "height")
        else:
            wanted = ("from_left", "from_door") if on else ()
        for name in wanted:
            if data.get(name) is None and name not in self.errors:
                self.add_error(name, _("A reading there needs it. Fill it in."))
        value, dark = data.get("value"), data.get("dark")
        if value is not None and dark is not None and dark > value:
            self.add_error("dark", _("More than with the lights on. Check which is which."))
        return data

    @property
    def fields_of_record(self):
        told = {name: self.cleaned_data[name] for name in ReadingForm.base_fields}
        on_wall = told["on"] in SideChoice.values
        for name in ("from_left", "from_door") if on_wall else ("along",):
            told[name] = None
        if told["on"] in (ReadOn.FLOOR, ReadOn.CEILING) or told["height"] is None:
            told["height"] = ZERO
        return told


class InsteadForm(TapeForm):
    """Another number off the wall, to see what it would do to the light. Nothing is kept."""

    end = LengthFormField(label=_("Off the end walls"), required=False, low=inches("1/4"), high=feet(50))
    row = LengthFormField(label=_("Off the side walls"), required=False, low=inches("1/4"), high=feet(50))

