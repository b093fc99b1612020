"""Rows of a page that can be added to and dropped: joists, things, corners. Knows no row in particular."""

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.platform.forms import LengthFormField

PLACE = "__n__"  # stands for the number in the row a script copies


class Rows:
    """Forms with the prefixes joist-0, joist-1 ... A row whose boxes are all empty was not meant."""

    def __init__(self, form, prefix, data, starts, *, most, extra=0, **kwargs):
        """starts: what the rows begin with. extra: empty rows after them. kwargs: for every form."""
        self.prefix, self.most = prefix, most
        self._form, self._kwargs = form, kwargs
        if data is None:
            initials = [*starts, *({} for _row in range(extra))]
            self.forms = [self._row(number, None, initial) for number, initial in enumerate(initials)]
        else:
            count = min(_whole(data.get(f"{prefix}-count")), most) + extra
            self.forms = [self._row(number, data, {}) for number in range(min(count, most))]

    def _row(self, number, data, initial):
        row = self._form(data, prefix=f"{self.prefix}-{number}", initial=initial, **self._kwargs)
        row.fields["drop"] = forms.BooleanField(label=_("Take out"), required=False)
        if data is not None and _is_empty(row):
            row = self._form(None, prefix=row.prefix, initial=initial, **self._kwargs)
            row.fields["drop"] = forms.BooleanField(label=_("Take out"), required=False)
        return row

    @property
    def count(self):
        return len(self.forms)

    @property
    def blank(self):
        """What a script copies to add a row."""
        return self._row(PLACE, None, {})

    @property
    def meant(self):
        return [row for row in self.forms if row.is_bound]

    def is_valid(self):
        told = [row.is_valid() for row in self.meant]  # all of them: every row is to say what is wrong with it
        return all(told)

    @property
    def good(self):
        """The rows that can be read and are to stay."""
        return [row for row in self.meant if row.is_valid() and row.filled]


def _is_empty(row):
    typed = [name for name, field in row.fields.items() if isinstance(field, (LengthFormField, forms.CharField))]
    return not any(str(row.data.get(row.add_prefix(name), "")).strip() for name in typed)


def _whole(text):
    return int(text) if text and text.isdecimal() and len(text) < 6 else 0
