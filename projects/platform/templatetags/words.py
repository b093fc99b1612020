"""What every template may say: lengths as the shop writes them."""

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from django import template

from layout.engine.lengths import Distance, Tape, Unit, feet, mm
from projects.platform.speaking import speaker

register = template.Library()


@register.simple_tag
def request_id() -> str:
    """{% request_id %} is the id under which this request stands in the log, also where a page has no context."""
    return speaker().request


@register.filter
def on_tape(distance: Distance | None, tape: Tape) -> str:
    """{{ length|on_tape:tape }} prints a length for a tape; nothing for an absent one."""
    return "" if distance is None else tape.show(distance)


@register.filter
def coil(length, tape: Tape) -> str:
    """{{ length|coil:tape }} is a coil or a reel as it is bought: 250 ft, 100 m. Nobody buys cable by the inch."""
    if length is None:
        return ""
    unit, name = (mm(1000), "m") if tape.unit is Unit.MM else (feet(1), "ft")
    return f"{number(Fraction(length.nm) / unit.nm)} {name}"


@register.filter
def number(value, most=2) -> str:
    """{{ hours|number }} is a figure to read: 1,209.5 with two places at most, half up, and no idle zeros."""
    if value is None or value == "":
        return ""
    exact = Fraction(str(value)) if not isinstance(value, Fraction) else value
    steps = Fraction(10) ** int(most)
    whole = math.floor(abs(exact) * steps + Fraction(1, 2))
    text = f"{Decimal(whole) / 10 ** int(most):,.{int(most)}f}"
    return ("−" if exact < 0 and whole else "") + (text.rstrip("0").rstrip(".") if int(most) else text)


@register.filter
def hours(value) -> str:
    """{{ line.hours|hours }} is what stands in a column of hours: 1.50. They are added up before they are rounded."""
    return cents(value)


@register.filter
def cents(value) -> str:
    """{{ cost|cents }} is an amount in the page's own currency: 1,209.00."""
    if value is None or value == "":
        return ""
    amount = Decimal(value).quantize(Decimal("0.01"), ROUND_HALF_UP)
    return f"{amount:,.2f}".replace("-", "−")


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
