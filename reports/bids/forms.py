"""What people type about a bid: its terms, its lines, who accepts it. Bounds are the sum's own; knows no sums."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from projects.jobs.forms import DAY
from projects.platform.forms import DayFormField, NameFormField, NoteFormField, TapeForm, VersionedForm
from reports.bids.models import PERCENTS, BasisChoice, BidLine, BidRevision, Detail, LineKind, Outcome, When
from reports.bids.texts import Unreadable, read_text
from reports.estimating.bid import MOST, MOST_HOURS, MOST_WAGE, ROUND_TO

LONGEST_ID = 18


def plain(value):
    """A stored number as a person would type it: 22 rather than 22.000."""
    return "" if value is None else f"{value.normalize():f}" if value else "0"


class NumberInput(forms.TextInput):
    """A box for digits that a phone opens its number keys for; what was typed stays as typed."""

    def __init__(self, attrs=None):
        super().__init__({"inputmode": "decimal", "autocomplete": "off", "maxlength": "24", **(attrs or {})})


class FigureField(forms.DecimalField):
    """A number within bounds, with no more places than are kept. `$` and commas between thousands are left out."""

    widget = NumberInput

    def __init__(self, *, high, places=2, low=0, **kwargs):
        super().__init__(min_value=Decimal(low), max_value=Decimal(high), decimal_places=places, **kwargs)

    def to_python(self, value):
        if isinstance(value, str):
            value = value.strip().removeprefix("$").removesuffix("%").strip()
            whole, point, part = value.partition(".")
            groups = whole.split(",")
            if len(groups) > 1 and all(len(group) == 3 for group in groups[1:]) and 1 <= len(groups[0]) <= 3:
                value = "".join(groups) + point + part
            if value and not value.lstrip("-").replace(".", "", 1).isascii():
                raise ValidationError(_("Write the number in digits."), code="invalid")
            if "e" in value.lower():
                raise ValidationError(_("Write the number out, without an exponent."), code="invalid")
        return super().to_python(value)

    def prepare_value(self, value):
        return plain(value) if isinstance(value, Decimal) else value


def money(label, **kwargs):
    return FigureField(label=label, high=MOST, required=False, **kwargs)


def percent(name, label, **kwargs):
    return FigureField(label=label, high=PERCENTS[name], places=3, **kwargs)


class TermsForm(VersionedForm):
    """Percentages, each with what it is of, and how the bid is told."""

    wage = FigureField(label=_("Wage, an hour"), high=MOST_WAGE)
    burden_pct = percent("burden_pct", _("Burden, % of wage"))
    tax_pct = percent("tax_pct", _("Sales tax, % of taxable material"))
    contingency_pct = percent("contingency_pct", _("Contingency, % of direct cost"))
    overhead_pct = percent("overhead_pct", _("Overhead, % of direct cost and contingency"))
    profit_pct = percent("profit_pct", _("Profit, %"))
    profit_basis = forms.ChoiceField(label=_("Profit is"), choices=BasisChoice.choices)
    round_to = forms.TypedChoiceField(
        label=_("Round the price to"),
        coerce=int,
        choices=[(0, _("the cent")), *((step, f"{step}") for step in ROUND_TO if step)],
    )
    retainage_pct = percent("retainage_pct", _("Retainage, % of each payment"))
    validity_days = forms.IntegerField(label=_("Good for, days"), min_value=1, max_value=365)
    detail = forms.ChoiceField(label=_("The proposal shows"), choices=Detail.choices)
    cover = NoteFormField(label=_("Words to the client"), max_length=2000, required=False)

    def clean(self):
        data = super().clean()
        if data.get("profit_basis") == BasisChoice.OF_PRICE and (data.get("profit_pct") or 0) >= 100:
            self.add_error(
                "profit_pct",
                _("100 % of price or more leaves nothing for the cost. Give less, or say it of cost."),
            )
        return data


def terms_in(revision: BidRevision):
    return {name: getattr(revision, name) for name in TermsForm.base_fields}


BOXES = {
    LineKind.WORK: ("words", "room", "material", "taxable", "hours"),
    LineKind.EQUIPMENT: ("words", "amount"),
    LineKind.PERMIT: ("words", "amount"),
    LineKind.SUB: ("words", "amount"),
    LineKind.ADD: ("words", "material", "taxable", "hours", "amount", "price"),
    LineKind.DEDUCT: ("words", "material", "taxable", "hours", "amount", "price"),
    LineKind.ALLOWANCE: ("words", "quantity", "unit", "amount", "included"),
    LineKind.UNIT_PRICE: ("words", "when", "unit", "material", "taxable", "hours", "price"),
    LineKind.EXCLUSION: ("words",),
    LineKind.ASSUMPTION: ("words",),
    LineKind.PAYMENT: ("words", "percent"),
    LineKind.NOTE: ("words",),
}
AMOUNTS = {
    LineKind.EQUIPMENT: _("Cost to the shop"),
    LineKind.PERMIT: _("Cost to the shop"),
    LineKind.SUB: _("Cost to the shop"),
    LineKind.ADD: _("Other cost (equipment, sub)"),
    LineKind.DEDUCT: _("Other cost (equipment, sub)"),
    LineKind.ALLOWANCE: _("Allowed for each"),
}
NEEDED = {"words", "percent"}


class LineForm(VersionedForm):
    """One line: the boxes its kind has, and no others."""

    words = NameFormField(label=_("What"), max_length=400)
    room = forms.ChoiceField(label=_("Room"), required=False)
    quantity = FigureField(label=_("How many"), high=1_000_000, required=False)
    unit = NameFormField(label=_("Unit"), max_length=20, required=False)
    when = forms.ChoiceField(label=_("When"), choices=When.choices, required=False)
    material = money(_("Material, at cost"))
    taxable = forms.BooleanField(label=_("Sales tax on this material"), required=False, initial=True)
    hours = FigureField(label=_("Hours"), high=MOST_HOURS, required=False)
    amount = money(_("Amount"))
    percent = FigureField(label=_("% of the price"), high=100, places=3)
    price = money(
        _("Price to the client"),
        help_text=_("Empty: worked out from material and hours at this bid's percentages."),
    )
    included = forms.BooleanField(
        label=_("The price holds this amount already"),
        required=False,
        help_text=_("Either way the difference is settled when the fixture is chosen."),
    )

    def __init__(self, data=None, *args, kind, rooms=(), new=False, **kwargs):
        super().__init__(data, *args, **kwargs)
        self.kind = LineKind(kind)
        kept = {*BOXES[self.kind], *(() if new else ("version",))}
        for name in [name for name in self.fields if name not in kept]:
            del self.fields[name]
        if "room" in self.fields:
            names = dict.fromkeys((*rooms, *filter(None, [self.initial.get("room")])))
            self.fields["room"].choices = [("", _("of no one room")), *((name, name) for name in names)]
        if "amount" in self.fields:
            self.fields["amount"].label = AMOUNTS[self.kind]
            self.fields["amount"].required = self.kind in (
                LineKind.EQUIPMENT, LineKind.PERMIT, LineKind.SUB, LineKind.ALLOWANCE,
            )  # fmt: skip

    def clean(self):
        data = super().clean()
        priced = {LineKind.WORK: ("material", "hours"), LineKind.UNIT_PRICE: ("material", "hours", "price")}
        wanted = priced.get(self.kind) or (
            ("material", "hours", "amount", "price") if self.kind in (LineKind.ADD, LineKind.DEDUCT) else ()
        )
        if wanted and not self.errors and all(data.get(name) is None for name in wanted):
            self.add_error("material", _("Give material, hours, or both."))
        return data


def line_in(line: BidLine):
    return {name: getattr(line, name) for name in ("version", *BOXES[LineKind(line.kind)])}


class NewBidForm(TapeForm):
    number = NameFormField(label=_("Bid number"), max_length=20, required=False, help_text=_("Empty: the next free."))
    client = NameFormField(label=_("Client"), max_length=120, required=False, help_text=_("Empty: the job's."))


class BidForm(VersionedForm):
    number = NameFormField(label=_("Bid number"), max_length=20)
    client = NameFormField(label=_("Client"), max_length=120, required=False)


class OutcomeForm(VersionedForm):
    outcome = forms.ChoiceField(
        label=_("How it turned out"), choices=[choice for choice in Outcome.choices if choice[0] != Outcome.WON]
    )
    outcome_why = NameFormField(
        label=_("Why"), max_length=400, required=False, help_text=_("Price, timing, another shop, scope, no money.")
    )


class SignForm(TapeForm):
    """An acceptance: a name typed, and a day. digest: of the very bid that was looked at."""

    name = NameFormField(label=_("Your name"), max_length=120)
    on = DayFormField(label=_("Date"), widget=DAY)
    digest = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(self, data=None, *args, today, **kwargs):
        super().__init__(data, *args, **kwargs)
        self.today = today

    def clean_on(self):
        on = self.cleaned_data["on"]
        if abs((on - self.today).days) > 31:
            raise ValidationError(_("Give the day it is signed, today's date."), code="day")
        return on


class WhyForm(TapeForm):
    why = NameFormField(label=_("Why"), max_length=400, required=False)


class TrueUpForm(TapeForm):
    key = forms.CharField(widget=forms.HiddenInput, max_length=12)
    chosen = FigureField(label=_("Chosen, each"), high=MOST)
    note = NameFormField(label=_("What was chosen"), max_length=400, required=False)


class TextsForm(VersionedForm):
    """The shop's lists, one text a line."""

    exclusions = NoteFormField(label=_("Not included"), max_length=4000, required=False)
    assumptions = NoteFormField(label=_("Assumed"), max_length=4000, required=False)
    payments = NoteFormField(
        label=_("Payments"),
        max_length=1000,
        required=False,
        help_text=_("One a line, its percent of the price first: 20 % Deposit on signing."),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("exclusions", "assumptions"):
            self.fields[name].widget.attrs["rows"] = 14 if name == "exclusions" else 6

    def clean(self):
        data = super().clean()
        for name in ("exclusions", "assumptions", "payments"):
            lines = [line.strip() for line in (data.get(name) or "").splitlines() if line.strip()]
            for line in lines:
                if len(line) > 400:
                    self.add_error(name, _("A line may have 400 characters; one has more. Say it in two."))
                    break
                try:
                    read_text(line, name)
                except Unreadable:
                    told = _now("“%(line)s” doesn't begin with a percent from 0 to 100. Write 20 %% Deposit.")
                    self.add_error(name, told % {"line": line[:60]})
                    break
            data[name] = "\n".join(lines)
        return data
