"""What people read off a label, and the maker's sheet they hand in."""

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.catalogue.models import AirSealed, Place, RatedIC, Through
from projects.files import pdfs
from projects.platform.forms import DayFormField, NameFormField, VersionedForm


class LabelForm(VersionedForm):
    listing = NameFormField(
        label=_("Listing"), required=False, max_length=120,
        help_text=_("As printed on the label: the mark, the standard."),
    )  # fmt: skip
    rated_ic = forms.ChoiceField(label=_("Insulation contact"), required=False, choices=RatedIC.choices)
    air_sealed = forms.ChoiceField(label=_("Air seal"), required=False, choices=AirSealed.choices)
    place = forms.ChoiceField(label=_("Places it may hang in"), required=False, choices=Place.choices)
    through_wiring = forms.ChoiceField(label=_("Wiring through its own box"), required=False, choices=Through.choices)
    label_read_by = NameFormField(label=_("Read by"), required=False, max_length=80)
    label_read_on = DayFormField(
        label=_("On"), required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )


class SheetForm(forms.Form):
    """Cleaned, `sheet` is a PDF whose pages were written anew."""

    title = NameFormField(
        label=_("What the sheet is called"), max_length=120, help_text=_("With its date or edition, as printed on it.")
    )
    sheet = forms.FileField(
        label=_("The sheet, as PDF"), widget=forms.ClearableFileInput(attrs={"accept": "application/pdf"}),
        help_text=_("Up to 20 MB and 60 pages. Only its pages are kept."),
    )  # fmt: skip

    def clean_sheet(self):
        try:
            return pdfs.rewritten(self.cleaned_data["sheet"])
        except pdfs.NoPdf as refused:
            raise forms.ValidationError(str(refused), code="pdf") from refused
