"""What people type to plan a crew."""

import datetime as dt

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.crews.models import FIRST_DAY, LAST_DAY
from projects.crews.services import LONGEST


class DayField(forms.DateField):
    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        super().__init__(**kwargs)

    def clean(self, value):
        day = super().clean(value)
        if day is not None and not FIRST_DAY <= day <= LAST_DAY:
            raise forms.ValidationError(_("Choose a day between 2000 and 2100."))
        return day


class PlanForm(forms.Form):
    """A person, days, and rooms of one job; no room ticked means the whole job."""

    member = forms.TypedChoiceField(label=_("Who"), coerce=int)
    first = DayField(label=_("First day"))
    last = DayField(label=_("Last day"), required=False, help_text=_("Empty: that one day."))
    rooms = forms.TypedMultipleChoiceField(
        label=_("Rooms"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked: wherever the job needs it."),
    )  # fmt: skip

    def __init__(self, *args, people, rooms, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["member"].choices = [(member.pk, str(member.user)) for member in people]
        self.fields["rooms"].choices = [(room.pk, room.name) for room in rooms]
        if not rooms:
            del self.fields["rooms"]

    def clean(self):
        data = super().clean()
        if first := data.get("first"):
            last = data["last"] = data.get("last") or first
            if not dt.timedelta(0) <= last - first < dt.timedelta(LONGEST):
                self.add_error("last", _("From the first day on, at most %(most)s days.") % {"most": LONGEST})
        return data
