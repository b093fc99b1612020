"""What people type about themselves and their shop."""

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, Style
from projects.accounts.models import CURRENCIES, NEVER_ZERO_UNSAID, RULES, RoleChoice, Shop
from projects.doors.forms import AccountEmailField
from projects.platform.forms import LengthFormField, NameFormField, VersionedForm
from projects.platform.permissions import ALWAYS, MAY_BE_GIVEN, PERSONAL, scopes_of


def _rule(name, label):
    low, high = RULES[name]
    return LengthFormField(label=label, allow_zero=low == ZERO, low=low, high=high)


class ShopRulesForm(VersionedForm):
    """The shop's tape and the limits its layouts keep."""

    name = NameFormField(label=_("Shop"), max_length=120)
    style = forms.ChoiceField(label=_("Lengths are written in"), choices=Shop._meta.get_field("style").choices)
    fraction = forms.TypedChoiceField(
        label=_("Finest fraction printed"),
        coerce=int,
        choices=[(8, "1/8"), (16, "1/16"), (32, "1/32"), (64, "1/64"), (1, _("whole millimeters"))],
    )
    spacing_limit = _rule("spacing_limit", _("Spacing limit, center to center"))
    end_setback = _rule("end_setback", _("Off the wall, at the ends of a row"))
    row_setback = _rule("row_setback", _("Off the wall, the outer rows"))
    edge_min = _rule("edge_min", _("Least from a hole's edge to the ceiling's edge"))
    web_min = _rule("web_min", _("Least material between two holes"))
    light_to_speaker = _rule("light_to_speaker", _("Least from a speaker to a light, center to center"))
    joist_clear = _rule("joist_clear", _("Least from a hole's edge, or a frame, to a joist's face"))
    zero_note = NameFormField(label=_("Why one of these is zero"), max_length=200, required=False)
    currency = forms.ChoiceField(
        label=_("Currency"),
        choices=[(code, code) for code in CURRENCIES],
        required=False,
        help_text=_("Of all the shop's money. It stands once anything is kept in it."),
    )

    def clean(self):
        data = super().clean()
        zeros = [name for name in NEVER_ZERO_UNSAID if name in data and not data[name]]
        if zeros and not data.get("zero_note"):
            self.add_error("zero_note", _("A zero needs a note: who decided it, and why."))
        if (data.get("style") == Style.MM) != (data.get("fraction") == 1) and "fraction" in data:
            self.add_error("fraction", _("Millimeters are printed whole, inches to a fraction. Choose the other kind."))
        return data


class PersonForm(forms.Form):
    role = forms.ChoiceField(label=_("Role"), choices=RoleChoice.choices)
    may_approve = forms.BooleanField(label=_("May approve a layout"), required=False)
    may_move_marks = forms.BooleanField(label=_("May move a mark"), required=False)
    may_quote = forms.BooleanField(label=_("May see what a moved light costs, to have it signed"), required=False)

    def clean(self):
        data = super().clean()
        if data.get("role") not in {role.value for role in MAY_BE_GIVEN}:
            for name in PERSONAL.values():
                if data.get(name):
                    self.add_error(name, _("Crew and viewers can't be given this. Choose another role, or untick it."))
        return data


class MemberForm(PersonForm):
    active = forms.BooleanField(label=_("Works here"), required=False)
    version = forms.IntegerField(widget=forms.HiddenInput)


class NewPersonForm(PersonForm):
    """Somebody to be asked in: a letter goes to the e-mail, and they choose a password of their own."""

    name = NameFormField(label=_("Name"), max_length=120)
    email = AccountEmailField()
    role = forms.ChoiceField(label=_("Role"), choices=RoleChoice.choices, initial=RoleChoice.CREW)  # not the owner's
    field_order = ["name", "email", "role", *PERSONAL.values()]


SCOPE_CHOICES = (
    ("read", _("read jobs, rooms and layouts")),
    ("field", _("field: measure, mark out, photos, checklists, hours, material")),
    ("rooms", _("jobs, rooms and layouts: keep them, lay out, approve, move on, plan")),
    ("prices", _("prices, bids and changes: read and keep them")),
    ("shop", _("the shop: people, rules, tokens")),
)
TOKEN_DAYS = ((7, _("a week")), (30, _("30 days")), (90, _("90 days")), (365, _("a year")))


class NewTokenForm(forms.Form):
    name = NameFormField(
        label=_("What it is for"), max_length=120, help_text=_("The program or machine that will use it.")
    )
    scopes = forms.MultipleChoiceField(
        label=_("What it may do"),
        choices=SCOPE_CHOICES,
        initial=[ALWAYS],
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Never more than you may do yourself. It always reads."),
    )
    days = forms.TypedChoiceField(
        label=_("It ends after"), choices=TOKEN_DAYS, coerce=int, initial=90,
        help_text=_("Then it opens nothing; make a new one in time."),
    )  # fmt: skip

    def __init__(self, *args, member=None, **kwargs):
        """member: whoever makes it is shown only what they may do themselves."""
        super().__init__(*args, **kwargs)
        if member is not None:
            own = scopes_of(member)
            self.fields["scopes"].widget.choices = [choice for choice in SCOPE_CHOICES if choice[0] in own]
