"""A JSON body held to the rules of a page's form: JSON types and shape are told here, every other rule in the form.

A form is flat, a body may be nested: `paths` says where in the body a form's field stands. The same table makes the
schema, so what is documented is what is read.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Model
from rest_framework import serializers

from layout.engine.lengths import Length
from projects.platform.api import lengths
from projects.platform.api.problems import Refused, pointer
from projects.platform.forms import LengthFormField


class Unfit(ValueError):
    """A value of another JSON type than the field takes. `at`: where inside the value; `readings`: of a length."""

    def __init__(self, detail, *, at=(), readings=()):
        super().__init__(detail)
        self.at, self.readings = at, readings


@dataclass(frozen=True, slots=True)
class Kind:
    """How a form field is written in JSON.

    read(value, form): what the form's box would hold; raises Unfit. shape(form field, options): for the schema.
    """

    read: Callable[[Any, forms.Form], Any]
    shape: Callable[[forms.Field, dict[str, Any]], serializers.Field]


def _only(*types, said):
    def read(value, form):
        if not isinstance(value, types) or (isinstance(value, bool) and bool not in types):
            raise Unfit(said)
        return value if isinstance(value, (str, bool)) else str(value)

    return read


def _day(value, form):
    if not isinstance(value, str) or not re.fullmatch(r"\d{4}-\d\d-\d\d", value, re.ASCII):
        raise Unfit("Give a day as text like “2026-05-03”.")
    return value


def _length(value, form):
    try:
        return lengths.typed(value)
    except lengths.NotALength as refused:
        raise Unfit(str(refused)) from refused


def _text_shape(form_field, options):
    return serializers.CharField(
        max_length=form_field.max_length, allow_blank=not form_field.required, help_text=_said(form_field), **options
    )


def _choice_shape(form_field, options):
    coerce = getattr(form_field, "coerce", str)
    keys = [key if key == "" else coerce(key) for key, _label in form_field.choices]
    if not any(keys):  # only the shop or the job says which: its own items, its own rooms
        return serializers.CharField(allow_blank=not form_field.required, help_text=_said(form_field), **options)
    return serializers.ChoiceField(choices=keys, help_text=_said(form_field), **options)


def _several(value, form):
    if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
        raise Unfit("Give a list of the choices.")
    return value


def _several_shape(form_field, options):
    keys = [key for key, _label in form_field.choices]
    return serializers.ListField(child=serializers.ChoiceField(choices=keys), help_text=_said(form_field), **options)


def _whole_shape(form_field, options):
    bounds = {"min_value": form_field.min_value, "max_value": form_field.max_value}
    return serializers.IntegerField(help_text=_said(form_field), **bounds, **options)


def _number_shape(form_field, options):
    bounds = {"min_value": form_field.min_value, "max_value": form_field.max_value}
    return serializers.DecimalField(
        max_digits=12, decimal_places=form_field.decimal_places, help_text=_said(form_field), **bounds, **options
    )


def _plainly(kind):
    return lambda form_field, options: kind(help_text=_said(form_field), **options)


def _said(form_field):
    return str(form_field.label or "") + (f". {form_field.help_text}" if form_field.help_text else "")


TEXT = Kind(_only(str, said="Give text, in quotes."), _text_shape)
CHOICE = Kind(_only(str, int, said="Give one of the choices."), _choice_shape)
CHOICES = Kind(_several, _several_shape)
WHOLE = Kind(_only(int, said="Give a whole number, without quotes."), _whole_shape)
NUMBER = Kind(_only(int, Decimal, str, said="Give a number."), _number_shape)
YES_NO = Kind(_only(bool, said="Give true or false."), _plainly(serializers.BooleanField))
ID = Kind(_only(int, said="Give the record's id, a whole number."), _plainly(serializers.IntegerField))
DAY = Kind(_day, _plainly(serializers.DateField))
LENGTH = Kind(_length, _plainly(lengths.LengthIn))

# The first that fits: a form's decimal is an integer's subclass, and a typed choice a choice's.
KINDS = (
    (LengthFormField, LENGTH),
    (forms.ModelChoiceField, ID),
    (forms.MultipleChoiceField, CHOICES),
    (forms.ChoiceField, CHOICE),
    (forms.DecimalField, NUMBER),
    (forms.IntegerField, WHOLE),
    (forms.BooleanField, YES_NO),
    (forms.DateField, DAY),
    (forms.CharField, TEXT),
)

Path = tuple[str | int, ...]
_SHAPES: dict[Any, type[serializers.Serializer]] = {}  # a body stands as long as its module


@dataclass(frozen=True)
class Body:
    """A request body. name: in the schema. example: a form to take fields from for the schema; form() unless given.

    paths: where a form's field stands in the body, when not at its own name. kinds: fields whose JSON is its own.
    needs: a field that says nothing without another, and which; a page's box may be left alone, a sent value may not.
    """

    name: str
    form: type[forms.Form]
    paths: Mapping[str, Path] = field(default_factory=dict)
    kinds: Mapping[str, Kind] = field(default_factory=dict)
    needs: Mapping[str, str] = field(default_factory=dict)
    example: Callable[[], Mapping[str, forms.Field]] | None = None

    def fill(self, given, *, start=None, version=None, **form_kwargs):
        """The form, valid, with `given` over `start`. Raises Refused naming each field that is unknown or wrong.

        start: values for what is not given; version: the one the record was seen at.
        """
        if not isinstance(given, dict):
            raise Refused([{"pointer": "", "detail": "Send one JSON object.", "code": "invalid"}])
        data: dict[str, Any] = {}
        form = self.form(data, initial=start or {}, **form_kwargs)
        places = {self._path(name): name for name in form.fields if name != "version"}
        errors, unfit = [], set()
        for path, value in _leaves(given, (), places):
            name = places.get(path)
            if name is None:
                errors.append(_unknown(path, places))
                continue
            try:
                data[name] = "" if value is None else self._kind(name, form.fields[name]).read(value, form)
            except Unfit as refused:
                unfit.add(name)
                told = _of_a_length(form.fields[name], None, refused.readings)
                errors.append(_entry((*path, *refused.at), refused, "invalid", refused.readings) | told)
        for name in [name for name in data if data[name] != "" and data.get(self.needs.get(name, name), "") == ""]:
            errors.append(_entry(self._path(self.needs[name]), "Missing: what stands beside it needs it.", "required"))
        for name, form_field in form.fields.items():
            if name not in data:
                data[name] = _held(form.get_initial_for_field(form_field, name), form_field)
        if version is not None:
            data["version"] = version
        errors += form_errors(form, self._path, unfit)
        if errors:
            raise Refused(errors)
        return form

    def _path(self, name):
        return self.paths.get(name, (name,))

    def _kind(self, name, form_field):
        return self.kinds.get(name) or next(kind for known, kind in KINDS if isinstance(form_field, known))

    # The schema

    def schema(self, *, defaults=(), partial=False):
        """A serializer class that describes this body, the same each time. defaults: fields that may be left out."""
        asked = (id(self), frozenset(defaults), partial)
        if asked not in _SHAPES:
            _SHAPES[asked] = self._shape(defaults, partial)
        return _SHAPES[asked]

    def _shape(self, defaults, partial):
        fields = self.example() if self.example else self.form.base_fields
        tree: dict[Any, Any] = {}
        for name, form_field in fields.items():
            if name == "version":
                continue
            *above, last = self._path(name)
            node = tree
            for step in above:
                node = node.setdefault(step, {})
            asked = form_field.required and not partial and name not in defaults
            nullable = not form_field.required and not isinstance(form_field, forms.BooleanField)
            options = {"required": asked, **({"allow_null": True} if nullable else {})}
            node[last] = self._kind(name, form_field).shape(form_field, options)
        return _serializer(("Changed" if partial else "") + self.name, tree)


def form_errors(form, path_of=lambda name: (name,), leave=()):
    """A form's refusals as entries of errors. path_of: where in the body a box stands; leave: boxes told of already."""
    for name, errors in form.errors.as_data().items():
        if name in leave:
            continue
        path = () if name == "__all__" else path_of(name)
        for error in errors:
            told = error.params or {}
            readings = [each.text for each in told.get("readings", ())]
            length = _of_a_length(form.fields.get(name), told.get("read"), readings)
            for message in error.messages:
                yield _entry(path, message, error.code or "invalid", readings) | length


def _of_a_length(form_field, read, readings):
    """What was understood of a length, null for nothing, and one that would be taken."""
    if not isinstance(form_field, LengthFormField):
        return {}
    tape = form_field.widget.tape
    return {"understood": read or " or ".join(readings) or None, "example": lengths.EXAMPLE[tape.unit]}


def _leaves(value, path, places):
    """Every value of a body with its path, down to the places of fields."""
    if path in places:
        yield path, value
    elif isinstance(value, dict):
        for key, inside in value.items():
            yield from _leaves(inside, (*path, key), places)
    elif isinstance(value, list):
        for number, inside in enumerate(value):
            yield from _leaves(inside, (*path, number), places)
    elif value is not None or not path:
        yield path, value


def _unknown(path, places):
    """One too many in a list, a value where a group stands, or a name nobody knows."""
    alike = [place for place in places if _names(place) == _names(path) and len(place) == len(path)]
    if alike:
        return _entry(path, f"At most {len(alike)} here.", "too_many")
    if any(place[: len(path)] == path for place in places):
        return _entry(path, "Other fields stand inside this one. Send an object or a list.", "invalid")
    return _entry(path, "There is no such field here. Leave it out, or check its name.", "unknown")


def _names(path):
    return tuple(step if isinstance(step, str) else None for step in path)


def _entry(path, detail, code, readings=()):
    entry = {"pointer": pointer(*path), "detail": str(detail), "code": code}
    return entry | ({"readings": list(readings)} if readings else {})


def _held(value, form_field):
    """A stored value as the form's box would hold it."""
    if value is None:
        return ""
    if isinstance(value, Length):
        return lengths.in_millimeters(int(value))
    if isinstance(value, Model):
        return str(value.pk)
    return value if isinstance(value, (bool, date, list)) else str(form_field.prepare_value(value))


def _serializer(name, tree, **options):
    fields = {}
    for step, inside in tree.items():
        if not isinstance(inside, dict):
            fields[step] = inside
        elif 0 in inside:
            fields[step] = _many(name + _title(step), inside)
        else:
            fields[step] = _serializer(name + _title(step), inside)(required=False)
    return type(name, (serializers.Serializer,), fields)


def _many(name, entries):
    if isinstance(entries[0], dict):
        return _serializer(name, entries[0])(many=True, required=False, max_length=len(entries))
    return serializers.ListField(child=entries[0], required=False, max_length=len(entries))


def _title(step):
    return str(step).title().replace("_", "")
