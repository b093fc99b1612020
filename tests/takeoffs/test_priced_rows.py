"""A priced takeoff as rows: the rooms' rows and the items' rows both add up to what was priced, to the cent.

Two rooms of two and three lights; every figure is summed here by hand from the book below.
"""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from layout.engine.lengths import feet
from reports.estimating.frozen_takeoff import from_text, prices_text, to_text
from reports.estimating.labor_book import Factor, LaborBook, LaborUnit, Phase
from reports.estimating.price_book import ItemPrice, Pack, PriceBook
from reports.estimating.priced import Rates
from reports.estimating.pricing import price
from reports.estimating.sheet_rows import item_rows, room_rows
from tests.takeoffs.test_sums_and_differences import laid_out, run, taken

ON = dt.date(2026, 5, 3)
MONEY = ("unit_cost", "ext_cost", "tax", "wage", "labor_cost", "ext_total")


def item(key, *packs, taxable=True, plugged_by=""):
    return ItemPrice(
        key, tuple(Pack(size, Decimal(amount)) for size, amount in packs), taxable, ON, "counter", plugged_by
    )


BOOK = PriceBook(
    "USD",
    ON,
    {
        each.key: each
        for each in (
            item("housing:light_6", (1, "18.40")),
            item("trim:light_6", (1, "9.25"), plugged_by="R."),
            item("wire_connector_light", (5, "1.99"), (100, "21.00")),
            item("cable:14/2", (feet(25), "24.10"), (feet(250), "128.00"), taxable=False),
        )
    },
)
UNITS = (
    LaborUnit("rough", "Housing", ("housing",), Phase.ROUGH, Decimal("0.35"), Decimal(1), "s"),
    LaborUnit("trim", "Trim", ("housing",), Phase.TRIM, Decimal("0.15"), Decimal(1), "s"),
    LaborUnit("lay", "Laying out", ("room",), Phase.JOB, Decimal("0.75"), Decimal(1), "s"),
)
LABOR = LaborBook({"housing": UNITS[:2], "room": UNITS[2:]}, {}, "1")
HIGH = Factor("high", "Over 12 ft", Decimal("1.25"), "s")


@pytest.fixture(scope="module")
def priced():
    rooms = (
        laid_out(1, "Den", [(10, 10), (60, 10)], runs=[run(feet(16)), run(feet(15))]),
        laid_out(2, "Hall", [(10, 10), (60, 10), (110, 10)], runs=[run(feet(17))]),
    )
    made = taken(*rooms)
    rates = Rates(Decimal("34.00"), Decimal("38.00"), Decimal("8.250"))
    sums = price(made.job, [room.takeoff for room in rooms], BOOK, LABOR, rates, {"Hall": (HIGH,)})
    return replace(made, priced=sums, prices_on=ON)


def total(rows, name):
    return sum((row[name] for row in rows if row[name] is not None), start=Decimal(0))


@pytest.mark.parametrize("rows", [room_rows, item_rows])
def test_the_rows_add_up_to_what_was_priced(priced, rows):
    told = rows(priced, office=True)
    sums = priced.priced
    assert total(told, "ext_cost") == sums.material
    assert total(told, "tax") == sums.tax
    assert total(told, "labor_cost") == sums.labor
    assert total(told, "hours") == sums.hours
    assert total(told, "ext_total") == sums.material + sums.tax + sums.labor
    for row in told:
        parts = [row[name] for name in ("ext_cost", "tax", "labor_cost") if row[name] is not None]
        assert (row["ext_total"] or 0) == sum(parts)


def test_hours_are_told_with_their_chain(priced):
    """Three lights in the hall: 3 × 0.35 × 1.25 = 1.3125 rough, 3 × 0.15 × 1.25 = 0.5625 trim."""
    hall = [row for row in room_rows(priced, office=True) if row["room_name"] == "Hall"]
    rough, trim = (row for row in hall if row["item_code"] == "housing:light_6")
    assert (rough["labor_class"], rough["unit_hours"], rough["factor"], rough["hours"]) == (
        "rough", Decimal("0.35"), Decimal("1.25"), Decimal("1.3125"),
    )  # fmt: skip
    assert (trim["labor_class"], trim["hours"]) == ("trim", Decimal("0.5625"))
    assert (rough["qty_gross"], trim["qty_gross"]) == (3, None)  # one quantity, not two
    assert next(row for row in hall if row["item_code"] == "room")["hours"] == Decimal("0.9375")  # 0.75 × 1.25


def test_what_is_bought_is_told_pack_by_pack_and_an_allowance_by_whom(priced):
    """Six housings (a spare among them) at 18.40; 48 ft and 10 percent are 53 ft: three coils of 25 ft at 24.10."""
    rows = {row["item_code"]: row for row in item_rows(priced, office=True) if row["qty_order"]}
    assert (rows["housing:light_6"]["packs"], rows["housing:light_6"]["ext_cost"]) == (6, Decimal("110.40"))
    assert (rows["cable:14/2"]["packs"], rows["cable:14/2"]["ext_cost"]) == (3, Decimal("72.30"))
    assert rows["cable:14/2"]["taxable"] == "no"
    assert "allowance, R." in rows["trim:light_6"]["note"]
    assert "no price" in rows["dimmer"]["note"]


def test_without_the_right_to_see_prices_there_is_no_money_and_no_such_column(priced):
    for rows in (room_rows(priced, office=False), item_rows(priced, office=False)):
        assert not any(name in row for row in rows for name in MONEY)
        assert not any("allowance" in str(row["note"]) or "no price" in str(row["note"]) for row in rows)


def test_money_is_kept_apart_and_comes_back_exactly(priced):
    body, prices = to_text(priced), prices_text(priced)
    assert "18.40" in prices
    assert not any(word in body for word in ("18.40", "34.00", "wage", "USD", "price", "labor"))
    assert from_text(body, prices) == priced
    assert from_text(body) == replace(priced, priced=None, prices_on=None)
