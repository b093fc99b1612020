"""A bid revision as one value: what is shown while it is written and what is kept, word for word, once it is sent.

Every page, paper and comparison is made from this value, never from the records beneath a sent bid. Money and
percentages stand in it as text, so that the same bid gives the same bytes.
"""

import json
from decimal import Decimal

from layout.models import LayoutRevision
from projects.keeping.known_as import with_rooms_here
from reports.bids.base import Base
from reports.bids.models import LineKind
from reports.bids.pictures import picture_of, square_feet
from reports.documents.head import plain
from reports.estimating.bid import BidError, BidInputs, BidSum, Cost, Other, Part, per, sum_bid, typed_part
from reports.estimating.kept_text import Altered, digest_of
from reports.estimating.money import NOTHING, Basis, cents, spread

FORMAT = 1
HUNDRED = Decimal(100)
BY_COST = (LineKind.EQUIPMENT, LineKind.PERMIT, LineKind.SUB)
PRICED_ALONE = (LineKind.ADD, LineKind.DEDUCT, LineKind.UNIT_PRICE)


def kept(revision):
    """The contents of a sent revision. Raises Altered when they are not what was sent."""
    if digest_of(revision.contents) != revision.digest:
        raise Altered(f"Bid {revision} is not as it was sent.")
    contents = json.loads(revision.contents)
    with_rooms_here(revision.shop_id, contents.get("rooms", ()), "id")
    return contents


def draft_contents(revision, lines, base: Base):
    """A draft as it would be sent now. Raises BidError for a figure no bid can carry."""
    bid, job = revision.bid, revision.bid.job
    if base.currency not in ("", bid.shop.currency):
        raise BidError(
            "takeoff",
            f"Takeoff {base.label} is priced in {base.currency}, and the shop's money is {bid.shop.currency}."
            " Stand on the job's takeoff as it is now.",
        )
    order = list(LineKind)
    lines = sorted(lines, key=lambda line: order.index(line.kind))  # as they stand on paper; stable within a kind
    made = sum_of(revision, lines, base)
    rooms = _rooms(revision, base, lines, made)
    return {
        "format": FORMAT,
        "shop": bid.shop.name,
        "currency": bid.shop.currency,
        "job": {"number": job.number, "name": job.name, "site": job.site},
        "bid": bid.number,
        "letter": revision.letter,
        "client": bid.client,
        "cover": revision.cover,
        "detail": revision.detail,
        "validity_days": revision.validity_days,
        "retainage_pct": plain(revision.retainage_pct),
        "rates": rates_of(revision),
        "sums": _sums(made),
        "lines": [_line(line, revision) for line in lines],
        "payments": _payments(lines, made.price),
        "rooms": rooms,
        "stands_on": {
            "takeoff": base.takeoff,
            "label": base.label,
            "rules": base.rules,
            "prices_on": base.prices_on,
        },
        "estimate": _estimate(base, made, rooms),
    }


def sum_of(revision, lines, base: Base) -> BidSum:
    parts = [base.part] if base.part else []
    parts += [_part(line, revision) for line in lines if line.kind == LineKind.WORK]
    return sum_bid(_inputs(revision, parts or [Part("")], lines, revision.round_to))


def price_alone(line, revision) -> Decimal:
    """What an alternate or a unit price comes to by itself, at the bid's own percentages; a deduct is negative.

    A price that somebody said stands as said.
    """
    if line.price is not None:
        price = line.price
    else:
        others = [Other(line.words, Cost.SUB, line.amount)] if line.amount else []
        price = sum_bid(
            BidInputs(
                parts=(_part(line, revision),),
                others=tuple(others),
                contingency_pct=revision.contingency_pct,
                overhead_pct=revision.overhead_pct,
                profit_pct=revision.profit_pct,
                profit_basis=Basis(revision.profit_basis),
            )
        ).price
    return -price if line.kind == LineKind.DEDUCT else price


def _inputs(revision, parts, lines, round_to):
    others = [Other(line.words, Cost(line.kind), line.amount or NOTHING) for line in lines if line.kind in BY_COST]
    return BidInputs(
        parts=tuple(parts),
        others=tuple(others),
        contingency_pct=revision.contingency_pct,
        overhead_pct=revision.overhead_pct,
        profit_pct=revision.profit_pct,
        profit_basis=Basis(revision.profit_basis),
        round_to=round_to,
    )


def _part(line, revision) -> Part:
    return typed_part(
        line.words,
        material=line.material or NOTHING,
        taxable=line.taxable,
        tax_pct=revision.tax_pct,
        hours=line.hours or Decimal(0),
        wage=revision.wage,
        burden_pct=revision.burden_pct,
    )


def rates_of(revision):
    names = ("tax_pct", "wage", "burden_pct", "contingency_pct", "overhead_pct", "profit_pct")
    rates = {name: plain(getattr(revision, name)) for name in names}
    return rates | {"profit_basis": revision.profit_basis, "round_to": revision.round_to}


def _sums(made: BidSum):
    names = (
        "material", "tax", "labor", "others", "direct", "contingency", "overhead", "cost", "profit",
        "unrounded", "rounding", "price", "margin_pct", "gross_margin_pct",
    )  # fmt: skip
    sums = {name: text(getattr(made, name)) for name in names} | {"hours": plain(made.hours)}
    lines = [
        {
            "row": line.row.value,
            "name": line.name,
            "amount": text(line.amount),
            "percent": plain(line.percent),
            "of": line.of,
            "total": line.is_total,
        }
        for line in made.lines
    ]
    return sums | {"lines": lines}


def _line(line, revision):
    told = {"key": line.key, "kind": line.kind, "words": line.words}
    for name in ("room", "unit", "when"):
        if getattr(line, name):
            told[name] = getattr(line, name)
    for name, said in (("material", text), ("amount", text), ("hours", plain), ("quantity", plain), ("percent", plain)):
        if getattr(line, name) is not None:
            told[name] = said(getattr(line, name))
    if line.kind in PRICED_ALONE:
        told["price"] = text(price_alone(line, revision))
    if line.kind == LineKind.WORK:
        told["taxable"] = line.taxable
    if line.kind == LineKind.ALLOWANCE:
        told["included"] = line.included
        told["sum"] = text(cents((line.quantity or Decimal(1)) * (line.amount or NOTHING)))
    return told


def _payments(lines, price):
    """Each payment's part of the price; together they are the price to the cent when the percents are 100."""
    asked = [line for line in lines if line.kind == LineKind.PAYMENT]
    percents = [line.percent or Decimal(0) for line in asked]
    if sum(percents) == HUNDRED:
        amounts = spread(price, percents)
    else:
        amounts = tuple(cents(price * percent / HUNDRED) for percent in percents)
    return [
        {"words": line.words, "percent": plain(percent), "amount": text(amount)}
        for line, percent, amount in zip(asked, percents, amounts, strict=True)
    ]


def _rooms(revision, base: Base, lines, made: BidSum):
    """The rooms with their share of the price: what is of no one room is spread by what each costs."""
    typed: dict[str, Decimal] = {}
    for line in lines:
        if line.kind == LineKind.WORK and line.room:
            part = _part(line, revision)
            typed[line.room] = typed.get(line.room, NOTHING) + part.material + part.tax + part.labor
    weights = [room.cost + typed.get(room.name, NOTHING) for room in base.rooms]
    shares = spread(made.price, weights) if any(weights) else [None] * len(weights)
    pictures = _pictures(revision.shop_id, base)
    return [
        {
            "id": room.id,
            "name": room.name,
            "level": room.level,
            "revision": room.revision,
            "digest": room.digest,
            "lights": room.lights,
            "speakers": room.speakers,
            "share": text(share),
            "picture": pictures.get(room.id),
        }
        for room, share in zip(base.rooms, shares, strict=True)
    ]


def _pictures(shop, base: Base):
    """By room, from the very layouts the bid stands on: one query."""
    wanted = {room.id: room.revision for room in base.rooms if room.revision is not None}
    found = LayoutRevision.objects.of(shop).filter(room_id__in=wanted).only("room_id", "number", "inputs", "result")
    return {one.room_id: picture_of(one) for one in found if one.number == wanted[one.room_id]}


def _estimate(base: Base, made: BidSum, rooms):
    """What only the estimator's own sheet shows."""
    lights = sum(room.lights for room in base.rooms)
    speakers = sum(room.speakers for room in base.rooms)
    feet = sum(square_feet(room["picture"]) for room in rooms if room["picture"])
    return {
        "lights": lights,
        "speakers": speakers,
        "rooms": len(base.rooms),
        "square_feet": feet,
        "per_light": text(per(made.price, lights)),
        "per_room": text(per(made.price, len(base.rooms))),
        "per_square_foot": text(per(made.price, feet)),
        "hours_per_light": text(per(made.hours, lights)),
        "counted": [room.name for room in base.rooms if room.revision is None],
        "missing": list(base.missing),
        "plugged": [list(each) for each in base.plugged],
        "factors": [[room, [list(one) for one in chain]] for room, chain in base.factors],
        "lines": [list(line) for line in base.lines],
        "by_hand_ft": base.by_hand_ft,
        "cable_ft": base.cable_ft,
    }


def text(value) -> str:
    """Money as it stands in the contents, to the cent; nothing for an absent amount."""
    return "" if value is None else f"{cents(value):f}"
