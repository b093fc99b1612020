"""A bid's contents as pages and papers show them: the sum column, lines by kind, rooms with their pictures. No sums."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from reports.bids.models import LineKind
from reports.bids.money_words import amount_said, percent_said
from reports.bids.pictures import picture_svg
from reports.estimating.bid import margin_of, markup_of

ROWS = {
    "material": gettext_lazy("Material"),
    "tax": gettext_lazy("Sales tax"),
    "labor": gettext_lazy("Labor"),
    "equipment": gettext_lazy("Equipment"),
    "permit": gettext_lazy("Permit"),
    "sub": gettext_lazy("Sub"),
    "direct": gettext_lazy("Direct cost"),
    "contingency": gettext_lazy("Contingency"),
    "overhead": gettext_lazy("Overhead"),
    "cost": gettext_lazy("Cost"),
    "profit": gettext_lazy("Profit"),
    "unrounded": gettext_lazy("Price before rounding"),
    "rounding": gettext_lazy("Rounding"),
    "price": gettext_lazy("Price"),
}


@dataclass(frozen=True, slots=True)
class SumRow:
    """One line of the sum column, as it is read."""

    key: str
    sign: str
    what: str
    number: str
    note: str
    total: bool


def sum_rows(contents) -> list[SumRow]:
    currency, rates = contents["currency"], contents["rates"]
    rows = []
    for line in contents["sums"]["lines"]:
        amount = Decimal(line["amount"])
        sign = "=" if line["total"] else "−" if amount < 0 else "+" if rows else ""
        what = str(ROWS[line["row"]]) + (f": {line['name']}" if line["name"] else "")
        rows.append(
            SumRow(
                line["row"], sign, what, amount_said(abs(amount), currency), _note(line, rates, contents), line["total"]
            )
        )
    return rows


def _note(line, rates, contents):
    if line["percent"]:
        return percent_said(line["percent"], line["of"]) + _other_way(line)
    if line["row"] == "tax":
        return percent_said(rates["tax_pct"], "material")
    if line["row"] == "labor":
        words = _("%(wage)s an hour and burden of %(burden)s")
        return words % {
            "wage": amount_said(rates["wage"], contents["currency"]),
            "burden": percent_said(rates["burden_pct"], "wage"),
        }
    if line["row"] == "price":
        return _("%(margin)s after all cost, %(gross)s after direct cost") % {
            "margin": percent_said(contents["sums"]["margin_pct"], "of_price"),
            "gross": percent_said(contents["sums"]["gross_margin_pct"], "of_price"),
        }
    return ""


def _other_way(line):
    """A profit said the other way too: nobody has to remember which of the two a percentage is."""
    percent = Decimal(line["percent"])
    if line["of"] == "of_price":
        return " = " + percent_said(f"{markup_of(percent):f}", "of_cost")
    if line["of"] == "of_cost":
        return " = " + percent_said(f"{margin_of(percent):f}", "of_price")
    return ""


GROUPS = (
    (gettext_lazy("In the price"), (LineKind.WORK, LineKind.EQUIPMENT, LineKind.PERMIT, LineKind.SUB)),
    (
        gettext_lazy("Beside the price"),
        (LineKind.ADD, LineKind.DEDUCT, LineKind.ALLOWANCE, LineKind.UNIT_PRICE),
    ),
    (
        gettext_lazy("Said in words, and how it is paid"),
        (LineKind.EXCLUSION, LineKind.ASSUMPTION, LineKind.PAYMENT, LineKind.NOTE),
    ),
)


def grouped(lines):
    """(title, the kinds of this group, its lines in their kinds' order) for each group, empty ones too."""
    return [(title, kinds, [line for kind in kinds for line in lines if line.kind == kind]) for title, kinds in GROUPS]


def of_kind(contents, *kinds):
    return [line for line in contents["lines"] if line["kind"] in kinds]


def rooms_shown(contents, key):
    """Each room with its picture as svg, where it was laid out. key: sets this page's ids apart."""
    return [room | {"svg": _svg(room, f"{key}-{room['id']}") if room["picture"] else ""} for room in contents["rooms"]]


def _svg(room, key):
    # Drawn by our own code from whole numbers; its title is escaped where it is written.
    title = _("Ceiling of %(room)s") % {"room": room["name"]}
    return mark_safe(picture_svg(room["picture"], key=key, title=title))


CLIENT_KEYS = ("key", "kind", "words", "unit", "when", "quantity", "price", "sum", "amount", "included", "percent")


def for_client(contents, key="room"):
    """What a client may read, and nothing else: no cost, no hours, no wage, no percentage of either.

    Built up from nothing rather than cut down, so that what is added to the contents stays inside.
    """
    lines = {}
    for kind in (LineKind.ADD, LineKind.DEDUCT, LineKind.ALLOWANCE, LineKind.UNIT_PRICE, LineKind.EXCLUSION,
                 LineKind.ASSUMPTION, LineKind.NOTE):  # fmt: skip
        kept = [{name: line[name] for name in CLIENT_KEYS if name in line} for line in of_kind(contents, kind)]
        if kind in (LineKind.ADD, LineKind.DEDUCT, LineKind.UNIT_PRICE):
            for line in kept:
                line.pop("amount", None)
        lines[kind.value] = kept
    detail = contents["detail"]
    rooms = [
        {
            "name": room["name"],
            "level": room["level"],
            "svg": room["svg"],
            "laid_out": room["revision"] is not None,
            "lights": room["lights"],
            "speakers": room["speakers"],
            "counts": detail == "counts",
            "share": room["share"] if detail != "total" else "",
        }
        for room in rooms_shown(contents, key)
    ]
    return {
        "shop": contents["shop"],
        "currency": contents["currency"],
        "job": contents["job"],
        "bid": contents["bid"],
        "letter": contents["letter"],
        "client": contents["client"],
        "cover": contents["cover"],
        "price": contents["sums"]["price"],
        "payments": contents["payments"],
        "retainage_pct": contents["retainage_pct"],
        "validity_days": contents["validity_days"],
        "rooms": rooms,
        "by_room": any(room["share"] for room in rooms),
        "counted": [room["name"] for room in rooms if not room["laid_out"]],
        "lines": lines,
    }
