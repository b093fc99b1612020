"""What is typed about an inspection, and its rules. Knows no states."""

from decimal import Decimal

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from projects.platform.forms import DayFormField, NameFormField, NoteFormField, TapeForm, VersionedForm
from projects.platform.names import clean_name
from reports.inspections.models import MOST_FEE, MOST_WORDS, Kind, Outcome

MOST_CORRECTIONS = 40  # of one room at one visit


class _Visit:
    """The boxes of a visit. see_money: whether the fee is among them."""

    def arrange(self, see_money):
        if not see_money:
            del self.fields["fee"]
        for field in self.fields.values():
            if field.required:
                field.error_messages["required"] = _("This is needed. Fill it in.")

    def clean(self):
        given = super().clean()
        on, again = given.get("on"), given.get("again_on")
        if on and again and again < on:
            self.add_error("again_on", _("Looked at again before it was looked at: check both days."))
        return given


def _fee():
    return forms.DecimalField(
        label=_("Fee"), min_value=Decimal(0), max_value=MOST_FEE, decimal_places=2, max_digits=8, required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )  # fmt: skip


class VisitForm(_Visit, TapeForm):
    kind = forms.ChoiceField(label=_("What was looked at"), choices=Kind.choices)
    on = DayFormField(label=_("Day of the visit"), initial=timezone.localdate)
    inspector = NameFormField(label=_("Inspector's name"), max_length=120)
    tag = NameFormField(
        label=_("Tag number"), max_length=60, required=False, help_text=_("As on the tag or card that was left.")
    )
    again_on = DayFormField(label=_("Looked at again on"), required=False)
    fee = _fee()
    note = NoteFormField(label=_("Note"), max_length=1000, required=False)

    def __init__(self, *args, see_money=False, **kwargs):
        super().__init__(*args, **kwargs)
        self.arrange(see_money)

    def clean_on(self):
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise forms.ValidationError(_("That day is still to come. Record a visit once it has been."))
        return on


class ChangeVisitForm(_Visit, VersionedForm):
    """What may be written later. What was found stays as it was: another visit says otherwise."""

    inspector = VisitForm.base_fields["inspector"]
    tag = VisitForm.base_fields["tag"]
    again_on = DayFormField(label=_("Looked at again on"), required=False)
    fee = _fee()
    note = NoteFormField(label=_("Note"), max_length=1000, required=False)

    def __init__(self, *args, visit, see_money=False, **kwargs):
        super().__init__(*args, **kwargs)
        self.visit = visit
        self.arrange(see_money)

    def clean_again_on(self):
        again = self.cleaned_data["again_on"]
        if again and again < self.visit.on:
            raise forms.ValidationError(_("Looked at again before it was looked at: check both days."))
        return again


class RoomForm(forms.Form):
    """One room at a visit; without an outcome it was not looked at."""

    outcome = forms.ChoiceField(
        label=_("Result"), choices=[("", _("not looked at")), *Outcome.choices], required=False
    )
    corrections = forms.CharField(
        label=_("To put right, one thing a line"), required=False, max_length=MOST_CORRECTIONS * (MOST_WORDS + 2),
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip

    def __init__(self, *args, room, **kwargs):
        super().__init__(*args, prefix=f"room{room.pk}", **kwargs)
        self.room = room

    def clean_corrections(self):
        lines = [clean_name(line) for line in self.cleaned_data["corrections"].splitlines() if line.strip()]
        if len(lines) > MOST_CORRECTIONS:
            raise forms.ValidationError(_("At most %(most)s lines.") % {"most": MOST_CORRECTIONS})
        if any(len(line) > MOST_WORDS for line in lines):
            raise forms.ValidationError(_("A line has at most %(most)s characters.") % {"most": MOST_WORDS})
        return lines

    def clean(self):
        given = super().clean()
        outcome, lines = given.get("outcome"), given.get("corrections")
        if lines and not outcome:
            self.add_error("outcome", _("Say how it went, or leave both empty."))
        if outcome in (Outcome.FAIL, Outcome.PARTIAL) and not lines and "corrections" not in self.errors:
            self.add_error("corrections", _("It did not pass: write what has to be put right, one thing a line."))
        return given


class CorrectionForm(forms.Form):
    words = NameFormField(
        label=_("What was done"), max_length=MOST_WORDS, error_messages={"required": _("Say what was done about it.")}
    )
    photo = forms.FileField(label=_("Photo"), required=False, widget=forms.FileInput(attrs={"accept": "image/*"}))
