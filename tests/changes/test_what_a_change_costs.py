"""What a change to a contract costs, against sums by hand. Rules are common practice, no source."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import Distance, feet
from reports.changes.rules import default_terms, stage_rules, usual_terms
from reports.estimating.change import applied, days, price_change
from reports.estimating.change_terms import ChangeError, Goods, stage_rule
from reports.estimating.change_values import Kind, Note, Row, Typed
from reports.estimating.difference import Difference
from reports.estimating.money import total
from reports.estimating.priced import Priced, PricedLine
from tests.changes.priced_rooms import RATES, STAGES, TERMS, between, books, mark, room

D = Decimal
ONE_LIGHT = {"housing:can4": 1, "trim:can4": 1}


def change(before, after, typed=(), **more):
    return price_change(between(before, after), books(**more), typed)


def rows(change):
    return {row.row: row.amount for row in change.rows}


def test_a_light_more_is_priced_at_change_order_labor():
    """0.40 + 0.20 h x 1.5 = 0.60 + 0.30 h at 50.00: 45.00. Material 30.00, tax 3.00, direct 78.00; 10 % 7.80; 10 % of
    85.80 is 8.58."""
    added = change(None, room(ONE_LIGHT))
    assert rows(added) == {
        Row.MATERIAL: D("30.00"), Row.TAX: D("3.00"), Row.LABOR: D("45.00"), Row.OVERHEAD: D("7.80"),
        Row.PROFIT: D("8.58"),
    }  # fmt: skip
    assert (added.price, added.hours) == (D("94.38"), D("0.9000"))


def test_a_light_less_is_credited_at_bid_labor_without_overhead_and_profit():
    """Released: 30.00 goes back less 20 % restocking 6.00, tax 3.00, 0.60 h at 50.00 = 30.00."""
    gone = change(room(ONE_LIGHT), room({}))
    assert rows(gone) == {
        Row.MATERIAL: D("0.00"), Row.LABOR: D("0.00"), Row.CREDIT_MATERIAL: D("-30.00"), Row.RESTOCKING: D("6.00"),
        Row.CREDIT_TAX: D("-3.00"), Row.CREDIT_LABOR: D("-30.00"),
    }  # fmt: skip
    assert gone.price == D("-57.00")


def test_one_more_and_one_less_are_not_set_off_against_each_other():
    """Two rooms: 94.38 for the one, 57.00 back for the other; netted first there would be nothing to pay."""
    both = Difference(
        (*between(None, room(ONE_LIGHT)).rooms, *between(room(ONE_LIGHT, room_id=8), room({}, room_id=8)).rooms), ()
    )
    assert price_change(both, books()).price == D("94.38") - D("57.00")


def test_a_contract_may_give_overhead_and_profit_back():
    """Of 63.00 credited: 6.30 and 10 % of 69.30 = 6.93."""
    terms = replace(TERMS, credit_markup=True)
    assert rows(change(room(ONE_LIGHT), room({}), terms=terms))[Row.CREDIT_MARKUP] == D("-13.23")


@pytest.mark.parametrize(
    "stage, goods, credit, restocking",
    [
        ("design", None, "-20.00", "0.00"),  # not bought yet
        ("released", None, "-20.00", "4.00"),
        ("after_rough_in", None, "0.00", "0.00"),  # it is in the ceiling
        ("after_rough_in", Goods.RETURNABLE, "-20.00", "4.00"),  # the estimator knows better
        ("released", Goods.KEPT, "0.00", "0.00"),  # made to order
    ],
)
def test_material_is_credited_by_where_the_goods_are(stage, goods, credit, restocking):
    said = {(7, "housing:can4"): goods} if goods else {}
    [line] = change(room({"housing:can4": 1}), room({}), stage=stage, goods=said).lines
    assert (line.material, line.restocking) == (D(credit), D(restocking))


def test_labor_that_is_done_is_not_given_back():
    """After rough-in the trim's 0.20 h is all that nobody will work."""
    gone = change(room(ONE_LIGHT), room({}), stage="after_rough_in")
    assert rows(gone)[Row.CREDIT_LABOR] == D("-10.00")
    assert Note.INSTALLED in gone.lines[0].notes
    assert rows(change(room(ONE_LIGHT), room({}), stage="after_trim")).get(Row.CREDIT_LABOR) is None


def test_cable_from_an_opened_coil_does_not_go_back():
    [line] = change(room({"cable:14/2": 30}), room({})).lines
    assert (line.material, Note.KEPT in line.notes) == (D("0.00"), True)


def test_cable_is_priced_by_the_coil_one_would_buy():
    """20 ft and a tenth at 1.00 from a coil of 25; 300 ft and a tenth at 0.40 from coils of 250. Pulled: 20 ft."""
    [short] = change(room({}), room({"cable:14/2": 20})).lines
    [long] = change(room({}), room({"cable:14/2": 300})).lines
    assert (short.material, long.material) == (D("22.00"), D("132.00"))
    assert short.hours == D("0.3000")


def test_credits_are_at_what_the_bid_paid():
    """The bid bought 10 for 150.00: 15.00 each, though the counter asks 20.00 today."""
    line = PricedLine(
        "housing:can4", "", "", "each", Fraction(10), 10, (), True, D("150.00"), D(0), D(0), "list", "", ()
    )
    bid = Priced("USD", RATES, (line,), (), {})
    [gone] = change(room({"housing:can4": 2}), room({}), stage="design", bid=bid).lines
    assert gone.material == D("-30.00")
    [gone] = change(room({"housing:can4": 2}), room({}), stage="design").lines
    assert (gone.material, Note.TODAYS_PRICE in gone.notes) == (D("-40.00"), True)


@pytest.mark.parametrize(
    "stage, hours, other",
    [
        ("design", "0", "0"),
        ("released", "0.40", "0"),
        ("after_rough_in", "0.80", "0"),  # 0.40 x 1.5 + 0.2 to strip it
        ("after_drywall", "1.00", "150.00"),  # 0.40 x 2.5, patch and paint
        ("after_trim", "1.80", "150.00"),  # (0.40 + 0.20) x 3
    ],
)
def test_a_moved_light_takes_more_the_later_it_moves(stage, hours, other):
    was, now = room(ONE_LIGHT, [mark("A1", 4, 4)]), room(ONE_LIGHT, [mark("A1", 5, 4)])
    [line] = change(was, now, stage=stage).lines
    assert (line.kind, line.hours, line.other) == (Kind.MOVED, D(hours), D(other))
    assert line.labor == D(hours) * 50


def test_a_moved_speaker_takes_its_bracket_with_it():
    """0.50 h for one bracket, once, though the room has two: the housing beside it stays."""
    takes = {**ONE_LIGHT, "speaker:round6": 2, "speaker_bracket": 2}
    was, now = (room(takes, [mark("SP1", x, 4, "round6", "speaker")]) for x in (4, 5))
    [line] = change(was, now, stage="released").lines
    assert (line.kind, line.hours) == (Kind.MOVED, D("0.50"))


def test_the_stages_are_those_of_a_room():
    """Design 0, released 1, after rough-in 1.5 and 0.2 h, after drywall 2.5, after trim 3."""
    by_stage = [stage_rule(stage, stage_rules()).key for stage in range(13)]
    assert by_stage == [
        *["design"] * 4, *["released"] * 2, *["after_rough_in"] * 2, *["after_drywall"] * 2, *["after_trim"] * 3,
    ]  # fmt: skip
    assert [STAGES[key].times for key in dict.fromkeys(by_stage)] == [D(0), D(1), D("1.5"), D("2.5"), D(3)]


def test_added_work_late_counts_as_the_stage_asks():
    """1.5 by the contract, 2.5 after drywall: 0.60 h x 2.5."""
    assert change(None, room(ONE_LIGHT), stage="after_drywall").hours == D("1.5000")


def test_the_least_hours_are_charged_in_a_line_of_their_own():
    """0.90 h worked, 2 h at the least: 1.10 h at 50.00."""
    least = change(None, room(ONE_LIGHT), terms=replace(TERMS, least_hours=D(2)))
    assert (least.lines[-1].kind, least.lines[-1].labor, least.hours) == (Kind.LEAST, D("55.00"), D("2.0000"))
    assert change(None, None or room({})).lines == ()


def test_a_contract_holds_overhead_and_profit_to_its_limit():
    """Of 78.00: 5 % is 3.90, all of it overhead."""
    held = change(None, room(ONE_LIGHT), terms=replace(TERMS, most_markup_pct=D(5)))
    assert held.held and (rows(held)[Row.OVERHEAD], rows(held).get(Row.PROFIT)) == (D("3.90"), None)
    loose = change(None, room(ONE_LIGHT), terms=replace(TERMS, most_markup_pct=D(30)))
    assert not loose.held and loose.price == D("94.38")


def test_what_has_no_price_is_named_and_costs_nothing():
    unknown = change(None, room({"fan": 1}))
    assert (unknown.missing, unknown.price) == (("fan",), D("0.00"))


def test_a_typed_line_is_priced_like_added_work():
    """2 h at 50.00 and 40.00 of material with 4.00 tax: 144.00; 14.40; 15.84."""
    [typed] = price_change(Difference((), ()), books(), [Typed("Move the box", D("40.00"), D(2))]).lines
    assert typed.amount == D("140.00")
    assert price_change(Difference((), ()), books(), [Typed("Move the box", D("40.00"), D(2))]).price == D("174.24")


@pytest.mark.parametrize("hours", ["-1", "NaN", "Infinity", "1e9"])
def test_hours_nobody_works_are_refused_by_name(hours):
    with pytest.raises(ChangeError, match="hours") as refused:
        price_change(Difference((), ()), books(), [Typed("x", hours=D(hours))])
    assert refused.value.field == "hours"


@pytest.mark.parametrize("field, value", [("restock_pct", "101"), ("add_times", "0.5"), ("profit_pct", "NaN")])
def test_terms_no_contract_has_are_refused_by_name(field, value):
    with pytest.raises(ChangeError, match=field.removesuffix("_pct").replace("_", " ")):
        replace(TERMS, **{field: D(value)})


def test_days_are_halves_rounded_up():
    assert [days(D(hours), D(8)) for hours in ("0", "0.5", "4", "4.1", "17")] == [
        D(0), D("0.5"), D("0.5"), D("1.0"), D("2.5"),
    ]  # fmt: skip


def test_the_usual_terms_lie_within_the_trades_range():
    assert default_terms().restock_pct == D(20)
    for term in usual_terms().values():
        assert D(term["low"]) <= D(term["value"]) <= D(term["high"]), term["key"]


PIECES = st.dictionaries(
    st.sampled_from(["housing:can4", "trim:can4", "plate", "cable:14/2"]), st.integers(0, 40), max_size=4
)


@settings(max_examples=60)
@given(PIECES, PIECES, PIECES, st.sampled_from(sorted(STAGES)))
def test_base_and_change_give_the_new_room_and_the_price_is_the_lines(base, middle, last, stage):
    """Also in two steps, and whatever the stage: CO(base to new) + base = new."""
    made = [room(each) for each in (base, middle, last)]
    stands = quantities(made[0])
    for before, after in ((made[0], made[1]), (made[1], made[2])):
        each = change(before, after, stage=stage)
        stands = applied(stands, each)
        assert stands == quantities(after)
        tax_and_markup = total([row.amount for row in each.rows if row.row in (
            Row.TAX, Row.CREDIT_TAX, Row.OVERHEAD, Row.PROFIT,
        )])  # fmt: skip
        assert each.price == total([line.amount for line in each.lines]) + tax_and_markup
        assert all(row.amount == row.amount.quantize(D("0.01")) for row in each.rows)


def quantities(room):
    return {(room.room_id, line.key): line.quantity for line in room.takeoff.lines}


def test_a_length_in_a_change_is_exact():
    [line] = change(room({"cable:14/2": 10}), room({"cable:14/2": Fraction(31, 3)})).lines
    assert line.quantity == Distance(feet(1).nm * Fraction(11, 30))
