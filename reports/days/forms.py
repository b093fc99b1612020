"""What people type to plan a crew."""

import datetime as dt

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.crews.services import LONGEST
from projects.platform.forms import DayFormField


class PlanForm(forms.Form):
    """A person, days, and rooms of one job; no room ticked means the whole job."""

    member = forms.TypedChoiceField(label=_("Who"), coerce=int)
    first = DayFormField(label=_("First day"))
    last = DayFormField(label=_("Last day"), required=False, help_text=_("Empty: that one day."))
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
