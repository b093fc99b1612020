"""Figures of reels and bids. Calls into what the shop's own takeoffs and bids are made with; prices are typed in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from reports.estimating.bid import BidError, bid_sum
from reports.estimating.reels import Pack, ReelError, plan
from reports.figures.figure import ANY_UNIT, Figure, FigureError, Input, Result
from reports.figures.kinds import Exact, ListOf, OneOf, Plain, Record

MONEY, PERCENT = "money", "%"
PACK = Record({"length": Exact(), "price": Plain(places=2)}, {}, lambda length, price: Pack(length, Decimal(price)))
MOST_PIECES, MOST_PACKS = 500, 20


def _reels(pieces: Sequence[Fraction], packs: Sequence[Pack]) -> Mapping[str, object]:
    try:
        found = plan(pieces, packs)
    except ReelError as error:
        raise FigureError(str(error)) from error
    return {
        "cost": f"{found.cost:.2f}",
        "leftover": found.leftover,
        "packs": [
            {"length": reel.length, "price": f"{reel.price:.2f}", "pieces": list(reel.pieces), "left": reel.left}
            for reel in found.reels
        ],
        "exact": found.exact,
        "no_less_than": f"{found.lower_bound:.2f}",
    }


def _bid(**given: str) -> Mapping[str, object]:
    try:
        return dict(bid_sum(given))
    except BidError as error:
        raise FigureError(str(error)) from error


def _amount(name: str, label: str, unit: str, example: str) -> Input:
    return Input(name, label, Plain(), unit, example)


FIGURES = (
    Figure(
        name="reels.plan",
        title="Reels for the pieces",
        group="reels",
        inputs=(
            Input("pieces", "Pieces", ListOf(Exact(), MOST_PIECES, 0, of_what="lengths"), ANY_UNIT, [70, 70, 30]),
            Input(
                "packs",
                "Packs there are",
                ListOf(PACK, MOST_PACKS, 1, of_what='{length, price in quotes: "38.00"}'),
                ANY_UNIT,
                [
                    {"length": 50, "price": "38.00"},
                    {"length": 100, "price": "66.00"},
                    {"length": 250, "price": "139.00"},
                ],
            ),
        ),
        results=(
            Result("cost", "Cost", MONEY),
            Result("leftover", "Left over", ANY_UNIT),
            Result("packs", "Packs and what is cut from each", ""),
            Result("exact", "Proved to be the least", ""),
            Result("no_less_than", "No plan costs less than", MONEY),
        ),
        rule="Each piece whole from one pack: the least cost, then the least left over.",
        source="cutting stock; every split is looked at up to 10 pieces, a bound is told past them",
        reckon=_reels,
    ),
    Figure(
        name="bid.sum",
        title="From cost to price",
        group="bids",
        inputs=(
            _amount("material", "Material, all taxable", MONEY, "6200.00"),
            _amount("tax_pct", "Sales tax", "% of material", "8.25"),
            _amount("hours", "Hours", "h", "86"),
            _amount("wage", "Wage", "money an hour", "34"),
            _amount("burden_pct", "Burden", "% of wage", "38"),
            _amount("equipment", "Equipment", MONEY, "450"),
            _amount("contingency_pct", "Contingency", "% of direct cost", "4"),
            _amount("overhead_pct", "Overhead", "% of direct cost and contingency", "22"),
            _amount("profit_pct", "Profit", PERCENT, "10"),
            Input("profit_basis", "Profit is", OneOf(("of_cost", "of_price")), "", "of_price"),
        ),
        results=(
            Result("tax", "Tax", MONEY),
            Result("labor", "Labor", MONEY),
            Result("direct", "Direct cost", MONEY),
            Result("contingency", "Contingency", MONEY),
            Result("overhead", "Overhead", MONEY),
            Result("cost", "Cost", MONEY),
            Result("profit", "Profit", MONEY),
            Result("price", "Price", MONEY),
        ),
        rule="Lines to the cent, half up; totals are sums of the lines shown. Of price: cost / (1 - g), g under 100.",
        source="arithmetic; markup and margin as the trade keeps them, common practice",
        reckon=_bid,
    ),
)
