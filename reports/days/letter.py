"""The morning's letter: what the first screen says, the person's own rooms, what is due this week. Plain text."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from projects.crews.queries import rooms_today
from projects.joining.queries import the_one_job
from projects.platform.one_job import keep_to, undo
from projects.platform.permissions import may
from reports.days.dates import due_between
from reports.rooms.gather import look
from reports.rooms.lines import MOST, lines
from reports.rooms.reds import reds
from reports.rooms.rules import rules_of
from reports.rooms.under_way import WEEK


@dataclass(frozen=True, slots=True)
class Letter:
    """What is sent, and to whom."""

    to: str
    subject: str
    body: str

    def send(self) -> None:
        EmailMessage(self.subject, self.body, to=[self.to]).send()


def letter_for(member, on: dt.date, address) -> Letter:
    """The letter of a day, in the person's language, as far as they may see. address(path): a page's full address."""
    before = keep_to(the_one_job(member))
    try:
        with translation.override(getattr(member.user, "language", "") or translation.get_language()):
            return _written(member, on, address)
    finally:
        undo(before)


def _written(member, on, address):
    shop = member.shop
    now = look(shop, money=may(member, "change contracts"), today=on)
    said = lines(reds(now, rules_of(shop)), shop.currency)
    context = {
        "shop": shop,
        "on": on,
        "lines": [(line.text, address(line.href)) for line in said[:MOST]],
        "more": max(0, len(said) - MOST),
        "rooms": rooms_today(member, on),
        "due": due_between(shop, on, on + WEEK),
        "home": address("/"),
        "settings": address("/own/days/"),
    }
    day = date_format(on, "D, M j")
    subject = _("%(shop)s, %(day)s: %(count)s to move") % {"shop": shop, "day": day, "count": len(said)}
    return Letter(member.user.email, subject, render_to_string("days/letter.txt", context))
