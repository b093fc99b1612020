"""Rooms, books and terms for tests of what changes cost, in round figures that a person adds up by hand."""

import datetime as dt
from decimal import Decimal
from fractions import Fraction

from layout.engine.lengths import Distance, feet
from layout.engine.wiring.chain import Point
from reports.changes.rules import stage_rules
from reports.estimating.change_terms import StageRule, Terms
from reports.estimating.change_values import Books
from reports.estimating.counted import CountedMark, CountedRoom
from reports.estimating.difference import Difference, room_difference
from reports.estimating.labor_book import LaborBook, LaborUnit, Phase
from reports.estimating.price_book import ItemPrice, Pack, PriceBook
from reports.estimating.priced import Rates
from reports.estimating.takeoff import Basis, Line, RoomTakeoff

DAY = dt.date(2026, 5, 3)
WASTE = Fraction(11, 10)


def line(key, quantity):
    """Pieces, or feet of cable before its tenth of waste."""
    if key.startswith("cable:"):
        net = Distance(feet(1).nm * Fraction(quantity))
        return Line(key, key, "cable", "length", net, net * WASTE, ())
    return Line(key, key, "fixtures", "each", Fraction(quantity), Fraction(quantity), ())


def mark(ident, x, y, type_key="can4", kind="light"):
    return CountedMark(ident, kind, "A", type_key, f"4 in {kind}", Point(feet(x), feet(y)))


def room(quantities, marks=(), room_id=7, name="Den"):
    lines = tuple(line(key, quantity) for key, quantity in quantities.items() if quantity)
    return CountedRoom(room_id, name, Basis.LAID_OUT, 1, "", RoomTakeoff(name, lines, ()), tuple(marks))


def between(before, after):
    return Difference((room_difference(before, after),), ())


def unit(key, applies, phase, hours, per="1"):
    return LaborUnit(key, key, (applies,), phase, Decimal(hours), Decimal(per), "test")


UNITS = {
    "housing": (unit("rough", "housing", Phase.ROUGH, "0.40"),),
    "trim": (unit("trim", "trim", Phase.TRIM, "0.20"),),
    "speaker_bracket": (unit("bracket", "speaker_bracket", Phase.ROUGH, "0.50"),),
    "cable": (unit("pull", "cable", Phase.ROUGH, "1.00", "100"),),
}
LABOR = LaborBook(UNITS, {}, "test")
PRICES = PriceBook("USD", DAY, {
    "housing:can4": ItemPrice("housing:can4", (Pack(1, Decimal("20.00")),), True, DAY, "counter"),
    "trim:can4": ItemPrice("trim:can4", (Pack(1, Decimal("10.00")),), True, DAY, "counter"),
    "cable:14/2": ItemPrice(
        "cable:14/2", (Pack(feet(25), Decimal("25.00")), Pack(feet(250), Decimal("100.00"))), True, DAY, "counter"
    ),
})  # fmt: skip
RATES = Rates(Decimal("40.00"), Decimal("25"), Decimal("10"))  # 50.00 an hour with burden
TERMS = Terms(
    add_times=Decimal("1.5"), restock_pct=Decimal(20), least_hours=Decimal(0), overhead_pct=Decimal(10),
    profit_pct=Decimal(10), patch_each=Decimal("150.00"), hours_a_day=Decimal(8),
)  # fmt: skip
STAGES: dict[str, StageRule] = {rule.key: rule for rule in stage_rules()}


def books(stage="released", **more):
    stood = {7: STAGES[stage], 8: STAGES[stage]}
    given = {"terms": TERMS, "prices": PRICES, "labor": LABOR, "rates": RATES, "bid_rates": RATES, "bid": None}
    return Books(**{**given, "stages": stood, "factors": {}, **more})
