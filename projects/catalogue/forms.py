"""What people type about a fixture type."""

import re
from decimal import Decimal

from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from projects.catalogue.models import (
    AWG,
    CUTOUT,
    PART,
    ControlType,
    Install,
    KindChoice,
    MeasuredIn,
    PhotometricFile,
    SensitivityAt,
    Shape,
    SideSections,
    Through,
)
from projects.platform.forms import DayFormField, LengthFormField, NameFormField, TapeForm

TAP = re.compile(r"\d{1,4}(\.\d{1,2})?")


def _watts(label, help_text=""):
    return forms.DecimalField(
        label=label, required=False, min_value=0, max_value=5000, decimal_places=2, help_text=help_text
    )


def _optional(label):
    return LengthFormField(label=label, required=False, low=PART[0], high=PART[1])


def start_of_type(record):
    """What the form of a stored type begins with."""
    return {**vars(record), "photometric": record.photometric_id}


class FixtureTypeForm(TapeForm):
    """shop: whose photometric files may be chosen."""

    name = NameFormField(label=_("Name"), max_length=80, help_text=_("What the crew calls it. No maker needed."))
    kind = forms.ChoiceField(label=_("What it is"), choices=KindChoice.choices)
    install = forms.ChoiceField(label=_("How it goes in"), choices=Install.choices)
    shape = forms.ChoiceField(label=_("Hole"), choices=Shape.choices)
    cutout = LengthFormField(
        label=_("Cutout"),
        low=CUTOUT[0],
        high=CUTOUT[1],
        help_text=_("The hole, across. The nominal size is not the hole: read the sheet."),
    )
    aperture = _optional(_("Aperture"))
    trim = _optional(_("Trim, outside"))
    depth = _optional(_("Depth above the ceiling's face"))
    watts = forms.DecimalField(label=_("Watts"), required=False, min_value=0, max_value=5000, decimal_places=2)
    lumens = forms.IntegerField(label=_("Lumens"), required=False, min_value=0, max_value=200_000)
    beam_deg = forms.DecimalField(
        label=_("Beam, degrees"), required=False, min_value=1, max_value=180, decimal_places=1
    )
    photometric = forms.ModelChoiceField(
        label=_("Photometric file, of a light"), required=False, queryset=PhotometricFile.objects.none(),
        empty_label=_("None: a lobe from beam and lumens"),
    )  # fmt: skip
    impedance_ohm = forms.DecimalField(
        label=_("Impedance, ohms"), required=False, min_value=1, max_value=5000, decimal_places=1
    )
    coverage_deg = forms.DecimalField(
        label=_("Coverage, degrees"), required=False, min_value=1, max_value=180, decimal_places=1
    )
    sensitivity_db = forms.DecimalField(
        label=_("Sensitivity of a speaker, dB at 1 m"), required=False, min_value=40, max_value=130, decimal_places=1
    )
    sensitivity_at = forms.ChoiceField(
        label=_("Sensitivity is at"), required=False, choices=SensitivityAt.choices,
        initial=SensitivityAt.ONE_WATT.value,
        help_text=_("2.83 V is 1 W into 8 ohms, and 2 W into 4."),
    )  # fmt: skip
    measured_in = forms.ChoiceField(label=_("Measured in"), required=False, choices=MeasuredIn.choices)
    power_watts = forms.DecimalField(
        label=_("Continuous power of a speaker, watts"), required=False, min_value=0, max_value=5000, decimal_places=1
    )
    frame_length = _optional(_("Frame, long way"))
    frame_width = _optional(_("Frame, short way"))
    opening_from_end = _optional(_("Opening's center from the frame's end"))
    opening_from_side = _optional(_("Opening's center from the frame's side"))
    frame_may_turn = forms.BooleanField(label=_("The frame may be turned"), required=False, initial=True)
    clip_swing = _optional(_("Clips reach past the hole"))
    junction_box_length = _optional(_("Loose junction box, long way"))
    junction_box_width = _optional(_("Loose junction box, short way"))
    volt_amperes = forms.DecimalField(
        label=_("VA on the label"), required=False, min_value=0, max_value=5000, decimal_places=2,
        help_text=_("Circuits are loaded in VA, not watts. Empty: watts over the power factor."),
    )  # fmt: skip
    power_factor = forms.DecimalField(
        label=_("Power factor"), required=False, min_value=Decimal("0.1"), max_value=1, decimal_places=2,
        help_text=_("0.9 for 90 %. Off the sheet."),
    )  # fmt: skip
    through_wiring = forms.ChoiceField(
        label=_("Wiring through its own box"), required=False, choices=Through.choices,
        help_text=_("Read the label: whether a circuit may pass through this fixture's box to the next one."),
    )  # fmt: skip
    through_conductors = forms.IntegerField(
        label=_("Conductors its box takes"), required=False, min_value=1, max_value=60
    )
    through_awg = forms.IntegerField(label=_("of gauge, AWG"), required=False, help_text=_("14 or 12, mostly."))
    tap_watts = forms.CharField(
        label=_("Taps for a line, watts"), required=False, max_length=80,
        help_text=_("A line speaker's taps, like 2.5, 5, 10. Empty: it has none."),
    )  # fmt: skip
    retired = forms.BooleanField(label=_("No longer used for new rooms"), required=False)

    def __init__(self, data=None, *args, shop=None, **kwargs):
        super().__init__(data, *args, **kwargs)
        if shop is not None:
            chosen = self.initial.get("photometric")
            offered = Q(retired=False) | Q(pk=chosen) if chosen else Q(retired=False)
            self.fields["photometric"].queryset = PhotometricFile.objects.of(shop).filter(offered).defer("text")

    def clean_sensitivity_at(self):
        return self.cleaned_data["sensitivity_at"] or SensitivityAt.ONE_WATT.value

    def clean_tap_watts(self):
        """Each tap once, the least first."""
        taps = set()
        for part in filter(None, (part.strip() for part in self.cleaned_data["tap_watts"].split(","))):
            if not TAP.fullmatch(part) or not 0 < Decimal(part) <= 1000:
                said = _("%s is not a tap. Give watts over 0 and up to 1000 with commas between, like 2.5, 5, 10.")
                raise forms.ValidationError(said % part[:20], code="tap")
            taps.add(Decimal(part))
        return ", ".join(f"{tap:f}" for tap in sorted(taps))

    def clean_through_awg(self):
        awg = self.cleaned_data["through_awg"]
        if awg is not None and awg not in AWG:
            known = ", ".join(map(str, AWG))
            raise forms.ValidationError(_("Gauge: give one of %s, as the label has it.") % known, code="awg")
        return awg

    def clean(self):
        data = super().clean()
        if data.get("kind") == KindChoice.LIGHT:
            for name in ("sensitivity_db", "power_watts"):
                if data.get(name) is not None:
                    self.add_error(name, _("A light has none. Leave this empty."))
        elif data.get("photometric") is not None:
            self.add_error("photometric", _("Only a light has a photometric file. Choose none."))
        counted = [name for name in ("through_conductors", "through_awg") if data.get(name) is not None]
        if data.get("through_wiring") != Through.YES:
            for name in counted:
                self.add_error(name, _("Say above that wiring through its box is allowed, or leave this empty."))
        elif len(counted) == 1:
            missing = "through_awg" if counted == ["through_conductors"] else "through_conductors"
            self.add_error(missing, _("The label gives a number of conductors and their gauge. Give both or neither."))
        return data


class ControlTypeForm(forms.Form):
    """A switch or dimmer, as its sheet has it. An empty rating is one nobody has read: it is never guessed."""

    name = NameFormField(label=_("Name"), max_length=80, help_text=_("What the crew calls it. No maker needed."))
    kind = forms.ChoiceField(label=_("What it is"), choices=ControlType.Kind.choices, initial="dimmer")
    gangs = forms.IntegerField(label=_("Gangs it takes in a box"), min_value=1, max_value=2, initial=1)
    led_watts = _watts(_("LED lamps, alone in its box, W"), _("The LED rating, not the one for filament lamps."))
    side_sections = forms.ChoiceField(
        label=_("Side sections come off beside another device"), required=False, choices=SideSections.choices
    )
    led_watts_one_off = _watts(_("LED, one side off, W"))
    led_watts_both_off = _watts(_("LED, both sides off, W"))
    min_watts = _watts(_("Least load, W"), _("Under it lamps may flicker or not go off."))
    source = forms.CharField(
        label=_("From which sheet"), required=False, max_length=200, help_text=_("Its title and date.")
    )
    retired = forms.BooleanField(label=_("No longer used for new rooms"), required=False)

    def clean(self):
        data = super().clean()
        if data.get("kind") == ControlType.Kind.SWITCH:
            for name in ("led_watts_one_off", "led_watts_both_off"):
                if data.get(name) is not None:
                    self.add_error(name, _("A switch has no side sections. Leave this empty."))
        elif data.get("side_sections") == SideSections.NO:
            for name in ("led_watts_one_off", "led_watts_both_off"):
                if data.get(name) is not None:
                    self.add_error(name, _("The rating stays, as said above. Leave this empty."))
        order = [data.get(name) for name in ("led_watts", "led_watts_one_off", "led_watts_both_off")]
        known = [watts for watts in order if watts is not None]
        if known != sorted(known, reverse=True):
            self.add_error("led_watts_one_off", _("With sides off it carries no more than alone. Check the three."))
        return data


class ChangeControlForm(ControlTypeForm):
    version = forms.IntegerField(widget=forms.HiddenInput)


class ChangeTypeForm(FixtureTypeForm):
    version = forms.IntegerField(widget=forms.HiddenInput)


class VerifyForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput)
    verified_by = NameFormField(label=_("Verified by"), max_length=80)
    verified_on = DayFormField(label=_("on"), widget=forms.DateInput(attrs={"type": "date"}))
