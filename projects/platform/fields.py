"""Model fields for what a shop writes down: exact lengths, names, notes. The database keeps them honest by CHECK."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models.functions import Length as CharacterCount
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import Length, feet, nanometers
from projects.platform.names import clean_name, clean_note

FIRST_DAY, LAST_DAY = dt.date(2000, 1, 1), dt.date(2100, 12, 31)  # of what is planned or recorded by day


class LengthField(models.BigIntegerField):
    """An exact Length, stored as whole nanometers."""

    description = _("Length")

    @property
    def validators(self):
        """None of an integer's: the bounds of a length stand in the table's CHECKs, and forms say them in words."""
        return [*self.default_validators, *self._validators]

    def from_db_value(self, value, expression, connection):
        return None if value is None else nanometers(value)

    def to_python(self, value):
        if value is None or isinstance(value, Length):
            return value
        if isinstance(value, int) and not isinstance(value, bool):
            return nanometers(value)
        raise ValidationError(_("A length is given as a Length."), code="invalid")

    def get_prep_value(self, value):
        if value is None:
            return None
        if isinstance(value, Length):
            return int(value)
        return super().get_prep_value(value)

    def deconstruct(self):
        name, path, args, kwargs = super().deconstruct()
        if isinstance(kwargs.get("default"), Length):
            kwargs["default"] = int(kwargs["default"])
        return name, path, args, kwargs

    def value_to_string(self, obj):
        value = self.value_from_object(obj)
        return "" if value is None else str(int(value))


class NameField(models.CharField):
    """A one-line name: cleaned, never blank."""

    def __init__(self, *args, **kwargs):
        kwargs.setdefault("max_length", 120)
        super().__init__(*args, **kwargs)

    def to_python(self, value):
        value = super().to_python(value)
        return value if value in (None, "") else clean_name(value)


class NoteField(models.TextField):
    """Free text, cleaned, may be empty, bounded."""

    def __init__(self, *args, **kwargs):
        kwargs.setdefault("max_length", 4000)
        kwargs.setdefault("blank", True)
        kwargs.setdefault("default", "")
        super().__init__(*args, **kwargs)

    def to_python(self, value):
        value = super().to_python(value)
        return value if value is None else clean_note(value)


def length_between(field, low, high, *, model):
    """CHECK that a stored length lies within bounds (both included); an absent one passes."""
    return models.CheckConstraint(
        condition=models.Q(**{f"{field}__isnull": True})
        | models.Q(**{f"{field}__gte": int(low), f"{field}__lte": int(high)}),
        name=f"{model}_{field}_bounds",
    )


def number_between(field, low, high, *, model):
    """CHECK that a stored number lies within bounds (both included); an absent one passes."""
    return models.CheckConstraint(
        condition=models.Q(**{f"{field}__isnull": True}) | models.Q(**{f"{field}__gte": low, f"{field}__lte": high}),
        name=f"{model}_{field}_bounds",
    )


def one_of(field, choices, *, model, or_none=False):
    """CHECK that a stored value is one of a known list."""
    known = models.Q(**{f"{field}__in": list(choices)})
    if or_none:
        known |= models.Q(**{f"{field}__isnull": True})
    return models.CheckConstraint(condition=known, name=f"{model}_{field}_known")


def no_longer_than(field, most, *, model):
    """SQLite ignores max_length: this CHECK is what holds."""
    return models.CheckConstraint(
        condition=models.Q(**{f"{field}__characters__lte": most}), name=f"{model}_{field}_size"
    )


# The lookup that no_longer_than's CHECK is written with.
models.CharField.register_lookup(CharacterCount, "characters")
models.TextField.register_lookup(CharacterCount, "characters")

WALL = (feet(1), feet(300))
HEIGHT = (feet(5), feet(60))
