"""How money and percentages are written for people: a sum with its currency, a percent with what it is of."""

from decimal import Decimal

from django.utils.translation import gettext as _

DOLLARS = "USD"


def amount_said(amount, currency) -> str:
    """$15,784.74, or CAD 15,784.74: the dollar sign is the US dollar's alone."""
    amount = Decimal(amount)
    sign, digits = "−" if amount < 0 else "", f"{abs(amount):,.2f}"
    return f"{sign}${digits}" if currency == DOLLARS else f"{sign}{currency} {digits}"


def signed(amount, currency) -> str:
    """As amount_said, with a plus where it adds."""
    return ("+" if Decimal(amount) > 0 else "") + amount_said(amount, currency)


def percent_said(percent, of) -> str:
    """A percentage never stands without its words."""
    words = {
        "direct": _("%(n)s %% of direct cost"),
        "direct_and_contingency": _("%(n)s %% of direct cost and contingency"),
        "of_cost": _("%(n)s %% of cost"),
        "of_price": _("%(n)s %% of price"),
        "wage": _("%(n)s %% of wage"),
        "material": _("%(n)s %% of taxable material"),
        "payment": _("%(n)s %% of each payment"),
        "price": _("%(n)s %% of the price"),
    }
    return words[of] % {"n": percent}
