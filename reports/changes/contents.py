"""A change order as one value: shown while it is a draft, kept word for word once it is sent. Knows no records' rules.

Money and numbers stand in it as text, so that the same change gives the same bytes. `said` is what a client reads: it
holds no hours and no cost.
"""

import json

from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.lengths import ZERO, Distance, Unit
from projects.keeping.known_as import with_rooms_here
from reports.documents.head import amount, plain
from reports.estimating.change_values import Kind
from reports.estimating.kept_text import Altered, digest_of

FORMAT = 1


def kept(change):
    """The contents of a sent change order. Raises Altered."""
    if digest_of(change.contents) != change.digest:
        raise Altered(f"Change order {change.number} of job {change.job_id} is not as it was sent.")
    contents = json.loads(change.contents)
    with_rooms_here(change.shop_id, contents["lines"], "room_id")
    return contents


def contents_of(order, priced):
    """As it would be sent now. order: the ChangeOrder; priced: pricing.Priced."""
    change, terms, job = priced.change, priced.books.terms, order.job
    return {
        "format": FORMAT,
        "shop": job.shop.name,
        "currency": change.currency,
        "job": {"number": job.number, "name": job.name, "site": job.site, "client": job.client},
        "number": order.number,
        "title": order.title,
        "reason": order.reason,
        "asked_by": order.asked_by,
        "said": said_of(order, priced),
        "lines": [line_of(line, job.tape.unit) for line in change.lines],
        "rows": [
            {"row": row.row.value, "amount": str(row.amount), "percent": plain(row.percent) if row.percent else ""}
            for row in change.rows
        ],
        "price": str(change.price),
        "hours": plain(change.hours),
        "days": plain(order.days if order.days is not None else change.days),
        "held": change.held,
        "missing": list(change.missing),
        "terms": {name: _plainly(getattr(terms, name)) for name in terms.__slots__},
        "rates": {
            "wage": plain(priced.books.rates.wage), "burden_pct": plain(priced.books.rates.burden_pct),
            "tax_pct": plain(priced.books.rates.tax_pct), "entered": priced.books.rates.entered,
        },
        "priced_on": timezone.localdate().isoformat(),
    }  # fmt: skip


def _plainly(value):
    return value if isinstance(value, bool) or value is None else plain(value)


def line_of(line, unit):
    exact = {"nm": str(line.quantity.nm)} if isinstance(line.quantity, Distance) else str(line.quantity)
    return {
        "kind": line.kind.value,
        "room_id": line.room_id,
        "room": line.room,
        "key": line.key,
        "name": line.name,
        "exact": exact,
        "quantity": _quantity(line.quantity, unit),
        "material": str(line.material),
        "restocking": str(line.restocking),
        "hours": plain(line.hours),
        "labor": str(line.labor),
        "other": str(line.other),
        "amount": str(line.amount),
        "times": plain(line.times),
        "stage": line.stage,
        "notes": [note.value for note in line.notes],
    }


def _quantity(quantity, unit):
    said = amount(quantity, unit)
    return f"{said} {'ft' if unit is Unit.INCH else 'm'}" if isinstance(quantity, Distance) else said


# What a client reads


def said_of(order, priced):
    """Line by line what changes, by room, in the trade's words."""
    tape = order.job.tape
    said = []
    for room in priced.rooms:
        words = [_("%(id)s %(name)s added") % {"id": mark.ident, "name": mark.name} for mark in room.added]
        words += [_("%(id)s %(name)s taken out") % {"id": mark.ident, "name": mark.name} for mark in room.taken_out]
        words += [moved_words(mark, tape) for mark in room.moved]
        if not words and room.changed:
            words = [_("material as the new layout takes it")]
        said += [{"room": room.name, "words": each} for each in words]
    said += [{"room": room.name, "words": moved_words(mark, tape)} for room, mark in priced.moved]
    said += [{"room": line.room, "words": line.name} for line in priced.change.lines if line.kind is Kind.TYPED]
    return said


def moved_words(mark, tape):
    """'A3 4 in light moves 1 ft 2 in to the right and 3 in toward the far wall'."""
    ways = []
    if mark.dx:
        side = _("to the right") if mark.dx > ZERO else _("to the left")
        ways.append(f"{tape.show(abs(mark.dx))} {side}")
    if mark.dy:
        side = _("toward the far wall") if mark.dy > ZERO else _("toward the door wall")
        ways.append(f"{tape.show(abs(mark.dy))} {side}")
    told = {"id": mark.before.ident, "name": mark.before.name, "way": _(" and ").join(ways)}
    return _("%(id)s %(name)s moves %(way)s") % told if ways else _("%(id)s %(name)s moves") % told
