"""What people type of a mark: which, how far it is, and where it was set. Knows no record."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.as_built.models import Reason, Step
from layout.engine.lengths import LengthError
from layout.engine.marks import Datum
from layout.models import PLACE
from layout.plans import insets
from projects.platform.forms import LengthFormField, NoteFormField, TapeForm

MOST = 400  # marks at once


class MarkForm(TapeForm):
    """idents: one mark or several, as A1 A2. Without a place they are where they go."""

    idents = forms.CharField(max_length=4000, label=gettext_lazy("Mark"))
    step = forms.ChoiceField(choices=Step.choices, label=gettext_lazy("Step"))
    along = LengthFormField(required=False, allow_zero=True, high=PLACE[1], label=gettext_lazy("Along"))
    across = LengthFormField(required=False, allow_zero=True, high=PLACE[1], label=gettext_lazy("Across"))
    face = forms.ChoiceField(choices=[(face.value, face.value) for face in Datum], required=False)
    reason = forms.ChoiceField(choices=Reason.choices, required=False, label=gettext_lazy("Why"))
    words = NoteFormField(required=False, max_length=400, label=gettext_lazy("In words"))
    alone = forms.BooleanField(required=False, label=gettext_lazy("This one alone, out of its line"))
    number = forms.IntegerField(required=False, min_value=1, max_value=9999)

    def clean_idents(self):
        idents = self.cleaned_data["idents"].replace(",", " ").split()
        if len(idents) > MOST:
            raise forms.ValidationError(_("That is more than %s marks at once. Enter them in parts.") % MOST)
        return list(dict.fromkeys(idents))

    def clean(self):
        cleaned = super().clean()
        if len(cleaned.get("idents", ())) > 1 and self.elsewhere:
            raise forms.ValidationError(_("Several marks can't be at one place. Enter a moved mark by itself."))
        return cleaned

    @property
    def elsewhere(self):
        return self.cleaned_data.get("along") is not None or self.cleaned_data.get("across") is not None

    def from_edge(self, layout):
        """What was typed from the face the card speaks from, from the ceiling's edge. Raises LengthError."""
        face = Datum(self.cleaned_data["face"] or Datum.EDGE.value)
        places = []
        for name, result in (("along", layout.along), ("across", layout.across)):
            typed = self.cleaned_data[name]
            try:
                places.append(None if typed is None else typed - insets(result, face)[0])
            except ValueError:
                raise LengthError(
                    _("The framing was never taped this way. Measure from the finished wall.")
                ) from None
        return places
