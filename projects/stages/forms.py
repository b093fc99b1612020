"""What people type when a room moves, is held up, or a pass is answered."""

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from projects.catalogue.tables import stages
from projects.jobs.forms import line
from projects.jobs.models import HeldUp
from projects.platform.forms import NameFormField, NoteFormField
from projects.stages.models import LONGEST

PASS, SAY = "pass_", "say_"  # what boxes of a guard and of a question begin with


class StageForm(forms.Form):
    """Where a room goes. boxes: what is missing on its way, each a Lack, with a box for it."""

    stage = forms.TypedChoiceField(
        label=_("Stage"), coerce=int, choices=lambda: [(s.number, f"{s.number} {gettext(s.name)}") for s in stages()]
    )
    note = line(_("Why"), LONGEST)
    waits_for = line(_("Waits for"), 120, help_text=_("Who must act, and for what. Empty: nobody."))

    def __init__(self, data=None, *args, boxes=(), passing=False, **kwargs):
        super().__init__(data, *args, **kwargs)
        for lack in boxes:
            if lack.said:
                self.fields[SAY + lack.said] = forms.BooleanField(label=_("I have seen it"), required=False)
            if passing and lack.key:
                self.fields[PASS + lack.key] = line(_("Go on without it, because"), LONGEST)

    @property
    def move(self):
        """What move and move_all take."""
        told = self.cleaned_data
        says = {name.removeprefix(SAY): "" for name, value in told.items() if name.startswith(SAY) and value}
        passes = {name.removeprefix(PASS): value for name, value in told.items() if name.startswith(PASS) and value}
        return {"note": told["note"], "waits_for": told["waits_for"], "says": says, "passes": passes}


class ManyForm(StageForm):
    """Many rooms' move. No stage is chosen beforehand: an unread press moves nothing."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["stage"].choices = [("", "–"), *self.fields["stage"].choices]


class MoveForm(StageForm):
    """One room's move, from the version that was looked at."""

    stage = forms.TypedChoiceField(
        coerce=int, choices=lambda: [(s.number, gettext(s.name)) for s in stages()], widget=forms.HiddenInput
    )
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)


class HoldForm(forms.Form):
    kind = forms.ChoiceField(label=_("The room is"), choices=HeldUp.choices)
    who = NameFormField(label=_("Who must act"), max_length=120)
    why = NameFormField(label=_("Why, and what has to happen"), max_length=LONGEST)


class ReasonForm(forms.Form):
    why = NameFormField(label=_("Why"), max_length=LONGEST)


class AnswerForm(forms.Form):
    words = NoteFormField(label=_("What became of it"), max_length=LONGEST)
    version = forms.IntegerField(widget=forms.HiddenInput)
