"""What a bid's templates may say: money with its currency, percentages with what they are of, rooms in words."""

from django import template

from reports.bids import money_words
from reports.bids.comparing import counts_said, line_said
from reports.bids.models import LineKind, State
from reports.documents.head import plain

register = template.Library()


@register.filter
def money(amount, currency):
    """{{ "15784.74"|money:"USD" }} prints $15,784.74; nothing for an absent amount."""
    return "" if amount in (None, "") else money_words.amount_said(amount, currency)


@register.filter
def signed_money(amount, currency):
    return "" if amount in (None, "") else money_words.signed(amount, currency)


@register.filter
def percent_of(percent, of):
    """{{ "22"|percent_of:"direct" }} prints 22 % of direct cost."""
    return money_words.percent_said(percent, of)


@register.filter
def plainly(number):
    """22 rather than 22.000."""
    return plain(number)


@register.filter
def kind_name(kind):
    return LineKind(kind).label


@register.filter
def state_name(state):
    return State(state).label


@register.filter
def said(line, currency):
    return line_said(line, currency)


@register.filter
def goes_in(room):
    """8 lights and 2 speakers."""
    return counts_said(room)
