"""What a change to a contract costs: what is added, what is taken out, what moves, each priced by itself and shown.

Added work is priced at today's prices and the contract's higher labor; what is taken out at the bid's own units; the
two are never set off against each other before they are priced. On what is taken out no overhead and profit is given
back unless the contract says so, and no material for goods that can't go back (common practice, no source). Every
line is to the cent and the price is the sum of the lines shown. Knows no records and no words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction

from layout.engine.lengths import ZERO, Distance, Length
from reports.estimating.change_terms import ChangeError, Goods, StageRule, Terms
from reports.estimating.change_values import Books, Change, ChangeLine, Kind, Note, Row, SumRow, Typed
from reports.estimating.counted import CountedRoom
from reports.estimating.difference import Difference, ItemChange, MovedMark, RoomDifference
from reports.estimating.labor import hours, units_for, wages, whole_phases
from reports.estimating.labor_book import ROOM, Factor, LaborBook, Phase
from reports.estimating.money import NOTHING, cents, percent_of, total
from reports.estimating.price_book import ItemPrice
from reports.estimating.priced import NO_HOURS, Rates
from reports.estimating.takeoff import Quantity

MOST_AMOUNT = Decimal(10_000_000)
HALF_DAY = Decimal("0.5")
HELD_BY = {kind: (f"{kind}_bracket", f"{kind}_back_box") for kind in ("speaker", "subwoofer")}


def price_change(
    found: Difference, books: Books, typed: Sequence[Typed] = (), moved: Sequence[tuple[RoomDifference, MovedMark]] = ()
) -> Change:
    """The change from one takeoff to another, with what people typed beside it.

    moved: lights to be priced as moved that no second layout shows yet, each with its room.
    Raises ChangeError for an amount no change can carry.
    """
    lines: list[ChangeLine] = []
    for room in found.rooms:
        rule = books.stages[room.room_id]
        lines += [_added(room, item, rule, books) for item in room.items if _more(item.added)]
        if room.before is None:
            lines += _room_alone(room, rule, books)
        lines += [_moved(room, mark, rule, books) for mark in room.moved]
        lines += [_taken_out(room, item, rule, books) for item in room.items if _more(item.taken_out)]
    lines += [_moved(room, mark, books.stages[room.room_id], books) for room, mark in moved]
    in_rooms = {item.key for room in found.rooms for item in room.items}
    for each in found.items:
        if each.item.key not in in_rooms:
            lines += _of_the_job(each.item, books)
    lines += [_typed(each, books.rates) for each in typed]
    worked = sum((line.hours for line in lines if not line.is_credit), start=NO_HOURS)
    if lines and worked < books.terms.least_hours:
        lines.append(_least(books.terms.least_hours - worked, books.rates))
    rows, held = _rows(lines, books)
    worked = sum((line.hours for line in lines if not line.is_credit), start=NO_HOURS)
    missing = tuple(dict.fromkeys(line.key for line in lines if Note.NO_PRICE in line.notes))
    return Change(books.prices.currency, tuple(lines), rows, held, days(worked, books.terms.hours_a_day), missing)


def days(worked: Decimal, hours_a_day: Decimal) -> Decimal:
    """What it adds to the schedule, in half days, rounded up; a person may say otherwise."""
    halves = (worked / hours_a_day / HALF_DAY).to_integral_value(ROUND_CEILING)
    return halves * HALF_DAY


def applied(quantities: Mapping[tuple[int, str], Quantity], change: Change) -> dict[tuple[int, str], Quantity]:
    """Quantities by room and item, with the change's adds and what it takes out: base and change give the new ones."""
    after = dict(quantities)
    for line in change.lines:
        if line.kind in (Kind.ADDED, Kind.TAKEN_OUT) and line.room_id is not None and line.key != ROOM:
            place = (line.room_id, line.key)
            nothing: Quantity = ZERO if isinstance(line.quantity, Distance) else Fraction(0)
            held = after.get(place, nothing)
            after[place] = held + line.quantity if line.kind is Kind.ADDED else held - line.quantity  # type: ignore[operator]
    return {place: quantity for place, quantity in after.items() if _more(quantity)}


# Lines


def _added(room: RoomDifference, item: ItemChange, rule: StageRule, books: Books) -> ChangeLine:
    """At today's prices, and the higher of the contract's labor for added work and what the room's stage asks for."""
    material, taxable, notes = _bought(item.key, item.added, books)
    times = max(books.terms.add_times, rule.times)
    here = books.factors.get(room.name, ())
    net = _net(room, item.key, more=True, otherwise=item.added)
    worked = _hours(room, item.key, net, here, books.labor, times)
    return _line(Kind.ADDED, room, item, item.added, rule, material, taxable, worked, books.rates, times, notes)


def _taken_out(room: RoomDifference, item: ItemChange, rule: StageRule, books: Books) -> ChangeLine:
    """At the bid's prices and units, less restocking; nothing for what is installed or can't go back."""
    goods = books.goods.get((room.room_id, item.key)) or _goods(item, rule)
    gross, taxable, notes = _credited(item.key, item.taken_out, books)
    notes = (*notes, _SAID[goods])
    credit = NOTHING if goods is Goods.KEPT else gross
    restocking = percent_of(credit, books.terms.restock_pct) if goods is Goods.RETURNABLE else NOTHING
    here = books.factors.get(room.name, ())
    net = _net(room, item.key, more=False, otherwise=item.taken_out)
    given_back = _hours(room, item.key, net, here, books.labor, Decimal(1), rule.done)
    if given_back != _hours(room, item.key, net, here, books.labor, Decimal(1)):
        notes = (*notes, Note.INSTALLED)
    return ChangeLine(
        Kind.TAKEN_OUT, room.room_id, room.name, item.key, item.name, item.unit, item.taken_out, -credit, taxable,
        restocking, -given_back, -wages(given_back, books.bid_rates), NOTHING, Decimal(1), rule.key, notes,
    )  # fmt: skip


_SAID = {Goods.NOT_BOUGHT: Note.NOT_BOUGHT, Goods.RETURNABLE: Note.RESTOCKED, Goods.KEPT: Note.KEPT}


def _goods(item: ItemChange, rule: StageRule) -> Goods:
    """Cable that was bought is cut from the coil: it doesn't go back."""
    if isinstance(item.taken_out, Distance) and rule.goods is Goods.RETURNABLE:
        return Goods.KEPT
    return rule.goods


def _moved(room: RoomDifference, mark: MovedMark, rule: StageRule, books: Books) -> ChangeLine:
    """The light's own labor as often as the stage asks for, what stripping it takes, and patch and paint."""
    here = books.factors.get(room.name, ())
    side = room.before or room.after
    lines = side.takeoff.lines if side else ()
    keys = [line.key for line in lines if line.key.split(":")[1:] == [mark.before.type_key]]
    # A speaker's rough-in is its bracket's and its back box's, which the takeoff counts as lines of their own.
    keys += [line.key for line in lines if line.key in HELD_BY.get(mark.before.kind, ())]
    set_so_far = {Phase.ROUGH, *rule.done}
    whole = whole_phases(books.labor, [line.key for line in lines])
    worked = NO_HOURS
    for key in keys:
        for unit in units_for(books.labor, key, here, whole):
            if unit.phase in set_so_far:
                worked += hours(unit, 1, here, rule.times).hours
    worked += rule.strip_hours
    patch = books.terms.patch_each if rule.patch else NOTHING
    return ChangeLine(
        Kind.MOVED, room.room_id, room.name, f"mark:{mark.before.ident}", mark.before.name, "light", Fraction(1),
        NOTHING, False, NOTHING, worked, wages(worked, books.rates), patch, rule.times, rule.key,
    )  # fmt: skip


def _room_alone(room: RoomDifference, rule: StageRule, books: Books) -> list[ChangeLine]:
    """What a room that came in takes whatever is in it: laying out and marking."""
    here = books.factors.get(room.name, ())
    worked = _hours(room, ROOM, Fraction(1), here, books.labor, books.terms.add_times)
    if not worked:
        return []
    alone = ChangeLine(
        Kind.ADDED, room.room_id, room.name, ROOM, "", "room", Fraction(1), NOTHING, False, NOTHING, worked,
        wages(worked, books.rates), NOTHING, books.terms.add_times, rule.key,
    )  # fmt: skip
    return [alone]


def _of_the_job(item: ItemChange, books: Books) -> list[ChangeLine]:
    """What the job takes once, in no room: bought or credited, no labor."""
    parts = ((item.added, Kind.ADDED, _bought), (item.taken_out, Kind.TAKEN_OUT, _credited))
    return [
        _once(item, quantity, kind, told(item.key, quantity, books))
        for quantity, kind, told in parts
        if _more(quantity)
    ]


def _once(item: ItemChange, quantity: Quantity, kind: Kind, told: tuple[Decimal, bool, tuple[Note, ...]]) -> ChangeLine:
    material, taxable, notes = told
    signed = -material if kind is Kind.TAKEN_OUT else material
    return ChangeLine(
        kind, None, "", item.key, item.name, item.unit, quantity, signed, taxable, NOTHING, NO_HOURS, NOTHING, NOTHING,
        Decimal(1), "", notes,
    )  # fmt: skip


def _typed(each: Typed, rates: Rates) -> ChangeLine:
    for name in ("material", "hours"):
        value = getattr(each, name)
        if not value.is_finite() or not 0 <= value <= MOST_AMOUNT:
            raise ChangeError(name, f"{name}: {value} is out of bounds. Give a number from 0 to {MOST_AMOUNT}.")
    return ChangeLine(
        Kind.TYPED, each.room_id, each.room, "", each.name, "", Fraction(1), cents(each.material), each.taxable,
        NOTHING, each.hours, wages(each.hours, rates), NOTHING, Decimal(1), "",
    )  # fmt: skip


def _least(short: Decimal, rates: Rates) -> ChangeLine:
    return ChangeLine(
        Kind.LEAST, None, "", "", "", "", Fraction(1), NOTHING, False, NOTHING, short, wages(short, rates), NOTHING,
        Decimal(1), "",
    )  # fmt: skip


def _line(
    kind: Kind, room: RoomDifference, item: ItemChange, quantity: Quantity, rule: StageRule, material: Decimal,
    taxable: bool, worked: Decimal, rates: Rates, times: Decimal, notes: tuple[Note, ...],
) -> ChangeLine:  # fmt: skip
    return ChangeLine(
        kind, room.room_id, room.name, item.key, item.name, item.unit, quantity, material, taxable, NOTHING, worked,
        wages(worked, rates), NOTHING, times, rule.key, notes,
    )  # fmt: skip


# The sum


def _rows(lines: Sequence[ChangeLine], books: Books) -> tuple[tuple[SumRow, ...], bool]:
    terms = books.terms
    added = [line for line in lines if not line.is_credit]
    gone = [line for line in lines if line.is_credit]
    material = total([line.material for line in added])
    tax = percent_of(total([line.material for line in added if line.taxable]), books.rates.tax_pct)
    labor, other = total([line.labor for line in added]), total([line.other for line in added])
    direct = material + tax + labor + other
    overhead, profit, held = _markup(direct, terms)
    rows = [
        SumRow(Row.MATERIAL, material),
        SumRow(Row.TAX, tax, books.rates.tax_pct),
        SumRow(Row.LABOR, labor),
        SumRow(Row.OTHER, other),
        SumRow(Row.OVERHEAD, overhead, terms.overhead_pct),
        SumRow(Row.PROFIT, profit, terms.profit_pct),
    ]
    credit = total([line.material for line in gone])
    restocking = total([line.restocking for line in gone])
    refund = -percent_of(-total([line.material for line in gone if line.taxable]), books.bid_rates.tax_pct)
    credit_labor = total([line.labor for line in gone])
    rows += [
        SumRow(Row.CREDIT_MATERIAL, credit),
        SumRow(Row.RESTOCKING, restocking, terms.restock_pct),
        SumRow(Row.CREDIT_TAX, refund, books.bid_rates.tax_pct),
        SumRow(Row.CREDIT_LABOR, credit_labor),
    ]
    if terms.credit_markup:
        back_overhead, back_profit, _ = _markup(-(credit + refund + credit_labor), terms)
        rows.append(SumRow(Row.CREDIT_MARKUP, -(back_overhead + back_profit)))
    return tuple(row for row in rows if row.amount or row.row in (Row.MATERIAL, Row.LABOR)), held


def _markup(direct: Decimal, terms: Terms) -> tuple[Decimal, Decimal, bool]:
    """Overhead of direct cost, profit of both; together no more than the contract lets them come to."""
    overhead = percent_of(direct, terms.overhead_pct)
    profit = percent_of(direct + overhead, terms.profit_pct)
    if terms.most_markup_pct is None:
        return overhead, profit, False
    most = percent_of(direct, terms.most_markup_pct)
    if overhead + profit <= most:
        return overhead, profit, False
    overhead = min(overhead, most)
    return overhead, most - overhead, True


# Prices and hours


def _bought(key: str, quantity: Quantity, books: Books) -> tuple[Decimal, bool, tuple[Note, ...]]:
    """At today's price. Not in the book: nothing, and the line says that no price is known."""
    item = books.prices.items.get(key)
    if item is None or not item.packs:
        return NOTHING, False, (Note.NO_PRICE,)
    amount = _count(quantity, books.cable_unit)
    return cents(amount * _each(item, amount, books)), item.taxable, (Note.PLUGGED,) if item.plugged_by else ()


def _each(item: ItemPrice, amount: Fraction, books: Books) -> Fraction:
    """The price of one: by the pack one would buy for it, the cheapest by measure of those not larger than the need,
    else the smallest (common practice, no source). What is left of a pack is the shop's.
    """
    sizes = [(_count(pack.size, books.cable_unit), Fraction(pack.price)) for pack in item.packs]
    fit = [price / size for size, price in sizes if size <= amount]
    if fit:
        return min(fit)
    smallest, of_it = min(sizes)
    return of_it / smallest


def _credited(key: str, quantity: Quantity, books: Books) -> tuple[Decimal, bool, tuple[Note, ...]]:
    """At what the bid paid for one; where it had no price, at today's."""
    line = next((line for line in books.bid.lines if line.key == key), None) if books.bid else None
    if line is None or not line.price_source or not line.order:
        amount, taxable, notes = _bought(key, quantity, books)
        return amount, taxable, notes if Note.NO_PRICE in notes else (*notes, Note.TODAYS_PRICE)
    credit = cents(_count(quantity, books.cable_unit) * Fraction(line.cost) / line.order)
    return credit, line.taxable, (Note.PLUGGED,) if line.plugged_by else ()


def _hours(
    room: RoomDifference,
    key: str,
    quantity: Quantity,
    here: tuple[Factor, ...],
    labor: LaborBook,
    times: Decimal,
    without: frozenset[Phase] = frozenset(),
) -> Decimal:
    side = room.after or room.before
    whole = whole_phases(labor, [line.key for line in side.takeoff.lines] if side else [])
    units = [unit for unit in units_for(labor, key, here, whole) if unit.phase not in without]
    return sum((hours(unit, quantity, here, times).hours for unit in units), start=NO_HOURS)


def _net(room: RoomDifference, key: str, *, more: bool, otherwise: Quantity) -> Quantity:
    """What is installed more, or less: without waste."""
    if not isinstance(otherwise, Distance):
        return otherwise
    was, now = _net_of(room.before, key), _net_of(room.after, key)
    net = now - was if more else was - now
    return net if _more(net) else ZERO


def _net_of(side: CountedRoom | None, key: str) -> Distance:
    for line in side.takeoff.lines if side else ():
        if line.key == key and isinstance(line.net, Distance):
            return line.net
    return ZERO


def _count(quantity: Quantity | int, cable_unit: Length) -> Fraction:
    return quantity.nm / Fraction(cable_unit.nm) if isinstance(quantity, Distance) else Fraction(quantity)


def _more(quantity: Quantity) -> bool:
    return (quantity.nm if isinstance(quantity, Distance) else quantity) > 0
