"""What people enter about what a ceiling is to suit: framing, boxes, a task under it, a room next door."""

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import Unit, feet, inches, mm
from layout.engine.overhead.backer_box import INSIDE
from layout.engine.ways.task_rules import RULES
from layout.forms import PLACE, LengthsField
from projects.ceilings.forms import WIDTHS, wall_choices
from projects.ceilings.models import DEPTH, SPACING, WIDTH, Runs
from projects.jobs.models import SideChoice
from projects.platform.forms import LengthFormField, NameFormField, TapeForm, VersionedForm

BOX_WALL = {Unit.INCH: inches("1 1/4"), Unit.MM: mm(25)}  # two layers of drywall: common practice, no source
BOX_INSIDE = {Unit.INCH: INSIDE, Unit.MM: mm(75)}
FROM_ZERO = _("From the ceiling's edge at the zero corner.")


def _place(label, **kwargs):
    return LengthFormField(label=label, allow_zero=True, high=PLACE[1], **kwargs)


class FramingForm(TapeForm):
    """The members that are to be laid."""

    width = LengthFormField(label=_("A member is wide"), low=WIDTH[0], high=WIDTH[1])
    depth = LengthFormField(
        label=_("and deep"), required=False, low=DEPTH[0], high=DEPTH[1], help_text=_("Kept with what you take.")
    )
    spacing = LengthFormField(
        label=_("Another spacing, center to center"),
        required=False,
        low=SPACING[0],
        high=SPACING[1],
        help_text=_("The usual ones are tried in any case."),
    )

    @staticmethod
    def start(tape):
        return {"width": WIDTHS[tape.unit]}

    def clean(self):
        data = super().clean()
        if data.get("spacing") and data.get("width") and data["spacing"] <= data["width"]:
            self.add_error("spacing", _("Members as wide as their spacing leave no bay. Check both."))
        return data


class TakeFramingForm(FramingForm, VersionedForm):
    key = forms.CharField(max_length=120)


class BoxForm(TapeForm):
    wall = LengthFormField(label=_("The box's wall, all its layers"), high=inches(12))
    inside = LengthFormField(
        label=_("Free inside, round the housing"), allow_zero=True, high=inches(24), help_text=_("The label decides.")
    )

    @staticmethod
    def start(tape):
        return {"wall": BOX_WALL[tape.unit], "inside": BOX_INSIDE[tape.unit]}


WALL, START, END, DEEP = "wall", "start", "end", "deep"
# What each task is asked. Keys are those of the rules.
ASKED = {
    "counter": (WALL, START, END, DEEP, "at"),
    "island": ("runs", START, END, "center"),
    "vanity": (WALL, "basins", DEEP),
    "desk": (WALL, START, END, DEEP),
    "screen": (WALL,),
    "accent": (WALL, "target"),
    "wall_wash": (WALL,),
    "graze": (WALL,),
    "hall": ("doors",),
    "stairs": ("low_start", "low_end", "high_start", "high_end"),
    "closet": ("runs", START, END, "center"),
}
TASKS = {rule.key: rule for rule in RULES}


class TaskForm(TapeForm):
    """One task: what it is, where it is, how large."""

    task = forms.ChoiceField(widget=forms.HiddenInput, choices=[(rule.key, rule.name) for rule in RULES])
    wall = forms.ChoiceField(label=_("Along"), choices=SideChoice.choices)
    runs = forms.ChoiceField(label=_("It runs"), choices=Runs.choices)
    start = _place(_("It starts at"), help_text=FROM_ZERO)
    end = _place(_("and ends at"), help_text=FROM_ZERO)
    deep = LengthFormField(label=_("Wall to front edge"), high=feet(20))
    center = _place(_("Its center line at"), help_text=FROM_ZERO)
    at = LengthsField(label=_("Sink, range"), help_text=_("Their middles: 40, 92 1/2. Each gets a light of its own."))
    basins = LengthsField(label=_("Middles of the basins"), help_text=_("Like 24, 60. From the zero corner's side."))
    doors = LengthsField(label=_("Middles of the doors"), help_text=_("Down the hall, from the zero corner's side."))
    target = _place(_("Height of its middle, from the finished floor"))
    low_start = _place(_("The bottom landing starts at"), help_text=FROM_ZERO)
    low_end = _place(_("and ends at"))
    high_start = _place(_("The top landing starts at"), help_text=FROM_ZERO)
    high_end = _place(_("and ends at"))

    def __init__(self, data=None, *, task, tape, walls=None, **kwargs):
        super().__init__(data, tape=tape, **kwargs)
        for name in set(self.fields) - {"task", *ASKED[task]}:
            del self.fields[name]
        if "wall" in self.fields:
            self.fields["wall"].choices = wall_choices(walls)
        for name in {"at", "basins", "doors"} & set(self.fields):
            self.fields[name].tape = tape
        if "basins" in self.fields:
            self.fields["basins"].required = True

    def clean(self):
        data = super().clean()
        for low, high in ((START, END), ("low_start", "low_end"), ("high_start", "high_end")):
            if data.get(low) is not None and data.get(high) is not None and data[high] <= data[low]:
                self.add_error(high, _("It ends before it starts. Count both from the zero corner's side."))
        return data

    @property
    def sent(self):
        return sent(self)


class NextDoorForm(TapeForm):
    """Another room of the same job, and the opening between the two."""

    neighbor = forms.ModelChoiceField(label=_("The room next door"), queryset=None)
    wall = forms.ChoiceField(label=_("In this room the opening is in the"), choices=SideChoice.choices)
    from_corner = _place(_("From the zero corner's side to the opening"), help_text=_("Finished wall to jamb."))
    wide = LengthFormField(label=_("The opening is wide"), high=feet(100))
    their_wall = forms.ChoiceField(label=_("Next door it is in the"), choices=SideChoice.choices)
    their_corner = _place(
        _("Next door, to the same jamb"), help_text=_("From that room's zero corner's side, finished wall to jamb.")
    )

    def __init__(self, data=None, *, rooms, tape, walls=None, **kwargs):
        super().__init__(data, tape=tape, **kwargs)
        self.fields["neighbor"].queryset = rooms
        self.fields["wall"].choices = wall_choices(walls)

    @property
    def sent(self):
        return sent(self)


class HoldForm(VersionedForm):
    """One press that holds what is shown: which, from which numbers, and why."""

    key = forms.CharField(max_length=16)
    reason = NameFormField(max_length=400)


def sent(form):
    """What was sent along, by its boxes, to be sent again with a press."""
    return [(field.html_name, field.value() or "") for field in form]
