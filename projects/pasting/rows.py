"""What the rows of a pasted list say, each cell by the rules of the page it would be typed on; every error is named."""

from dataclasses import dataclass, field

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.jobs.forms import ceiling_choices, line
from projects.jobs.models import Room
from projects.pasting.models import MOST_ROWS
from projects.pasting.reading import Unreadable, table_of
from projects.platform.fields import HEIGHT, WALL
from projects.platform.forms import LengthFormField, NameFormField, NoteFormField, TapeForm

MOST_LIGHTS = 400
LABELS = {
    "name": gettext_lazy("Room"),
    "level": gettext_lazy("Level"),
    "left_right": gettext_lazy("Left to right"),
    "door_far": gettext_lazy("Door to far wall"),
    "height": gettext_lazy("Height"),
    "ceiling_system": gettext_lazy("Ceiling"),
    "lights": gettext_lazy("Lights"),
    "speakers": gettext_lazy("Speakers"),
    "note": gettext_lazy("Note"),
}


class CeilingField(forms.CharField):
    """A ceiling by its name as the pages say it, or by its key; empty is drywall."""

    def to_python(self, value):
        said = " ".join(str(value or "").lower().split())
        if not said:
            return "board"
        for key, label in ceiling_choices():
            if said in (key.lower(), str(label).lower()):
                return key
        known = ", ".join(str(label) for _key, label in ceiling_choices())
        raise forms.ValidationError(
            _("No ceiling is called “%(said)s”. One of: %(known)s."), params={"said": value, "known": known}
        )


class RowForm(TapeForm):
    # Needed here: a list entered twice is told by its names.
    name = NameFormField(label=LABELS["name"], max_length=Room._meta.get_field("name").max_length)
    level = line(LABELS["level"], Room._meta.get_field("level").max_length)
    left_right = LengthFormField(label=LABELS["left_right"], required=False, low=WALL[0], high=WALL[1])
    door_far = LengthFormField(label=LABELS["door_far"], required=False, low=WALL[0], high=WALL[1])
    height = LengthFormField(label=LABELS["height"], required=False, low=HEIGHT[0], high=HEIGHT[1])
    ceiling_system = CeilingField(label=LABELS["ceiling_system"], required=False)
    lights = forms.IntegerField(label=LABELS["lights"], required=False, min_value=0, max_value=MOST_LIGHTS)
    speakers = forms.IntegerField(label=LABELS["speakers"], required=False, min_value=0, max_value=MOST_LIGHTS)
    note = NoteFormField(label=LABELS["note"], required=False, max_length=4000)

    def clean(self):
        data = super().clean()
        sizes = [name for name in ("left_right", "door_far") if name not in self.errors]
        if len(sizes) == 2 and (data["left_right"] is None) != (data["door_far"] is None):
            lacking = "left_right" if data["left_right"] is None else "door_far"
            self.add_error(lacking, _("One size alone makes no room. Give both, or neither."))
        return data


@dataclass(frozen=True, slots=True)
class Row:
    """number: of the line as pasted. said: its cells by column. errors: (column's label, what is wrong)."""

    number: int
    said: dict[str, str]
    values: dict
    errors: list[tuple[str, str]] = field(default_factory=list)


UNREADABLE = {
    "empty": gettext_lazy("Nothing was pasted. Copy the rooms from your sheet, a row each."),
    "broken": gettext_lazy("This is no table: %(why)s. Paste it with tabs or commas between the columns."),
    "quote": gettext_lazy(
        "A cell begins with a quotation mark that is not closed at its end. Close it, or take it out."
    ),
    "heading": gettext_lazy("No column is called “%(heading)s”. Take it out, or give it one of the names below."),
    "twice": gettext_lazy("Two columns are headed “%(heading)s”. Take one out."),
    "long": gettext_lazy("%(there)s rooms: at most %(most)s at once. Paste them in parts."),
}


def lines_of(text):
    """The Table of the text, with a room and no more than MOST_ROWS of them. Raises Unreadable (see UNREADABLE)."""
    table = table_of(text)
    if not table.rows:
        raise Unreadable("empty")
    if len(table.rows) > MOST_ROWS:
        raise Unreadable("long", there=len(table.rows), most=MOST_ROWS)
    return table


def why_unreadable(error: Unreadable) -> str:
    return str(UNREADABLE[error.code]) % error.told


def row_of(columns, number, cells, tape, taken) -> Row:
    """taken: names that are used already, in small letters; the row's own is added."""
    # A cell of a sheet may break its line; only a note keeps that.
    lines = {column: cell for column, cell in zip(columns, cells, strict=False) if column}
    said = {column: cell if column == "note" else " ".join(cell.split()) for column, cell in lines.items()}
    form = RowForm(said, tape=tape)
    errors = []
    if extra := [cell for cell in cells[len(columns) :] if cell]:
        errors.append(("", _("There is more in this row than there are columns: “%(extra)s”.") % {"extra": extra[0]}))
    if not form.is_valid():
        for name, told in form.errors.items():
            errors += [(str(LABELS.get(name, "")), str(each)) for each in told]
    name = form.cleaned_data.get("name", "")
    if name and name in taken:
        words = _("Another room of this job, or another row, is called %(name)s. Give a different name.")
        errors.append((str(LABELS["name"]), words % {"name": name}))
    taken.add(name)
    return Row(number, said, form.cleaned_data, errors)


def rows_of(text, job, taken) -> list[Row]:
    """Every row read, right or wrong. taken: the job's names. Raises Unreadable."""
    table = lines_of(text)
    return [row_of(table.columns, number, cells, job.tape, taken) for number, cells in table.rows]
