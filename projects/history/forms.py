"""What a person asks of the history."""

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.history.queries import Asked
from projects.history.showing import tables_with_words
from projects.platform.fields import FIRST_DAY, LAST_DAY

LARGEST_ID = 2**63 - 1


def day_box(label):
    return forms.DateField(
        label=label, required=False, widget=forms.DateInput(attrs={"type": "date"}),
    )  # fmt: skip


class AskedForm(forms.Form):
    what = forms.ChoiceField(label=_("What was changed"), required=False)
    person = forms.ChoiceField(label=_("By whom"), required=False)
    since = day_box(_("From"))
    until = day_box(_("To"))
    record = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    job = forms.IntegerField(required=False, min_value=1, max_value=LARGEST_ID, widget=forms.HiddenInput)
    room = forms.IntegerField(required=False, min_value=1, max_value=LARGEST_ID, widget=forms.HiddenInput)
    before = forms.IntegerField(required=False, min_value=1, max_value=LARGEST_ID, widget=forms.HiddenInput)

    def __init__(self, shop, data):
        super().__init__(data)
        self.fields["what"].choices = [("", _("Anything")), *tables_with_words()]
        people = shop.members.select_related("user").order_by("user__name", "pk")
        self.fields["person"].choices = [("", _("Anybody")), *((str(one.pk), one.user.name) for one in people)]

    def clean_since(self):
        return _within(self.cleaned_data["since"])

    def clean_until(self):
        return _within(self.cleaned_data["until"])

    @property
    def asked(self) -> Asked:
        told = self.cleaned_data
        return Asked(
            told["what"], told["record"], int(told["person"]) if told["person"] else None, told["job"], told["room"],
            told["since"], told["until"],
        )  # fmt: skip


def _within(day):
    if day and not FIRST_DAY <= day <= LAST_DAY:
        raise forms.ValidationError(_("A day between %(first)s and %(last)s.") % {"first": FIRST_DAY, "last": LAST_DAY})
    return day
