"""What is asked before a card is printed or sent."""

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.drawing.words import DATUM
from projects.platform.forms import NameFormField
from projects.platform.languages import PAPER, paper_language


class InALanguage(forms.Form):
    """The language of a paper: the reader's own, until another one is chosen."""

    language = forms.ChoiceField(label=_("Language"), choices=PAPER, initial=paper_language, required=False)

    def clean_language(self):
        return paper_language(self.cleaned_data["language"])


class PrintForm(InALanguage):
    held_by = NameFormField(label=_("Who gets it"), max_length=80)
    datum = forms.ChoiceField(label=_("Big numbers from"))
    paper = forms.ChoiceField(label=_("Paper"), choices=[("letter", _("Letter")), ("a4", "A4")])
    how = forms.ChoiceField(choices=[("printed", ""), ("sent", "")], required=False, widget=forms.HiddenInput)
    field_order = ["held_by", "datum", "paper", "language"]

    def __init__(self, *args, faces, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["datum"].choices = [(face.value, DATUM[face]) for face in faces]

    def clean_how(self):
        return self.cleaned_data["how"] or "printed"
