"""The numbers a person chooses for a layout."""

import re

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import LengthError, Unit, as_typed
from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.engine.reading import read_length
from layout.engine.switching import LETTERS, Switched
from layout.models import MOST_LINES, PLACE, SETBACK, SITE_MOVE, SPACING, LineChoice, ModeChoice, RowsOf
from projects.catalogue.models import FixtureType, KindChoice
from projects.platform.fields import WALL
from projects.platform.forms import LengthFormField, NameFormField, TapeForm, VersionedForm

MOST_TYPED = 40


class PlacesField(forms.CharField):
    """'1, 3': whole numbers counted from the zero corner."""

    def __init__(self, **kwargs):
        super().__init__(required=False, max_length=80, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        if not re.fullmatch(r"[0-9, ]*", text):
            raise forms.ValidationError(_("Give whole numbers with commas between them, like 1, 3."))
        places = sorted({int(part) for part in re.findall(r"\d+", text)})
        if any(place < 1 for place in places):
            raise forms.ValidationError(_("Counting starts at 1, from the zero corner."))
        return ",".join(map(str, places))


class LengthsField(forms.CharField):
    """Several lengths with commas or semicolons between them, from the zero corner."""

    tape = None

    def __init__(self, **kwargs):
        super().__init__(required=False, max_length=MOST_TYPED * 30, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        # In 3,81 m the comma is the decimal's own: between metric numbers it needs a space after it.
        between = r";|,(?!\d)" if self.tape.unit is Unit.MM else r"[;,]"
        parts = [part.strip() for part in re.split(between, text) if part.strip()]
        if len(parts) > MOST_TYPED:
            raise forms.ValidationError(_("At most %(most)s numbers."), params={"most": MOST_TYPED})
        found = []
        for part in parts:
            if re.fullmatch(r"\d+,\d+", part) and self.tape.unit is Unit.MM:
                words = _("%(part)s is one number or two. Put a space after the comma, or write 3,81 m.")
                raise forms.ValidationError(words, params={"part": part})
            try:
                length = read_length(part, unit=self.tape.unit, style=self.tape.style)
            except LengthError as unreadable:
                raise forms.ValidationError(str(unreadable)) from unreadable
            if length > WALL[1]:
                raise forms.ValidationError(
                    _("%(read)s is farther than any wall. Check the unit."), params={"read": self.tape.show(length)}
                )
            found.append(length)
        return tuple(found)


class DraftForm(VersionedForm):
    rows = forms.IntegerField(label=_("Rows"), min_value=1, max_value=40)
    lights_per_row = forms.IntegerField(label=_("Lights in a row"), required=False, min_value=1, max_value=40)
    mode_along = forms.ChoiceField(label=_("Along the rows, lights stand"), choices=ModeChoice.choices)
    end_setback = LengthFormField(label=_("Off the wall, ends of a row"), low=SETBACK[0], high=SETBACK[1])
    typed_along = LengthsField(label=_("Your numbers along the rows"), help_text=_("Like 12, 75 1/4, 138 1/2"))
    spacing_limit = LengthFormField(label=_("Spacing limit"), low=SPACING[0], high=SPACING[1])
    mode_across = forms.ChoiceField(label=_("Across, rows stand"), choices=ModeChoice.choices)
    row_setback = LengthFormField(label=_("Off the wall, outer rows"), low=SETBACK[0], high=SETBACK[1])
    typed_across = LengthsField(label=_("Your numbers across the rows"))
    light_type = forms.ModelChoiceField(label=_("Light"), queryset=None)
    speaker_type = forms.ModelChoiceField(label=_("Speaker"), queryset=None, required=False, empty_label=_("none"))
    speaker_gaps = PlacesField(
        label=_("Speakers in gaps"), help_text=_("1 is the gap after the first light. They mirror: 1 and the last.")
    )
    speaker_columns = PlacesField(
        label=_("Speakers in place of lights"), help_text=_("1 is the first light of a row. They mirror too.")
    )
    rows_of = forms.ChoiceField(label=_("The rows are"), choices=RowsOf.choices, initial=RowsOf.LIGHT)
    speaker_rows = PlacesField(
        label=_("Rows that carry speakers"), help_text=_("1 is the row nearest the zero corner. Empty: every row.")
    )
    speakers_between = PlacesField(
        label=_("Speakers on a line of their own"), help_text=_("1: midway between rows 1 and 2.")
    )
    subwoofer_type = forms.ModelChoiceField(label=_("Subwoofer"), queryset=None, required=False, empty_label=_("none"))
    columns_may_move = LengthFormField(
        label=_("On site, without asking, a column may move"),
        allow_zero=True,
        low=SITE_MOVE[0],
        high=SITE_MOVE[1],
        help_text=_("Farther than this, who may approve layouts is asked first. Zero: always."),
    )
    rows_may_move = LengthFormField(label=_("and a row"), allow_zero=True, low=SITE_MOVE[0], high=SITE_MOVE[1])

    # Shown in the sum column itself; the others stand below it.
    IN_THE_SUM = (
        "rows", "lights_per_row", "mode_along", "end_setback", "typed_along", "spacing_limit", "mode_across",
        "row_setback", "typed_across",
    )  # fmt: skip

    def __init__(self, *args, shop, draft, **kwargs):
        super().__init__(*args, **kwargs)
        types = FixtureType.objects.of(shop)
        for name, kind in (
            ("light_type", Kind.LIGHT),
            ("speaker_type", Kind.SPEAKER),
            ("subwoofer_type", Kind.SUBWOOFER),
        ):
            in_use = types.filter(pk=getattr(draft, f"{name}_id"))
            self.fields[name].queryset = types.filter(kind=kind.value, retired=False) | in_use
        for name in ("typed_along", "typed_across"):
            self.fields[name].tape = kwargs.get("tape")

    @staticmethod
    def start_from(draft, tape):
        initial = {
            name: getattr(draft, name)
            for name in (
                "version", "rows", "lights_per_row", "mode_along", "mode_across", "end_setback", "row_setback",
                "spacing_limit", "light_type", "speaker_type", "subwoofer_type", "speaker_gaps", "speaker_columns",
                "rows_of", "speaker_rows", "speakers_between", "columns_may_move", "rows_may_move",
            )
        }  # fmt: skip
        for axis in ("along", "across"):
            initial[f"typed_{axis}"] = ", ".join(as_typed(at, tape) for at in draft.typed(axis))
        return initial

    def clean(self):
        data = super().clean()
        if data.get("speaker_gaps") and data.get("speaker_columns"):
            self.add_error("speaker_columns", _("Speakers stand in gaps or in place of lights. Empty one of the two."))
        placed = any(data.get(name) for name in ("speaker_gaps", "speaker_columns", "speakers_between"))
        if (placed or data.get("rows_of") == RowsOf.SPEAKER) and not data.get("speaker_type"):
            self.add_error("speaker_type", _("Which speaker? Choose one, or empty the places."))
        if data.get("speakers_between") and not (data.get("speaker_gaps") or data.get("speaker_columns")):
            words = _("Along the row, which gaps do they stand in? Fill 'Speakers in gaps', or empty this.")
            self.add_error("speakers_between", words)
        for axis in ("along", "across"):
            if data.get(f"mode_{axis}") == ModeChoice.LOCKED and not data.get(f"typed_{axis}"):
                self.add_error(f"typed_{axis}", _("Locked means your own numbers: type them, from the zero corner."))
        return data

    @property
    def typed(self):
        return {axis: self.cleaned_data[f"typed_{axis}"] for axis in ("along", "across")}

    @property
    def changes(self):
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name not in ("version", "typed_along", "typed_across")
        }


class PinForm(TapeForm):
    """A column or a row that a person holds."""

    line = forms.ChoiceField(label=_("Held"), choices=LineChoice.choices)
    number = forms.IntegerField(label=_("Counted from the zero corner"), min_value=1, max_value=MOST_LINES)
    at = LengthFormField(label=_("From the ceiling's edge at the zero corner"), allow_zero=True, high=PLACE[1])

    @property
    def value(self):
        data = self.cleaned_data
        return Pin(Line(data["line"]), data["number"], data["at"])


class MovedForm(TapeForm):
    """One mark that a person puts off its line."""

    kind = forms.ChoiceField(label=_("What it is"), choices=KindChoice.choices)
    row = forms.IntegerField(label=_("Its row; 0: in none"), min_value=0, max_value=100)
    number = forms.IntegerField(label=_("Which of its kind in that row"), min_value=1, max_value=400)
    along = LengthFormField(label=_("Along the rows"), allow_zero=True, high=PLACE[1])
    across = LengthFormField(label=_("Across them"), allow_zero=True, high=PLACE[1])

    @property
    def value(self):
        data = self.cleaned_data
        return Moved(Kind(data["kind"]), data["row"], data["number"], data["along"], data["across"])


class ZoneForm(TapeForm):
    """What one part of a ceiling is to have where it differs from the rest."""

    name = NameFormField(label=_("The zone's letter, or the region's name"), max_length=60)
    rows = forms.IntegerField(label=_("Rows"), required=False, min_value=1, max_value=MOST_LINES)
    columns = forms.IntegerField(label=_("Lights in a row"), required=False, min_value=1, max_value=MOST_LINES)

    @property
    def value(self):
        data = self.cleaned_data
        return data["name"], data["rows"], data["columns"]


class SwitchedForm(TapeForm):
    """One light on another switch than its ceiling's own."""

    row = forms.IntegerField(label=_("Its row"), min_value=1, max_value=2400)
    number = forms.IntegerField(label=_("Which light of that row"), min_value=1, max_value=400)
    zone = forms.ChoiceField(label=_("Its switch"), choices=[(letter, letter) for letter in LETTERS])

    @property
    def value(self):
        data = self.cleaned_data
        return Switched(data["row"], data["number"], data["zone"])


class TakeForm(VersionedForm):
    """One press on a way out or on another layout: which, from which numbers, and why."""

    key = forms.CharField(max_length=16, widget=forms.HiddenInput)
    reason = NameFormField(label=_("Why this one"), max_length=400)
