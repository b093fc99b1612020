"""Form parts every page shares: the length box, and the version a form was opened at."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import Length, LengthError, Tape, as_typed, feet
from layout.engine.reading import AmbiguousLength, read_length
from projects.platform.fields import FIRST_DAY, LAST_DAY
from projects.platform.names import clean_name, clean_note

LONGEST = feet(1000)


class LengthInput(forms.TextInput):
    """A box that says what it understood as it is typed (length-echo.js); it works without scripts too."""

    def __init__(self, tape=None, attrs=None):
        super().__init__({"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false", **(attrs or {})})
        self.tape = tape or Tape()

    def get_context(self, name, value, attrs):
        context = super().get_context(name, value, attrs)
        context["widget"]["attrs"] |= {"data-length": "", "data-style": self.tape.style.value, "maxlength": "64"}
        return context

    def format_value(self, value):
        return as_typed(value, self.tape) if isinstance(value, Length) else value


class HiddenLength(forms.HiddenInput):
    """A length that is sent along unseen, in words that any tape reads alike."""

    def format_value(self, value):
        return as_typed(value, Tape()) if isinstance(value, Length) else value


class LengthFormField(forms.Field):
    """A length as people write it on a sketch. What can be read in two ways is refused with both readings."""

    widget = LengthInput
    hidden_widget = HiddenLength

    def __init__(self, *, allow_zero=False, low=None, high=LONGEST, **kwargs):
        super().__init__(**kwargs)
        self.allow_zero, self.low, self.high = allow_zero, low, high

    def use_tape(self, tape):
        self.widget.tape = tape

    def to_python(self, value):
        if value is None or isinstance(value, Length):
            return value
        text = str(value).strip()
        if not text:
            return None
        tape = self.widget.tape
        try:
            length = read_length(text, unit=tape.unit, style=tape.style)
        except AmbiguousLength as ambiguous:
            raise ValidationError(
                str(ambiguous), code="ambiguous", params={"readings": ambiguous.readings}
            ) from ambiguous
        except LengthError as unreadable:
            raise ValidationError(str(unreadable), code="unreadable") from unreadable
        self._check_bounds(length, tape)
        return length

    def _check_bounds(self, length, tape):
        if not length and not self.allow_zero:
            raise ValidationError(_("Zero is not a length here. Give the number from the tape."), code="zero")
        if self.low is not None and length < self.low:
            raise ValidationError(
                _("%(read)s is under the least allowed, %(low)s. Check the unit."),
                code="low",
                params={"read": tape.show(length), "low": tape.show(self.low)},
            )
        if length > self.high:
            raise ValidationError(
                _("%(read)s is over the most allowed, %(high)s. Check the unit."),
                code="high",
                params={"read": tape.show(length), "high": tape.show(self.high)},
            )

    def has_changed(self, initial, data):
        try:
            return self.to_python(initial) != self.to_python(data)
        except ValidationError:
            return True


TAKE = "take:"  # a button's name, before the box whose text it settles


def _with_taken_reading(data):
    """The posted form with the reading whose button was pressed typed into its box. Works without scripts."""
    taken = [name for name in data or () if name.startswith(TAKE)]
    if not taken:
        return data
    data = data.copy()
    for name in taken:
        data[name.removeprefix(TAKE)] = data[name]
    return data


class NameFormField(forms.CharField):
    """One line of writing, cleaned before it is counted: NFC may write one letter as two."""

    def to_python(self, value):
        text = super().to_python(value)
        return clean_name(text) if text else text


class DayFormField(forms.DateField):
    """A day from FIRST_DAY to LAST_DAY; a year slipped by a digit is found where it is typed."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def clean(self, value):
        day = super().clean(value)
        if day is not None and not FIRST_DAY <= day <= LAST_DAY:
            raise ValidationError(_("That day is too far off. Check the year."), code="year")
        return day


class NoteFormField(forms.CharField):
    """Writing whose lines may break."""

    widget = forms.Textarea(attrs={"rows": 3})

    def to_python(self, value):
        return clean_note(super().to_python(value))


PAST_A_LIMIT = {
    "max_value": _("Too much. Enter %(limit_value)s or less."),
    "min_value": _("Too little. Enter %(limit_value)s or more."),
}


class TapeForm(forms.Form):
    """A form whose length boxes speak the shop's (or the job's) tape."""

    def __init__(self, data=None, *args, tape=None, **kwargs):
        super().__init__(_with_taken_reading(data), *args, **kwargs)
        self.settle_boxes(tape)

    def settle_boxes(self, tape):
        """Called again by a form that adds boxes of its own."""
        for field in self.fields.values():
            field.error_messages["required"] = _("This is needed. Fill it in.")
            for validator in field.validators:
                if "message" not in vars(validator) and getattr(validator, "code", "") in PAST_A_LIMIT:
                    validator.message = PAST_A_LIMIT[validator.code]
            if isinstance(field, LengthFormField):
                field.use_tape(tape or Tape())


class VersionedForm(TapeForm):
    """A form that remembers the version of the record it was opened at."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    @property
    def seen_version(self):
        return self.cleaned_data["version"]

    @property
    def changes(self):
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}
