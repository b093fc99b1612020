"""What people type about a ceiling: one form for each thing, alone or as a row of a page by its prefix."""

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, Unit, inches, mm
from layout.engine.marks import Axis, Side
from projects.catalogue import tables
from projects.ceilings.models import (
    ACROSS,
    CLEAR,
    DEPTH,
    PITCH,
    RISE,
    SIZE,
    SLOPE_RISE,
    SLOPE_RUN,
    SPACING,
    WIDTH,
    Face,
    Framing,
    JoistRun,
    MemberPoint,
    OddMember,
    OutlineCorner,
    Region,
    Runs,
    Thing,
)
from projects.jobs.forms import DAY, line
from projects.jobs.models import SideChoice
from projects.platform.forms import DayFormField, LengthFormField, NameFormField, NoteFormField, TapeForm

# Usual spacings, center to center, and widths. Common practice, no source.
SPACINGS = {
    Unit.INCH: (("12 in", inches(12)), ("16 in", inches(16)), ("19.2 in", inches("19.2")), ("24 in", inches(24))),
    Unit.MM: (("400 mm", mm(400)), ("450 mm", mm(450)), ("600 mm", mm(600))),
}
WIDTHS = {Unit.INCH: inches("1 1/2"), Unit.MM: mm(45)}
SQUARE_TO = {Side.LEFT: Axis.DOOR_FAR, Side.RIGHT: Axis.DOOR_FAR, Side.DOOR: Axis.LEFT_RIGHT, Side.FAR: Axis.LEFT_RIGHT}


def runs_of(side: str) -> str:
    """Members found from a wall run along it."""
    return SQUARE_TO[Side(side)].value


def wall_choices(names=None):
    """names: the crew's own words for the walls, by side."""
    return [(side.value, (names or {}).get(side.value) or side.label) for side in SideChoice]


def _length(label, bounds, **kwargs):
    return LengthFormField(label=label, low=bounds[0], high=bounds[1], allow_zero=bounds[0] <= ZERO, **kwargs)


class RowForm(TapeForm):
    """A form that is one row of a page when it has a prefix. record: what was typed, as a row that isn't stored."""

    model: type

    def __init__(self, *args, walls=None, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("first_from", "at_from"):
            if name in self.fields:
                self.fields[name].choices = wall_choices(walls)

    def full_clean(self):
        """A row that is to go is asked nothing more."""
        if "drop" in self.fields and self.data.get(self.add_prefix("drop")):
            self._errors = forms.utils.ErrorDict()
            self.cleaned_data = {"drop": True}
            return
        super().full_clean()

    @property
    def filled(self):
        return bool(self.cleaned_data) and not self.cleaned_data.get("drop")

    @property
    def values(self):
        return {name: value for name, value in self.cleaned_data.items() if name not in ("drop", "version")}

    @property
    def record(self):
        return self.model(**self.values)

    @classmethod
    def start_from(cls, row):
        return {name: getattr(row, name) for name in cls.base_fields if hasattr(row, name)}


class JoistForm(RowForm):
    """Joists at one spacing. The wall the first was found from says which way they run: along it."""

    model = JoistRun

    first_from = forms.ChoiceField(
        label=_("First joist found from"),
        choices=SideChoice.choices,
        initial=SideChoice.LEFT,
        help_text=_("The joists run along this wall."),
    )
    datum = forms.ChoiceField(label=_("Tape held on"), choices=Face.choices, initial=Face.FRAMING)
    first = _length(_("From there to the first joist"), ACROSS)
    first_to = forms.ChoiceField(label=_("Read at"), choices=MemberPoint.choices, initial=MemberPoint.CENTER)
    spacing = _length(_("Spacing, center to center"), SPACING)
    width = _length(_("A joist is wide"), WIDTH)
    depth = _length(_("and deep"), DEPTH, required=False)
    note = line(_("Note"), 200)

    def clean(self):
        data = super().clean()
        if data.get("spacing") and data.get("width") and data["spacing"] <= data["width"]:
            self.add_error("width", _("Joists as wide as their spacing leave no bay. Check both."))
        return data

    @property
    def values(self):
        return super().values | {"runs": runs_of(self.cleaned_data["first_from"])}


class MemberForm(RowForm):
    model = OddMember

    name = NameFormField(label=_("What it is"), max_length=60, help_text=_("Doubled joist, header, blocking."))
    at_from = forms.ChoiceField(
        label=_("Found from"),
        choices=SideChoice.choices,
        initial=SideChoice.LEFT,
        help_text=_("It runs along this wall."),
    )
    datum = forms.ChoiceField(label=_("Tape held on"), choices=Face.choices, initial=Face.FRAMING)
    at = _length(_("From there to it"), ACROSS)
    at_to = forms.ChoiceField(label=_("Read at"), choices=MemberPoint.choices, initial=MemberPoint.CENTER)
    width = _length(_("It is wide"), WIDTH)

    @property
    def values(self):
        return super().values | {"runs": runs_of(self.cleaned_data["at_from"])}


def thing_choices():
    return [(entry.key, gettext(entry.name)) for entry in tables.clearances().values()]


class ThingForm(RowForm):
    """may_override: whether this person may keep less, or more, than the table says."""

    model = Thing

    what = forms.ChoiceField(label=_("What it is"), choices=thing_choices)
    name = line(_("Called"), 60, help_text=_("Empty: as the table calls it."))
    x = _length(_("Its center from the left wall"), ACROSS)
    y = _length(_("and from the door wall"), ACROSS)
    datum = forms.ChoiceField(label=_("Tape held on"), choices=Face.choices, initial=Face.FINISHED)
    round = forms.BooleanField(label=_("It is round"), required=False)
    wide = _length(_("Size, left to right"), SIZE, help_text=_("Round: its diameter."))
    deep = _length(_("Size, door to far"), SIZE, required=False, help_text=_("Round: leave it empty."))
    above = forms.BooleanField(
        label=_("It is above the drywall"), required=False, help_text=_("Frames keep away from it, not holes alone.")
    )
    leaves = _length(
        _("Depth left under it"), DEPTH, required=False, help_text=_("What is no deeper may stand below it.")
    )
    blades_drop = _length(
        _("A fan's blades hang below the ceiling by"),
        DEPTH,
        required=False,
        help_text=_("With it, how far the fan is kept from follows from the light's beam."),
    )
    clear = _length(_("Keep this far away instead"), CLEAR, required=False, help_text=_("Empty: what the table says."))
    note = line(_("Why, and who says so"), 200, help_text=_("It is printed on the card."))

    def __init__(self, *args, may_override=True, **kwargs):
        super().__init__(*args, **kwargs)
        self.may_override = may_override

    def clean(self):
        data = super().clean()
        table = tables.clearances().get(data.get("what"))
        self._settle_size(data)
        if data.get("leaves") is not None and not data.get("above"):
            self.add_error("above", _("Depth is left under what is above the drywall: tick this, or empty the depth."))
        if not table:
            return data
        data["name"] = data.get("name") or table.name[:60]
        if data.get("clear") == table.clear and table.clear:
            data["clear"] = None
        own = data.get("clear")
        if own is not None and not self.may_override and own != self.initial.get("clear"):
            self.add_error("clear", _("The table's clearance holds. Who lays out may set another, with a note."))
        elif own is not None and not data.get("note"):
            said = _("A zero needs a note: who decided it, and why.") if not own else _("Not the table's: say why.")
            self.add_error("note", said)
        return data

    def _settle_size(self, data):
        if data.get("round"):
            if data.get("deep") and data.get("wide") and data["deep"] != data["wide"]:
                self.add_error("deep", _("It is round: both sizes are its diameter. Leave this one empty."))
            data["deep"] = data.get("wide")
        elif data.get("deep") is None and "deep" not in self.errors:
            self.add_error("deep", _("How big is it this way? Or tick that it is round."))
        if data.get("wide") == ZERO and data.get("deep") == ZERO:
            self.add_error("wide", _("It has no size either way. Give at least one."))


class CornerForm(RowForm):
    model = OutlineCorner

    x = _length(_("from the left"), ACROSS)
    y = _length(_("from the door side"), ACROSS)


class RegionForm(RowForm):
    """Its corners are forms of their own."""

    model = Region

    name = NameFormField(label=_("Called"), max_length=60)
    rise = _length(_("Higher than the ceiling by"), RISE)
    below = forms.BooleanField(label=_("Lower instead: it hangs under the ceiling"), required=False)
    laid_out = forms.BooleanField(label=_("It gets lights of its own"), required=False, initial=True)

    @property
    def values(self):
        values = super().values
        below = values.pop("below")
        return values | {"rise": (-values["rise"]).exact() if below else values["rise"]}

    @classmethod
    def start_from(cls, row):
        return super().start_from(row) | {"rise": abs(row.rise).exact(), "below": row.rise < ZERO}


class LookForm(TapeForm):
    """What is known of the framing, who looked, and the depth above it."""

    framing = forms.ChoiceField(
        label=_("The framing is"), choices=Framing.choices, required=False, widget=forms.RadioSelect
    )
    looked_by = line(_("Looked at by"), 80)
    looked_on = DayFormField(label=_("On"), required=False, widget=DAY)
    open_above = _length(
        _("Open depth above the framing's underside"),
        DEPTH,
        required=False,
        help_text=_("Empty: as deep as the joists are. The ceiling's layers are added from its build-up."),
    )
    keep_free = _length(_("Of that, keep free"), DEPTH, required=False)
    note = NoteFormField(label=_("Note"), max_length=400, required=False)

    @property
    def values(self):
        data = self.cleaned_data
        return data | {"keep_free": data.get("keep_free") or ZERO}


class GridForm(TapeForm):
    """A lay-in grid. Without a line found, the border rule says where it starts."""

    grid_pitch_x = _length(_("Tile, left to right"), PITCH, required=False)
    grid_pitch_y = _length(_("Tile, door to far"), PITCH, required=False)
    grid_line_x = _length(
        _("A grid line was found from the left at"), ACROSS, required=False, help_text=_("Empty: the border rule.")
    )
    grid_line_y = _length(_("and from the door side at"), ACROSS, required=False)
    grid_datum = forms.ChoiceField(label=_("Tape held on"), choices=Face.choices, initial=Face.EDGE)
    half_tiles = forms.BooleanField(
        label=_("A mark may stand in half a tile"), required=False, help_text=_("Only where the architect says so.")
    )
    cut_tiles = forms.BooleanField(label=_("A mark may stand in a border tile that is cut"), required=False)

    def clean(self):
        data = super().clean()
        pitches = ("grid_pitch_x", "grid_pitch_y")
        missing = [name for name in pitches if data.get(name) is None and name not in self.errors]
        lines = any(data.get(name) is not None for name in ("grid_line_x", "grid_line_y"))
        if missing and (len(missing) == 1 or lines):
            for name in missing:
                self.add_error(name, _("A tile has two sizes: give both, or empty all of it."))
        return data

    @property
    def values(self):
        return dict(self.cleaned_data)


class SlopeForm(TapeForm):
    """A ceiling that rises one way. Sizes and marks are measured in plan."""

    slope_along = forms.ChoiceField(
        label=_("It rises"), required=False, choices=[("", _("nowhere: flat")), *Runs.choices]
    )
    slope_rise = _length(_("by"), SLOPE_RISE, required=False)
    slope_run = _length(
        _("for each"), SLOPE_RUN, required=False, help_text=_("A 4 in 12 roof rises 4 in for each 12 in.")
    )

    def clean(self):
        data = super().clean()
        if not data.get("slope_along"):
            data["slope_rise"] = data["slope_run"] = None
            return data
        for name in ("slope_rise", "slope_run"):
            if data.get(name) is None and name not in self.errors:
                self.add_error(name, _("How steep? Give both, or say that it is flat."))
        return data

    @property
    def values(self):
        return dict(self.cleaned_data)
