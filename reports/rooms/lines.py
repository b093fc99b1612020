"""The first screen's lines: what a week costs if nobody moves. Each is one sentence: who, what, where, by when, why.

From reds to sentences; nothing here queries. The same lines go on a page (`html`, with its link) and into a letter
(`text`).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.catalogue.tables import stage_number, stages
from reports.bids.money_words import amount_said
from reports.rooms.facts import JobNow, RoomNow
from reports.rooms.reds import Red

MOST = 10
AN_HOUR = Decimal(60)  # what an hour is taken for where money and hours are held together. Common practice, no source.


@dataclass(frozen=True, slots=True)
class Line:
    """One sentence. words holds %(where)s, which `where` and `href` fill; hours: crew hours to come if it is left."""

    key: str
    words: str
    where: str
    href: str
    hours: Decimal
    amount: Decimal | None = None

    @property
    def text(self) -> str:
        return self.words % {"where": self.where}

    @property
    def html(self):
        link = format_html('<a href="{}">{}</a>', self.href, self.where)
        return mark_safe(conditional_escape(self.words) % {"where": link})  # both parts are escaped

    @property
    def weight(self) -> Decimal:
        return weight_of(self)


def weight_of(one: Red | Line) -> Decimal:
    """What it costs to leave it, in hours; money is taken for hours."""
    return one.hours + (one.amount or 0) / AN_HOUR


def lines(found: list[Red], currency: str, most: int | None = None) -> list[Line]:
    """Every red, or so many of them, as a line; what it costs most to leave first."""
    first = sorted(found, key=lambda red: (-weight_of(red), red.by is None, red.by, red.job.id))[:most]
    return [line(red, currency) for red in first]


def line(red: Red, currency: str) -> Line:
    where = _rooms_said(red.rooms, red.job) if red.rooms else str(red.job)
    told = {"where": "%(where)s", **_told(red, currency)}
    told = {name: value if name == "where" else str(value).replace("%", "%%") for name, value in told.items()}
    return Line(red.rule.key, SENTENCES[red.rule.key](red, told), where, answered_at(red), red.hours, red.amount)


def _told(red: Red, currency: str) -> dict:
    return {
        "who": red.who,
        "by": date_format(red.by, "D, M j") if red.by else "",
        "when": when(red.days) if red.days is not None else "",
        "days": red.days if red.days is not None else "",
        "count": red.count,
        "amount": amount_said(red.amount, currency) if red.amount is not None else "",
    }


def when(days: int) -> str:
    """In so many days, as people say it."""
    if days == 0:
        return _("today")
    if days == 1:
        return _("tomorrow")
    if days > 0:
        return _("in %(n)s days") % {"n": days}
    return ngettext("a day ago", "%(n)s days ago", -days) % {"n": -days}


# Where what is red about one room is answered. Of several rooms one chooses first.
ANSWERED = {
    "drywall_rough_in": "move_stage",
    "failed_inspection": "room_inspections",
    "inspection_checklist": "room_checks",
    "passed_guard": "move_stage",
    "released_unapproved": "room",
    "site_question": "room",
    "stale_card": "room",
    "stuck": "move_stage",
    "waits": "move_stage",
}


def answered_at(red: Red) -> str:
    """Of one room the page where it is answered, else where the red's rooms are."""
    if len(red.rooms) != 1 or red.rule.key not in ANSWERED:
        return where_to(red)
    room = red.rooms[0]
    page = "as_built" if red.rule.key == "site_question" and room.moves else ANSWERED[red.rule.key]
    return reverse(page, args=[room.id])


def where_to(red: Red) -> str:
    """The rooms a red is about, else the job's own page for it."""
    if red.rooms:
        return rooms_address(red.job.id, red=red.rule.key)
    pages = {"material_short": "material", "unsigned_change": "job_changes", "unbilled": "job_billed"}
    return reverse(pages[red.rule.key], args=[red.job.id])


def _rooms_said(rooms: tuple[RoomNow, ...], job: JobNow) -> str:
    if len(rooms) == 1:
        return _("%(room)s of %(job)s") % {"room": rooms[0].name, "job": job}
    return _("%(n)s rooms of %(job)s") % {"n": len(rooms), "job": job}


def rooms_address(job_id: int | None = None, **asked) -> str:
    """The table of rooms, narrowed."""
    query = {"view": "table", **({"job": job_id} if job_id else {}), **asked}
    return f"{reverse('rooms')}?{urlencode(query)}"


def _drywall_rough_in(red, told):
    if red.days < 0:
        return _("Crew lead: finish rough-in in %(where)s now, or say why not; drywall was due %(when)s.") % told
    return _("Crew lead: finish rough-in in %(where)s by %(by)s, or move drywall; it comes %(when)s.") % told


def _inspection_checklist(red, told):
    words = ngettext(
        "Crew lead: answer the %(count)s open checklist item in %(where)s by %(by)s; the inspector comes %(when)s.",
        "Crew lead: answer %(count)s open checklist items in %(where)s by %(by)s; the inspector comes %(when)s.",
        red.count,
    )
    if red.days < 0:
        words = ngettext(
            "Crew lead: answer the %(count)s open checklist item in %(where)s now; the inspection was due %(when)s.",
            "Crew lead: answer %(count)s open checklist items in %(where)s now; the inspection was due %(when)s.",
            red.count,
        )
    return words % told


def _failed_inspection(red, told):
    if not red.count:
        return _("Crew lead: have %(where)s inspected again; the inspector's corrections are answered.") % told
    words = ngettext(
        "Crew lead: answer the inspector's %(count)s correction in %(where)s by %(by)s; it did not pass.",
        "Crew lead: answer the inspector's %(count)s corrections in %(where)s by %(by)s; it did not pass.",
        red.count,
    )
    return words % told


def _released_unapproved(red, told):
    return _("Office: get a name and a date under %(where)s today; it is in the field and nobody approved it.") % told


def _stale_card(red, told):
    return _("Crew lead: print the card of %(where)s anew today; the one on site is older than the layout.") % told


def _site_question(red, told):
    words = ngettext(
        "Whoever may move marks: answer the crew's question in %(where)s today; they have waited %(days)s day.",
        "Whoever may move marks: answer the crew's question in %(where)s today; they have waited %(days)s days.",
        red.days,
    )
    return words % told


def _passed_guard(red, told):
    words = ngettext(
        "Owner: answer what you passed over in %(where)s; %(count)s thing is still missing.",
        "Owner: answer what you passed over in %(where)s; %(count)s things are still missing.",
        red.count,
    )
    return words % told


def _material_short(red, told):
    words = ngettext(
        "Office: get %(count)s short item to %(where)s by %(by)s; the crew starts %(when)s.",
        "Office: get %(count)s short items to %(where)s by %(by)s; the crew starts %(when)s.",
        red.count,
    )
    return words % told


def _waits(red, told):
    reasons = {room.waits_for.partition(":")[2].strip().rstrip(".") for room in red.rooms}
    why = reasons.pop() if len(reasons) == 1 else ""
    told = told | {"who": whom(red.rooms[0]).replace("%", "%%"), "why": why.replace("%", "%%")}
    if told["why"]:
        return _("%(who)s must act for %(where)s: %(why)s; it has waited %(days)s days, so call today.") % told
    return _("%(who)s must act for %(where)s; it has waited %(days)s days, so call today.") % told


def _stuck(red, told):
    at = {room.stage for room in red.rooms}
    if len(at) == 1:
        told = told | {"stage": _(stages()[at.pop()].name)}
        return _("Crew lead: move %(where)s on, or say what holds it up; %(days)s days at %(stage)s.") % told
    return _("Crew lead: move %(where)s on, or say what holds it up; up to %(days)s days at one stage.") % told


def _unsigned_change(red, told):
    words = ngettext(
        "Office: have %(count)s change order of %(where)s signed, %(amount)s; it went out %(days)s days ago.",
        "Office: have %(count)s change orders of %(where)s signed, %(amount)s; the oldest went out %(days)s days ago.",
        red.count,
    )
    return words % told


def _unbilled(red, told):
    return _("Office: bill %(where)s; %(amount)s of the work is complete and was not billed for %(days)s days.") % told


def whom(room: RoomNow) -> str:
    """Who must act; where nobody is named, a layout that was sent out waits for the client."""
    if named := room.waits_for.partition(":")[0].strip():
        return named
    return _("Client") if room.stage == stage_number("approved") else _("Nobody named")


SENTENCES = {
    "drywall_rough_in": _drywall_rough_in,
    "inspection_checklist": _inspection_checklist,
    "failed_inspection": _failed_inspection,
    "released_unapproved": _released_unapproved,
    "stale_card": _stale_card,
    "site_question": _site_question,
    "passed_guard": _passed_guard,
    "material_short": _material_short,
    "waits": _waits,
    "stuck": _stuck,
    "unsigned_change": _unsigned_change,
    "unbilled": _unbilled,
}
