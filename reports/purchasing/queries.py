"""Reads of material: what a job still has to buy, what a room has, what is on order. Quantities only, never a price."""

from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil

from django.db.models import Prefetch
from django.http import Http404

from layout.engine.lengths import Distance, Unit, feet, mm
from reports.purchasing.models import Movement, Order, OrderLine, PickLine, PickList
from reports.purchasing.services import became, lies_of, shelf
from reports.purchasing.stock import Lies, OnOrder, Standing, standings
from reports.takeoffs.counting import count_job, counted_rooms
from reports.wiring.models import Reel

NOT_MATERIAL = frozenset({"equipment", "fees", "allowances"})  # rented, paid or allowed for: nothing to lie anywhere
OWN = "own:"  # keys of what the takeoff doesn't know


@dataclass(frozen=True, slots=True)
class ToBuy:
    """One line of a job's material. promised: the earliest day something of it is still promised for."""

    key: str
    name: str
    unit: str
    category: str
    standing: Standing
    promised: object = None
    shelf: int = 0  # on the shop's shelves of leftovers: nobody's until it is taken for a job
    reels: int = 0  # whole feet or meters left on the shop's opened reels: nobody's until they are pulled


@dataclass(frozen=True, slots=True)
class JobMaterial:
    lines: tuple[ToBuy, ...]
    counted_only: tuple[str, ...]  # rooms priced by counts alone: the need includes them
    left_out: tuple[str, ...]  # rooms with nothing to count

    @property
    def to_buy(self):
        return sum(1 for line in self.lines if line.standing.to_buy)


def unit_of(unit, tape):
    """How a line is counted: cable by the foot, or by the meter where millimeters are read."""
    if unit != "length":
        return unit
    return "m" if tape.unit is Unit.MM else "ft"


def whole(quantity, tape):
    """A quantity as it is bought, in whole pieces, feet or meters."""
    if isinstance(quantity, Distance):
        return ceil(quantity.nm / (mm(1000) if tape.unit is Unit.MM else feet(1)).nm)
    return ceil(Fraction(quantity))


def job_material(job):
    """Everything a job needs, has or awaits. Raises NotAsIssued, as counting does."""
    counted = count_job(job, brief=True)
    needed = {line.key: line for line in counted.job.lines if line.category not in NOT_MATERIAL}
    lines = list(OrderLine.objects.of(job.shop_id).filter(order__job=job))
    fates = became(job.shop_id, [line.pk for line in lines])
    on_order = [OnOrder(line.key, line.quantity, *fates[line.pk]) for line in lines]
    known = {line.key: (line.name, line.unit) for line in lines} | names_of(job)
    promised = {}
    for line, fate in zip(lines, on_order, strict=True):
        if fate.short and line.promised_on:
            promised[line.key] = min(promised.get(line.key, line.promised_on), line.promised_on)
    shelves = {}
    for row in shelf(job.shop_id):
        shelves[row["key"], row["unit"]] = shelves.get((row["key"], row["unit"]), 0) + row["n"]
    reels = _on_reels(job)
    found = []
    for key, standing in standings({key: line.order for key, line in needed.items()}, lies_of(job), on_order).items():
        line = needed.get(key)
        name, unit = (line.name, unit_of(line.unit, job.tape)) if line else known[key]
        found.append(
            ToBuy(
                key,
                name,
                unit,
                line.category if line else "",
                standing,
                promised.get(key),
                shelves.get((key, unit), 0),
                reels.get(key, 0),
            )
        )
    return JobMaterial(tuple(found), tuple(counted.job.counted), counted.left_out)


def _on_reels(job):
    """{cable's key: whole feet or meters on opened reels}, each reel's rest cut to a whole one."""
    step = (mm(1000) if job.tape.unit is Unit.MM else feet(1)).nm
    found = {}
    for cable, left in Reel.objects.of(job.shop_id).filter(left__gt=0).values_list("cable", "left"):
        key = f"cable:{cable}"
        found[key] = found.get(key, 0) + int(left.nm // step)
    return found


def names_of(job):
    """{key: (name, unit)} of everything that ever moved on a job."""
    rows = Movement.objects.of(job.shop_id).filter(job=job).order_by("pk").values_list("key", "name", "unit")
    return {key: (name, unit) for key, name, unit in rows.distinct()}


@dataclass(frozen=True, slots=True)
class RoomLine:
    """One item of a room: how much it needs, how much was picked for it and stayed, how much of the rest lies ready."""

    key: str
    name: str
    unit: str
    need: int
    here: int
    lies: Lies

    @property
    def to_pick(self):
        return max(self.need - self.here, 0)

    @property
    def ready(self):
        return min(self.to_pick, self.lies.at_hand)

    @property
    def lacks(self):
        return self.to_pick - self.ready


@dataclass(frozen=True, slots=True)
class RoomMaterial:
    """on_hand: every line is in the room or lies ready, told from movements alone; never from an order or a wish."""

    lines: tuple[RoomLine, ...] = field(default=())

    @property
    def on_hand(self):
        return bool(self.lines) and not any(line.lacks for line in self.lines)

    @property
    def lacking(self):
        return tuple(line for line in self.lines if line.lacks)


def material_of(job, room_ids=None):
    """{room's id: RoomMaterial} of these rooms, or of all, in a fixed number of queries.

    What lies ready is the job's: two rooms that both could be served from it are each told so.
    """
    rooms, _left_out = counted_rooms(job, only=room_ids, brief=True)
    lies = lies_of(job)
    return {
        room.room_id: RoomMaterial(
            tuple(
                RoomLine(
                    line.key,
                    line.name,
                    unit_of(line.unit, job.tape),
                    whole(line.quantity, job.tape),
                    lies.get(line.key, Lies()).rooms.get(room.room_id, 0),
                    lies.get(line.key, Lies()),
                )
                for line in room.takeoff.lines
                if line.category not in NOT_MATERIAL
            )
        )
        for room in rooms
    }


def room_material(room):
    """One room's material; empty for a room with neither a layout nor counts."""
    return material_of(room.job, [room.pk]).get(room.pk, RoomMaterial())


# Orders and lists


@dataclass(frozen=True, slots=True)
class LineNow:
    line: OrderLine
    fate: OnOrder

    @property
    def short(self):
        return self.fate.short


def orders_of(job):
    return Order.objects.of(job.shop_id).filter(job=job).select_related("by__user").order_by("-number")


def order_of(job, number):
    rows = Order.objects.of(job.shop_id).filter(job=job, number=number).select_related("job__shop", "by__user")
    found = rows.prefetch_related("lines").first()
    if found is None:
        raise Http404
    return found


def lines_now(shop, orders):
    """{order's id: its lines with what became of them}, in two queries for any number of orders."""
    lines = [line for order in orders for line in order.lines.all()]
    fates = became(shop.pk, [line.pk for line in lines])
    found = {order.pk: [] for order in orders}
    for line in lines:
        found[line.order_id].append(LineNow(line, OnOrder(line.key, line.quantity, *fates[line.pk])))
    return found


def movements_of(job):
    return (
        Movement.objects.of(job.shop_id)
        .filter(job=job)
        .select_related("by__user", "room", "undone_by", "order_line__order")
        .order_by("-pk")
    )


def pick_list_of(room, number):
    rows = PickList.objects.of(room.shop_id).filter(room=room, number=number)
    lines = Prefetch("lines", PickLine.objects.all())
    found = rows.select_related("room__job__shop", "by__user").prefetch_related(lines).first()
    if found is None:
        raise Http404
    return found
