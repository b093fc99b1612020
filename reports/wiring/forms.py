"""What people type about cables: a run set by hand, an opened reel, a pull by its foot marks. Decides nothing else."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.lengths import LengthError, feet, inches
from layout.engine.reading import AmbiguousLength, read_length
from projects.platform.forms import LengthFormField, NameFormField, NoteFormField, TapeForm
from reports.wiring.models import HIGHEST_MARK, MarksIn

LONGEST_RUN, LONGEST_REEL = feet(5000), feet(20_000)
MOST_BENDS = 40


class BendsField(forms.CharField):
    """Bends of a way, one a line: from the left wall, then from the door wall, with a comma between."""

    widget = forms.Textarea(attrs={"rows": 3, "autocomplete": "off"})
    tape = None

    def to_python(self, value):
        """The bends as 'x,y' in nanometers, a point a line."""
        text = super().to_python(value)
        lines = [line for line in (text or "").splitlines() if line.strip()]
        if len(lines) > MOST_BENDS:
            raise ValidationError(
                _("%(n)s bends are too many: a way takes %(most)s."), params={"n": len(lines), "most": MOST_BENDS}
            )
        return "\n".join(self._bend(number, line) for number, line in enumerate(lines, 1))

    def _bend(self, number, line):
        parts = [part.strip() for part in line.replace(";", ",").split(",")]
        if len(parts) != 2 or not all(parts):
            raise ValidationError(
                _("Bend %(n)s: write two lengths with a comma between, from the left wall and from the door wall."),
                params={"n": number},
            )
        try:
            x, y = (read_length(part, unit=self.tape.unit, style=self.tape.style) for part in parts)
        except (AmbiguousLength, LengthError) as unreadable:
            raise ValidationError(
                _("Bend %(n)s: %(why)s"), params={"n": number, "why": str(unreadable)}
            ) from unreadable
        if not all(inches(0) <= each <= feet(300) for each in (x, y)):
            raise ValidationError(
                _("Bend %(n)s: a bend stands within 300 ft of both walls. Check the unit."), params={"n": number}
            )
        return f"{int(x)},{int(y)}"


class HandRunForm(TapeForm):
    """Feet, a way or both, and why. run: the cable's number; seen: the version of what was set before.

    runs: (number, words) of the runs to choose from on a page.
    """

    run = forms.CharField(label=gettext_lazy("Which run"), max_length=60, widget=forms.Select)
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)
    length = LengthFormField(
        label=gettext_lazy("Length, make-up included"), required=False, low=inches(1), high=LONGEST_RUN
    )
    bends = BendsField(
        label=gettext_lazy("Way: its bends"),
        required=False,
        max_length=4000,
        help_text=gettext_lazy(
            "One bend a line, from the first box on: from the left wall, comma, from the door wall. "
            "Without a length the way's own length counts, with the computed drops and make-up."
        ),
    )
    why = NameFormField(label=gettext_lazy("Why"), max_length=200)

    def __init__(self, *args, tape, runs=(), **kwargs):
        super().__init__(*args, tape=tape, **kwargs)
        self.fields["bends"].tape = tape
        self.fields["run"].widget.choices = [("", "—"), *runs]

    def clean(self):
        data = super().clean()
        if not self.errors and data.get("length") is None and not data.get("bends"):
            self.add_error("length", _("Give the length, or the bends of its way."))
        return data


class ReelForm(TapeForm):
    """A reel somebody opened."""

    cable = forms.ChoiceField(label=gettext_lazy("Cable"))
    name = NameFormField(
        label=gettext_lazy("Name on it"), max_length=40, help_text=gettext_lazy("What is written on its flange.")
    )
    full = LengthFormField(label=gettext_lazy("Full, it held"), low=feet(1), high=LONGEST_REEL)
    left = LengthFormField(
        label=gettext_lazy("Left on it"), required=False, allow_zero=True, high=LONGEST_REEL,
        help_text=gettext_lazy("Empty: all of it."),
    )  # fmt: skip
    marks_in = forms.ChoiceField(label=gettext_lazy("Its jacket counts"), choices=MarksIn.choices)
    mark = forms.IntegerField(
        label=gettext_lazy("Mark at its cut end"), required=False, min_value=0, max_value=HIGHEST_MARK,
        help_text=gettext_lazy("The number printed on the jacket there."),
    )  # fmt: skip
    lies = NameFormField(label=gettext_lazy("Where it lies"), max_length=80, required=False)

    def __init__(self, *args, cables, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["cable"].choices = cables

    def clean(self):
        data = super().clean()
        left, full = data.get("left"), data.get("full")
        if left is not None and full is not None and left > full:
            self.add_error("left", _("More is left than it held. Check both numbers."))
        return data


class PullForm(TapeForm):
    """One run off one reel: the marks on the jacket at the start and at the end of the pull, rising or falling."""

    reel = forms.ChoiceField(label=gettext_lazy("Off which reel"))
    run = forms.ChoiceField(label=gettext_lazy("Which cable"))
    start_mark = forms.IntegerField(label=gettext_lazy("Mark at the start"), min_value=0, max_value=HIGHEST_MARK)
    end_mark = forms.IntegerField(label=gettext_lazy("Mark at the end"), min_value=0, max_value=HIGHEST_MARK)
    sure = forms.BooleanField(label=gettext_lazy("It is so: I read the marks again"), required=False)
    note = NoteFormField(label=gettext_lazy("Note"), required=False, max_length=200)

    def __init__(self, *args, reels, runs, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reel"].choices = reels
        self.fields["run"].choices = runs
        self.fields["note"].widget.attrs["rows"] = 1
