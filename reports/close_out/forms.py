"""Which packet is asked for, and what is warranted."""

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.platform.forms import NameFormField
from reports.close_out.models import MOST_MONTHS, PaperChoice, What


class PacketForm(forms.Form):
    what = forms.ChoiceField(label=_("Which packet"), choices=What.choices, initial=What.JOB.value)
    paper = forms.ChoiceField(label=_("Paper"), choices=PaperChoice.choices, initial=PaperChoice.LETTER.value)


class WarrantyForm(forms.Form):
    """Its ids are its own: it stands on a page with PacketForm."""

    what = NameFormField(
        label=_("What is warranted"), max_length=120, help_text=_("Our work, or a model by its maker's own terms.")
    )
    starts_on = forms.DateField(
        label=_("From"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("Mostly the day the client took it over."),
    )  # fmt: skip
    months = forms.IntegerField(label=_("Months"), min_value=1, max_value=MOST_MONTHS)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, auto_id="warranty_%s", **kwargs)

    def clean_starts_on(self):
        day = self.cleaned_data["starts_on"]
        if not 1950 <= day.year <= 2200:
            raise forms.ValidationError(_("From: give a year between 1950 and 2200."))
        return day
