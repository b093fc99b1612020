"""Words for the codes of a change's lines and rows, and money with its currency. Knows no sums."""

from django import template
from django.utils.translation import gettext_lazy as _

from reports.bids.money_words import amount_said

register = template.Library()

KINDS = {
    "added": _("added"),
    "taken_out": _("taken out"),
    "moved": _("moved"),
    "typed": _("by hand"),
    "least": _("up to the least hours of a change order"),
}
NOTES = {
    "no_price": _("no price known"),
    "plugged": _("a plugged price"),
    "todays_price": _("at today's price: the bid had none"),
    "not_bought": _("not bought yet: credited in full"),
    "restocked": _("goes back, less restocking"),
    "kept": _("can't go back: no material credit"),
    "installed": _("what is installed is not credited"),
}
ROWS = {
    "material": _("Material added"),
    "tax": _("Sales tax on it, % of taxable material"),
    "labor": _("Labor added"),
    "other": _("Patch and paint"),
    "overhead": _("Overhead, % of cost of added work"),
    "profit": _("Profit, % of cost with overhead"),
    "credit_material": _("Material taken out"),
    "restocking": _("Restocking held back, % of what goes back"),
    "credit_tax": _("Sales tax given back, % of taxable material"),
    "credit_labor": _("Labor taken out, at the bid's units"),
    "credit_markup": _("Overhead and profit given back"),
}
GOODS = {
    "not_bought": _("not bought yet"),
    "returnable": _("go back, less restocking"),
    "kept": _("can't go back"),
}
SAID_GOODS = {"not_bought": "not_bought", "restocked": "returnable", "kept": "kept"}


@register.filter
def kind_said(code):
    return KINDS.get(code, code)


@register.filter
def note_said(code):
    return NOTES.get(code, code)


@register.filter
def row_said(code):
    return ROWS.get(code, code)


@register.filter
def change_money(amount, currency):
    """{{ "94.38"|change_money:"USD" }} prints $94.38; nothing for an absent amount."""
    return "" if amount in (None, "") else amount_said(amount, currency)


@register.filter
def goods_choices(line):
    """(value, words, chosen) of where a line's goods may be; none for a line that takes nothing out."""
    if line["kind"] != "taken_out" or not line["room_id"]:
        return []
    now = next((SAID_GOODS[note] for note in line["notes"] if note in SAID_GOODS), "")
    return [(value, words, value == now) for value, words in GOODS.items()]
