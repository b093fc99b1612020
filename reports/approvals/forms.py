"""What the office and the client type."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from projects.platform.forms import DayFormField, NameFormField, NoteFormField, TapeForm

DAY = forms.DateInput(attrs={"type": "date"})
FARTHEST = 100_000  # mm


class LinkForm(TapeForm):
    message = NoteFormField(label=_("A few words to the client"), max_length=1000, required=False)
    days = forms.IntegerField(label=_("Open for so many days"), min_value=1, max_value=365, initial=30)
    costs = forms.BooleanField(
        label=_("Show what moving a light comes to: now, after rough-in, after drywall"), required=False
    )


class _ToWhatIsShown(TapeForm):
    digest = forms.CharField(widget=forms.HiddenInput, max_length=64)


class YesForm(_ToWhatIsShown):
    name = NameFormField(label=_("Your name"), max_length=120)
    on = DayFormField(label=_("Date"), widget=DAY)

    def __init__(self, data=None, *args, today, **kwargs):
        super().__init__(data, *args, **kwargs)
        self.today = today

    def clean_on(self):
        on = self.cleaned_data["on"]
        if abs((on - self.today).days) > 31:
            raise ValidationError(_("Give the day it is accepted, today's date."), code="day")
        return on


class ChangeForm(_ToWhatIsShown):
    """What is to be otherwise, and where. x, y: a pressed place, whole mm on the plan; mark: one by name instead."""

    words = NoteFormField(label=_("What should be different?"), max_length=1000)
    name = NameFormField(label=_("Your name"), max_length=120, required=False)
    mark = forms.ChoiceField(label=_("Which one, by its name on the plan"), required=False)
    x = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0, max_value=FARTHEST)
    y = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0, max_value=FARTHEST)

    def __init__(self, data=None, *args, marks, **kwargs):
        super().__init__(data, *args, **kwargs)
        names = [(one["id"], one["id"]) for one in marks]
        self.fields["mark"].choices = [("", _("none, or pressed on the plan")), *names]
        self.marks = {one["id"]: (one["x"], one["y"]) for one in marks}

    @property
    def place(self):
        """(x, y) in mm on the plan; None: nothing was pointed at."""
        x, y, mark = (self.cleaned_data.get(name) for name in ("x", "y", "mark"))
        return (x, y) if x is not None and y is not None else self.marks.get(mark)


class NotYetForm(_ToWhatIsShown):
    words = NoteFormField(label=_("What are you waiting for?"), max_length=1000, required=False)
    name = NameFormField(label=_("Your name"), max_length=120, required=False)
