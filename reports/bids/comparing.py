"""Two revisions of a bid side by side, from what each says: in one sentence, and as rows. Knows no records."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from reports.bids.models import LineKind
from reports.bids.money_words import amount_said, percent_said, signed

SUMS = {
    "material": gettext_lazy("Material"),
    "tax": gettext_lazy("Sales tax"),
    "labor": gettext_lazy("Labor"),
    "others": gettext_lazy("Equipment, permits, subs"),
    "direct": gettext_lazy("Direct cost"),
    "contingency": gettext_lazy("Contingency"),
    "overhead": gettext_lazy("Overhead"),
    "cost": gettext_lazy("Cost"),
    "profit": gettext_lazy("Profit"),
    "price": gettext_lazy("Price"),
}
RATES = {
    "tax_pct": gettext_lazy("Sales tax, of taxable material"), "burden_pct": gettext_lazy("Burden, of wage"),
    "contingency_pct": gettext_lazy("Contingency, of direct cost"),
    "overhead_pct": gettext_lazy("Overhead, of direct cost and contingency"),
}  # fmt: skip
WORDS = ("words", "room", "material", "hours", "amount", "price", "quantity", "unit", "percent", "when", "included")


@dataclass(frozen=True, slots=True)
class Row:
    """What differs: before and after as they are read; empty where there was nothing."""

    what: str
    before: str
    after: str
    difference: str = ""


@dataclass(frozen=True, slots=True)
class Compared:
    sentence: str
    rows: tuple[Row, ...]


def compare(before, after) -> Compared:
    """before, after: two contents of one bid."""
    rows = (*_sums(before, after), *_terms(before, after), *_rooms(before, after), *_lines(before, after))
    return Compared(_sentence(before, after, rows), rows)


def _sentence(before, after, rows):
    letters = {"was": before["letter"], "now": after["letter"]}
    if not rows:
        return _("Revisions %(was)s and %(now)s say the same.") % letters
    was, now = (Decimal(each["sums"]["price"]) for each in (before, after))
    currency = after["currency"]
    if now == was:
        price = _("Revision %(now)s has the price of revision %(was)s, %(price)s") % (
            letters | {"price": amount_said(now, currency)}
        )
    else:
        words = (
            _("Revision %(now)s is %(by)s more than revision %(was)s, %(before)s to %(after)s")
            if now > was
            else _("Revision %(now)s is %(by)s less than revision %(was)s, %(before)s to %(after)s")
        )
        price = words % (
            letters
            | {
                "by": amount_said(abs(now - was), currency),
                "before": amount_said(was, currency),
                "after": amount_said(now, currency),
            }
        )
    lines = len(_changed(before, after))
    rooms = len(_rooms(before, after))
    more = []
    if lines:
        more.append(ngettext("%(n)s line differs", "%(n)s lines differ", lines) % {"n": lines})
    if rooms:
        more.append(ngettext("%(n)s room differs", "%(n)s rooms differ", rooms) % {"n": rooms})
    return "; ".join([price, *more]) + "."


def _sums(before, after):
    for name, words in SUMS.items():
        was, now = (Decimal(each["sums"][name]) for each in (before, after))
        if was != now:
            yield Row(
                str(words),
                amount_said(was, before["currency"]),
                amount_said(now, after["currency"]),
                signed(now - was, after["currency"]),
            )
    was, now = (Decimal(each["sums"]["hours"]) for each in (before, after))
    if was != now:
        yield Row(_("Hours"), f"{was:f}", f"{now:f}", f"{now - was:+f}")


def _terms(before, after):
    for name, words in RATES.items():
        was, now = (each["rates"][name] for each in (before, after))
        if was != now:
            yield Row(str(words), f"{was} %", f"{now} %")
    was, now = (percent_said(each["rates"]["profit_pct"], each["rates"]["profit_basis"]) for each in (before, after))
    if was != now:
        yield Row(_("Profit"), was, now)
    for name, words in (("wage", _("Wage, an hour")), ("round_to", _("Price rounded to"))):
        was, now = (str(each["rates"][name]) for each in (before, after))
        if was != now:
            yield Row(words, was, now)
    for name, words in (
        ("validity_days", _("Good for, days")), ("retainage_pct", _("Retainage, % of each payment")),
        ("client", _("Client")), ("cover", _("Words to the client")), ("detail", _("Detail of the proposal")),
    ):  # fmt: skip
        was, now = (str(each[name]) for each in (before, after))
        if was != now:
            yield Row(words, was, now)
    for name, words in (("label", _("Takeoff")), ("rules", _("Takeoff rules")), ("prices_on", _("Prices of"))):
        was, now = (str(each["stands_on"][name]) for each in (before, after))
        if was != now:
            yield Row(words, was, now)


def _rooms(before, after):
    rooms = [{room["id"]: room for room in each["rooms"]} for each in (before, after)]
    rows = []
    for room_id in dict.fromkeys((*rooms[0], *rooms[1])):
        was, now = (each.get(room_id) for each in rooms)
        if was is None or now is None or any(was[n] != now[n] for n in ("name", "revision", "lights", "speakers")):
            rows.append(Row((now or was)["name"], room_said(was), room_said(now)))
    return rows


def room_said(room):
    """A room in words: what goes into its ceiling, and the layout it stands on."""
    if room is None:
        return ""
    basis = _("layout %(n)s") % {"n": room["revision"]} if room["revision"] else _("counted")
    return f"{counts_said(room)} ({basis})"


def counts_said(room):
    lights, speakers = room["lights"], room["speakers"]
    said = []
    if lights:
        said.append(ngettext("%(n)s light", "%(n)s lights", lights) % {"n": lights})
    if speakers:
        said.append(ngettext("%(n)s speaker", "%(n)s speakers", speakers) % {"n": speakers})
    return _(" and ").join(said) or _("nothing yet")


def _changed(before, after):
    """(before, after) of lines that differ, by their key; payments follow from the price and are told by words."""
    lines = [{line["key"]: line for line in each["lines"]} for each in (before, after)]
    pairs = [tuple(each.get(key) for each in lines) for key in dict.fromkeys((*lines[0], *lines[1]))]
    return [pair for pair in pairs if _bare(pair[0]) != _bare(pair[1])]


def _bare(line):
    return None if line is None else {name: line[name] for name in WORDS if name in line}


def _lines(before, after):
    currency = after["currency"]
    return [
        Row(str(LineKind((now or was)["kind"]).label), line_said(was, currency), line_said(now, currency))
        for was, now in _changed(before, after)
    ]


def line_said(line, currency):
    """A line in words, with whatever number it carries."""
    if line is None:
        return ""
    said = [line["words"]]
    if "percent" in line:
        said.append(f"{line['percent']} %")
    if "quantity" in line:
        said.append(f"{line['quantity']} {line.get('unit', '')}".strip())
    for name in ("material", "amount", "price"):
        if name in line:
            said.append(amount_said(Decimal(line[name]), currency))
    if "hours" in line:
        said.append(_("%(n)s h") % {"n": line["hours"]})
    return " · ".join(said)
