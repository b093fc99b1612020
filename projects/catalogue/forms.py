"""What people type about a fixture type."""

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.catalogue.models import CUTOUT, PART, Install, KindChoice, Shape
from projects.platform.forms import LengthFormField, NameFormField, TapeForm


def _optional(label):
    return LengthFormField(label=label, required=False, low=PART[0], high=PART[1])


class FixtureTypeForm(TapeForm):
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
    impedance_ohm = forms.DecimalField(
        label=_("Impedance, ohms"), required=False, min_value=1, max_value=5000, decimal_places=1
    )
    coverage_deg = forms.DecimalField(
        label=_("Coverage, degrees"), required=False, min_value=1, max_value=180, decimal_places=1
    )
    frame_length = _optional(_("Frame, long way"))
    frame_width = _optional(_("Frame, short way"))
    opening_from_end = _optional(_("Opening's center from the frame's end"))
    opening_from_side = _optional(_("Opening's center from the frame's side"))
    frame_may_turn = forms.BooleanField(label=_("The frame may be turned"), required=False, initial=True)
    clip_swing = _optional(_("Clips reach past the hole"))
    junction_box_length = _optional(_("Loose junction box, long way"))
    junction_box_width = _optional(_("Loose junction box, short way"))
    retired = forms.BooleanField(label=_("No longer used for new rooms"), required=False)


class ChangeTypeForm(FixtureTypeForm):
    version = forms.IntegerField(widget=forms.HiddenInput)


class VerifyForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput)
    verified_by = NameFormField(label=_("Verified by"), max_length=80)
    verified_on = forms.DateField(label=_("on"), widget=forms.DateInput(attrs={"type": "date"}))
