"""What people enter about switches: a letter for each light, ticks for several at once, and what a suggestion asks."""

import re

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.marks import Side
from layout.engine.suggested_zones import MOST_LIGHTS, MOST_ZONES
from layout.engine.switching import LETTERS
from projects.jobs.models import SideChoice
from projects.platform.forms import VersionedForm

LIGHT_BOX = re.compile(r"light-([1-9]\d{0,3})-([1-9]\d{0,2})")
MOST_MARKED = 2400


def box_of(row, number):
    return f"light-{row}-{number}"


class LetterField(forms.CharField):
    """One letter, A to Z, capital or not. own: what a light has by its part of the ceiling, AA where there are many."""

    def __init__(self, own="", **kwargs):
        super().__init__(max_length=max(1, len(own)), **kwargs)
        self.own = own
        self.widget.attrs |= {"size": "2", "autocapitalize": "characters", "autocomplete": "off"}

    def to_python(self, value):
        letter = (super().to_python(value) or "").upper()
        if letter and letter not in (*LETTERS, self.own):
            raise forms.ValidationError(_("A zone is one letter, A to Z."), code="letter")
        return letter


class LettersForm(VersionedForm):
    """A box for each light, and one letter for all that are ticked."""

    to = LetterField(label=_("Put the ticked lights on"), required=False)

    def __init__(self, data=None, *, lights, **kwargs):
        """lights: (row, number, ID, letter)."""
        super().__init__(data, **kwargs)
        self.lights = lights
        for row, number, ident, letter in lights:
            self.fields[box_of(row, number)] = LetterField(letter, label=_("%s is on") % ident, initial=letter)
        self.settle_boxes(kwargs.get("tape"))

    @property
    def ticked(self):
        found = [LIGHT_BOX.fullmatch(name) for name in self.data.getlist("ticked")[:MOST_MARKED]] if self.data else []
        return {(int(one[1]), int(one[2])) for one in found if one}

    def clean(self):
        data = super().clean()
        if "put" in self.data and not self.ticked:
            self.add_error("to", _("No light is ticked. Tick those that go together, then press it again."))
        elif "put" in self.data and not data.get("to") and "to" not in self.errors:
            self.add_error("to", _("Which letter? A, B or another."))
        return data

    @property
    def letters(self):
        """By row and number, the ticked ones on the one letter."""
        found = {(row, number): self.cleaned_data[box_of(row, number)] for row, number, _ident, _letter in self.lights}
        if "put" in self.data:
            found |= dict.fromkeys(self.ticked & found.keys(), self.cleaned_data["to"])
        return found


class SuggestForm(forms.Form):
    """What a suggestion takes beside the marks. Empty boxes: the usual."""

    screen = forms.ChoiceField(
        label=_("Screen on"), required=False, choices=[("", _("no screen, or as held for one")), *SideChoice.choices]
    )
    most_lights = forms.IntegerField(
        label=_("Lights on one switch, at most"), required=False, min_value=1, max_value=100,
        help_text=_("Usual: %s. Common practice, no source.") % MOST_LIGHTS,
    )  # fmt: skip
    most_zones = forms.IntegerField(
        label=_("Zones, at most"), required=False, min_value=1, max_value=len(LETTERS),
        help_text=_("Usual: %s; a large room takes more. Common practice, no source.") % MOST_ZONES,
    )  # fmt: skip

    def __init__(self, data=None, *, walls=(), **kwargs):
        super().__init__(data, **kwargs)
        if walls:
            self.fields["screen"].choices = [("", self.fields["screen"].choices[0][1]), *walls]

    @property
    def asked(self):
        data = self.cleaned_data if self.is_valid() else {}
        return {
            "screen": Side(data["screen"]) if data.get("screen") else None,
            "most_lights": data.get("most_lights") or MOST_LIGHTS,
            "most_zones": data.get("most_zones") or MOST_ZONES,
        }


class TakeSuggestionForm(SuggestForm, VersionedForm):
    """The same, pressed: from the version of the draft it was shown for."""
