"""A takeoff with the shop's prices and hours on it: what each line costs, and each room's part of it.

A total is the sum of the lines shown, and a line the sum of its rooms. Without a price a line is told as missing; no
price is made up. Knows no bid: no contingency, overhead or profit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from layout.engine.lengths import Distance, Length, Unit, feet, mm
from reports.estimating import reels
from reports.estimating.cable_schedule import piece
from reports.estimating.labor import hours, units_for, wages, whole_phases
from reports.estimating.labor_book import ROOM, Factor, LaborBook, Phase
from reports.estimating.money import NOTHING, cents, percent_of, spread, total
from reports.estimating.packs import Size, least_cost
from reports.estimating.price_book import ItemPrice, PriceBook
from reports.estimating.priced import Bought, Hours, Priced, PricedLine, PricedRoomLine, Rates
from reports.estimating.takeoff import JobLine, JobTakeoff, Line, Quantity, RoomTakeoff

FOOT, METER = feet(1), mm(1000)
LABOR = "labor"  # the category of what is no material
# Over this many pieces of one cable no cutting plan is made, as a page waits for it: 2,000 pieces take under a second,
# 4,000 up to six. Single pieces are short beside so much cable, so that it is bought by length.
MOST_PIECES = 2000


class PricingError(ValueError):
    """A price that doesn't fit what it is for. The message names the item and the remedy."""


Known = dict[tuple[str, Quantity, tuple[Factor, ...], frozenset[Phase]], tuple[Hours, ...]]


def price(
    job: JobTakeoff,
    rooms: Sequence[RoomTakeoff],
    prices: PriceBook,
    labor: LaborBook,
    rates: Rates,
    factors: Mapping[str, tuple[Factor, ...]],
    *,
    cable_unit: Length = FOOT,
    apart: bool = True,
) -> Priced:
    """A job's takeoff with what its material costs and how long it takes.

    rooms: the job's rooms, by whose names `factors` has their conditions ('' : the job's own). cable_unit: what an
    order of cable is counted in, a foot or a meter. Sums of money are worked out once, shown on one line, and told
    apart from there: tax = the rate of all taxable material; labor = all hours x wage x (1 + burden).
    apart: False leaves each line's money untold over its rooms (zero there), for who shows whole lines alone.
    """
    by_room = {room.room: {line.key: line for line in room.lines} for room in rooms}
    whole = {name: whole_phases(labor, lines) for name, lines in by_room.items()}
    known: Known = {}
    lines = [
        _line(line, by_room, prices.items.get(line.key), labor, factors, whole, cable_unit, known) for line in job.lines
    ]
    lines += _labor_alone(by_room, labor, factors, whole)
    lines = _with_shares(lines, rates, apart)
    missing = tuple(line.key for line in lines if line.category != LABOR and not line.price_source)
    return Priced(prices.currency, rates, tuple(lines), missing, factors)


@dataclass(frozen=True, slots=True)
class Purchase:
    """What is bought for one line. by_reels: cut from reels by a plan."""

    bought: tuple[Bought, ...]
    by_reels: bool

    @property
    def cost(self) -> Decimal:
        return total([each.cost for each in self.bought])


def purchase(
    order: int | Fraction, item: ItemPrice, pieces: Sequence[Fraction] = (), *, cable_unit: Length = FOOT
) -> Purchase:
    """The packs for an order, at least cost. pieces: a cable's cuts, none longer than what is left on its reel.

    Args: order and pieces in pieces, or in feet (meters) of cable. Without pieces, by length alone.
    Raises PricingError for a pack of length where pieces are bought, or the other way round.
    """
    sizes = [Size(_size(item, pack.size, cable_unit), pack.price) for pack in item.packs]
    plan = _cut(pieces, sizes)
    if plan and sum((size.size * count for size, count in plan), start=Fraction(0)) >= order:
        return Purchase(_bought(plan), True)
    return Purchase(_bought(least_cost(order, sizes).packs), False)


def _cut(pieces: Sequence[Fraction], sizes: Sequence[Size]) -> list[tuple[Size, int]]:
    """Reels to cut the pieces from; none where the pieces aren't known, or one is longer than any reel."""
    if not 0 < len(pieces) <= MOST_PIECES:
        return []
    try:
        plan = reels.plan(pieces, [reels.Pack(size.size, size.price) for size in sizes])
    except reels.ReelError:
        return []
    counted: dict[Size, int] = {}
    for reel in plan.reels:
        size = Size(reel.length, reel.price if reel.price is not None else NOTHING)
        counted[size] = counted.get(size, 0) + 1
    return sorted(counted.items(), key=lambda each: -each[0].size)


def _size(item: ItemPrice, size: int | Length, cable_unit: Length) -> Fraction:
    cable = item.key.startswith("cable:")
    if isinstance(size, Length) != cable:
        raise PricingError(f"{item.name or item.key}: cable is priced by the coil, everything else by the piece.")
    return size.nm / cable_unit.nm if isinstance(size, Length) else Fraction(size)


def _bought(packs: Sequence[tuple[Size, int]]) -> tuple[Bought, ...]:
    return tuple(Bought(pack.size, count, cents(pack.price), cents(pack.price) * count) for pack, count in packs)


def _line(
    line: JobLine,
    by_room: Mapping[str, Mapping[str, Line]],
    item: ItemPrice | None,
    labor: LaborBook,
    factors: Mapping[str, tuple[Factor, ...]],
    whole: Mapping[str, frozenset[Phase]],
    cable_unit: Length,
    known: Known,
) -> PricedLine:
    """Cost and tax are not told apart yet. Hours are for what is installed: spares and waste take none.

    known: hours told before; rooms of a big job are much alike.
    """
    made = None
    if item is not None and item.packs:
        made = purchase(line.order, item, _pieces(line, by_room, cable_unit), cable_unit=cable_unit)
    rooms = []
    for name, quantity in line.by_room or (("", line.quantity),):
        here = factors.get(name, ())
        net = by_room[name][line.key].net if name else quantity
        phases = whole.get(name, frozenset())
        same = (line.key, net, here, phases)
        told = known.get(same)
        if told is None:
            units = units_for(labor, line.key, here, phases)
            told = known[same] = tuple(hours(unit, net, here) for unit in units)
        rooms.append(PricedRoomLine(name, quantity, NOTHING, NOTHING, told, NOTHING))
    return PricedLine(
        key=line.key,
        name=line.name,
        category=line.category,
        unit=line.unit,
        quantity=line.quantity,
        order=line.order,
        bought=made.bought if made else (),
        taxable=item.taxable if item else False,
        cost=made.cost if made else NOTHING,
        tax=NOTHING,
        labor=NOTHING,
        price_source=(item.source or item.plugged_by) if item and made else "",
        plugged_by=item.plugged_by if item and made else "",
        rooms=tuple(rooms),
        by_reels=made.by_reels if made else False,
    )


def _pieces(line: JobLine, by_room: Mapping[str, Mapping[str, Line]], cable_unit: Length) -> tuple[Fraction, ...]:
    """A cable's pieces, as the cable schedule cuts them; none when any room's cable is known by its feet alone."""
    if not isinstance(line.quantity, Distance):
        return ()
    unit = Unit.INCH if cable_unit == FOOT else Unit.MM
    found: list[Fraction] = []
    for name, _quantity in line.by_room:
        part = by_room[name][line.key]
        lengths = [run.length for run in part.runs if run.length.nm]
        if not isinstance(part.quantity, Distance) or not isinstance(part.net, Distance) or not lengths:
            return ()
        if sum(length.nm for length in lengths) != part.net.nm or len(found) + len(lengths) > MOST_PIECES:
            return ()
        percent = (part.quantity.nm / part.net.nm - 1) * 100
        found += [piece(length, percent, unit).nm / cable_unit.nm for length in lengths]
    return tuple(found)


def _labor_alone(
    by_room: Mapping[str, Mapping[str, Line]],
    labor: LaborBook,
    factors: Mapping[str, tuple[Factor, ...]],
    whole: Mapping[str, frozenset[Phase]],
) -> Iterator[PricedLine]:
    """What each room takes whatever is in it: one line of hours, with nothing to buy."""
    rooms = []
    for name, lines in by_room.items():
        here = factors.get(name, ())
        units = units_for(labor, ROOM, here, whole[name]) if lines else ()
        if units:
            told = tuple(hours(unit, 1, here) for unit in units)
            rooms.append(PricedRoomLine(name, Fraction(1), NOTHING, NOTHING, told, NOTHING))
    if rooms:
        name = rooms[0].hours[0].unit.name
        yield PricedLine(
            ROOM, name, LABOR, "room", Fraction(len(rooms)), 0, (), False, NOTHING, NOTHING, NOTHING, "", "",
            tuple(rooms),
        )  # fmt: skip


def _with_shares(lines: list[PricedLine], rates: Rates, apart: bool) -> list[PricedLine]:
    """Tax and labor of the whole, told apart over the lines, and each line's sums over its rooms."""
    taxable = [line.cost if line.taxable else NOTHING for line in lines]
    tax = percent_of(total(taxable), rates.tax_pct)
    line_hours = [line.hours for line in lines]
    labor = wages(sum(line_hours, start=Decimal(0)), rates)
    shares = zip(lines, spread(tax, taxable), spread(labor, line_hours), strict=True)
    if not apart:
        return [replace(line, tax=line_tax, labor=line_labor) for line, line_tax, line_labor in shares]
    return [_told_apart(line, line_tax, line_labor) for line, line_tax, line_labor in shares]


def _told_apart(line: PricedLine, tax: Decimal, labor: Decimal) -> PricedLine:
    amounts = [_number(room.quantity) for room in line.rooms]
    costs, taxes = spread(line.cost, amounts), spread(tax, amounts)
    labors = spread(labor, [_hours(room.hours) for room in line.rooms])
    rooms = tuple(
        replace(room, cost=cost, tax=room_tax, labor=room_labor)
        for room, cost, room_tax, room_labor in zip(line.rooms, costs, taxes, labors, strict=True)
    )
    return replace(line, tax=tax, labor=labor, rooms=rooms)


def _number(quantity: Quantity) -> Fraction:
    return quantity.nm if isinstance(quantity, Distance) else quantity


def _hours(told: Sequence[Hours]) -> Decimal:
    return sum((each.hours for each in told), start=Decimal(0))


def unit_of_cable(metric: bool) -> Length:
    return METER if metric else FOOT
