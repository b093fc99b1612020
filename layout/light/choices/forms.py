"""What people type to compare layouts by their light, and what is wanted of one that is searched for."""

import re
from decimal import Decimal

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import feet, inches
from layout.engine.light.compare import FINEST, STEP
from layout.engine.light.optimize import OFF_LEAST, OFF_MOST
from layout.engine.rows.wish import MOST_LINES, Mode
from layout.light.choices.shining import can_shine, lights_of_the_catalog
from layout.light.models import MOST_LUX, LightUnit
from projects.catalogue.models import FixtureType
from projects.platform.forms import LengthFormField, NameFormField, TapeForm, VersionedForm

MODES = {
    Mode.WALL_HELD: _("held off the wall"),
    Mode.HALF_GAP: _("half a gap off"),
    Mode.EVEN: _("a whole gap off"),
    Mode.LOCKED: _("as typed"),
}
BOTH, ENDS, ROWS = "both", "ends", "rows"
OFF = {BOTH: _("ends of rows and outer rows"), ENDS: _("ends of rows only"), ROWS: _("outer rows only")}
MOST_COUNTS = 4


class Counts(forms.CharField):
    """Whole numbers with commas between: 2, 3."""

    def to_python(self, value):
        text = super().to_python(value)
        parts = [part for part in re.split(r"[,\s]+", text) if part]
        if not all(re.fullmatch(r"[0-9]{1,3}", part) and 1 <= int(part) <= MOST_LINES for part in parts):
            raise forms.ValidationError(
                _("Give whole numbers from 1 to %(most)s with commas between, as in 2, 3.") % {"most": MOST_LINES}
            )
        if len(set(parts)) > MOST_COUNTS:
            raise forms.ValidationError(_("At most %(most)s counts at once.") % {"most": MOST_COUNTS})
        return tuple(sorted({int(part) for part in parts}))


class CompareForm(TapeForm):
    low = LengthFormField(label=_("Off the wall, from"), low=inches(1), high=feet(50))
    high = LengthFormField(label=_("to"), low=inches(1), high=feet(50))
    step = LengthFormField(label=_("in steps of"), high=feet(10))
    off = forms.ChoiceField(label=_("Which lights"), choices=list(OFF.items()), initial=BOTH)
    modes = forms.MultipleChoiceField(
        label=_("Set out"), choices=[(mode.value, words) for mode, words in MODES.items()],
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    rows = Counts(label=_("Rows"), required=False, max_length=40, help_text=_("Empty: as they are. Or 2, 3."))
    lights = Counts(label=_("Lights in a row"), required=False, max_length=40, help_text=_("Empty: as they are."))
    light_type = forms.ModelChoiceField(
        FixtureType.objects.none(), label=_("With"), required=False, empty_label=_("the room's own lights")
    )

    def __init__(self, data=None, *, room, **kwargs):
        super().__init__(data, tape=room.job.tape, **kwargs)
        self.unit = room.job.tape.unit
        self.fields["light_type"].queryset = lights_of_the_catalog(room.shop)

    @staticmethod
    def usual(unit):
        return {
            "low": OFF_LEAST[unit], "high": OFF_MOST[unit], "step": STEP[unit], "off": BOTH,
            "modes": [Mode.WALL_HELD.value, Mode.HALF_GAP.value, Mode.EVEN.value], "rows": "", "lights": "",
        }  # fmt: skip

    def clean_step(self):
        step = self.cleaned_data["step"]
        if step < FINEST[self.unit]:
            raise forms.ValidationError(
                _("Finer than %(least)s is not tried. Take a wider step.")
                % {"least": self.fields["step"].widget.tape.show(FINEST[self.unit])}
            )
        return step

    def clean_light_type(self):
        one = self.cleaned_data["light_type"]
        if one is not None and not can_shine(one):
            raise forms.ValidationError(
                _("%s has no photometric file, and no lumens and beam angle. Put them in the catalog first.") % one.name
            )
        return one

    def clean(self):
        data = super().clean()
        low, high = data.get("low"), data.get("high")
        if low is not None and high is not None and high < low:
            self.add_error("high", _("It is less than from. Change one of them."))
        return data


class ProposeForm(TapeForm):
    level = forms.DecimalField(
        label=_("Plane average, at least"), min_value=Decimal("0.1"), max_value=MOST_LUX, decimal_places=1, max_digits=8
    )
    unit = forms.ChoiceField(label=_("in"), choices=LightUnit.choices)
    wall_ratio = forms.DecimalField(
        label=_("Walls over plane, at least"), required=False, min_value=0, max_value=5, decimal_places=2, max_digits=3,
        help_text=_("How bright the walls are beside the plane. Empty: not asked."),
    )  # fmt: skip
    uniformity = forms.DecimalField(
        label=_("Least over average, at least"), required=False, min_value=0, max_value=1, decimal_places=2,
        max_digits=3, help_text=_("Empty: not asked."),
    )  # fmt: skip
    spacing_limit = LengthFormField(label=_("Lights no farther apart than"), low=inches(12), high=feet(40))

    def __init__(self, data=None, *, room, **kwargs):
        super().__init__(data, tape=room.job.tape, **kwargs)


class TakeForm(VersionedForm):
    work = forms.IntegerField(widget=forms.HiddenInput)
    number = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=99)
    setup_version = forms.IntegerField(widget=forms.HiddenInput)
    reason = NameFormField(label=_("Why this one"), max_length=400)
