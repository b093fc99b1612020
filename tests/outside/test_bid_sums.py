"""Bids summed by hand with every line as it is printed, and the markup and margin table printed in the trade.

The order of the sum, and that each line is rounded half up to the cent, is common practice, no source. Both bids were
worked with exact arithmetic away from this code: a price of 15,784.75 appears only when unrounded sums are carried on,
which a reader with the printed lines can't do.
"""

from decimal import Decimal

import pytest

from reports.estimating.bid import bid_sum, margin_of, markup_of

LARGER = {
    "material": "6200.00", "tax_pct": "8.25", "hours": "86", "wage": "34", "burden_pct": "38", "equipment": "450",
    "contingency_pct": "4", "overhead_pct": "22", "profit_pct": "10",
}  # fmt: skip
LARGER_LINES = {
    "tax": "511.50", "labor": "4035.12", "direct": "11196.62", "contingency": "447.86", "overhead": "2561.79",
    "cost": "14206.27",
}  # fmt: skip
SMALLER = {
    "material": "2310.55", "tax_pct": "7", "hours": "41.5", "wage": "36.50", "burden_pct": "33", "equipment": "120",
    "contingency_pct": "6", "overhead_pct": "18", "profit_pct": "11",
}  # fmt: skip
SMALLER_LINES = {
    "tax": "161.74", "labor": "2014.62", "direct": "4606.91", "contingency": "276.41", "overhead": "879.00",
    "cost": "5762.32",
}  # fmt: skip


@pytest.mark.parametrize(
    ("given", "lines", "basis", "price"),
    [
        (LARGER, LARGER_LINES, "of_price", "15784.74"),
        (LARGER, LARGER_LINES, "of_cost", "15626.90"),
        (SMALLER, SMALLER_LINES, "of_price", "6474.52"),
        (SMALLER, SMALLER_LINES, "of_cost", "6396.18"),
    ],
)
def test_each_line_of_a_bid_comes_out_as_it_does_by_hand(given, lines, basis, price):
    made = bid_sum(given | {"profit_basis": basis})
    assert made.items() >= (lines | {"price": price}).items()


# Margin, percent of price, and the markup, percent of cost, that leaves it: arithmetic, printed in any estimator's
# handbook (from memory).
@pytest.mark.parametrize(
    ("margin", "markup"),
    [("10", "11.11"), ("15", "17.65"), ("20", "25.00"), ("25", "33.33"), ("30", "42.86")],
)
def test_a_margin_is_a_larger_markup(margin, markup):
    assert markup_of(Decimal(margin)) == Decimal(markup)


def test_a_third_of_the_price_is_half_of_the_cost():
    assert margin_of(Decimal(50)) == Decimal("33.33")
    assert markup_of(Decimal("33.3333")) == Decimal("50.00")


def test_twenty_percent_on_cost_leaves_a_sixth_of_the_price():
    assert margin_of(Decimal(20)) == Decimal("16.67")
