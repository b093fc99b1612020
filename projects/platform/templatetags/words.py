"""What every template may say: lengths as the shop writes them."""

from django import template

from layout.engine.lengths import Distance, Tape

register = template.Library()


@register.filter
def on_tape(distance: Distance | None, tape: Tape) -> str:
    """{{ length|on_tape:tape }} prints a length for a tape; nothing for an absent one."""
    return "" if distance is None else tape.show(distance)


@register.filter
def boxed(form, name):
    """{{ form|boxed:line.field }} is the form's box of that name."""
    return form[name]


@register.filter
def readings(field):
    """The two ways a refused length can be read, for buttons that settle it."""
    return [
        reading for error in field.errors.as_data() if error.code == "ambiguous" for reading in error.params["readings"]
    ]
