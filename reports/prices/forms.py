"""What people type about prices, rates, conditions, labor units and hours. Every refusal says the bounds."""

import datetime as dt

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import Unit
from projects.platform.forms import LengthFormField, NameFormField, TapeForm, VersionedForm
from reports.prices.models import (
    BURDEN,
    COIL,
    FACTOR,
    LOGGED_HOURS,
    PIECES,
    PRICE,
    TAX,
    UNIT_HOURS,
    WAGE,
    PhaseChoice,
)

DAY = {"type": "date"}
FIRST_DAY = dt.date(2000, 1, 1)


class NumberField(forms.DecimalField):
    """A number with its bounds in words; not a number, nothing finite or too fine is refused."""

    def __init__(self, *, low, high, places, **kwargs):
        said = _("Between %(low)s and %(high)s.") % {"low": f"{low:,}", "high": f"{high:,}"}
        super().__init__(min_value=low, max_value=high, decimal_places=places, max_digits=14, **kwargs)
        self.error_messages |= {
            "min_value": said,
            "max_value": said,
            "invalid": _("Give a number, like 12.50.") + " " + said,
            "max_decimal_places": _("At most %(places)s places after the point. %(said)s")
            % {"places": places, "said": said},
        }
        for validator in self.validators:
            if getattr(validator, "code", "") in ("min_value", "max_value"):
                validator.message = said
            elif hasattr(validator, "decimal_places"):
                validator.messages = {
                    **validator.messages,
                    "max_decimal_places": self.error_messages["max_decimal_places"],
                }


class DayField(forms.DateField):
    """A day people price or work on: not before 2000, not further off than `ahead` days."""

    widget = forms.DateInput(attrs=DAY)

    def __init__(self, *, ahead, **kwargs):
        super().__init__(**kwargs)
        self.ahead = ahead

    def clean(self, value):
        day = super().clean(value)
        last = timezone.localdate() + dt.timedelta(days=self.ahead)
        if day is not None and not FIRST_DAY <= day <= last:
            raise forms.ValidationError(
                _("Between %(first)s and %(last)s. Check the year."), params={"first": FIRST_DAY, "last": last}
            )
        return day


# Prices


class ItemForm(TapeForm):
    name = NameFormField(label=_("Name"), max_length=120)
    unit = NameFormField(
        label=_("Counted in"), max_length=20, help_text=_("each, tube, day … Cable is bought by coil.")
    )
    category = NameFormField(label=_("Group"), max_length=40, required=False)
    taxable = forms.BooleanField(label=_("Sales tax is paid on it"), required=False, initial=True)
    retired = forms.BooleanField(label=_("No longer used"), required=False)


class ChangeItemForm(ItemForm, VersionedForm):
    pass


class PriceForm(TapeForm):
    """One pack's price from a day on; or that it isn't sold any more."""

    pieces = forms.IntegerField(
        label=_("Pieces in the pack"), required=False, min_value=PIECES[0], max_value=PIECES[1], initial=1
    )
    length = LengthFormField(
        label=_("Length of the coil"), required=False, low=COIL[0], high=COIL[1], help_text=_("With its unit: 250 ft")
    )
    amount = NumberField(label=_("Price of the pack"), low=PRICE[0], high=PRICE[1], places=2, required=False)
    gone = forms.BooleanField(label=_("Not sold any more"), required=False)
    on = DayField(label=_("From"), ahead=366)
    source = NameFormField(
        label=_("Where the price is from"), max_length=200, help_text=_("A quote, a counter, a list. A zero says why.")
    )

    def __init__(self, data=None, *args, item, **kwargs):
        super().__init__(data, *args, **kwargs)
        self.by_length = item.by_length
        del self.fields["pieces" if item.by_length else "length"]
        self.fields["length" if item.by_length else "pieces"].required = True

    def clean(self):
        data = super().clean()
        if data.get("amount") is None and not data.get("gone") and "amount" not in self.errors:
            self.add_error("amount", _("Give the price of the pack, or tick that it isn't sold any more."))
        return data

    @property
    def size(self):
        return self.cleaned_data["length" if self.by_length else "pieces"]

    @property
    def price(self):
        return None if self.cleaned_data["gone"] else self.cleaned_data["amount"]


class PlugForm(TapeForm):
    """A figure in place of a price that isn't known yet."""

    key = forms.CharField(max_length=100, widget=forms.HiddenInput)
    amount = NumberField(label=_("Figure"), low=PRICE[0], high=PRICE[1], places=2)
    pieces = forms.IntegerField(
        label=_("for so many"), required=False, min_value=PIECES[0], max_value=PIECES[1], initial=1
    )
    length = LengthFormField(label=_("for a coil of"), required=False, low=COIL[0], high=COIL[1])
    plugged_by = NameFormField(label=_("Put in by"), max_length=80)


# Rates and conditions


class RatesForm(VersionedForm):
    wage = NumberField(label=_("Wage, an hour"), low=WAGE[0], high=WAGE[1], places=2)
    burden_pct = NumberField(
        label=_("Burden, percent of wage"),
        low=BURDEN[0],
        high=BURDEN[1],
        places=2,
        help_text=_(
            "Payroll tax, insurance, paid time: 25 to 45 is common practice, no source. Take it from your books."
        ),
    )
    tax_pct = NumberField(
        label=_("Sales tax, percent of taxable material"),
        low=TAX[0],
        high=TAX[1],
        places=3,
        help_text=_("On material alone. What is taxed where you work is for your accountant to say."),
    )


class ConditionsForm(VersionedForm):
    """choices: (key, words) of the conditions that may be ticked here."""

    keys = forms.MultipleChoiceField(label=_("Conditions"), required=False, widget=forms.CheckboxSelectMultiple)

    def __init__(self, data=None, *args, choices, **kwargs):
        super().__init__(data, *args, **kwargs)
        self.fields["keys"].choices = choices


# Labor


class LaborNumberForm(TapeForm):
    """One number of the labor table. Empty: the table's own again."""

    what = forms.CharField(max_length=8, widget=forms.HiddenInput)
    key = forms.CharField(max_length=60, widget=forms.HiddenInput)
    seen = forms.IntegerField(min_value=0, max_value=2**62, widget=forms.HiddenInput)
    value = NumberField(label=_("Number"), low=UNIT_HOURS[0], high=UNIT_HOURS[1], places=4, required=False)
    note = NameFormField(label=_("Why"), max_length=200, required=False)


class OwnConditionForm(TapeForm):
    name = NameFormField(label=_("Condition"), max_length=80, help_text=_("For example: tight crawl space."))
    times = NumberField(label=_("Hours are multiplied by"), low=FACTOR[0], high=FACTOR[1], places=4)


# Hours


class LogForm(TapeForm):
    """Hours and feet of one visit to a room. cables: (key, name) of what may have been pulled."""

    on = DayField(label=_("Day"), ahead=1)
    phase = forms.ChoiceField(label=_("Phase"), choices=PhaseChoice.choices)
    who = NameFormField(label=_("Who worked"), max_length=80)
    hours = NumberField(
        label=_("Hours, all hands together"), low=0, high=LOGGED_HOURS, places=2, required=False,
    )  # fmt: skip
    note = NameFormField(label=_("Note"), max_length=200, required=False)

    def __init__(self, data=None, *args, cables, unit, **kwargs):
        super().__init__(data, *args, **kwargs)
        self.cables = dict(cables)
        self.unit = unit
        meters = unit is Unit.MM
        self.boxes = {f"pulled_{n}": key for n, key in enumerate(self.cables)}
        for name, key in self.boxes.items():
            words = _("%(cable)s, meters pulled") if meters else _("%(cable)s, feet pulled")
            self.fields[name] = NumberField(
                label=words % {"cable": self.cables[key]}, low=0, high=6000 if meters else 20_000, places=2,
                required=False,
            )  # fmt: skip
        self.settle_boxes(None)

    def clean(self):
        data = super().clean()
        if not self.errors and not any(data.get(name) for name in ("hours", *self.boxes)):
            self.add_error("hours", _("Give hours, or what was pulled, or both."))
        return data

    @property
    def pulled(self):
        """(cable key, amount in the job's unit) of what was given."""
        return [(key, self.cleaned_data[name]) for name, key in self.boxes.items() if self.cleaned_data.get(name)]


# Import


class UploadForm(TapeForm):
    file = forms.FileField(label=_("Price file: CSV or XLSX"), allow_empty_file=True)
    source = NameFormField(label=_("Where the prices are from"), max_length=200)
    on = DayField(label=_("They hold from"), ahead=366)
