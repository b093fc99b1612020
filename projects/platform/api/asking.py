"""Questions that stand in an address, held to a page's form: what can be worked out is read with GET."""

from django import forms
from django.http import QueryDict
from drf_spectacular.utils import OpenApiParameter

from projects.platform.api.problems import Refused


def parameters(form_class, *, asked=(), many=()):
    """For the description. asked: those that may not be left out; many: those that take several, with commas."""
    return [
        OpenApiParameter(name, _shape(field, name in many), required=name in asked, description=_said(field))
        for name, field in form_class.base_fields.items()
    ]


def _shape(field, several):
    if isinstance(field, forms.BooleanField):
        return bool
    if isinstance(field, (forms.IntegerField, forms.ModelChoiceField)) and not isinstance(field, forms.DecimalField):
        return int
    if isinstance(field, forms.ChoiceField) and not several:
        return {"type": "string", "enum": [str(key) for key, _words in field.choices]}
    return {"type": "string", "maxLength": 400}


def _said(field):
    return str(field.label or "") + (f". {field.help_text}" if field.help_text else "")


def answered(view, form_class, *, start=None, many=(), **form_kwargs):
    """The form, valid, from the view's address. start: values for what is not asked. Raises Refused by parameter."""
    asked = view.request.query_params
    view.refuse_unknown_questions(asked)
    data = QueryDict(mutable=True)
    for name, value in (start or {}).items():
        data.setlist(name, value if isinstance(value, list) else [value])
    for name in asked:
        data.setlist(name, asked[name].split(",") if name in many else [asked[name]])
    form = form_class(data, **form_kwargs)
    if form.errors:
        raise Refused(list(_wrong(form)))
    return form


def _wrong(form):
    for name, errors in form.errors.as_data().items():
        for error in errors:
            for message in error.messages:
                entry = {"detail": str(message), "code": error.code or "invalid"}
                yield entry if name == "__all__" else {"parameter": name, **entry}
