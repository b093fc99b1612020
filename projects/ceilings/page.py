"""The page of what stands overhead, as one form: a few single parts, and as many rows as there are joists and members.

It answers what a page asks of a form, so that errors and two versions side by side are shown as anywhere.
"""

from dataclasses import replace
from itertools import chain

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.ceilings.forms import SPACINGS, WIDTHS, GridForm, JoistForm, LookForm, MemberForm, SlopeForm
from projects.ceilings.models import MOST_MEMBERS, MOST_RUNS, Framing
from projects.ceilings.values import Entered
from projects.jobs.models import SideChoice
from projects.platform.forms import VersionedForm


class JoistRowForm(JoistForm):
    """With the usual spacings to press."""

    usual = forms.ChoiceField(label=_("Spacing, center to center"), required=False, widget=forms.RadioSelect)
    field_order = ("first_from", "datum", "first", "first_to", "usual")

    def __init__(self, *args, tape, **kwargs):
        super().__init__(*args, tape=tape, **kwargs)
        self.usuals = {str(int(length)): length for _name, length in SPACINGS[tape.unit]}
        named = [(str(int(length)), name) for name, length in SPACINGS[tape.unit]]
        self.fields["usual"].choices = [*named, ("", _("another"))]
        self.fields["spacing"].label = _("Another spacing")
        self.fields["spacing"].required = False
        self.fields["width"].initial = WIDTHS[tape.unit]

    def clean(self):
        data = super().clean()
        chosen = self.usuals.get(data.get("usual"))
        if chosen is not None:
            data["spacing"] = chosen
        elif data.get("spacing") is None and "spacing" not in self.errors:
            self.add_error("spacing", _("How far from joist to joist? Press a spacing, or type it."))
        return data

    @property
    def values(self):
        return {name: value for name, value in super().values.items() if name != "usual"}

    def start(self, run):
        known = str(int(run.spacing)) in self.usuals
        pressed, typed = (str(int(run.spacing)), None) if known else ("", run.spacing)
        return self.start_from(run) | {"usual": pressed, "spacing": typed}


class Rows:
    """Forms alike, numbered from 1; empty ones at the end say nothing."""

    def __init__(self, form, prefix, data, rows, *, most, **kwargs):
        self.prefix, self.forms = prefix, []
        sent = 0
        while data is not None and any(key.startswith(f"{prefix}{sent + 1}-") for key in data) and sent < most:
            sent += 1
        shown = max(sent, len(rows)) if data is not None else len(rows) + 1
        for n in range(1, min(shown, most) + 1):
            made = form(
                data, prefix=f"{prefix}{n}", empty_permitted=n > len(rows), use_required_attribute=False, **kwargs
            )
            if n <= len(rows):
                start = made.start(rows[n - 1]) if hasattr(made, "start") else form.start_from(rows[n - 1])
                made.initial = start
                made.fields["drop"] = forms.BooleanField(label=_("Take this one away"), required=False)
            self.forms.append(made)

    def __iter__(self):
        return iter(self.forms)

    @property
    def records(self):
        return tuple(form.record for form in self.forms if form.filled)


class OverheadForm:
    """All of the page. entry: what is stored."""

    def __init__(self, data=None, *, entry: Entered, version, room):
        tape = room.job.tape
        walls = {side.value: room.wall_name(side) for side in SideChoice}
        self.stored = entry
        self.versioned = VersionedForm(data, initial={"version": version})
        self.look = LookForm(data, tape=tape, initial=entry.columns)
        self.grid = GridForm(data, tape=tape, initial=entry.columns)
        self.slope = SlopeForm(data, tape=tape, initial=entry.columns)
        told = {"tape": tape, "walls": walls}
        self.joists = Rows(JoistRowForm, "joist", data, entry.joists, most=MOST_RUNS, **told)
        self.members = Rows(MemberForm, "member", data, entry.members, most=MOST_MEMBERS, **told)
        self.checked = False

    @property
    def parts(self):
        return (self.versioned, self.look, *self.joists, *self.members, self.grid, self.slope)

    def is_valid(self):
        if not self.versioned.is_bound:
            return False
        if not self.errors and not self.checked:
            self.checked = True
            self._check_together()
        return not self.errors

    def _check_together(self):
        framing = self.look.cleaned_data["framing"]
        there = self.joists.records or self.members.records
        if framing == Framing.NONE and there:
            self.look.add_error("framing", _("Joists are entered below. Take them away, or say that they are there."))
        if framing == Framing.FOUND and not there:
            self.look.add_error("framing", _("Enter where the first joist is, or say that there is no framing."))
        if framing == Framing.UNSEEN and self.joists.records and self._framing_changed():
            self.look.cleaned_data["framing"] = Framing.FOUND.value  # who enters a joist has looked

    def _framing_changed(self):
        return any(form.has_changed() for form in (*self.joists, *self.members))

    @property
    def seen_version(self):
        return self.versioned.cleaned_data["version"]

    @property
    def entry(self) -> Entered:
        columns = self.look.values | self.grid.values | self.slope.values
        return replace(
            self.stored,
            columns=self.stored.columns | columns,
            joists=self.joists.records,
            members=self.members.records,
        )

    # What pages ask of a form

    def __iter__(self):
        return chain.from_iterable(self.parts)

    @property
    def errors(self):
        return [part.errors for part in self.parts if part.errors]

    @property
    def visible_fields(self):
        return [field for part in self.parts for field in part.visible_fields()]

    @property
    def non_field_errors(self):
        return [error for part in self.parts for error in part.non_field_errors()]

    def start(self):
        """What the boxes hold before anyone types, by their names."""
        told = {}
        for part in self.parts:
            for name, field in part.fields.items():
                told[part.add_prefix(name)] = part.get_initial_for_field(field, name)
        return told
