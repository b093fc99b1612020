"""What to buy for a takeoff when no prices are looked at: whole packs, least over, in the fewest packs. No vendor."""

from decimal import Decimal
from fractions import Fraction

from layout.engine.lengths import Unit, feet, mm
from reports.estimating.packs import Size, least_cost
from reports.estimating.takeoff import item_of

A_PACK = Decimal("0.01")  # on top of a pack's size, so that of two ways with the same left over the fewer packs win


def packs_of(line, rules, unit):
    """[(size, how many)] for a job's line; empty where it is bought one by one."""
    sizes = pack_sizes(line.key, rules, unit)
    if not sizes or line.order <= 0:
        return []
    mix = least_cost(line.order, [Size(size, _told(size)) for size in sizes])
    return [(pack.size, count) for pack, count in mix.packs]


def pack_sizes(key, rules, unit):
    """The table's packs, in pieces or in feet (meters) of cable."""
    item, _, kind = key.partition(":")
    if item == "cable":
        step = feet(1) if unit is Unit.INCH else mm(1000)
        return [pack.nm / step.nm for pack in rules.cables[kind].packs] if kind in rules.cables else []
    table = rules.items.get(item_of(key))
    return [Fraction(pack) for pack in table.packs] if table else []


def _told(size):
    return Decimal(size.numerator) / Decimal(size.denominator) + A_PACK
