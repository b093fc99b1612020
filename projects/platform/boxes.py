"""Forms' commonest boxes, said in Python as Django's templates say them: a page has dozens of them.

Whatever is not said here, a radio button or a list of errors, comes from the template.
"""

from django.forms.renderers import DjangoTemplates
from django.template import Context
from django.template.base import render_value_in_context
from django.utils.html import escape
from django.utils.safestring import SafeData

WIDGETS = "django/forms/widgets/"
OPTION = WIDGETS + "select_option.html"
INPUTS = ("input", "text", "number", "hidden", "email", "password", "date", "checkbox")


class Boxes(DjangoTemplates):
    """FORM_RENDERER: the same HTML as Django's own, to the character."""

    def render(self, template_name, context, request=None):
        say = SAID.get(template_name)
        said = say(context) if say else None
        return super().render(template_name, context, request) if said is None else said


def _text(value) -> str:
    """As {{ value|stringformat:'s' }}."""
    return value if isinstance(value, SafeData) else escape(str(value))


def _shown(value) -> str:
    """As {{ value }}."""
    return render_value_in_context(value, Context())


def _attributes(widget) -> str:
    told = ((name, value) for name, value in widget["attrs"].items() if value is not False)
    return "".join(f" {name}" if value is True else f' {name}="{_text(value)}"' for name, value in told)


def _input(context) -> str:
    widget = context["widget"]
    value = widget["value"]
    told = "" if value is None else f' value="{_text(value)}"'
    return f'<input type="{_shown(widget["type"])}" name="{_shown(widget["name"])}"{told}{_attributes(widget)}>'


def _select(context) -> str | None:
    widget = context["widget"]
    parts = [f'<select name="{_shown(widget["name"])}"{_attributes(widget)}>']
    for name, options, _number in widget["optgroups"]:
        if name:
            parts.append(f'\n  <optgroup label="{_shown(name)}">')
        for option in options:
            if option["template_name"] != OPTION:
                return None
            value, label = _text(option["value"]), _shown(option["label"])
            parts.append(f'\n  <option value="{value}"{_attributes(option)}>{label}</option>\n')
        if name:
            parts.append("\n  </optgroup>")
    return "".join((*parts, "\n</select>"))


def _no_errors(context) -> str | None:
    return None if context["errors"] else ""


SAID = {
    **{f"{WIDGETS}{kind}.html": _input for kind in INPUTS},
    WIDGETS + "select.html": _select,
    "django/forms/errors/list/default.html": _no_errors,
}
