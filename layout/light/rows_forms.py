"""Forms that are lists of forms: levels by zone, aims by light, tasks with one empty place for another."""

from __future__ import annotations

from collections import Counter

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.switching import places
from layout.light.forms import AimForm, TaskForm, ZoneForm
from projects.platform.forms import TapeForm

MOST_TASKS = 40


class DimsForm(TapeForm):
    """A level for each zone, `dim-A`, in percent; an empty box is as it is set."""

    def __init__(self, data=None, *, zones, **kwargs):
        """zones: (letter, percent as set). Bound only to data that has a box of its own."""
        names = [f"dim-{letter}" for letter, _percent in zones]
        super().__init__(data if data and any(name in data for name in names) else None, **kwargs)
        self.zones = dict(zones)
        for letter, percent in zones:
            self.fields[f"dim-{letter}"] = forms.IntegerField(
                label=_("Zone %s, %%") % letter, required=False, min_value=0, max_value=100, initial=percent
            )
        self.settle_boxes(None)

    @property
    def percents(self):
        told = self.cleaned_data if self.is_bound else {}
        return {
            letter: percent if (typed := told.get(f"dim-{letter}")) is None else typed
            for letter, percent in self.zones.items()
        }

    @property
    def levels(self):
        return {letter: percent / 100 for letter, percent in self.percents.items()}


class _Rows:
    """Several forms as one. key: what no two of them have alike."""

    forms: list
    key: tuple[str, ...]
    twice = _("It stands twice. Open the page anew, then change it there.")

    def is_valid(self):
        if not all([form.is_valid() for form in self.forms]):  # noqa: C419  each says what is wrong with it
            return False
        filled = [form for form in self.forms if form.cleaned_data]
        keys = [tuple(form.cleaned_data[name] for name in self.key) for form in filled]
        counts = Counter(keys)
        again = [form for form, one in zip(filled, keys, strict=True) if counts[one] > 1]
        for form in again:
            form.add_error(self.key[0], self.twice)
        return not again

    @property
    def errors(self):
        return {form.prefix: form.errors for form in self.forms if form.errors}


class ZonesForm(_Rows):
    """letters: of the zones that have a light now; what was said of others is kept and shown."""

    key = ("letter",)

    def __init__(self, data, *, room, setup, letters):
        said = {zone.letter: zone for zone in setup.rows("zones")}
        self.forms = []
        for letter in sorted({*letters, *said}):
            one = said.get(letter)
            start = {
                "letter": letter, "dim_percent": one.dim_percent if one else 100,
                "light_type": one.light_type_id if one else None,
            }  # fmt: skip
            form = ZoneForm(data, shop_id=room.shop_id, prefix=f"zone-{letter}", initial=start)
            form.fields["letter"].widget = forms.HiddenInput()
            form.letter_shown, form.gone = letter, letter not in letters
            self.forms.append(form)

    @property
    def values(self):
        return [form.value for form in self.forms if form.says_something]


class AimsForm(_Rows):
    """A row for each light that is laid out, and for each aim whose light is gone."""

    key = ("row", "number")

    def __init__(self, data, *, setup, layout):
        said = {(aim.row, aim.number): aim for aim in setup.rows("aims")}
        there = {place: mark.id for place, mark in places(layout.arrangement.marks).items()} if layout else {}
        self.forms = []
        for place in sorted({*there, *said}):
            aim = said.get(place)
            start = {"row": place[0], "number": place[1]}
            start |= {name: getattr(aim, name) for name in ("tilt_deg", "toward_deg", "spin_deg")} if aim else {}
            form = AimForm(data, prefix=f"aim-{place[0]}-{place[1]}", initial=start)
            for name in ("row", "number"):
                form.fields[name].widget = forms.HiddenInput()
            form.ident, form.gone = there.get(place, ""), place not in there
            for name in ("tilt_deg", "toward_deg", "spin_deg"):
                label = form.fields[name].label
                form.fields[name].widget.attrs["aria-label"] = f"{form.ident or place}: {label}"
            self.forms.append(form)

    @property
    def values(self):
        return [form.value for form in self.forms if form.says_something]


class _TaskRow(TaskForm):
    """Left empty altogether it is no task; ticked, it is taken out."""

    remove = forms.BooleanField(label=_("Take it out"), required=False)

    def full_clean(self):
        if self.is_bound and ((self.empty_permitted and not self.says_anything) or self.taken_out):
            self._errors, self.cleaned_data = forms.utils.ErrorDict(), {}
            return
        super().full_clean()

    @property
    def taken_out(self):
        return bool(self.data.get(self.add_prefix("remove")))

    @property
    def says_anything(self):
        boxes = (name for name in self.fields if name not in ("kind", "remove"))
        return any(str(self.data.get(self.add_prefix(name)) or "").strip() for name in boxes)


class TasksForm(_Rows):
    key = ("name",)
    twice = _("Another task has this name. Give each its own.")

    def __init__(self, data, *, room, setup):
        tape = room.job.tape
        self.forms = []
        for n, task in enumerate(setup.rows("tasks")):
            start = {name: getattr(task, name) for name in TaskForm.base_fields}
            self.forms.append(_TaskRow(data, tape=tape, prefix=f"task-{n}", initial=start))
        if len(self.forms) < MOST_TASKS:
            more = _TaskRow(data, tape=tape, prefix="task-new", empty_permitted=True, use_required_attribute=False)
            more.fields.pop("remove")
            self.forms.append(more)

    @property
    def values(self):
        return [form.value for form in self.forms if form.cleaned_data]
