"""A bid's sum for any figures at all: totals are the sums of the lines shown, and what no bid can carry is refused."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.estimating.bid import (
    MOST,
    BidError,
    BidInputs,
    Cost,
    Other,
    Part,
    Row,
    bid_sum,
    per,
    priced,
    rounded,
    sum_bid,
    true_up,
    typed_part,
)
from reports.estimating.money import Basis, MoneyError, percent_of, spread

CENT = Decimal("0.01")
money = st.integers(0, 10_000_000).map(lambda n: Decimal(n) / 100)
percent = st.integers(0, 5000).map(lambda n: Decimal(n) / 100)
parts = st.lists(
    st.builds(
        typed_part,
        st.sampled_from(["takeoff", "by hand"]),
        material=money,
        taxable=st.booleans(),
        tax_pct=percent,
        hours=st.integers(0, 99_999_999).map(lambda n: Decimal(n) / 10_000),
        wage=st.integers(0, 10_000).map(lambda n: Decimal(n) / 100),
        burden_pct=percent,
    ),
    min_size=1,
    max_size=3,
).map(tuple)
others = st.lists(st.builds(Other, st.just("x"), st.sampled_from(Cost), money), max_size=3).map(tuple)
bids = st.builds(
    BidInputs,
    parts=parts,
    others=others,
    contingency_pct=percent,
    overhead_pct=percent,
    profit_pct=percent,
    profit_basis=st.sampled_from(Basis),
    round_to=st.sampled_from([0, 1, 5, 10]),
)
few = settings(max_examples=60, deadline=None)


@few
@given(bids)
def test_every_total_is_the_sum_of_the_lines_shown_above_it(bid):
    shown, running = sum_bid(bid).lines, Decimal(0)
    for line in shown:
        assert line.amount == line.amount.quantize(CENT)
        if line.is_total:
            assert line.amount == running, line.row
        else:
            running += line.amount
    assert shown[-1].row is Row.PRICE


@few
@given(bids)
def test_the_price_of_price_leaves_the_percent_asked_for_to_half_a_cent(bid):
    made = sum_bid(replace(bid, profit_basis=Basis.OF_PRICE, round_to=0))
    exact = made.cost * 100 / (100 - bid.profit_pct)
    assert abs(made.price - exact) <= CENT / 2
    of_cost = sum_bid(replace(bid, profit_basis=Basis.OF_COST, round_to=0))
    assert of_cost.price <= made.price, "the same number is worth more of price than of cost"
    assert of_cost.profit == percent_of(made.cost, bid.profit_pct)


@few
@given(bids)
def test_rounding_moves_a_price_by_half_a_step_at_most(bid):
    made = sum_bid(bid)
    assert abs(made.rounding) <= Decimal(bid.round_to) / 2
    if bid.round_to:
        assert made.price % bid.round_to == 0


@few
@given(money, st.lists(money, min_size=1, max_size=9))
def test_a_price_told_apart_over_rooms_adds_up_to_it(price, rooms):
    shares = spread(price, rooms)
    assert sum(shares) == price and len(shares) == len(rooms)
    if sum(rooms):
        assert all(abs(part - price * room / sum(rooms)) <= CENT for part, room in zip(shares, rooms, strict=True))


def test_a_price_ending_in_half_a_step_is_rounded_up():
    assert [rounded(Decimal(x), 5) for x in ("102.50", "102.49", "107.50")] == [105, 100, 110]
    assert rounded(Decimal("15784.74"), 10) == Decimal("15780.00")


def test_rounding_is_a_line_of_its_own_and_may_take_off():
    made = sum_bid(BidInputs((Part("", Decimal("101.20")),), round_to=5))
    assert [(line.row.value, line.amount) for line in made.lines[-3:]] == [
        ("unrounded", Decimal("101.20")), ("rounding", Decimal("-1.20")), ("price", Decimal("100.00")),
    ]  # fmt: skip


def test_labor_and_untaxed_material_carry_no_sales_tax():
    part = typed_part("", material=Decimal(100), taxable=False, tax_pct=Decimal(8), hours=Decimal(2), wage=Decimal(30))
    assert (part.material, part.tax, part.labor) == (100, 0, 60)


def test_a_fixture_chosen_dearer_than_its_allowance_adds_and_a_cheaper_one_takes_off():
    assert true_up(Decimal(12), Decimal("38.00"), Decimal("45.50")) == Decimal("90.00")
    assert true_up(Decimal(12), Decimal("38.00"), Decimal("31.25")) == Decimal("-81.00")


def test_nothing_is_shared_over_no_lights():
    assert per(Decimal(100), 0) is None
    assert per(Decimal(100), 3) == Decimal("33.33")


GOOD = {
    "material": "100", "tax_pct": "7", "hours": "4", "wage": "30", "burden_pct": "30", "equipment": "0",
    "contingency_pct": "5", "overhead_pct": "15", "profit_pct": "10", "profit_basis": "of_price",
}  # fmt: skip


@pytest.mark.parametrize("field", [name for name in GOOD if name != "profit_basis"])
@pytest.mark.parametrize(
    "typed", ["-1", "NaN", "Infinity", "-Infinity", "1e-9", "1e99", "", "lots", "0.00000001", None]
)
def test_what_no_bid_can_carry_is_refused_by_its_field(field, typed):
    with pytest.raises(BidError) as refused:
        bid_sum(GOOD | {field: typed})
    assert refused.value.field == field
    assert field.removesuffix("_pct").replace("_", " ") in str(refused.value)


@pytest.mark.parametrize("typed", ["100", "100.00", "120"])
def test_a_profit_of_the_whole_price_is_refused_and_of_cost_is_not(typed):
    with pytest.raises(BidError, match="less than 100 %") as refused:
        bid_sum(GOOD | {"profit_pct": typed})
    assert refused.value.field == "profit_pct"
    assert Decimal(bid_sum(GOOD | {"profit_pct": typed, "profit_basis": "of_cost"})["price"]) > 0
    with pytest.raises(MoneyError):
        priced(Decimal(1), Decimal(typed), Basis.OF_PRICE)


def test_a_percentage_that_makes_an_absurd_price_is_refused():
    with pytest.raises(BidError, match="Check the percentages"):
        sum_bid(BidInputs((Part("", MOST),), profit_pct=Decimal("99.9999")))


def test_of_what_a_profit_is_has_to_be_said():
    with pytest.raises(BidError, match="of_cost or of_price"):
        bid_sum(GOOD | {"profit_basis": ""})


def test_each_percent_is_shown_with_its_words():
    lines = {
        line.row: line.of for line in sum_bid(BidInputs((Part("", Decimal(1)),))).lines if line.percent is not None
    }
    assert lines == {Row.CONTINGENCY: "direct", Row.OVERHEAD: "direct_and_contingency", Row.PROFIT: "of_price"}
