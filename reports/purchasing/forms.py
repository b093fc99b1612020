"""What people type about material: how much of which row, where it lies, who it is from. Rows say their errors."""

import datetime as dt
import hashlib
import uuid

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from projects.platform.forms import NameFormField, NoteFormField, TapeForm, VersionedForm
from reports.purchasing.models import MOST, Place

QUANTITY = "q"
AT = "at"
FURTHEST = dt.timedelta(days=3 * 366)  # a promise beyond three years is a slip of the finger


def new_slip():
    return str(uuid.uuid4())


def row_of(key):
    """What a line's box is named by. Not its place: the list may be another one by the time it is sent."""
    return hashlib.sha256(key.encode()).hexdigest()[:16]


class Count(forms.IntegerField):
    """A whole number of pieces, feet or meters. Empty and 0 are none."""

    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": "6"})

    def __init__(self, **kwargs):
        super().__init__(min_value=0, max_value=MOST, required=False, **kwargs)
        self.error_messages["invalid"] = _("Give a whole number: parts of a piece aren't ordered or carried.")
        for validator in self.validators:
            if validator.code == "min_value":
                validator.message = _("Give 0 or more. What went the wrong way is taken back under its movement.")
            elif validator.code == "max_value":
                validator.message = _("%(limit_value)s is the most. Check the number.")


class RowsForm(TapeForm):
    """A box for each row, and the slip that keeps one press from counting twice.

    rows: (id, label, usual quantity). places: with where each row lies or goes, its usual place.
    """

    slip = forms.CharField(widget=forms.HiddenInput, max_length=36)
    note = NoteFormField(label=_("Note"), required=False, max_length=400, widget=forms.TextInput)

    def __init__(self, rows, data=None, *, places=None, **kwargs):
        kwargs["initial"] = {"slip": new_slip(), **kwargs.get("initial", {})}
        super().__init__(data, **kwargs)
        self.rows = [row_id for row_id, _label, _usual in rows]
        for row_id, label, usual in rows:
            self.fields[f"{QUANTITY}-{row_id}"] = Count(label=label, initial=usual or None)
            if places is not None:
                self.fields[f"{AT}-{row_id}"] = forms.ChoiceField(
                    label=_("Place"), choices=Place.choices, initial=places.get(row_id, Place.SITE)
                )
        self.settle_boxes(kwargs.get("tape"))

    def clean_slip(self):
        try:
            return str(uuid.UUID(self.cleaned_data["slip"]))
        except ValueError:
            raise ValidationError(_("This page is too old. Load it again.")) from None

    def clean(self):
        data = super().clean()
        start = self.add_prefix(f"{QUANTITY}-")
        known = {self.add_prefix(f"{QUANTITY}-{row_id}") for row_id in self.rows}
        gone = (name for name, typed in self.data.items() if name.startswith(start) and name not in known)
        if any(str(self.data[name]).strip() not in ("", "0") for name in gone):
            raise ValidationError(_("The list has changed since it was shown. Look at it again: nothing was written."))
        return data

    def taken(self):
        """(row's id, quantity, its place or '') of the rows that were given a quantity."""
        data = self.cleaned_data
        return [
            (row_id, data[f"{QUANTITY}-{row_id}"], data.get(f"{AT}-{row_id}", data.get("place", "")))
            for row_id in self.rows
            if data.get(f"{QUANTITY}-{row_id}")
        ]

    def refuse(self, errors):
        for row_id, words in errors.items():
            name = f"{QUANTITY}-{row_id}"
            self.add_error(name if name in self.fields else None, words)

    def box(self, row_id):
        return self[f"{QUANTITY}-{row_id}"]

    def where(self, row_id):
        return self[f"{AT}-{row_id}"]


def _day(value):
    today = dt.date.today()
    if value and not today - FURTHEST <= value <= today + FURTHEST:
        raise ValidationError(_("Give a day within three years."))
    return value


class PromisedField(forms.DateField):
    def __init__(self, **kwargs):
        super().__init__(
            label=_("Promised for"),
            required=False,
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            **kwargs,
        )
        self.error_messages["invalid"] = _("Write the day as 2026-05-03.")

    def clean(self, value):
        return _day(super().clean(value))


class OrderForm(RowsForm):
    """Quantities of what is to buy, and one line for what no takeoff knows."""

    from_whom = NameFormField(label=_("From whom"), max_length=120)
    promised_on = PromisedField(help_text=_("For all its lines; each can be moved later."))
    other_name = NameFormField(label=_("Something else"), max_length=120, required=False)
    other_quantity = Count(label=_("how many"))

    def clean(self):
        data = super().clean()
        if data.get("other_quantity") and not data.get("other_name"):
            self.add_error("other_name", _("Say what it is."))
        if data.get("other_name") and not data.get("other_quantity") and "other_quantity" not in self.errors:
            self.add_error("other_quantity", _("Say how many."))
        return data


class ReceiveForm(RowsForm):
    """Its boxes stand in a table that holds other forms too: each names the form it belongs to."""

    place = forms.ChoiceField(label=_("Where it was put"), choices=Place.choices, initial=Place.SITE)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.widget.attrs["form"] = "receive"


class GiveUpForm(RowsForm):
    """What of an order is not coming any more."""


class PromiseForm(VersionedForm):
    promised_on = PromisedField()


class SlipForm(TapeForm):
    """A single press: no rows, only the slip."""

    slip = forms.CharField(widget=forms.HiddenInput, max_length=36)
    clean_slip = RowsForm.clean_slip

    def __init__(self, data=None, **kwargs):
        kwargs["initial"] = {"slip": new_slip(), **kwargs.get("initial", {})}
        super().__init__(data, **kwargs)


class _Needed(Count):
    def clean(self, value):
        found = super().clean(value)
        if not found:
            raise ValidationError(_("Say how many."))
        return found


class CarryForm(SlipForm):
    """Carry an item of a job elsewhere: to another place, or to the shelf of leftovers."""

    SHELF = "shelf"
    item = forms.ChoiceField(label=_("Item"))
    quantity = _Needed(label=_("How many"))
    came_from = forms.ChoiceField(label=_("From"), choices=Place.choices)
    went_to = forms.ChoiceField(label=_("To"), choices=[*Place.choices, (SHELF, _("the shop's shelf of leftovers"))])
    lies = NameFormField(
        label=_("Which shelf"), max_length=80, required=False, help_text=_("For leftovers: where it is found again.")
    )
    note = NoteFormField(label=_("Note"), required=False, max_length=400, widget=forms.TextInput)

    def __init__(self, items, data=None, **kwargs):
        super().__init__(data, **kwargs)
        self.fields["item"].choices = items


class TakeForm(SlipForm):
    """Take leftovers for a job."""

    quantity = _Needed(label=_("How many"))
    job = forms.ModelChoiceField(label=_("For the job"), queryset=None)
    went_to = forms.ChoiceField(label=_("To"), choices=Place.choices)

    def __init__(self, jobs, data=None, **kwargs):
        super().__init__(data, **kwargs)
        self.fields["job"].queryset = jobs


class ShelfForm(SlipForm):
    """Leftovers found, or gone."""

    key = forms.CharField(max_length=120, required=False, widget=forms.HiddenInput)
    name = NameFormField(label=_("What it is"), max_length=120)
    unit = forms.ChoiceField(
        label=_("Counted in"),
        choices=[
            ("each", _("pieces")),
            ("ft", _("feet")),
            ("m", _("meters")),
            ("roll", _("rolls")),
            ("tube", _("tubes")),
        ],
    )
    lies = NameFormField(label=_("Which shelf"), max_length=80, required=False)
    change = forms.IntegerField(
        label=_("How many"), min_value=-MOST, max_value=MOST, help_text=_("Below 0: they are gone.")
    )
    note = NoteFormField(label=_("Note"), required=False, max_length=400, widget=forms.TextInput)

    def clean_change(self):
        if not self.cleaned_data["change"]:
            raise ValidationError(_("0 changes nothing. Say how many more, or below 0 how many fewer."))
        return self.cleaned_data["change"]
