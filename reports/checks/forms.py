"""What is entered about a checklist. What an answer needs is said by its service; here are the boxes."""

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.platform.forms import NoteFormField, VersionedForm
from reports.checks.models import MOST_WORDS, Outcome
from reports.estimating.checklist import ASKED_ON_SITE


class AnswerForm(forms.Form):
    """One item. base: the version of the answer that was on the page, 0 for none."""

    outcome = forms.ChoiceField(
        label=_("Answer"), choices=Outcome.choices, required=False, widget=forms.RadioSelect, error_messages={
            "invalid_choice": _("Answer: choose pass, fail or n/a."),
        },
    )  # fmt: skip
    reason = NoteFormField(
        label=_("Reason, number or name"), max_length=MOST_WORDS, required=False,
        widget=forms.Textarea(attrs={"rows": 1}),
    )  # fmt: skip
    photo = forms.FileField(
        label=_("Photo"), required=False, widget=forms.FileInput(attrs={"accept": "image/*"})
    )
    base = forms.IntegerField(
        min_value=0, max_value=2**31 - 1, required=False, initial=0, widget=forms.HiddenInput
    )

    def __init__(self, *args, row=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.row = row

    def clean_base(self):
        return self.cleaned_data["base"] or 0

    @property
    def touched(self):
        """Whether it says anything else than the answer that was on the page."""
        said = self.cleaned_data
        shown = self._shown(said["base"])
        outcome, reason = (shown.outcome, shown.reason) if shown else ("", "")
        return bool(said["photo"]) or (said["outcome"], said["reason"]) != (outcome, reason)

    def _shown(self, base):
        stood = [*self.row.before, self.row.answer] if self.row.answer else []
        return next((answer for answer in stood if answer.version == base), None)


class SaidForm(forms.Form):
    """One answer over the API."""

    number = forms.IntegerField(label=_("The item's number"), min_value=1, max_value=400)
    outcome = forms.ChoiceField(label=_("Answer"), choices=Outcome.choices)
    reason = NoteFormField(label=_("Reason; a fail and an n/a need one"), max_length=MOST_WORDS, required=False)
    base = forms.IntegerField(
        label=_("Version of the answer you saw, 0 for none"), min_value=0, max_value=2**31 - 1, required=False
    )


YES, NO = "yes", "no"
KNOWN = (("", _("not known yet")), (YES, _("yes")), (NO, _("no")))


class KnownForm(VersionedForm):
    """What the room has that no drawing tells."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ASKED_ON_SITE:
            label = QUESTIONS[name]
            self.fields[name] = forms.TypedChoiceField(
                label=label, choices=KNOWN, required=False, empty_value=None, coerce=lambda said: said == YES
            )


QUESTIONS = {
    "fire_rated": _("Is the ceiling fire-rated?"),
    "insulated": _("Does insulation go above it?"),
    "wet": _("Is a light near a tub, a shower or outdoors?"),
    "attic": _("Is work done from an attic?"),
    "sawn_joists": _("Are the joists sawn lumber?"),
    "engineered_lumber": _("Are there trusses, I-joists or other engineered lumber?"),
}
