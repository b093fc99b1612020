"""A figure's inputs as boxes to type into: lengths on the shop's tape, lists line by line. Knows no rules."""

import re
from fractions import Fraction

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import Distance, Length, Tape, Unit, as_typed, feet, inches, mm
from projects.platform.forms import LengthFormField, TapeForm
from reports.figures import boxes, money, surveying, wires
from reports.figures.figure import ANY_UNIT, FEET, INCHES
from reports.figures.kinds import Flag, Gauge, ListOf, Number, OneOf, Place, Plain, Refused, Row, Text

FARTHEST = feet(5000)
MOST_TEXT = 20_000  # characters of a list; 300 points take some 4,000
LIST_BOX = {"rows": 5, "spellcheck": "false"}
WORDS = {"of_cost": _("of cost: cost x (1 + p)"), "of_price": _("of price: cost / (1 - p)")}
NUMBER = re.compile(r"-?\d{1,12}(\.\d{1,12})?", re.ASCII)
LINE = {
    "wires": re.compile(r"(?P<count>\d{1,4})\s*(?:x|of|×)\s*#?(?P<awg>\d{1,2}|[1-4]/0)(?:\s*awg)?", re.I | re.A),
    "devices": re.compile(
        r"(?P<count>\d{1,4})\s*(?:x|of|×)\s*#?(?P<awg>\d{1,2}|[1-4]/0)(?:\s*awg)?(?:\s*,\s*(?P<gangs>\d{1,2})\s*gangs?)?",
        re.I | re.A,
    ),
    "packs": re.compile(
        r"(?P<length>\d{1,9}(?:\.\d{1,6})?)\s*(?:at|:)\s*(?P<price>\d{1,9}(?:\.\d{1,2})?)", re.I | re.A
    ),
    "points": re.compile(r"(?P<x>-?\d{1,9}(?:\.\d{1,9})?)\s*[,\s]\s*(?P<y>-?\d{1,9}(?:\.\d{1,9})?)", re.A),
    "pieces": re.compile(r"(?P<piece>-?\d{1,9}(?:\.\d{1,9})?)", re.A),
}
LINE_HINTS = {
    "wires": _("One gauge to a line: 4 of 12"),
    "devices": _("One gauge to a line, by the largest conductor on it: 1 of 12, or 1 of 12, 2 gangs"),
    "packs": _("One to a line, length and price: 250 at 139.00"),
    "points": _("One light to a line, from left and from the door wall: 5.5, 4"),
    "pieces": _("One to a line: 70"),
}


class Typed(forms.Field):
    """Text that is read as something else; `longest` is counted on the text."""

    widget = forms.TextInput(attrs={"autocomplete": "off"})
    longest = 30

    def text(self, value):
        text = "" if value is None else str(value).strip()
        if len(text) > self.longest:
            raise ValidationError(_("That is over %(most)s characters. Write less."), params={"most": self.longest})
        return text


class NumberField(Typed):
    """A plain decimal, as a Fraction. Scientific writing and words are asked about rather than guessed."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def to_python(self, value):
        text = self.text(value)
        if not text:
            return None
        if not NUMBER.fullmatch(text):
            raise ValidationError(
                _("“%(text)s” isn't a number. Write it in digits, such as 12 or 0.9."), params={"text": text[:40]}
            )
        return Fraction(text)


class GaugeField(Typed):
    def to_python(self, value):
        text = self.text(value).lower().removeprefix("#").removesuffix("awg").strip()
        return (int(text) if re.fullmatch(r"-?\d{1,2}", text, re.A) else text) if text else None


class LinesField(Typed):
    """A list, one entry to a line, as JSON values."""

    widget = forms.Textarea(attrs=LIST_BOX)

    longest = MOST_TEXT

    def __init__(self, *, written, **kwargs):
        super().__init__(**kwargs)
        self.written = written

    def to_python(self, value):
        lines = [line.strip() for line in self.text(value).splitlines() if line.strip()]
        return [self._line(line) for line in lines]

    def _line(self, line):
        found = LINE[self.written].fullmatch(line)
        if not found:
            raise ValidationError(
                _("“%(line)s” isn't read. %(how)s."), params={"line": line[:40], "how": LINE_HINTS[self.written]}
            )
        parts = {name: text for name, text in found.groupdict().items() if text is not None}
        if self.written == "points":
            return [Fraction(parts["x"]), Fraction(parts["y"])]
        if self.written == "pieces":
            return Fraction(parts["piece"])
        if self.written == "packs":
            return {"length": Fraction(parts["length"]), "price": parts["price"]}
        return {name: text if "/" in text else int(text) for name, text in parts.items()}


class RowsField(Typed):
    """Numbers in one order, one row to a line, as lists. single: one row alone."""

    longest = MOST_TEXT

    def __init__(self, *, names, single, **kwargs):
        super().__init__(widget=forms.TextInput if single else forms.Textarea(attrs=LIST_BOX), **kwargs)
        self.names, self.single = names, single

    def to_python(self, value):
        lines = [line.strip() for line in self.text(value).splitlines() if line.strip()]
        rows = [self._row(line) for line in lines]
        return (rows[0] if rows else None) if self.single else rows

    def _row(self, line):
        parts = [part for part in re.split(r"[,;\s]+", line) if part]
        if len(parts) != len(self.names) or not all(NUMBER.fullmatch(part) for part in parts):
            raise ValidationError(
                _("“%(line)s” isn't read. Give %(count)s numbers: %(names)s."),
                params={"line": line[:40], "count": len(self.names), "names": ", ".join(self.names)},
            )
        return [Fraction(part) for part in parts]


class PointField(LinesField):
    widget = forms.TextInput

    def __init__(self, **kwargs):
        super().__init__(written="points", **kwargs)

    def to_python(self, value):
        found = super().to_python(value)
        return found[0] if found else None


def is_a_length(figure, one):
    """Whether an input is typed as a length on the tape. Points and pieces are plain numbers in any one unit."""
    return isinstance(one.kind, Number) and (
        one.unit in (FEET, INCHES) or (one.unit == ANY_UNIT and figure.group == surveying.GROUP)
    )


def unit_length(unit: str, tape: Tape) -> Length:
    """The length that one of a figure's unit stands for."""
    if unit == FEET:
        return feet(1)
    return inches(1) if unit == INCHES or tape.unit is Unit.INCH else mm(1)


class FigureForm(TapeForm):
    """One figure's boxes. `given` holds the inputs for the figure once the form is valid."""

    asked = forms.CharField(widget=forms.HiddenInput, required=False, initial="1")

    def __init__(self, figure, *args, tape, **kwargs):
        self.figure, self.tape = figure, tape
        super().__init__(*args, tape=tape, **kwargs)
        for one in figure.inputs:
            self.fields[one.name] = self._box(one)
        self.settle_boxes(tape)

    @property
    def given(self):
        return {one.name: self._value(one) for one in self.figure.inputs if self._value(one) not in (None, "", [])}

    @classmethod
    def example(cls, figure, tape):
        """The example as a person would have typed it."""
        typed = {"asked": "1"}
        for one in figure.inputs:
            if isinstance(one.kind, Flag):
                typed |= {one.name: "on"} if one.example else {}
            elif is_a_length(figure, one):
                typed[one.name] = as_typed(_example_length(one, tape), tape)
            else:
                typed[one.name] = _written([one.example] if isinstance(one.kind, Row) else one.example)
        return typed

    def clean(self):
        cleaned = super().clean()
        for one in self.figure.inputs:
            value = self._value(one)
            if value in (None, "", []) or one.name in self.errors:
                continue
            try:
                one.kind.read(value)
            except Refused as refused:
                self.add_error(one.name, str(refused))
        return cleaned

    def _value(self, one):
        value = self.cleaned_data.get(one.name)
        if isinstance(value, Distance):
            return Fraction(value.nm) / unit_length(one.unit, self.tape).nm
        return value

    def _box(self, one):
        unit = f", {one.unit}" if one.unit and one.unit != ANY_UNIT and not is_a_length(self.figure, one) else ""
        common = {
            "label": f"{_(one.label)}{unit}",
            "required": not one.optional,
            "help_text": _(one.hint) if one.hint else "",
        }
        kind = one.kind
        if isinstance(kind, Flag):
            return forms.BooleanField(**common | {"required": False})
        if is_a_length(self.figure, one):
            return LengthFormField(allow_zero=kind.zero, high=FARTHEST, **common)
        if isinstance(kind, OneOf):
            return forms.ChoiceField(choices=[(word, WORDS.get(word, word)) for word in kind.words], **common)
        if isinstance(kind, Gauge):
            return GaugeField(**common)
        if isinstance(kind, Place):
            return PointField(**common | {"help_text": _("From left and from the door wall: 5.5, 4")})
        if isinstance(kind, Text):
            box = forms.Textarea(attrs={"rows": 12, "spellcheck": "false"})
            return forms.CharField(widget=box, max_length=kind.most, strip=False, **common)
        if row := _row_of(kind):
            help_text = _("In this order: %(names)s") % {"names": ", ".join(row.names)}
            return RowsField(names=row.names, single=row is kind, **common | {"help_text": help_text})
        if isinstance(kind, ListOf):
            written = _how_written(kind)
            return LinesField(written=written, **common | {"help_text": LINE_HINTS[written]})
        if isinstance(kind, Plain):
            return forms.CharField(max_length=24, **common)
        return NumberField(**common)


def _row_of(kind):
    """The row that a kind is, or is a list of."""
    each = kind.each if isinstance(kind, ListOf) else kind
    return each if isinstance(each, Row) else None


def _how_written(kind):
    if kind is boxes.WIRES:
        return "wires"
    if kind is boxes.DEVICES:
        return "devices"
    if kind is wires.POINTS.kind:
        return "points"
    return "packs" if kind.each is money.PACK else "pieces"


def _example_length(one, tape):
    """What the example is on this tape: 240 in, or the nearest 10 mm of it where millimeters are read."""
    length = feet(str(one.example)) if one.unit == FEET else inches(str(one.example))
    if tape.unit is Unit.MM:
        step = 10 if length >= mm(200) else 1
        return mm(round(length.mm / step) * step)
    return length


def _written(example):
    if example is None:
        return ""
    if isinstance(example, list) and example and isinstance(example[0], list):
        return "\n".join(", ".join(f"{one:g}" for one in row) for row in example)
    if isinstance(example, list) and example and isinstance(example[0], dict):
        return "\n".join(_line_of(one) for one in example)
    if isinstance(example, list) and len(example) == 2 and not isinstance(example[0], dict):
        return f"{example[0]:g}, {example[1]:g}"
    if isinstance(example, list):
        return "\n".join(f"{one:g}" for one in example)
    return str(example)


def _line_of(one):
    if "price" in one:
        return f"{one['length']:g} at {one['price']}"
    gangs = f", {one['gangs']} gangs" if one.get("gangs", 1) > 1 else ""
    return f"{one['count']} of {one['awg']}{gangs}"
