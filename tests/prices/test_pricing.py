"""What a takeoff costs and how long it takes: sums that a person with a pencil comes to, and that add up."""

import datetime as dt
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import feet
from reports.estimating.labor import LaborError, hours, units_for, wages
from reports.estimating.labor_book import Factor, LaborBook, LaborUnit, Phase
from reports.estimating.packs import PackError, Size, least_cost
from reports.estimating.price_book import ItemPrice, Pack, PriceBook
from reports.estimating.priced import Rates
from reports.estimating.pricing import PricingError, price, purchase
from reports.estimating.takeoff import job_takeoff, room_takeoff
from reports.prices.labor_table import labor_table
from tests.reports.test_takeoff import RULES, a_room, rooms

DAY = dt.date(2026, 5, 3)
RATES = Rates(Decimal("34.00"), Decimal("38"), Decimal("8.25"))


def the_book():
    """The labor table as a fresh shop has it."""
    table, by_item = labor_table(), {}
    for unit in table.units.values():
        for item in unit.applies:
            by_item.setdefault(item, []).append(unit)
    factors = {key: condition.factor for key, condition in table.conditions.items()}
    return LaborBook({item: tuple(units) for item, units in by_item.items()}, factors, "1")


BOOK = the_book()
PLASTER, OCCUPIED, FISHED = (BOOK.factors[key] for key in ("plaster", "occupied", "fished"))


def a_book(lines, *, without=()):
    """A price for each line: cable in two coils, the rest by the piece, each a little dearer than the last."""
    items = {}
    for n, line in enumerate(lines, start=1):
        if line.key in without:
            continue
        cable = line.key.startswith("cable:")
        packs = (Pack(feet(100), Decimal("61.10")), Pack(feet(250), Decimal(139) + n)) if cable else (
            Pack(1, Decimal(n) + Decimal("0.37")),
        )  # fmt: skip
        items[line.key] = ItemPrice(line.key, packs, bool(n % 3), DAY, "counter", name=line.name)
    return PriceBook("USD", DAY, items)


# Packs


def by_looking_at_all(need, sizes):
    """Every mix of packs that no pack can be left out of, by counting."""
    most = [int(-(-need // size.size)) for size in sizes]
    mixes = product(*(range(count + 1) for count in most))
    held = [(mix, sum(n * size.size for n, size in zip(mix, sizes, strict=True))) for mix in mixes]
    return min(
        (sum(n * size.price for n, size in zip(mix, sizes, strict=True)), amount - need)
        for mix, amount in held
        if amount >= need
    )


sizes = st.lists(
    st.builds(
        Size,
        st.sampled_from([Fraction(n) for n in (1, 2, 3, 5, 7, 10, 25, 50, 100)] + [Fraction(762, 25)]),
        st.integers(0, 4000).map(lambda n: Decimal(n).scaleb(-2)),
    ),
    min_size=1,
    max_size=3,
    unique_by=lambda size: size.size,
)


@given(st.integers(1, 60), sizes)
@settings(max_examples=120)
def test_no_mix_of_packs_is_cheaper_or_as_cheap_with_less_left_over(need, packs):
    """Against every mix there is."""
    found = least_cost(need, packs)
    assert (found.cost, found.leftover) == by_looking_at_all(need, packs)
    assert sum(size.size * count for size, count in found.packs) - need == found.leftover


def test_for_260_connectors_three_hundreds_beat_five_hundred_until_the_price_says_otherwise():
    hundred = Size(Fraction(100), Decimal("9.00"))
    assert least_cost(260, [hundred, Size(Fraction(500), Decimal("28.00"))]).packs == ((hundred, 3),)
    cheaper = Size(Fraction(500), Decimal("26.50"))
    assert least_cost(260, [hundred, cheaper]).packs == ((cheaper, 1),)


def test_a_great_need_is_bought_in_the_cheapest_size_and_topped_up():
    one, five = Size(Fraction(1), Decimal("0.12")), Size(Fraction(500), Decimal("30.00"))
    found = least_cost(1_000_003, [one, five])
    assert found.packs == ((five, 2000), (one, 3))
    assert found.cost == Decimal("60000.36")


@pytest.mark.parametrize(
    ("need", "packs", "field"),
    [
        (-1, [Size(Fraction(1), Decimal(1))], "need"),
        (10**10, [Size(Fraction(1), Decimal(1))], "need"),
        (1, [], "packs"),
        (1, [Size(Fraction(0), Decimal(1))], "packs"),
        (1, [Size(Fraction(1), Decimal("-1"))], "packs"),
        (1, [Size(Fraction(1), Decimal("NaN"))], "packs"),
        (1, [Size(Fraction(1), Decimal("1e-9"))], "packs"),
    ],
)
def test_a_need_or_a_pack_nobody_can_buy_is_refused_by_name(need, packs, field):
    with pytest.raises(PackError) as refused:
        least_cost(need, packs)
    assert refused.value.field == field


def test_cable_is_never_priced_by_the_piece():
    with pytest.raises(PricingError, match="coil"):
        purchase(10, ItemPrice("cable:14/2", (Pack(1, Decimal(1)),), True, DAY, "counter"))


def test_cable_pieces_are_cut_from_reels_that_hold_them():
    """Three runs of 60 ft need two coils of 100 ft more than 180 ft by length alone would."""
    item = ItemPrice("cable:14/2", (Pack(feet(100), Decimal("50.00")),), True, DAY, "counter")
    by_reels, by_length = purchase(180, item, [Fraction(60)] * 3), purchase(180, item)
    assert (by_reels.cost, by_reels.by_reels) == (Decimal("150.00"), True)
    assert (by_length.cost, by_length.by_reels) == (Decimal("100.00"), False)


# Hours


def a_unit(**more):
    values = {"key": "u", "name": "U", "applies": ("housing",), "phase": Phase.ROUGH, "hours": Decimal("0.33")}
    return LaborUnit(**{**values, "per": Decimal(1), "source": "test", **more})


def test_hours_are_units_times_quantity_times_every_condition():
    """12 lights at 0.33 h in plaster (1.3) where people live (1.15): 12 x 0.33 x 1.3 x 1.15 = 5.9202 h, by hand."""
    told = hours(a_unit(), 12, (PLASTER, OCCUPIED))
    assert told.hours == Decimal("5.9202")
    assert [factor.key for factor in told.factors] == ["plaster", "occupied"]


def test_cable_hours_are_for_a_hundred_feet():
    told = hours(a_unit(hours=Decimal("1.0"), per=Decimal(100)), feet("139.33"), ())
    assert (told.quantity, told.hours) == (Fraction(13933, 100), Decimal("1.3933"))


def test_half_of_the_last_place_goes_up():
    assert hours(a_unit(hours=Decimal("0.0001")), Fraction(1, 2), ()).hours == Decimal("0.0001")
    assert hours(a_unit(hours=Decimal("0.0001")), Fraction(49, 100), ()).hours == Decimal("0.0000")


def test_a_stage_multiplies_hours():
    assert hours(a_unit(), 2, (), Decimal("2.5")).hours == Decimal("1.6500")


@pytest.mark.parametrize(("quantity", "times"), [(-1, Decimal(1)), (1, Decimal(-1)), (1, Decimal("NaN"))])
def test_less_than_nothing_takes_no_hours(quantity, times):
    with pytest.raises(LaborError):
        hours(a_unit(), quantity, (), times)


def test_a_fished_room_takes_its_own_units_in_place_of_the_open_ones():
    keys = {unit.key for unit in units_for(BOOK, "cable:14/2", (FISHED,))}
    assert keys == {"cable_fished"}
    assert {unit.key for unit in units_for(BOOK, "cable:14/2", ())} == {"cable_open"}


def test_the_worked_labor_line_comes_out():
    """86 h at 34 with 38 percent burden: 4,035.12, the worked bid of common practice."""
    assert wages(Decimal(86), RATES) == Decimal("4035.12")


# A whole takeoff


def priced_of(contents, *, factors=None, without=()):
    taken = [room_takeoff(room, RULES) for room in contents]
    job = job_takeoff(taken, RULES)
    book = a_book(job.lines, without=without)
    return job, price(job, taken, book, BOOK, RATES, factors or {})


def differently_named(found):
    names = [room.name for room in found]
    return len(names) == len(set(names))


@given(st.lists(rooms, max_size=3).filter(differently_named), st.sampled_from([(), (PLASTER,), (FISHED, OCCUPIED)]))
@settings(max_examples=40, deadline=None)
def test_rooms_add_up_to_lines_and_lines_to_totals_to_the_cent(contents, conditions):
    job, priced = priced_of(contents, factors={room.name: conditions for room in contents})
    for line in priced.lines:
        assert sum(room.cost for room in line.rooms) == line.cost == sum(each.cost for each in line.bought)
        assert sum(room.tax for room in line.rooms) == line.tax
        assert sum(room.labor for room in line.rooms) == line.labor
        assert line.order == 0 or sum(each.size * each.packs for each in line.bought) >= line.order
    taxable = sum(line.cost for line in priced.lines if line.taxable)
    assert priced.material == sum(line.cost for line in priced.lines)
    # Half up to the cent, by whole numbers: taxable cents x 825 / 10,000.
    assert int(priced.tax * 100) == (int(taxable * 100) * 825 + 5000) // 10_000
    assert priced.labor == wages(priced.hours, RATES)
    assert priced.missing == ()
    assert [line.key for line in priced.lines if line.order] == [line.key for line in job.lines]


def test_a_line_without_a_price_costs_nothing_and_is_told():
    _job, priced = priced_of([a_room("Den", [(5, 5), (10, 5)])], without=("plate", "cable:14/2"))
    assert priced.missing == ("plate", "cable:14/2")
    assert {line.cost for line in priced.lines if line.key in priced.missing} == {Decimal("0.00")}


def test_a_plugged_price_is_an_allowance():
    taken = [room_takeoff(a_room("Den", [(5, 5)]), RULES)]
    plug = ItemPrice("plate", (Pack(1, Decimal("2.00")),), True, DAY, "a guess", plugged_by="J., May 3")
    priced = price(job_takeoff(taken, RULES), taken, PriceBook("USD", DAY, {"plate": plug}), BOOK, RATES, {})
    assert [line.key for line in priced.allowances] == ["plate"]
    assert "plate" not in priced.missing


def test_spares_and_waste_are_bought_but_take_no_hours():
    """Two lights and a spare: three housings bought, 2 x 0.33 h of rough-in and 2 x 0.05 h of marking."""
    _job, priced = priced_of([a_room("Den", [(5, 5), (10, 5)])])
    [line] = [line for line in priced.lines if line.key.startswith("housing")]
    assert line.order == 3
    assert line.hours_in(Phase.ROUGH) == Decimal("0.6600")
    assert line.hours_in(Phase.JOB) == Decimal("0.1000")


def test_a_shops_own_figure_for_a_light_stands_for_the_whole_phase():
    """1.5 h a light for all of rough-in: two lights take 3 h of it, whatever cable and boxes would have taken."""
    whole = a_unit(applies=("housing", "remodel_light", "grid_light"), hours=Decimal("1.5"), whole=True)
    units = {**BOOK.units, "housing": (*BOOK.units["housing"], whole)}
    taken = [room_takeoff(a_room("Den", [(5, 5), (10, 5)], speakers=[(7, 9)]), RULES)]
    book = LaborBook(units, BOOK.factors, "2")
    priced = price(job_takeoff(taken, RULES), taken, PriceBook("USD", DAY, {}), book, RATES, {})
    assert sum(line.hours_in(Phase.ROUGH) for line in priced.lines) == Decimal("3.0000")


def test_every_default_unit_is_within_what_the_trade_says():
    for unit in BOOK.all_units:
        assert unit.low is None or unit.low <= unit.hours <= unit.high, unit.key
        assert "common practice" in unit.source or "as quoted by public pages" in unit.source
    assert isinstance(BOOK.factors["plaster"], Factor)
