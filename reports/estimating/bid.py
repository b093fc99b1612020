"""The bid's sum: from material, hours and what else it takes to a price, line by line. Knows no rooms, no records.

The order of the sum, each line to the cent, half up, and every total the sum of the lines above it as they are shown
(common practice, no source):

    material, sales tax on taxable material, labor, equipment and permits and subs   = direct
    + contingency, percent of direct
    + overhead, percent of direct and contingency                                    = cost
    + profit, percent of cost or of price                                            = price before rounding
    + rounding, a line of its own                                                    = price

Alternates, allowances and unit prices stand outside this sum.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from enum import StrEnum

from reports.estimating.money import CENT, HUNDRED, NOTHING, Basis, MoneyError, cents, percent_of, total

MOST = Decimal(100_000_000)  # of any one line; a shop that bids more has typed a digit too many
MOST_PRICE = Decimal(1_000_000_000)
MOST_HOURS = Decimal(1_000_000)
MOST_WAGE = Decimal(10_000)
MOST_PCT = Decimal(500)  # of wage or of cost
MOST_TAX = Decimal(50)
ROUND_TO = (0, 1, 5, 10)  # whole dollars; 0 leaves the cents


class BidError(MoneyError):
    """A figure that no bid can carry. `field` names the box; the message says it too, and the remedy."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


class Cost(StrEnum):
    """What a line of direct cost is, beside the takeoff's material and labor."""

    EQUIPMENT = "equipment"
    PERMIT = "permit"
    SUB = "sub"


@dataclass(frozen=True, slots=True)
class Part:
    """Material, tax and labor of one source: the takeoff, or a line typed in. Money to the cent, hours exact."""

    name: str
    material: Decimal = NOTHING
    tax: Decimal = NOTHING
    hours: Decimal = Decimal(0)
    labor: Decimal = NOTHING


@dataclass(frozen=True, slots=True)
class Other:
    """Equipment, a permit or a sub, at what it costs the shop."""

    name: str
    kind: Cost
    amount: Decimal


@dataclass(frozen=True, slots=True)
class BidInputs:
    """What a bid is summed from. Percentages are numbers of percent: 22 is 22 %."""

    parts: tuple[Part, ...]
    others: tuple[Other, ...] = ()
    contingency_pct: Decimal = Decimal(0)  # of direct
    overhead_pct: Decimal = Decimal(0)  # of direct and contingency
    profit_pct: Decimal = Decimal(0)
    profit_basis: Basis = Basis.OF_PRICE
    round_to: int = 0


class Row(StrEnum):
    MATERIAL = "material"
    TAX = "tax"
    LABOR = "labor"
    EQUIPMENT = "equipment"
    PERMIT = "permit"
    SUB = "sub"
    DIRECT = "direct"
    CONTINGENCY = "contingency"
    OVERHEAD = "overhead"
    COST = "cost"
    PROFIT = "profit"
    UNROUNDED = "unrounded"
    ROUNDING = "rounding"
    PRICE = "price"


TOTALS = (Row.DIRECT, Row.COST, Row.UNROUNDED, Row.PRICE)


@dataclass(frozen=True, slots=True)
class SumLine:
    """One line as it is shown. percent and of: set for a line that is so many percent of something, with its words."""

    row: Row
    name: str  # what a person called it; empty: the row's own word
    amount: Decimal
    percent: Decimal | None = None
    of: str = ""  # direct, direct_and_contingency, of_cost, of_price

    @property
    def is_total(self) -> bool:
        return self.row in TOTALS


@dataclass(frozen=True, slots=True)
class BidSum:
    """Every sum of a bid, to the cent. `lines` are all of them in order, totals among them."""

    material: Decimal
    tax: Decimal
    hours: Decimal
    labor: Decimal
    others: Decimal
    direct: Decimal
    contingency: Decimal
    overhead: Decimal
    cost: Decimal
    profit: Decimal
    unrounded: Decimal
    rounding: Decimal
    price: Decimal
    lines: tuple[SumLine, ...] = field(repr=False, default=())

    @property
    def gross_margin_pct(self) -> Decimal:
        """What is left of the price after direct cost, percent of price, two places. 0 for a price of nothing."""
        return _share(self.price - self.direct, self.price)

    @property
    def margin_pct(self) -> Decimal:
        """What is left of the price after all cost, percent of price, two places."""
        return _share(self.price - self.cost, self.price)


def sum_bid(inputs: BidInputs) -> BidSum:
    """The whole sum. Raises BidError naming the field that no bid can carry."""
    _check(inputs)
    material = total([part.material for part in inputs.parts])
    tax = total([part.tax for part in inputs.parts])
    labor = total([part.labor for part in inputs.parts])
    others = total([other.amount for other in inputs.others])
    direct = material + tax + labor + others
    contingency = percent_of(direct, inputs.contingency_pct)
    overhead = percent_of(direct + contingency, inputs.overhead_pct)
    cost = direct + contingency + overhead
    unrounded = priced(cost, inputs.profit_pct, inputs.profit_basis)
    price = rounded(unrounded, inputs.round_to)
    if price > MOST_PRICE:
        raise BidError("profit_pct", f"Price: comes to {price}, over the most a bid may be. Check the percentages.")
    made = BidSum(
        material=material,
        tax=tax,
        hours=sum((part.hours for part in inputs.parts), start=Decimal(0)),
        labor=labor,
        others=others,
        direct=direct,
        contingency=contingency,
        overhead=overhead,
        cost=cost,
        profit=unrounded - cost,
        unrounded=unrounded,
        rounding=price - unrounded,
        price=price,
    )
    return replace(made, lines=_lines(inputs, made))


def _lines(inputs: BidInputs, made: BidSum) -> tuple[SumLine, ...]:
    lines = [
        SumLine(row, part.name, amount)
        for row in (Row.MATERIAL, Row.TAX, Row.LABOR)
        for part in inputs.parts
        if (amount := getattr(part, row.value)) or len(inputs.parts) == 1
    ]
    lines += [SumLine(Row(other.kind.value), other.name, other.amount) for other in inputs.others]
    lines += [
        SumLine(Row.DIRECT, "", made.direct),
        SumLine(Row.CONTINGENCY, "", made.contingency, inputs.contingency_pct, "direct"),
        SumLine(Row.OVERHEAD, "", made.overhead, inputs.overhead_pct, "direct_and_contingency"),
        SumLine(Row.COST, "", made.cost),
        SumLine(Row.PROFIT, "", made.profit, inputs.profit_pct, inputs.profit_basis.value),
    ]
    if inputs.round_to:
        lines += [SumLine(Row.UNROUNDED, "", made.unrounded), SumLine(Row.ROUNDING, "", made.rounding)]
    return (*lines, SumLine(Row.PRICE, "", made.price))


# One line's arithmetic


def typed_part(
    name: str,
    *,
    material: Decimal = NOTHING,
    taxable: bool = True,
    tax_pct: Decimal = Decimal(0),
    hours: Decimal = Decimal(0),
    wage: Decimal = Decimal(0),
    burden_pct: Decimal = Decimal(0),
) -> Part:
    """A line of material and hours typed in: tax on the material alone, labor at wage and burden, each to the cent."""
    check("material", material, Decimal(0), MOST, 2)
    check("tax_pct", tax_pct, Decimal(0), MOST_TAX, 4)
    check("hours", hours, Decimal(0), MOST_HOURS, 4)
    check("wage", wage, Decimal(0), MOST_WAGE, 4)
    check("burden_pct", burden_pct, Decimal(0), MOST_PCT, 4)
    tax = percent_of(material, tax_pct) if taxable else NOTHING
    return Part(name, material.quantize(CENT), tax, hours, labor_cost(hours, wage, burden_pct))


def labor_cost(hours: Decimal, wage: Decimal, burden_pct: Decimal) -> Decimal:
    """hours x wage x (1 + burden), to the cent."""
    return cents(hours * wage * (HUNDRED + burden_pct) / HUNDRED)


def priced(cost: Decimal, profit_pct: Decimal, basis: Basis) -> Decimal:
    """The price of a cost: cost x (1 + m) of cost, cost / (1 - g) of price, to the cent. g of 100 % is refused."""
    if basis is Basis.OF_COST:
        return cost + percent_of(cost, profit_pct)
    _check_margin("profit_pct", profit_pct)
    return cents(cost * HUNDRED / (HUNDRED - profit_pct))


def rounded(price: Decimal, to: int) -> Decimal:
    """To the nearest whole $1, $5 or $10, half up; 0 leaves the cents."""
    if not to:
        return price
    return ((price / to).quantize(Decimal(1), rounding=ROUND_HALF_UP) * to).quantize(CENT)


def markup_of(margin_pct: Decimal) -> Decimal:
    """The markup, percent of cost, that leaves this margin, percent of price: g / (1 - g), two places."""
    _check_margin("margin_pct", margin_pct)
    return cents(margin_pct * HUNDRED / (HUNDRED - margin_pct))


def margin_of(markup_pct: Decimal) -> Decimal:
    """The margin, percent of price, that this markup leaves, percent of cost: m / (1 + m), two places."""
    check("markup_pct", markup_pct, Decimal(0), MOST_PCT, 4)
    return cents(markup_pct * HUNDRED / (HUNDRED + markup_pct))


def true_up(quantity: Decimal, allowed: Decimal, chosen: Decimal) -> Decimal:
    """What an allowance adds to the price (or takes off it) once a fixture is chosen: quantity x (chosen - allowed)."""
    return cents(quantity * chosen) - cents(quantity * allowed)


def per(amount: Decimal, count: Decimal | int) -> Decimal | None:
    """An amount for each of so many, to the cent; None where there is nothing to share it over."""
    return cents(amount / count) if count else None


def _share(part: Decimal, whole: Decimal) -> Decimal:
    return cents(part * HUNDRED / whole) if whole else NOTHING


# What is refused


def check(name: str, value: Decimal, low: Decimal, high: Decimal, places: int) -> Decimal:
    """The value, if it is a number within bounds with no more places than are kept. Raises BidError."""
    words = name.removesuffix("_pct").replace("_", " ")
    if not value.is_finite():
        raise BidError(name, f"{words}: {value} is not a number. Give one from {low} to {high}.")
    if not low <= value <= high:
        raise BidError(name, f"{words}: {value} is out of bounds. Give a number from {low} to {high}.")
    if value != value.quantize(Decimal(1).scaleb(-places)):
        raise BidError(name, f"{words}: {value} has more than {places} decimal places. Round it.")
    return value


def _check_margin(name: str, margin_pct: Decimal) -> None:
    check(name, margin_pct, Decimal(0), MOST_PCT, 4)
    if margin_pct >= HUNDRED:
        raise BidError(
            name,
            f"profit: {margin_pct} % of price leaves nothing for the cost. Give less than 100 %, or say it of cost.",
        )


def _check(inputs: BidInputs) -> None:
    for part in inputs.parts:
        for name in ("material", "tax", "labor"):
            check(name, getattr(part, name), Decimal(0), MOST, 2)
        check("hours", part.hours, Decimal(0), MOST_HOURS, 4)
    for other in inputs.others:
        check(other.kind.value, other.amount, Decimal(0), MOST, 2)
    check("contingency_pct", inputs.contingency_pct, Decimal(0), HUNDRED, 4)
    check("overhead_pct", inputs.overhead_pct, Decimal(0), MOST_PCT, 4)
    if inputs.profit_basis is Basis.OF_PRICE:
        _check_margin("profit_pct", inputs.profit_pct)
    else:
        check("profit_pct", inputs.profit_pct, Decimal(0), MOST_PCT, 4)
    if inputs.round_to not in ROUND_TO:
        raise BidError("round_to", f"round to: {inputs.round_to} is none of {', '.join(map(str, ROUND_TO))}.")


# As a figure: strings in, strings out


AMOUNTS = ("material", "hours", "wage", "equipment")
PERCENTS = ("tax_pct", "burden_pct", "contingency_pct", "overhead_pct", "profit_pct")


def bid_sum(given: Mapping[str, object]) -> dict[str, str]:
    """`bid.sum`: from strings to strings, all material taxable.

    Args: given: material, tax_pct, hours, wage, burden_pct, equipment, contingency_pct, overhead_pct, profit_pct,
        profit_basis (of_cost or of_price).
    Returns: tax, labor, direct, contingency, overhead, cost, profit, price, two places each.
    Raises: BidError naming the field.
    """
    read = {name: _read(name, given.get(name)) for name in (*AMOUNTS, *PERCENTS)}
    try:
        basis = Basis(str(given.get("profit_basis")))
    except ValueError as error:
        raise BidError("profit_basis", "profit basis: say of_cost or of_price.") from error
    part = typed_part(
        "",
        material=read["material"],
        tax_pct=read["tax_pct"],
        hours=read["hours"],
        wage=read["wage"],
        burden_pct=read["burden_pct"],
    )
    made = sum_bid(
        BidInputs(
            parts=(part,),
            others=(Other("", Cost.EQUIPMENT, read["equipment"]),),
            contingency_pct=read["contingency_pct"],
            overhead_pct=read["overhead_pct"],
            profit_pct=read["profit_pct"],
            profit_basis=basis,
        )
    )
    results = ("tax", "labor", "direct", "contingency", "overhead", "cost", "profit", "price")
    return {name: f"{getattr(made, name):.2f}" for name in results}


def _read(name: str, text: object) -> Decimal:
    if isinstance(text, bool) or not isinstance(text, str | int):
        raise BidError(name, f"{name.replace('_', ' ')}: give a number, written out as text.")
    try:
        return Decimal(str(text))
    except InvalidOperation as error:
        raise BidError(name, f"{name.replace('_', ' ')}: {text!r} is not a number. Write it out: 6200.00.") from error
