"""A stored value as plain JSON, and back: exact, the same on either engine. Knows fields, no record."""

import base64
import datetime as dt
import json
import uuid
from decimal import Decimal, InvalidOperation
from functools import singledispatch

from django.core.exceptions import ValidationError
from django.db import models

from layout.engine.lengths import Length, nanometers
from projects.platform.fields import LengthField, NameField, NoteField
from projects.platform.names import clean_name, clean_note


class NotPlain(ValueError):
    """What stands there is no value of its column. The message says what would be."""


def out(field, value):
    """A value as the ORM reads it, as JSON has it: lengths in whole nanometers, decimals and times as text."""
    if value is None:
        return None
    if isinstance(value, Length):
        return int(value)
    if isinstance(value, Decimal):
        return f"{value:.{field.decimal_places}f}"
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, bytes | memoryview | bytearray):
        return base64.b64encode(bytes(value)).decode()
    if isinstance(value, uuid.UUID):
        return value.hex
    return value


@singledispatch
def _read(field, value):
    raise NotPlain(f"a column of the kind {type(field).__name__} can't be read in")


def back(field, value):
    """The value for the column, or NotPlain. Relations are not read here."""
    if value is None:
        if not field.null:
            raise NotPlain("something has to stand here")
        return None
    return _read(field, value)


def _whole(value):
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) >= 2**63:
        raise NotPlain("a whole number stands here")
    return value


def _text(value):
    if not isinstance(value, str):
        raise NotPlain("text stands here")
    if "\0" in value or any("\ud800" <= one <= "\udfff" for one in value):
        raise NotPlain("the text holds characters that are none")
    return value


def _said(read, value, what):
    try:
        return read(value)
    except (ValueError, TypeError, InvalidOperation, ValidationError):
        raise NotPlain(what) from None


@_read.register
def _(field: models.IntegerField, value):
    return _whole(value)


@_read.register
def _(field: LengthField, value):
    return nanometers(_whole(value))


@_read.register
def _(field: models.BooleanField, value):
    if not isinstance(value, bool):
        raise NotPlain("true or false stands here")
    return value


@_read.register
def _(field: models.FloatField, value):
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NotPlain("a number stands here")
    return float(value)


@_read.register
def _(field: models.DecimalField, value):
    number = _said(Decimal, _text(value), "a number with a point stands here, as text")
    if not number.is_finite() or out(field, number) != value:
        raise NotPlain(f"a number with {field.decimal_places} places stands here")
    return number


@_read.register
def _(field: models.DateField, value):
    return _said(dt.date.fromisoformat, _text(value), "a day stands here, as 2026-12-01")


@_read.register
def _(field: models.DateTimeField, value):
    when = _said(dt.datetime.fromisoformat, _text(value), "a time stands here, as 2026-12-01T08:00:00.000000Z")
    if when.tzinfo is None:
        raise NotPlain("a time stands here with its zone, as 2026-12-01T08:00:00.000000Z")
    return when


@_read.register
def _(field: models.UUIDField, value):
    return _said(uuid.UUID, _text(value), "an id of 32 digits stands here")


@_read.register
def _(field: models.BinaryField, value):
    return _said(lambda text: base64.b64decode(text, validate=True), _text(value), "bytes stand here, in base 64")


@_read.register
def _(field: models.JSONField, value):
    json.dumps(value, allow_nan=False)
    return value


@_read.register
def _(field: models.CharField, value):
    text = _text(value)
    if field.max_length and len(text) > field.max_length:
        raise NotPlain(f"at most {field.max_length} characters stand here")
    return text


@_read.register
def _(field: NameField, value):
    return _clean(_text(value), clean_name, field)


@_read.register
def _(field: models.TextField, value):
    return _text(value)


@_read.register
def _(field: NoteField, value):
    return _clean(_text(value), clean_note, field)


def _clean(text, clean, field):
    """A name or a note as a person may type it: no marks that turn the line around, nothing unseen."""
    if text and _said(clean, text, "the text holds marks that can't be seen") != text:
        raise NotPlain("the text holds marks that can't be seen, or blanks around it")
    if field.max_length and len(text) > field.max_length:
        raise NotPlain(f"at most {field.max_length} characters stand here")
    return text
