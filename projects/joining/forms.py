"""What people type to join a job, and to let somebody join."""

from datetime import timedelta

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from projects.joining.services import LONGEST, PLACE, SECRET
from projects.platform.forms import NameFormField, VersionedForm

DIGITS = PLACE + SECRET
USUAL_STAY = timedelta(days=14)


class LastDayField(forms.DateField):
    """The last day of somebody's stay: from today on, within a year."""

    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        super().__init__(**kwargs)

    def clean(self, value):
        day, today = super().clean(value), timezone.localdate()
        if day is not None and not today <= day <= today + LONGEST:
            raise forms.ValidationError(_("Choose a day from today on, within a year."))
        return day


class CodeForm(forms.Form):
    until = LastDayField(label=_("Last day on the job"))


class StayForm(VersionedForm):
    until = LastDayField(label=_("Last day on the job"))


class JoinForm(forms.Form):
    code = forms.CharField(
        label=_("Code"),
        max_length=40,
        help_text=_("The ten digits on the lead's phone."),
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "one-time-code"}),
    )
    name = NameFormField(
        label=_("Your name"),
        max_length=80,
        help_text=_("As the crew knows you. It stands beside what you enter."),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def clean_code(self):
        """Digits of any spacing; no other script's digits, which int() would take too."""
        digits = "".join(self.cleaned_data["code"].replace("-", " ").split())
        if len(digits) != DIGITS or not (digits.isascii() and digits.isdecimal()):
            raise forms.ValidationError(_("A code has ten digits, such as 0482 913 775. Type all of them."))
        return digits
